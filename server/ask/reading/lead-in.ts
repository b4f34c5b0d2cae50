import { lexicon } from "../lexicon.js";
import type { Item } from "./items.js";
import type { Where } from "./place.js";
import type { Token } from "./tokens.js";

/** What stands before a question or after it and asks nothing: "I'm at the bench with rib 3 in my hands, …". */
export interface Aside {
  /** The one place that it names; null when it names none. */
  readonly where: Where | null;
  /** Its words that mean nothing here, as typed: said to be unused. */
  readonly unused: readonly string[];
}

/** Where a question may begin after something said before it: after a stop, a comma or a dash, or at "so". */
export function beginnings(tokens: readonly Token[]): readonly number[] {
  return tokens.flatMap((token, at) => {
    const before = tokens[at - 1];
    return before && (/[,.;:!?-]/.test(before.after) || token.word === "so") ? [at] : [];
  });
}

/** Where something may be added after a question: only after a full stop. */
export function stops(tokens: readonly Token[]): readonly number[] {
  return tokens.flatMap((_, at) => (/[.;!?]/.test(tokens[at - 1]?.after ?? "") ? [at] : []));
}

/**
 * A clause that can be told apart from the question beside it without changing what is asked: it speaks of the builder, and names no
 * work, state, treatment, time, size or condition, and one place at most. Null when it may bear on the question.
 */
export function asideOf(items: readonly Item[]): Aside | null {
  const words = items.flatMap((item) => (item.kind === "word" ? [item] : []));
  const named = items.filter((item) => item.kind !== "word");
  const [place] = named;
  if (named.length > 1 || (place && (place.kind !== "place" || place.place.kind !== "known"))) return null;
  if (words.some(({ word, senses }) => BINDING.test(word) || /\d/.test(word) || senses.some(isTelling)))
    return null;
  const said = words.flatMap(({ word }) => word.split(" "));
  if (lexicon().elsewhere(said) !== undefined) return null;
  const isClause =
    said.some((word) => SPEAKING.test(word)) || words.every(({ weight }) => weight === "quiet");
  if (!isClause) return null;
  const unused = words.filter(({ weight, senses }) => weight === "content" && senses.length === 0);
  const where = place?.kind === "place" && place.place.kind === "known" ? place.place.where : null;
  return { where: where?.kind === "all" ? null : where, unused: unused.map(({ text }) => text) };
}

/** Words that tie a clause to the one beside it: what they say must not be left out. */
const BINDING =
  /^(if|unless|when|whenever|while|assuming|assume|suppose|supposing|supposed|provided|given|except|excepting|excluding|ignoring|without|apart|besides|only|other|others|rather|instead|until|till|before|after|once|since|because|than|whose|which|what|where|never|none|nothing)$/;

/** Words that a clause about the builder or the bench has: somebody, or a form of "be" or "have". */
const SPEAKING = /^(i|we|me|my|us|our|you|he|she|they|am|is|are|was|were|be|been|have|has|had|it)$/;

/** What such a clause may say beside words that mean nothing here. */
const HARMLESS: ReadonlySet<string> = new Set(
  "hole row what now not no may intend want still already yet manual and how who preamble quiet-time".split(
    " ",
  ),
);

function isTelling({ concept }: { readonly concept: string }): boolean {
  return !HARMLESS.has(concept);
}
