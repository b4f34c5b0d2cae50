import { lexicon } from "../lexicon.js";
import { wordMeans } from "./meaning.js";
import { GENERIC, type NameIndex, sideWord, singular } from "./names.js";
import { numberAt } from "./numbers.js";
import type { Found } from "./piece.js";
import type { Token } from "./tokens.js";
import { isHoleNoun } from "./words.js";

/** "top", "upper flange", "top and bottom rows": which row of a part, by words of the rows' names. */
export function rowAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const sayings: string[][] = [];
  let [end, core] = [at, at];
  for (;;) {
    const one = rowWordsAt(tokens, end, names);
    if (!one) break;
    sayings.push(one.words);
    ({ end, core } = one);
    if (tokens[end]?.word !== "and" || tokens[end - 1]?.after !== "") break;
    if (!rowWordsAt(tokens, end + 1, names)) break;
    end++;
  }
  const filled = spreadNoun(sayings);
  const asRow = end > core && /^(row|column|line)s?$/.test(tokens[end - 1]?.word ?? "");
  return filled.length > 0 ? { piece: { kind: "row", sayings: filled, asRow }, end, core } : null;
}

/** "top and bottom flange" → "top flange", "bottom flange". */
function spreadNoun(sayings: readonly string[][]): string[][] {
  const last = sayings.at(-1) ?? [];
  const noun = last.length > 1 ? last.slice(1) : [];
  return sayings.map((words) => (words.length === 1 && words !== last ? [...words, ...noun] : words));
}

/** "Get back", "look inside": no side of a part, unless an article or "row" says so. */
function isAdverb(tokens: readonly Token[], at: number): boolean {
  if (!/^(back|inside|outside|fore)$/.test(tokens[at]?.word ?? "")) return false;
  const next = singular(tokens[at + 1]?.word ?? "");
  return (
    !/^(the|its|on|at)$/.test(tokens[at - 1]?.word ?? "") &&
    !GENERIC.has(next) &&
    !SURFACE.has(next) &&
    next !== "flange"
  );
}

const SURFACE = new Set(["side", "surface", "face"]);

/** "Rib 6 rear, rivet now": an act, where a word about time or leave follows. */
function isAct(tokens: readonly Token[], at: number): boolean {
  const next = tokens[at + 1]?.word ?? "";
  return (
    tokens[at]?.word === "rivet" && (/^(it|them|on|now)$/.test(next) || wordMeans(next, "may", "yet", "now"))
  );
}

/** "Skin row": no verb stands right before "row". */
function isBeforeRow(tokens: readonly Token[], at: number): boolean {
  return tokens[at]?.after === "" && /^(row|column|line)s?$/.test(tokens[at + 1]?.word ?? "");
}

function rowWordsAt(
  tokens: readonly Token[],
  at: number,
  names: NameIndex,
): { words: string[]; end: number; core: number } | null {
  const words: string[] = [];
  let [end, core] = [at, at];
  for (; end < tokens.length; end++) {
    const token = tokens[end];
    if (!token || token.size || token.id || token.unknownId || /\d/.test(token.word)) break;
    const word = singular(sideWord(token.word));
    if (words.length === 0 && isAdverb(tokens, end)) break;
    const isSide = lexicon().side(token.word) !== undefined;
    // A verb of the bench ("attach", "skin") is a row's name only after a word that starts one, or before "row".
    const starts = isSide || lexicon().senses(token.word).length === 0 || isBeforeRow(tokens, end);
    if (GENERIC.has(word) || (words.length > 0 && SURFACE.has(word))) {
      if (words.length === 0 || (isHoleNoun(token) && numberAt(tokens, end + 1) !== undefined)) break;
      if (isAct(tokens, end)) break;
    } else if ((names.isRowWord(word) && (words.length > 0 || starts)) || isSide) {
      words.push(word);
      core = end + 1;
    } else break;
    if (token.after !== "" && token.after !== "-") {
      end++;
      break;
    }
  }
  return words.length > 0 ? { words, end, core } : null;
}
