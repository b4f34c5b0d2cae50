import { canonicalJson } from "../canonical.js";
import { forbiddenKeys } from "../kit/shape.js";
import { Problem } from "../problem.js";
import { firstBreak } from "./chain.js";
import type { Entry } from "./contract.js";
import { wrongWithEntry } from "./entry-shape.js";

/** What the first line says that the file is. */
const FORMAT = "tailroom shop book 1";
/** Longer than any entry that the program writes. */
const MOST_LINE_LETTERS = 4 * 1024 * 1024;

/**
 * The shop book as JSON Lines: first `{"entries": N, "format": …, "head": hash of the last entry}`, then each
 * entry, oldest first. Every line is canonical JSON, so that equal books are equal files; each entry carries the
 * hash of the one before it, and the first line says where the chain ends, so that nothing can be cut off.
 */
export function* linesOf(entries: readonly Entry[]): Generator<string> {
  const head = entries.at(-1)?.hash ?? null;
  yield `${canonicalJson({ format: FORMAT, entries: entries.length, head })}\n`;
  for (const entry of entries) yield `${canonicalJson(entry)}\n`;
}

/**
 * The entries of a file that `linesOf` made.
 * @param file  its name, for the message
 * @throws IMPORT_NOT_OURS (another format), IMPORT_BROKEN naming the first line that was changed, is missing or
 *         does not belong
 */
export function entriesIn(text: string, file: string): readonly Entry[] {
  const lines = text.split("\n");
  if (lines.at(-1) === "") lines.pop();
  const [first = "", ...rest] = lines;
  const header = headerIn(first, file);
  const entries = rest.map((line, i) => entryIn(line, i + 2, file));
  const broken = firstBreak(entries);
  if (broken) throw brokenAt(broken.index + 2, broken.what, file);
  const head = entries.at(-1)?.hash ?? null;
  if (header.entries !== entries.length || header.head !== head) {
    const what = `the file should have ${header.entries} entries and has ${entries.length}, or the last one is another`;
    throw brokenAt(lines.length, what, file);
  }
  return entries;
}

function headerIn(line: string, file: string): { readonly entries: unknown; readonly head: unknown } {
  const header = line.length < 1000 ? parsed(line) : null;
  if (typeof header !== "object" || header === null || (header as { format?: unknown }).format !== FORMAT) {
    throw new Problem("IMPORT_NOT_OURS", `The first line does not say "${FORMAT}".`, {
      where: { file },
      fix: "Use a file that npm run book -- export has written.",
    });
  }
  const { entries, head } = header as { entries?: unknown; head?: unknown };
  return { entries, head };
}

function entryIn(line: string, number: number, file: string): Entry {
  if (line.length > MOST_LINE_LETTERS) throw brokenAt(number, "it is longer than any entry", file);
  const value = parsed(line);
  if (value === undefined) throw brokenAt(number, "it is not one JSON value", file);
  if (forbiddenKeys(value).length > 0) throw brokenAt(number, "it has a key that no entry has", file);
  const wrong = wrongWithEntry(value);
  if (wrong) throw brokenAt(number, `it is not an entry: ${wrong}`, file);
  // What two programs could read differently (a key twice, 1.0 for 1) is not what was hashed.
  if (!isCanonical(value, line)) throw brokenAt(number, "it was written by something else", file);
  return value as Entry;
}

function isCanonical(value: unknown, line: string): boolean {
  try {
    return canonicalJson(value) === line;
  } catch {
    return false;
  }
}

function parsed(line: string): unknown {
  if (depthOf(line) > MOST_LEVELS) return undefined;
  try {
    return JSON.parse(line);
  } catch {
    return undefined;
  }
}

/** A rule's conditions are the deepest thing in a book. */
const MOST_LEVELS = 40;

/** How deep a line nests. */
function depthOf(line: string): number {
  let depth = 0;
  let most = 0;
  let inText = false;
  for (let i = 0; i < line.length; i++) {
    const sign = line[i];
    if (sign === '"') inText = !inText;
    else if (inText) {
      if (sign === "\\") i++;
    } else if (sign === "[" || sign === "{") most = Math.max(most, ++depth);
    else if (sign === "]" || sign === "}") depth--;
  }
  return most;
}

function brokenAt(line: number, what: string, file: string): Problem {
  return new Problem("IMPORT_BROKEN", `Line ${line} cannot be trusted: ${what}.`, {
    where: { file },
    fix: "Use a copy that nobody has changed.",
  });
}
