import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { Problem } from "./problem.js";
import { shopRules } from "./shop/life.js";
import { backUp } from "./store/backup.js";
import type { Entry, ShopBook } from "./store/contract.js";
import { entriesIn, linesOf } from "./store/lines.js";
import { SHOP_BOOK, sqliteBook } from "./store/sqlite.js";

/** `npm run book`: puts the shop book aside, takes it over, and checks that nobody changed it. */
const USAGE =
  "npm run book -- export [FILE], or import FILE, or verify [FILE], or backup [FILE]; each with [--data DIR]";

interface Wanted {
  readonly act: string;
  readonly file: string | undefined;
  readonly data: string;
}

async function run({ act, file, data }: Wanted): Promise<void> {
  const book = join(data, SHOP_BOOK);
  if (act === "export") return exportTo(file, reading(book));
  if (act === "verify") return verify(file ?? book);
  if (act === "backup") return backup(book, file ?? join(data, "backups", backupName(new Date())));
  if (act === "import" && file !== undefined) return importFrom(file, book);
  throw usage(act === "import" ? "Which file is to be taken over?" : `"${act}" is not known.`);
}

function exportTo(file: string | undefined, { entries, trouble }: Read): void {
  const text = [...linesOf(entries)].join("");
  if (file === undefined) process.stdout.write(text);
  else {
    if (existsSync(file)) throw exists(file);
    writeFileSync(file, text, { flag: "wx" });
  }
  console.error(`Exported ${summary(entries)}`);
  if (trouble) throw trouble;
}

function importFrom(file: string, into: string): void {
  const entries = entriesIn(textOf(file), file);
  const book = sqliteBook(into);
  try {
    const added = book.adopt(entries);
    console.error(`Took over ${added} of ${summary(entries)}`);
    tellRulesInForce(entries);
  } finally {
    book.close();
  }
}

function verify(file: string): void {
  const isLines = existsSync(file) && !readFileSync(file).subarray(0, 6).equals(Buffer.from("SQLite"));
  const { entries, trouble } = isLines
    ? { entries: entriesIn(textOf(file), file), trouble: null }
    : reading(file);
  if (trouble) throw trouble;
  console.log(`Whole: ${summary(entries)}`);
}

async function backup(book: string, to: string): Promise<void> {
  if (!existsSync(book)) throw missing(book);
  const { entries, head, trouble } = await backUp(book, to);
  console.log(
    `Backed up ${entries} ${entries === 1 ? "entry" : "entries"} to ${to}${head ? `, up to ${head}` : ""}.`,
  );
  if (trouble) throw trouble;
}

interface Read {
  readonly entries: readonly Entry[];
  readonly trouble: ShopBook["trouble"];
}

/** What a book holds. A book that can only be read is no trouble here. */
function reading(file: string): Read {
  if (!existsSync(file)) throw missing(file);
  const book = sqliteBook(file);
  try {
    return {
      entries: book.since(0),
      trouble: book.trouble?.code === "SHOPBOOK_BROKEN" ? book.trouble : null,
    };
  } finally {
    book.close();
  }
}

/** Whoever hands over a book hands over the rules that it says are in force. */
function tellRulesInForce(entries: readonly Entry[]): void {
  for (const kit of new Set(entries.map((entry) => entry.kit))) {
    for (const { id, inForce, revisions, history } of shopRules(entries, kit)) {
      const rule = revisions.find(({ revision }) => revision === inForce)?.rule;
      if (!rule) continue;
      const by = history.findLast(({ step, refused }) => step === "accept" && refused === null)?.by;
      console.error(`In force for ${kit}: ${id}, revision ${inForce}, accepted by ${by}: ${rule.title}`);
    }
  }
}

function summary(entries: readonly Entry[]): string {
  const last = entries.at(-1);
  const count = `${entries.length} ${entries.length === 1 ? "entry" : "entries"}`;
  return last ? `${count}, the last of ${last.at} with the hash ${last.hash}` : count;
}

function textOf(file: string): string {
  if (!existsSync(file)) throw missing(file);
  return new TextDecoder("utf-8", { fatal: false, ignoreBOM: true }).decode(readFileSync(file));
}

function backupName(now: Date): string {
  return `shop-book-${now.toISOString().slice(0, 19).replaceAll(":", "")}Z.sqlite`;
}

function missing(file: string): Problem {
  return new Problem("FILE_MISSING", `There is no ${file}.`, {
    where: { file },
    fix: "Name another file, or the folder of the shop book with --data DIR.",
  });
}

function exists(file: string): Problem {
  return new Problem("FILE_EXISTS", `There is a file ${file} already; it was left as it is.`, {
    where: { file },
    fix: "Name another file.",
  });
}

function usage(what: string): Problem {
  return new Problem("ARGUMENT_INVALID", what, { fix: `Use it so: ${USAGE}` });
}

/** @throws ARGUMENT_INVALID */
function wanted(args: readonly string[]): Wanted {
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      allowPositionals: true,
      options: { data: { type: "string", default: "data" } },
    });
    const [act, file, ...more] = positionals;
    if (act === undefined || more.length > 0) throw usage("Say what to do, and with which file at most.");
    return { act, file, data: values.data };
  } catch (error) {
    throw error instanceof Problem ? error : usage((error as Error).message);
  }
}

try {
  await run(wanted(process.argv.slice(2)));
} catch (error) {
  if (!(error instanceof Problem)) throw error;
  console.error(String(error));
  process.exitCode = 1;
}
