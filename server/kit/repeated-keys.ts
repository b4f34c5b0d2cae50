import { escapeKey } from "./findings.js";

/** One object or list that the scan is inside of. */
interface Level {
  /** Keys met so far; null in a list. */
  readonly keys: Set<string> | null;
  /** Key or index where the scan is. */
  at: string | number;
}

/**
 * Pointers of keys that are in one object twice. JSON's own reader keeps the last of them without a word,
 * so that a thickness could be overwritten by a slip further down.
 * @param text  JSON that has been read without error
 */
export function repeatedKeys(text: string): readonly string[] {
  const found: string[] = [];
  const levels: Level[] = [];
  let isKey = false;
  for (let i = 0; i < text.length; i++) {
    const level = levels[levels.length - 1];
    const sign = text[i];
    if (sign === "{" || sign === "[") {
      levels.push({ keys: sign === "{" ? new Set() : null, at: 0 });
      isKey = sign === "{";
    } else if (sign === "}" || sign === "]") {
      levels.pop();
      isKey = false;
    } else if (sign === "," && level) {
      if (typeof level.at === "number") level.at++;
      isKey = level.keys !== null;
    } else if (sign === '"') {
      const end = endOfText(text, i);
      if (isKey && level?.keys) {
        level.at = String(JSON.parse(text.slice(i, end + 1)));
        if (level.keys.has(level.at)) {
          found.push(levels.map(({ at }) => `/${escapeKey(String(at))}`).join(""));
        }
        level.keys.add(level.at);
        isKey = false;
      }
      i = end;
    }
  }
  return found;
}

/** Position of the quotation mark that ends the text beginning at `start`. */
function endOfText(text: string, start: number): number {
  let end = text.indexOf('"', start + 1);
  while (isEscaped(text, end)) end = text.indexOf('"', end + 1);
  return end;
}

/** Whether an odd number of backslashes stands before the position. */
function isEscaped(text: string, position: number): boolean {
  let backslashes = 0;
  while (text[position - 1 - backslashes] === "\\") backslashes++;
  return backslashes % 2 === 1;
}
