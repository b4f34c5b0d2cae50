import { clausesOf } from "./lead-in.js";
import type { Token } from "./tokens.js";
import { isAsking, opensQuestion } from "./words.js";

/**
 * Whether a question asks which, what, how much or where, so that neither yes nor no answers it: one of its clauses opens
 * so, and none as a question of yes or no. "What if I use a domed head" and "what about rib 4" ask what the rest of the
 * talk asks; "when the elevator moves do the heads clear" only tells when.
 */
export function asksWhich(tokens: readonly Token[]): boolean {
  const openings = clausesOf(tokens).map((clause) =>
    clause.map(({ word }) => word).filter((word) => !/^(and|but|so|or)$/.test(word)),
  );
  const opensAs = (test: (first: string, second: string) => boolean): boolean =>
    openings.some(([first = "", second = ""]) => test(first, second));
  return (
    opensAs((first, second) => isAsking(first) && first !== "when" && !/^(if|about|come)$/.test(second)) &&
    !opensAs((first) => opensQuestion(first) && !isAsking(first))
  );
}
