import { lexicon } from "../lexicon.js";
import type { NameIndex } from "./names.js";
import type { Piece } from "./piece.js";
import { pieceAt } from "./pieces.js";
import type { Token } from "./tokens.js";
import { isHoleNoun } from "./words.js";

/** A run of tokens: a named piece, a fixed phrase, or one word by itself. */
export interface Run {
  readonly from: number;
  readonly to: number;
  readonly piece: Piece | null;
  readonly phrase: {
    readonly word: string;
    readonly concepts: readonly string[];
    readonly quiet: boolean;
  } | null;
}

/** The tokens cut into runs from left to right, the longest name or phrase at each place. */
export function runsOf(tokens: readonly Token[], names: NameIndex): Run[] {
  const runs: Run[] = [];
  let at = 0;
  while (at < tokens.length) {
    const found = pieceAt(tokens, at, names);
    const said = phraseAt(tokens, at);
    const phrase = said && endsInName(tokens, said, names) ? null : said;
    if (found && found.end - at >= (phrase ? phrase.to - at : 0)) {
      runs.push({ from: at, to: found.end, piece: found.piece, phrase: null });
      at = found.end;
    } else if (phrase) {
      runs.push(phrase);
      at = phrase.to;
    } else {
      runs.push({ from: at, to: at + 1, piece: null, phrase: null });
      at++;
    }
  }
  return runs;
}

/** After these a rivet is a thing. */
const COUNTING = /^(every|each|any|some|which|another|the|a|no|one)$/;

function phraseAt(tokens: readonly Token[], at: number): Run | null {
  const token = tokens[at];
  if (!token || token.size || token.id) return null;
  // "A 5/32 rivet on the doubler", "any rivet on stiffener 2": the rivet is the thing, and "rivet on" no act.
  if (isHoleNoun(token) && (tokens[at - 1]?.measure || COUNTING.test(tokens[at - 1]?.word ?? "")))
    return null;
  for (const { words, concepts, quiet } of lexicon().phrases(token.word, tokens[at + 1]?.word ?? "")) {
    if (words.length > tokens.length - at || (quiet && isOpening(words) && isInside(tokens, at))) continue;
    const fits = words.every((word, n) => {
      const here = tokens[at + n];
      return here?.word === word && !here.size && (n === words.length - 1 || !/[,?.;!]/.test(here.after));
    });
    if (fits)
      return {
        from: at,
        to: at + words.length,
        piece: null,
        phrase: { word: words.join(" "), concepts, quiet },
      };
  }
  return null;
}

/** "Next on top skin": the last word of "on top" begins a name that goes on. */
function endsInName(tokens: readonly Token[], { from, to }: Run, names: NameIndex): boolean {
  if (to - from < 2 || !names.knows(tokens[to - 1]?.word ?? "")) return false;
  const piece = pieceAt(tokens, to - 1, names);
  return (
    piece !== null && piece.end > to && (piece.piece.kind === "parts" || piece.piece.kind === "milestone")
  );
}

/** "Ok so …" only opens a question: in "is that ok so" the "ok" is asked for. */
function isOpening([first = ""]: readonly string[]): boolean {
  return lexicon().isOf(first, "agreeing");
}

/** Whether something telling stands before in the same clause. */
function isInside(tokens: readonly Token[], at: number): boolean {
  const before = tokens.slice(0, at);
  const clause = before.slice(before.findLastIndex(({ after }) => /[,.;:!?-]/.test(after)) + 1);
  return clause.some(({ word }) => lexicon().weight(word) !== "quiet");
}
