import { lexicon } from "../lexicon.js";
import { wordMeans } from "./meaning.js";
import type { Token } from "./tokens.js";
import { isHoleNoun } from "./words.js";

/**
 * "Isn't rib 3 dimpled?" asks whether it is: a verb turned round with "not" doubts, and denies nothing. The tokens
 * without that "not", and whether there was one. "Don't rivet rib 3", "haven't set rib 3" turn nothing round.
 */
export function withoutNegativeTurn(tokens: readonly Token[]): {
  readonly tokens: readonly Token[];
  readonly asks: boolean;
} {
  const at = tokens.findIndex(({ word }, n) => word === "not" && isTurned(tokens, n));
  // "Shouldn't it be flush? Why isn't it?" asks more than that.
  const more = tokens.some(({ word }, n) => n !== at && (/^(not|never|why)$/.test(word) || isLeave(word)));
  return at < 0 || more ? { tokens, asks: false } : { tokens: tokens.toSpliced(at, 1), asks: true };
}

/**
 * A word of a question that asks for leave: "isn't it too early to close it?", "shouldn't I wait?". "Yes" to such a question
 * could be taken as leave or as its refusal, so its "not" stays and it is asked back.
 */
function isLeave(word: string): boolean {
  return /^(go|time|early|soon|let|wait)$/.test(word) || wordMeans(word, "may");
}

function isTurned(tokens: readonly Token[], at: number): boolean {
  const [verb, subject] = [tokens[at - 1], tokens[at + 1]];
  if (!verb || !subject || !VERB.test(verb.word) || verb.after !== "" || tokens[at]?.after !== "")
    return false;
  if (!opens(tokens, at - 1)) return false;
  // "Wasn't there something about …" tries to recall.
  if (/^(was|were)$/.test(verb.word) && /^(there|it)$/.test(subject.word)) return false;
  const clause = tokens.slice(at + 1);
  const end = clause.findIndex(({ after }) => /[,.;:!?]/.test(after));
  // "…, isn't it?" is a tag.
  if ((end < 0 ? clause.length : end + 1) < 2) return false;
  const noun = tokens[at + 2];
  // "Won't domed heads foul …"
  const isHead = subject.after === "" && (isHoleNoun(noun) || /^heads?$/.test(noun?.word ?? ""));
  return SUBJECT.test(subject.word) || subject.id !== undefined || isHead || !isSaid(subject);
}

/** Nothing but small words stands before the verb in its clause. */
function opens(tokens: readonly Token[], at: number): boolean {
  const start = tokens.findLastIndex(({ after }, n) => n < at && /[,.;:!?-]/.test(after)) + 1;
  return tokens.slice(start, at).every(({ word }) => OPENING.test(word) || lexicon().isChatter(word));
}

/** A word of the bench after "not" is the verb itself, or what is denied: "do not rivet", "is not flush". */
function isSaid(token: Token): boolean {
  return (
    (lexicon().senses(token.word).length > 0 && !isHoleNoun(token)) ||
    lexicon().weight(token.word) !== "content"
  );
}

const VERB = /^(is|are|was|were|do|does|did|has|have|should|would|will)$/;
const SUBJECT =
  /^(i|we|you|it|they|he|she|there|these|those|this|that|the|my|our|a|an|any|all|both|every|each|some)$/;
const OPENING = /^(and|but|so|surely|then|well|oh|hm|hmm|ok|okay|now|actually|wait)$/;
