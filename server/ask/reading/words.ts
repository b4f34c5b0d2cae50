import { lexicon } from "../lexicon.js";
import { wordMeans } from "./meaning.js";
import { singular } from "./names.js";
import type { Token } from "./tokens.js";

/** "Which", "where", "why": asks for a thing, a place, a time or a reason. */
export function isAsking(word: string): boolean {
  return lexicon().isOf(word, "asking");
}

/** What a question begins with: "which", "why", "is", "may". */
export function opensQuestion(word: string): boolean {
  return lexicon().isOf(word, "asking", "question-verb");
}

/** "Of", "the", "a": may stand between the pieces of a name. */
export function isLink(token: Token | undefined): boolean {
  return (
    token !== undefined && !token.id && (token.word === "the" || token.word === "of" || token.word === "a")
  );
}

/** "No", "number": a hole's number follows. */
export function isNumberSign(token: Pick<Token, "word"> | undefined): boolean {
  return token !== undefined && /^(no|nr|number|num|nos|numbers)$/.test(token.word);
}

const BEFORE_VERB = new Set("i we you to not can may could should must do be and".split(" "));

/** Whether the next word is an act: "I rivet", "to rivet", "can rivet". */
export function leadsVerb(token: Token | undefined): boolean {
  return token !== undefined && BEFORE_VERB.has(token.word);
}

/** "Hole", "rivets": the thing, as a noun. */
export function isHoleNoun(token: Token | undefined): boolean {
  return token !== undefined && wordMeans(token.word, "hole");
}

/** "The last holes" does not say how many. */
export function isPlural(token: Token | undefined): boolean {
  return token !== undefined && singular(token.word) !== token.word;
}
