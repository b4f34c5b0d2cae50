import { lexicon } from "../lexicon.js";
import { numberAt } from "./numbers.js";
import type { Token } from "./tokens.js";

/** Which of a list is meant, counted from its start or its end; `end` is the token after the words that say so. */
export interface Counted {
  readonly kind: "nth" | "first" | "last";
  readonly n: number;
  readonly end: number;
}

/** "third", "last", "second to last", "first two", "last three". */
export function countedAt(tokens: readonly Token[], at: number): Counted | null {
  const word = tokens[at]?.word ?? "";
  if (tokens[at - 1]?.word === "every" || tokens[at - 1]?.word === "each") return null;
  if (word === "last" || word === "first") {
    const count = numberAt(tokens, at + 1);
    if (count !== undefined && count > 0) return { kind: word, n: count, end: at + 2 };
    if (word === "last") return { kind: "last", n: 1, end: at + 1 };
  }
  const nth = lexicon().ordinal(word);
  return nth === undefined ? null : { kind: "nth", n: nth, end: at + 1 };
}

/** What is meant of a list; null where it is not that long. */
export function chosen<T>(ordered: readonly T[], { kind, n }: Counted): readonly T[] | null {
  if (n > ordered.length || n < 1) return null;
  if (kind === "first") return ordered.slice(0, n);
  if (kind === "last") return ordered.slice(ordered.length - n);
  const one = ordered[n - 1];
  return one === undefined ? null : [one];
}

/** "from the front", "counted from the tip": the side that counting starts at. */
export function fromAt(tokens: readonly Token[], at: number): { side: string; end: number } | null {
  let position = at;
  if (/^(counted|counting|numbered)$/.test(tokens[position]?.word ?? "")) position++;
  if (tokens[position]?.word !== "from") return null;
  position++;
  if (tokens[position]?.word === "the") position++;
  const word = tokens[position]?.word ?? "";
  const side = lexicon().side(word) ?? (lexicon().opposite(word) && word);
  if (side === undefined) return null;
  position++;
  if (/^(end|edge|side)$/.test(tokens[position]?.word ?? "")) position++;
  return { side, end: position };
}

/** Things counted from the asked side; null when the list does not run that way. */
export function inOrder<T>(list: readonly T[], numbered: string, side: string | null): readonly T[] | null {
  if (side === null) return list;
  // Only what is numbered along one line has a start and an end; "clockwise from …" has neither.
  const word = /^from the ([a-z]+)(?: end)?$/.exec(numbered.trim().toLowerCase())?.[1];
  if (word === undefined) return null;
  const named = lexicon().side(word) ?? (lexicon().opposite(word) && word);
  const start = named === undefined ? undefined : (ALONG[named] ?? named);
  const asked = ALONG[side] ?? side;
  if (start === asked) return list;
  return start !== undefined && lexicon().opposite(start) === asked ? [...list].reverse() : null;
}

/** Along a surface, the root is the inboard end. */
const ALONG: Readonly<Record<string, string>> = { root: "inboard", tip: "outboard" };
