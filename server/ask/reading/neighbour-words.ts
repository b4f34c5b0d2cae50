import { lexicon } from "../lexicon.js";
import { wordMeans } from "./meaning.js";
import type { NameIndex } from "./names.js";
import { matchName } from "./part-words.js";
import type { Found } from "./piece.js";
import type { Token } from "./tokens.js";
import { isLink } from "./words.js";

/** Words of nearness before a neighbour's name; they are what its name is used for. */
const NEAR = /^(near|nearest|by|along|alongside|beside|under|against|opposite|facing|towards?|close|next)$/;

/** "the elevator's gap seal", "the gap seal", "near the seal": a surface that comes near, by the end of its name. */
export function neighbourAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  if (names.neighbours.length === 0) return null;
  let start = at;
  if (NEAR.test(tokens[start]?.word ?? "")) {
    start++;
    if (tokens[start]?.word === "to") start++;
    while (isLink(tokens[start])) start++;
  }
  const found = names.neighbours.flatMap(({ id, words }) =>
    endingsOf(words).flatMap((ending) => {
      const end = matchName(tokens, start, ending, false);
      return end !== null && (end - start > 1 || isNoun(tokens, start, names)) ? [{ id, end }] : [];
    }),
  );
  const end = Math.max(...found.map((one) => one.end));
  const ids = [...new Set(found.filter((one) => one.end === end).map(({ id }) => id))];
  const [only] = ids;
  // One word that ends several names says none of them.
  return ids.length === 1 && only !== undefined ? { piece: { kind: "neighbour", id: only }, end } : null;
}

/** "Elevator gap seal" may be said from any of its words on, and short: "elevator seal". */
function endingsOf(words: readonly string[]): readonly (readonly string[])[] {
  const last = words.at(-1);
  const short = last === undefined ? [] : words.slice(0, -2).map((word) => [word, last]);
  return [...words.map((_, from) => words.slice(from)), ...short];
}

/**
 * One word alone may be a verb ("seal it") or a part; after an article, or where it is asked what clears what, it is
 * the thing, if no part is called so.
 */
function isNoun(tokens: readonly Token[], at: number, names: NameIndex): boolean {
  const { word = "" } = tokens[at] ?? {};
  const named =
    names.partsWithWord(word).size > 0 || names.partsOfKind(word).length > 0 || names.isRowWord(word);
  const article = isLink(tokens[at - 1]) || /^(this|that|my)$/.test(tokens[at - 1]?.word ?? "");
  return !named && (article || lexicon().senses(word).length === 0 || tokens.some(isOfClearance));
}

/** "Seal clearance", "clearance to seal". */
function isOfClearance({ word }: Token): boolean {
  return wordMeans(word, "clear", "clearance", "foul");
}
