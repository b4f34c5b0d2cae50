import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { onTestFinished } from "vitest";
import type { KeyRing, Role, StoredKey } from "../../server/keys/contract.js";
import { memoryKeys } from "../../server/keys/memory.js";
import { KEY_RING, sqliteKeys } from "../../server/keys/sqlite.js";

/** A file for keys in a folder of its own, gone when the test is over. */
export function keyFile(): string {
  const folder = mkdtempSync(join(tmpdir(), "tailroom-keys-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return join(folder, KEY_RING);
}

/** Both kinds of key ring, which keep the same promise. */
export const RINGS: readonly { readonly name: string; readonly open: () => KeyRing }[] = [
  { name: "in memory", open: memoryKeys },
  { name: "in a file", open: () => sqliteKeys(keyFile()) },
];

/** What is kept of a key, without the second it takes to make a real one. */
export function card(id: string, name: string, role: Role = "builder"): StoredKey {
  const scrypt = { N: 16, r: 1, p: 1, salt: "c2FsdA", hash: "aGFzaA" };
  return { id, name, role, madeAt: "2031-05-04T10:00:00.000Z", revokedAt: null, scrypt, publicKey: "a" };
}
