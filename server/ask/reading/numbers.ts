import { lexicon } from "../lexicon.js";
import { wordMeans } from "./meaning.js";
import { singular } from "./names.js";
import type { Token } from "./tokens.js";

/** A run of numbers read from the tokens, and where it ends. */
export interface NumberRun {
  readonly numbers: readonly number[];
  readonly end: number;
}

/** A range longer than this is no range of holes or ribs. */
const MOST = 2000;

/** The whole number at a token: "3", "three"; sizes are not numbers. */
export function numberAt(tokens: readonly Token[], at: number): number | undefined {
  const token = tokens[at];
  if (!token || token.size || token.id || token.unknownId) return undefined;
  if (/^\d{1,4}$/.test(token.word)) return Number(token.word);
  const word = lexicon().number(token.word);
  const next = tokens[at + 1];
  if (word === undefined || word < 20 || !next || token.after !== "") return word;
  const unit = lexicon().number(next.word);
  return unit !== undefined && unit < 10 && next.text.includes("-") ? word + unit : word;
}

const TO = new Set(["to", "through"]);
const JOINTS = new Set(["and"]);

/**
 * "3", "2 to 6", "2-6", "2, 3 and 5", "1 to 3 and 7".
 * @param commas  whether a comma goes on to the next number: "ribs 2, 3 and 5" but not "on rib 2, 3 and 5 are set"
 */
export function numberRun(tokens: readonly Token[], at: number, commas: boolean): NumberRun | null {
  const numbers: number[] = [];
  let end = at;
  for (;;) {
    const first = numberAt(tokens, end);
    if (first === undefined) break;
    const range = rangeAt(tokens, end, first);
    numbers.push(...range.numbers);
    end = range.end;
    const joint = jointAt(tokens, end, commas);
    if (joint === null || numberAt(tokens, joint) === undefined || isCounting(tokens, joint)) break;
    end = joint;
  }
  return numbers.length > 0 ? { numbers: [...new Set(numbers)], end } : null;
}

function rangeAt(tokens: readonly Token[], at: number, first: number): NumberRun {
  const dash = tokens[at]?.after === "-";
  const to = dash ? at + 1 : TO.has(tokens[at + 1]?.word ?? "") && tokens[at]?.after === "" ? at + 2 : null;
  const last = to === null ? undefined : numberAt(tokens, to);
  if (to === null || last === undefined || last <= first || last - first > MOST)
    return { numbers: [first], end: at + 1 };
  return { numbers: Array.from({ length: last - first + 1 }, (_, n) => first + n), end: to + 1 };
}

/** Where the next number of a list would stand; null when the list ends at `end`. */
function jointAt(tokens: readonly Token[], end: number, commas: boolean): number | null {
  const after = tokens[end - 1]?.after ?? "";
  const word = tokens[end]?.word ?? "";
  if (JOINTS.has(word) && (after === "" || (commas && after === ","))) return end + 1;
  return commas && after === "," ? end : null;
}

/** "and 3 holes": a count, not the next number of the list. */
function isCounting(tokens: readonly Token[], at: number): boolean {
  const next = tokens[at + 1];
  // "Holes 3 and 4 rivet now": one thing is never counted as four.
  const plural = next !== undefined && singular(next.word) !== next.word;
  return (
    next !== undefined &&
    (plural || numberAt(tokens, at) === 1) &&
    tokens[at]?.after === "" &&
    wordMeans(next.word, "hole", "row")
  );
}
