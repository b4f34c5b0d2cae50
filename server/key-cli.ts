import { join } from "node:path";
import { parseArgs } from "node:util";
import type { KeyRing, StoredKey } from "./keys/contract.js";
import { ROLES, type Role } from "./keys/contract.js";
import { makeKey } from "./keys/key.js";
import { KEY_RING, sqliteKeys } from "./keys/sqlite.js";
import { Problem } from "./problem.js";

/** `npm run key`: makes keys, lists them, takes them back. */
const USAGE = "npm run key -- make NAME --role mentor|builder, or list, or revoke ID; each with [--data DIR]";

const now = (): string => new Date().toISOString();

async function make(keys: KeyRing, name: string, role: Role): Promise<void> {
  const { shown, stored } = await makeKey(name, role, now());
  keys.add(stored);
  console.error(`A ${role}'s key for ${name}. It is shown this once and kept nowhere: hand it over now.`);
  console.log(shown);
}

function list(keys: KeyRing): void {
  for (const key of keys.list()) console.log(lineOf(key));
  if (keys.list().length === 0) console.error("No key has been made.");
}

function lineOf({ id, role, name, madeAt, revokedAt }: StoredKey): string {
  const until = revokedAt === null ? "" : `, revoked ${revokedAt.slice(0, 10)}`;
  return `${id}  ${role.padEnd("builder".length)}  ${name}  (made ${madeAt.slice(0, 10)}${until})`;
}

/** @throws ARGUMENT_INVALID and what the key ring throws */
async function run(args: readonly string[]): Promise<void> {
  const refuse = (what: string): Problem =>
    new Problem("ARGUMENT_INVALID", what, { fix: `Use it so: ${USAGE}` });
  let values: { role?: string | undefined; data: string };
  let positionals: string[];
  try {
    ({ values, positionals } = parseArgs({
      args: [...args],
      allowPositionals: true,
      options: { role: { type: "string" }, data: { type: "string", default: "data" } },
    }));
  } catch (error) {
    throw refuse((error as Error).message);
  }
  const [act, ...rest] = positionals;
  const keys = sqliteKeys(join(values.data, KEY_RING));
  if (act === "make") {
    const role = ROLES.find((one) => one === values.role);
    if (!role) throw refuse(`--role must be ${ROLES.join(" or ")}.`);
    return make(keys, rest.join(" "), role);
  }
  if (values.role !== undefined) throw refuse("Only a new key is given a role.");
  if (act === "list" && rest.length === 0) return list(keys);
  if (act === "revoke" && rest[0] !== undefined && rest.length === 1) {
    const { id, name } = keys.revoke(rest[0], now());
    console.error(`The key ${id} of ${name} opens nothing any more.`);
    return;
  }
  throw refuse(act === undefined ? "There is nothing to do." : `"${positionals.join(" ")}" is not known.`);
}

try {
  await run(process.argv.slice(2));
} catch (error) {
  if (!(error instanceof Problem)) throw error;
  console.error(String(error));
  process.exitCode = 1;
}
