import { lexicon } from "../lexicon.js";
import type { Word } from "./text.js";

/** A number that is written out or put in an unusual way, as figures, and how many of the words it takes. */
export interface SpokenSize {
  readonly figures: string;
  readonly words: number;
}

/**
 * A number said in words: "three point two", "five thirty-seconds", "an eighth", "1/8th", "twenty five"; null for
 * anything that is written in figures already. An ordinal is a fraction only where it can be nothing else: "one
 * eighth", "eighth inch"; "the eighth hole" is a hole.
 */
export function spokenSizeAt(words: readonly Word[], at: number): SpokenSize | null {
  return inchFractionAt(words, at) ?? decimalAt(words, at) ?? wholeAt(words, at);
}

/** How small the parts of an inch are, by the word for them; "thirty seconds" is two words. */
const PARTS: Readonly<Record<string, number>> = {
  quarter: 4,
  eighth: 8,
  "8th": 8,
  sixteenth: 16,
  "16th": 16,
  "thirty-second": 32,
  "thirty second": 32,
  "32nd": 32,
  "sixty-fourth": 64,
  "sixty fourth": 64,
  "64th": 64,
};

const INCH = /^(in|inch|inches|")$/;

function inchFractionAt(words: readonly Word[], at: number): SpokenSize | null {
  const here = words[at];
  if (!here) return null;
  const written = /^(\d{1,2}\/\d{1,2})-?(th|ths|nd|nds|rd|rds|st|s)$/.exec(here.word)?.[1];
  if (written) return { figures: written, words: 1 };
  const run = here.word.split("-");
  // "eighth-inch", "three-sixteenths" and "five-thirty-seconds" are one typed word each.
  if (run.length > 1 && !(`${here.word}` in PARTS)) {
    const alone = here.word.replace(/-?(inch|in)$/, "");
    const top = topOf(run[0] ?? "");
    const parts =
      top === null
        ? alone
        : run
            .slice(1)
            .join("-")
            .replace(/-?(inch|in)$/, "");
    const bottom = partsOf(parts);
    if (bottom === null || (top === null && alone === here.word)) return null;
    return { figures: `${top ?? 1}/${bottom}`, words: 1 };
  }
  const top = topOf(here.word);
  const from = top === null ? at : at + 1;
  if (top !== null && here.after !== "" && here.after !== "-") return null;
  const first = words[from];
  const pair =
    first && /^[-]?$/.test(first.after) ? partsOf(`${first.word} ${words[from + 1]?.word ?? ""}`) : null;
  const bottom = pair ?? partsOf(first?.word ?? "");
  const end = from + (pair === null ? 1 : 2);
  if (bottom === null) return null;
  const inch = words[end - 1]?.after === "" && INCH.test(words[end]?.word ?? "") && words[end]?.word !== "in";
  // Without the inch only a counted part is a size: "one eighth", "three sixteenths"; "a quarter" may be of anything.
  const counted = top !== null && (here.word !== "a" || bottom !== 4);
  return inch || counted ? { figures: `${top ?? 1}/${bottom}`, words: end - at } : null;
}

function partsOf(word: string): number | null {
  return PARTS[word] ?? PARTS[word.replace(/s$/, "")] ?? null;
}

/** "One", "an", "three": how many parts; nobody sets a rivet of more than fifteen of them. */
function topOf(word: string): number | null {
  if (word === "a" || word === "an") return 1;
  const value = /^\d{1,2}$/.test(word) ? Number(word) : lexicon().number(word);
  return value !== undefined && value > 0 && value < 16 ? value : null;
}

/** "Three point two", "point one two five", "nought point one", "3 point 2". */
function decimalAt(words: readonly Word[], at: number): SpokenSize | null {
  const whole = words[at]?.word === "point" ? null : digitsOf(words[at]?.word ?? "");
  const point = whole === null ? at : at + 1;
  if (words[point]?.word !== "point" || (whole !== null && words[at]?.after !== "")) return null;
  let places = "";
  let end = point + 1;
  while (words[end - 1]?.after === "" && places.length < 4) {
    const digit = digitsOf(words[end]?.word ?? "");
    if (digit === null) break;
    places += digit;
    end++;
  }
  return places === "" ? null : { figures: `${whole ?? "0"}.${places}`, words: end - at };
}

function digitsOf(word: string): string | null {
  if (/^\d{1,4}$/.test(word)) return word;
  if (/^(oh|zero|nought|naught)$/.test(word)) return "0";
  const value = lexicon().number(word);
  return value !== undefined && value < 10 ? String(value) : null;
}

/** "Ten", "twenty five", "twenty-five"; "1" is in figures already. */
function wholeAt(words: readonly Word[], at: number): SpokenSize | null {
  const here = words[at];
  if (!here) return null;
  const [tens = "", units] = here.word.split("-");
  const value = lexicon().number(tens);
  if (value === undefined) return null;
  const glued = units === undefined ? undefined : unitsOf(units);
  if (units !== undefined) return value >= 20 && glued ? { figures: String(value + glued), words: 1 } : null;
  const next = here.after === "" && value >= 20 ? unitsOf(words[at + 1]?.word ?? "") : undefined;
  return next ? { figures: String(value + next), words: 2 } : { figures: String(value), words: 1 };
}

function unitsOf(word: string): number | undefined {
  const value = lexicon().number(word);
  return value !== undefined && value > 0 && value < 10 ? value : undefined;
}
