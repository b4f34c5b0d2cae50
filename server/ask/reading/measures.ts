import { drillInch } from "../../kit/drills.js";
import { MM_PER_INCH, readLength, writtenText } from "../../kit/units.js";
import { spokenSizeAt } from "./spoken-sizes.js";
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
  return (
    percentAt(words, at) ??
    letterDrillAt(words, at) ??
    numberDrillAt(words, at) ??
    dashSizeAt(words, at) ??
    lengthAt(words, at)
  );
}

/** A number in figures or in words, with what follows it; null where there is none. */
function figuresAt(
  words: readonly Word[],
  at: number,
): { figures: string; words: number; after: string } | null {
  const here = words[at];
  if (!here) return null;
  if (/^\d{0,4}(?:[.,]\d{1,4})?$/.test(here.word)) return { figures: here.word, words: 1, after: here.after };
  const spoken = spokenSizeAt(words, at);
  return spoken && { ...spoken, after: words[at + spoken.words - 1]?.after ?? "" };
}

function percentAt(words: readonly Word[], at: number): MeasureFound | null {
  const found = figuresAt(words, at);
  if (!found || !/^\d{1,3}(?:[.,]\d{1,2})?$/.test(found.figures)) return null;
  const value = Number(found.figures.replace(",", "."));
  if (value > 100) return null;
  const measure: Measure = { kind: "percent", text: String(value) };
  if (found.after.startsWith("%")) return { measure, words: found.words };
  const [next, other] = [words[at + found.words], words[at + found.words + 1]];
  if (found.after !== "" || !next) return null;
  if (/^(percent|pct|per-cent)$/.test(next.word)) return { measure, words: found.words + 1 };
  return next.word === "per" && next.after === "" && other?.word === "cent"
    ? { measure, words: found.words + 2 }
    : null;
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

/** "#30 drill", "drill No. 30", "a #30", "to #30", "a thirty drill"; "#4 on rib 3" and "hole #4" are holes. */
function numberDrillAt(words: readonly Word[], at: number): MeasureFound | null {
  const here = words[at];
  if (!here) return null;
  const hash = /^#(\d{1,2})$/.exec(here.word)?.[1];
  const signed = hash === undefined && isNumberSign(here) && /^\.?$/.test(here.after);
  const found = hash === undefined ? figuresAt(words, signed ? at + 1 : at) : null;
  const digits = hash ?? found?.figures;
  if (digits === undefined || !/^\d{1,2}$/.test(digits)) return null;
  const count = (found?.words ?? 1) + (signed ? 1 : 0);
  const [before, earlier] = [words[at - 1], words[at - 2]];
  const after = words[at + count - 1]?.after ?? "";
  const next = after === "" ? words[at + count] : undefined;
  const isJoined = before?.after === "" || before === undefined;
  const article = isJoined && /^(a|an)$/.test(before?.word ?? "");
  const small = Number(digits) < LEAST_BARE;
  if (hash === undefined && !signed) {
    // Without a sign only what no hole is called: "a 30 drill", "a thirty hole"; "3 drills" and "a 4 rivet" are not.
    const bare = !small && (isDrill(next) || (article && isHole(next)));
    return bare ? drill(`No. ${Number(digits)}`, count) : null;
  }
  const alone = next === undefined || !/^(on|of|in|at|along|to|and|through)$/.test(next.word);
  const using = isJoined && /^(use|using|run|running|chuck|with)$/.test(before?.word ?? "");
  const named =
    isDrill(next) ||
    (isJoined &&
      (isDrill(before) ||
        (article && (alone || !small)) ||
        (using && (alone || !small) && !/\d/.test(earlier?.word ?? "")) ||
        (/^(to|for)$/.test(before?.word ?? "") && alone && !/\d/.test(earlier?.word ?? "")))) ||
    (!small && next?.word === "holes");
  return named ? drill(`No. ${Number(digits)}`, count) : null;
}

/** A drill named without its sign, or before "on" and "in", is one that holes are rarely numbered up to. */
const LEAST_BARE = 20;

/**
 * "A dash 4 rivet", "-5s", "dash fives": the diameter in thirty-seconds of an inch, as solid rivets are called.
 * A range ("2 -4") and a hole's number are none.
 * @source  common practice, no source
 */
function dashSizeAt(words: readonly Word[], at: number): MeasureFound | null {
  const [here, before] = [words[at], words[at - 1]];
  if (!here) return null;
  const said = /^dash$/.test(here.word) && /^-?$/.test(here.after);
  const dashed = before?.after === "-" && LEADS_DASH.test(before.word);
  if (!said && !dashed) return null;
  const at32 = words[said ? at + 1 : at];
  const digit = /^([3-8])(?:s|'s)?$/.exec(at32?.word ?? "")?.[1] ?? DASHES[at32?.word ?? ""];
  const count = said ? 2 : 1;
  const next = at32?.after === "" ? words[at + count] : undefined;
  const meant =
    said || /s$/.test(at32?.word ?? "") || /^(rivet|rivets|fastener|fasteners)$/.test(next?.word ?? "");
  return digit !== undefined && meant ? size(`${digit}/32`, count) : null;
}

const LEADS_DASH = /^(a|an|the|of|with|use|take|takes|any|which|what|do|does|these|those|for)$/;

const DASHES: Readonly<Record<string, string>> = {
  three: "3",
  threes: "3",
  four: "4",
  fours: "4",
  five: "5",
  fives: "5",
  six: "6",
  sixes: "6",
};

/** Null for a drill that the table does not have: it stays unread and is named. */
function drill(text: string, words: number): MeasureFound | null {
  const name = text.replace(/^No\. /, "#").replace(/^letter /, "");
  return drillInch(name) === null ? null : { measure: { kind: "drill", text }, words };
}

function isDrill(word: Word | undefined): boolean {
  return word !== undefined && /^(drill|drills|bit|bits|reamer|reamers)$/.test(word.word);
}

function isHole(word: Word | undefined): boolean {
  return word !== undefined && /^(hole|holes)$/.test(word.word);
}

/** Units by how they are written; "mil" is a millimetre in a workshop and a thousandth elsewhere: the number decides. */
const UNITS: Readonly<Record<string, "mm" | "in" | "thou" | "mil">> = {
  mm: "mm",
  mms: "mm",
  millimetre: "mm",
  millimetres: "mm",
  millimeter: "mm",
  millimeters: "mm",
  inch: "in",
  inches: "in",
  '"': "in",
  thou: "thou",
  thous: "thou",
  thousandth: "thou",
  thousandths: "thou",
  mil: "mil",
  mils: "mil",
};

/** Sizes that can only be millimetres, or only inches, on a light aircraft's rivets and holes. */
const SURELY = { mm: { least: 1, most: 13 }, inch: { least: 0.04, most: 0.5 } } as const;

function lengthAt(words: readonly Word[], at: number): MeasureFound | null {
  const here = words[at];
  if (!here || here.after.startsWith("%")) return null;
  const glued = /^(\d*[.,]?\d+|\d+\/\d+)-?(mm|in|inch|inches|"|millimetre|millimeter|thou|mil)$/.exec(
    here.word,
  );
  if (glued) return inUnit(glued[1] ?? "", glued[2] ?? "", 1);
  const isNumber = /^(\d{0,3}[.,]?\d{1,4}|\d{1,2}\/\d{1,2})$/.test(here.word);
  const found = isNumber ? { figures: here.word, words: 1 } : spokenSizeAt(words, at);
  if (!found) return null;
  const after = words[at + found.words - 1]?.after ?? "";
  const next = words[at + found.words];
  const unit = /^-?$/.test(after) && next && next.word in UNITS ? next.word : null;
  if (unit) {
    const of = words[at + found.words + 1];
    const named = of?.word === "of" && words[at + found.words + 2]?.word === "an" ? 3 : 0;
    const inch = named > 0 && /^inch(es)?$/.test(words[at + found.words + 3]?.word ?? "");
    return inUnit(found.figures, unit, found.words + 1 + (inch ? named : 0));
  }
  if (found.figures.includes("/")) return size(found.figures, found.words);
  const value = /^\d*\.\d+$/.test(found.figures) ? Number(found.figures) : Number.NaN;
  // "in" after a decimal below one can only be the inch; anywhere else it may be "in the top row".
  const inches = value >= SURELY.inch.least && value <= SURELY.inch.most;
  const spelt = after === "" && next?.word === "in" ? 1 : 0;
  if (inches) return size(`${found.figures} in`, found.words + spelt);
  return value >= SURELY.mm.least && value <= SURELY.mm.most && spelt === 0
    ? size(`${found.figures} mm`, found.words)
    : null;
}

function inUnit(figures: string, written: string, words: number): MeasureFound | null {
  const unit = UNITS[written] ?? "in";
  if (unit === "mm" || unit === "in") return size(`${figures} ${unit}`, words);
  const value = Number(figures.replace(",", "."));
  const small = value >= SURELY.mm.least && value <= SURELY.mm.most;
  if (unit === "mil" && small) return size(`${figures} mm`, words);
  const inch = value / 1000;
  return inch >= SURELY.inch.least && inch <= SURELY.inch.most ? size(`${inch} in`, words) : null;
}

function size(text: string, words: number): MeasureFound | null {
  const written = readLength(text);
  return written === null || written.mm <= 0 || written.mm > 40 * MM_PER_INCH
    ? null
    : { measure: { kind: "size", text: writtenText(written) }, words };
}
