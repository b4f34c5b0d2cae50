import { drillInch } from "../../kit/drills.js";
import { MM_PER_INCH, readLength, writtenText } from "../../kit/units.js";
import type { Word } from "./text.js";
import { isNumberSign } from "./words.js";

/** A size, a drill's number or letter, or a percentage, as slots hold it: `3.2 mm`, `1/8 in`, `No. 30`, `letter F`, `10`. */
export interface Measure {
  readonly kind: "size" | "drill" | "percent";
  readonly text: string;
}

/** A measure in the words, and how many of them it takes. */
export interface MeasureFound {
  readonly measure: Measure;
  readonly words: number;
}

/**
 * The measure that starts at a word. Only what can be one thing alone is read: "#4 on rib 3" is a hole, "a #30 drill"
 * a drill; a bare "3.2" is millimetres because nobody sets a rivet of three inches; "1,250 mm" is left unread.
 */
export function measureAt(words: readonly Word[], at: number): MeasureFound | null {
  return percentAt(words, at) ?? letterDrillAt(words, at) ?? numberDrillAt(words, at) ?? lengthAt(words, at);
}

function percentAt(words: readonly Word[], at: number): MeasureFound | null {
  const [here, next] = [words[at], words[at + 1]];
  const value =
    here && /^\d{1,3}(?:[.,]\d{1,2})?$/.test(here.word) ? Number(here.word.replace(",", ".")) : null;
  if (!here || value === null || value > 100) return null;
  const text = String(value);
  if (here.after.startsWith("%")) return { measure: { kind: "percent", text }, words: 1 };
  const named = here.after === "" && next !== undefined && /^(percent|pct|per-cent)$/.test(next.word);
  return named ? { measure: { kind: "percent", text }, words: 2 } : null;
}

/** "letter F", "an F drill"; "a drill" is any drill. */
function letterDrillAt(words: readonly Word[], at: number): MeasureFound | null {
  const [here, next] = [words[at], words[at + 1]];
  if (here?.word === "letter" && next && /^[a-z]$/.test(next.word))
    return drill(`letter ${next.word.toUpperCase()}`, 2);
  if (here && /^[B-HJ-Z]$/.test(here.text) && here.after === "" && isDrill(next))
    return drill(`letter ${here.text}`, 1);
  return null;
}

/** "#30 drill", "drill No. 30", "a #30", "to #30"; "#4 on rib 3" and "hole #4" are holes. */
function numberDrillAt(words: readonly Word[], at: number): MeasureFound | null {
  const here = words[at];
  if (!here) return null;
  const hash = /^#(\d{1,2})$/.exec(here.word)?.[1];
  const sign = hash === undefined && isNumberSign(here) && /^\.?$/.test(here.after);
  const digits = hash ?? (sign ? /^(\d{1,2})$/.exec(words[at + 1]?.word ?? "")?.[1] : undefined);
  if (digits === undefined) return null;
  const count = hash === undefined ? 2 : 1;
  const [before, earlier] = [words[at - 1], words[at - 2]];
  const last = words[at + count - 1];
  const next = last?.after === "" ? words[at + count] : undefined;
  const isJoined = before?.after === "" || before === undefined;
  const alone = next === undefined || !/^(on|of|in|at|along|to|and|through)$/.test(next.word);
  const named =
    isDrill(next) ||
    (isJoined &&
      (isDrill(before) ||
        (/^(a|an)$/.test(before?.word ?? "") && alone) ||
        (/^(to|with|for)$/.test(before?.word ?? "") && alone && !/\d/.test(earlier?.word ?? ""))));
  return named ? drill(`No. ${Number(digits)}`, count) : null;
}

/** Null for a drill that the table does not have: it stays unread and is named. */
function drill(text: string, words: number): MeasureFound | null {
  const name = text.replace(/^No\. /, "#").replace(/^letter /, "");
  return drillInch(name) === null ? null : { measure: { kind: "drill", text }, words };
}

function isDrill(word: Word | undefined): boolean {
  return word !== undefined && /^(drill|drills|bit|bits|reamer|reamers)$/.test(word.word);
}

const UNIT = /^(mm|inch|inches|")$/;

/** Sizes that can only be millimetres, or only inches, on a light aircraft's rivets and holes. */
const SURELY = { mm: { least: 1, most: 13 }, inch: { least: 0.04, most: 0.5 } } as const;

function lengthAt(words: readonly Word[], at: number): MeasureFound | null {
  const [here, next] = [words[at], words[at + 1]];
  if (!here || here.after.startsWith("%")) return null;
  const glued = /^(\d*[.,]?\d+|\d+\/\d+)-?(mm|in|inch|inches|")$/.exec(here.word);
  if (glued) return size(`${glued[1]} ${glued[2]}`, 1);
  const isNumber = /^(\d{0,3}[.,]?\d{1,4}|\d{1,2}\/\d{1,2})$/.test(here.word);
  if (!isNumber) return null;
  const unit = here.after === "" && next && UNIT.test(next.word) ? next.word : null;
  if (unit) return size(`${here.word} ${unit}`, 2);
  if (here.word.includes("/")) return size(here.word, 1);
  const value = /^\d*\.\d+$/.test(here.word) ? Number(here.word) : Number.NaN;
  // "in" after a decimal below one can only be the inch; anywhere else it may be "in the top row".
  const inches = value >= SURELY.inch.least && value <= SURELY.inch.most;
  if (inches) return size(`${here.word} in`, here.after === "" && next?.word === "in" ? 2 : 1);
  return value >= SURELY.mm.least && value <= SURELY.mm.most && next?.word !== "in"
    ? size(`${here.word} mm`, 1)
    : null;
}

function size(text: string, words: number): MeasureFound | null {
  const written = readLength(text);
  return written === null || written.mm <= 0 || written.mm > 40 * MM_PER_INCH
    ? null
    : { measure: { kind: "size", text: writtenText(written) }, words };
}
