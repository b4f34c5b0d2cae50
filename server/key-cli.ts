import { join } from "node:path";
import { createInterface } from "node:readline/promises";
import { parseArgs } from "node:util";
import { type KeyRing, ROLES, type Role, type StoredKey } from "./keys/contract.js";
import { makeKey } from "./keys/key.js";
import { KEY_RING, sqliteKeys } from "./keys/sqlite.js";
import { Problem } from "./problem.js";
import type { Decision } from "./review/review-answer.js";
import { readComment, readReview, reviewText, writeAnswer } from "./review/sign-file.js";

/** `npm run key`: makes keys, lists them, takes them back, and answers a review file with one. */
const USAGE = [
  "npm run key -- make NAME --role mentor|builder [--data DIR]",
  "list [--data DIR]",
  "revoke ID [--data DIR]",
  "sign FILE --accept|--return [--comment TEXT]… [--reference TEXT] (the key on standard input)",
].join(" | ");

const OPTIONS = {
  role: { type: "string" },
  data: { type: "string", default: "data" },
  accept: { type: "boolean", default: false },
  return: { type: "boolean", default: false },
  comment: { type: "string", multiple: true },
  reference: { type: "string" },
} as const;

const now = (): string => new Date().toISOString();

async function make(keys: KeyRing, name: string, role: Role): Promise<void> {
  const { shown, stored } = await makeKey(name, role, now());
  keys.add(stored);
  console.error(`A ${role}'s key for ${name}. It is shown this once and kept nowhere: hand it over now.`);
  console.log(shown);
}

function list(keys: KeyRing): void {
  const all = keys.list();
  for (const key of all) console.log(lineOf(key));
  if (all.length === 0) console.error("No key has been made.");
}

function lineOf({ id, role, name, madeAt, revokedAt }: StoredKey): string {
  const until = revokedAt === null ? "" : `, revoked ${revokedAt.slice(0, 10)}`;
  return `${id}  ${role.padEnd("builder".length)}  ${name}  (made ${madeAt.slice(0, 10)}${until})`;
}

function revoke(keys: KeyRing, key: string): void {
  const { id, name } = keys.revoke(key, now());
  console.error(`The key ${id} of ${name} opens nothing any more.`);
}

async function sign(file: string, decision: Decision): Promise<void> {
  const review = readReview(file);
  console.error(`${reviewText(review)}\n`);
  process.stderr.write("Your key: ");
  console.log(writeAnswer(file, review, decision, await firstLine()));
}

async function firstLine(): Promise<string> {
  for await (const line of createInterface({ input: process.stdin })) return line;
  return "";
}

/** @throws ARGUMENT_INVALID and what the acts throw */
async function run(args: readonly string[]): Promise<void> {
  const refuse = (what: string): Problem =>
    new Problem("ARGUMENT_INVALID", what, { fix: `Use it so: ${USAGE}` });
  const parsed = (() => {
    try {
      return parseArgs({ args: [...args], allowPositionals: true, options: OPTIONS });
    } catch (error) {
      throw refuse((error as Error).message);
    }
  })();
  const { values, positionals } = parsed;
  const [act, ...rest] = positionals;
  const [only] = rest;
  const keys = sqliteKeys(join(values.data, KEY_RING));
  if (act === "make") {
    const role = ROLES.find((one) => one === values.role);
    if (!role) throw refuse(`--role must be ${ROLES.join(" or ")}.`);
    return make(keys, rest.join(" "), role);
  }
  if (act === "list" && only === undefined) return list(keys);
  if (act === "revoke" && only !== undefined && rest.length === 1) return revoke(keys, only);
  if (act === "sign" && only !== undefined && rest.length === 1) {
    if (values.accept === values.return) throw refuse("Choose one of --accept and --return.");
    const comments = (values.comment ?? []).map(readComment);
    if (values.return && comments.length === 0) throw refuse("To send it back, give at least one --comment.");
    return sign(only, {
      step: values.accept ? "accept" : "return",
      comments,
      reference: values.reference ?? null,
    });
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
