import { randomBytes } from "node:crypto";
import { Problem } from "../problem.js";
import { isSameName } from "../same-name.js";
import type { KeyRing, StoredKey } from "./contract.js";

/** A key ring that lasts as long as the process. */
export function memoryKeys(): KeyRing {
  const keys = new Map<string, StoredKey>();
  const secret = randomBytes(32);
  return {
    list: () => [...keys.values()],
    get: (id) => keys.get(id) ?? null,
    add(key) {
      refuseTaken(key, [...keys.values()]);
      keys.set(key.id, key);
    },
    revoke(id, at) {
      const key = keys.get(id);
      if (!key) throw unknownKey(id);
      const revoked = { ...key, revokedAt: key.revokedAt ?? at };
      keys.set(id, revoked);
      return revoked;
    },
    sealingSecret: () => secret,
  };
}

/** @throws KEY_NAME_TAKEN */
export function refuseTaken({ name }: StoredKey, keys: readonly StoredKey[]): void {
  const other = keys.find((key) => key.revokedAt === null && isSameName(key.name, name));
  if (!other) return;
  throw new Problem("KEY_NAME_TAKEN", `The key ${other.id} is ${other.name}'s already.`, {
    fix: `Revoke that key first, or give the new one another name.`,
  });
}

export function unknownKey(id: string): Problem {
  return new Problem("UNKNOWN_KEY", `There is no key "${id}".`, {
    fix: "List the keys with: npm run key -- list",
  });
}
