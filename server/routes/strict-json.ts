import { Problem } from "../problem.js";

/** Deepest nesting of a body; the deepest that is ever needed is a rule's conditions. */
const MOST_LEVELS = 32;
/** Names that reach into an object's prototype when code copies keys carelessly. */
const REFUSED_KEYS: ReadonlySet<string> = new Set(["__proto__", "constructor", "prototype"]);
/**
 * Characters that have no place in a shop's texts: controls other than tab and line ends, halves of
 * surrogate pairs, and the marks that turn the reading direction, with which one text can be made to
 * look like another.
 */
const UNPRINTABLE = /[^\P{Cc}\t\n\r]|\p{Cs}|[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/u;

/**
 * A request body as a JSON value; refused when it could mean one thing to one reader and another to the
 * next: not UTF-8, nested deeper than MOST_LEVELS, the same key twice in one object, a key that reaches
 * into prototypes, a character that cannot be seen.
 * @throws JSON_MALFORMED, JSON_TOO_DEEP, KEY_REFUSED, CONTROL_CHARACTER, with a pointer where there is one
 */
export function strictJson(bytes: Uint8Array): unknown {
  const text = decoded(bytes);
  if (text.trim() === "") throw malformed("The body is empty.");
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    throw malformed(`The body is not JSON: ${(error as Error).message.slice(0, 200)}.`);
  }
  refuseOddKeys(text);
  refuseUnprintable(value, "");
  return value;
}

/** Whether a text holds a character that cannot be seen. */
export function isUnprintable(text: string): boolean {
  return UNPRINTABLE.test(text);
}

function decoded(bytes: Uint8Array): string {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    throw malformed("The body is not UTF-8.");
  }
}

function malformed(what: string): Problem {
  return new Problem("JSON_MALFORMED", what, {
    where: { pointer: "" },
    fix: "Send one JSON value in UTF-8.",
  });
}

/** One object or array that the scan is inside of. */
interface Level {
  /** Keys met so far; null in an array. */
  readonly keys: Set<string> | null;
  /** The next text is a key. */
  keyComesNext: boolean;
  at: string | number;
}

/** Goes through the text itself, since JSON.parse keeps only the last of two equal keys. Expects valid JSON. */
function refuseOddKeys(text: string): void {
  const levels: Level[] = [];
  const pointer = (): string => levels.map(({ at }) => `/${escaped(String(at))}`).join("");
  for (let i = 0; i < text.length; i += 1) {
    const level = levels.at(-1);
    switch (text[i]) {
      case "{":
      case "[": {
        const isObject = text[i] === "{";
        if (levels.length === MOST_LEVELS) {
          throw new Problem("JSON_TOO_DEEP", `The body is nested deeper than ${MOST_LEVELS} levels.`, {
            where: { pointer: pointer() },
            fix: "Send it flatter.",
          });
        }
        levels.push({
          keys: isObject ? new Set() : null,
          keyComesNext: isObject,
          at: isObject ? "" : 0,
        });
        break;
      }
      case "}":
      case "]":
        levels.pop();
        break;
      case ",":
        if (!level) break;
        if (level.keys) level.keyComesNext = true;
        else level.at = Number(level.at) + 1;
        break;
      case '"': {
        const end = endOfText(text, i);
        if (level?.keys && level.keyComesNext) {
          const key = JSON.parse(text.slice(i, end + 1)) as string;
          level.at = key;
          level.keyComesNext = false;
          if (REFUSED_KEYS.has(key) || isUnprintable(key)) throw refusedKey(pointer(), "is not allowed");
          if (level.keys.has(key)) throw refusedKey(pointer(), "is there twice");
          level.keys.add(key);
        }
        i = end;
        break;
      }
    }
  }
}

/** Position of the quote that ends the text starting at `start`. */
function endOfText(json: string, start: number): number {
  let i = start + 1;
  while (json[i] !== '"') i += json[i] === "\\" ? 2 : 1;
  return i;
}

function refusedKey(pointer: string, what: string): Problem {
  return new Problem("KEY_REFUSED", `The key at the end of this pointer ${what}.`, {
    where: { pointer },
    fix: "Send each key once, and only keys of the agreed shape.",
  });
}

/** Recursion is safe: the depth was checked before. */
function refuseUnprintable(value: unknown, pointer: string): void {
  if (typeof value === "string") {
    if (!isUnprintable(value)) return;
    throw new Problem("CONTROL_CHARACTER", "This text holds a character that cannot be printed.", {
      where: { pointer },
      fix: "Take the control characters out; tabs and line ends may stay.",
    });
  }
  if (typeof value !== "object" || value === null) return;
  for (const [key, field] of Object.entries(value)) refuseUnprintable(field, `${pointer}/${escaped(key)}`);
}

/** One step of a JSON pointer. @source RFC 6901, section 3 */
export function escaped(key: string): string {
  return key.replaceAll("~", "~0").replaceAll("/", "~1");
}
