import { lexicon } from "../lexicon.js";
import { isAct } from "./meaning.js";
import type { NameIndex } from "./names.js";
import type { Token } from "./tokens.js";
import { isHoleNoun, opensQuestion } from "./words.js";

/**
 * The tokens without words that say nothing where they stand: adverbs of manner ("usefully", "honestly"), "even" before
 * what is asked, "like" thrown in, a name for the one who is asked ("…, boss"). What may count, restrict, compare or
 * doubt stays.
 * @param literals  words that the questions' phrasings use: those are never left out
 */
export function withoutInert(
  tokens: readonly Token[],
  names: NameIndex,
  literals: ReadonlySet<string>,
): readonly Token[] {
  const left: Token[] = [];
  for (const [at, token] of tokens.entries()) {
    const [before, next] = [tokens[at - 1], tokens[at + 1]];
    const isOwn =
      token.id !== undefined ||
      token.size ||
      names.knows(token.word) ||
      (literals.has(token.word) && !/^(even|like|very|anywhere)$/.test(token.word));
    // A question may have them, a statement of work may not.
    if (!isOwn && lexicon().isOf(token.word, "as-told")) left.push({ ...token, word: "perhaps" });
    else if (isOwn || !isInert(token, before, next)) left.push(token);
    else handOn(token, left);
  }
  return withoutAddress(left, names);
}

function isInert(token: Token, before: Token | undefined, next: Token | undefined): boolean {
  const { word } = token;
  if (word === "speaking") return before !== undefined && /ly$/.test(before.word);
  if (word === "even") return isEvenAsked(before, next);
  if (word === "anywhere") return /^(near|close|beside)$/.test(next?.word ?? "");
  if (word === "very") return /^(first|last|next|same)$/.test(next?.word ?? "");
  if (word === "like") return isThrownIn(token, before, next);
  if (next?.word === "speaking" && /ly$/.test(word)) return true;
  return isManner(word) && !(before && MEASURES.test(before.word)) && !startsNumber(next);
}

/** A comma after a word left out belongs after the word before it. */
function handOn({ after }: Token, left: Token[]): void {
  const last = left.at(-1);
  if (last && last.after === "") left[left.length - 1] = { ...last, after };
}

/** An everyday adverb in -ly that neither the lexicon nor any fixed phrase uses, and that tells nothing of the work. */
function isManner(word: string): boolean {
  return (
    word.length > 5 &&
    word.endsWith("ly") &&
    lexicon().knows(word) &&
    !lexicon().correctable.has(word) &&
    !lexicon().isOf(word, "telling-adverb")
  );
}

/** After these an adverb is what is asked or only half denied: "how tightly", "not entirely". */
const MEASURES = /^(how|not|no|as|too|more|most|less|least|very|than|if|never)$/;

function startsNumber(token: Token | undefined): boolean {
  return (
    token !== undefined &&
    (token.size === true || /^\d/.test(token.word) || lexicon().number(token.word) !== undefined)
  );
}

/** "Are we even allowed to …"; not "the even holes", "even if". */
function isEvenAsked(before: Token | undefined, next: Token | undefined): boolean {
  if (!before || !next || isHoleNoun(next) || startsNumber(next)) return false;
  if (/^(the|an|or|odd|all|every|which|what|on|and|with|of|in|for|at|these|those)$/.test(before.word))
    return false;
  return (
    /^(allowed|able|possible|supposed|meant|necessary|need|needs|have|has|get|gets|go|goes|going|be|been|on|ready|start|a|any)$/.test(
      next.word,
    ) || lexicon().senses(next.word).some(isAct)
  );
}

/** ", like," and "so like, …" and "… like at all"; not "like gusset 3". */
function isThrownIn({ after }: Token, before: Token | undefined, next: Token | undefined): boolean {
  const apart = before === undefined || before.word === "so" || /[,.;:]/.test(before.after);
  return (
    (apart && (next === undefined || after.includes(","))) || (next?.word === "at" && before !== undefined)
  );
}

/** Whoever asks may address somebody first or last: "boss, what's next", "what's next boss". */
function withoutAddress(tokens: readonly Token[], names: NameIndex): readonly Token[] {
  const isCalled = (token: Token | undefined): boolean =>
    token !== undefined && lexicon().isAddress(token.word) && !names.knows(token.word);
  const last = tokens.length - 1;
  const before = tokens[last - 1];
  if (tokens.length > 2 && isCalled(tokens[last]) && before && !HEADS_NOUN.test(before.word)) {
    const { after } = tokens[last] as Token;
    return withoutAddress(
      [...tokens.slice(0, last - 1), { ...before, after: /[?.!]/.test(before.after) ? before.after : after }],
      names,
    );
  }
  const [first, second] = tokens;
  if (
    tokens.length > 2 &&
    isCalled(first) &&
    (first?.after !== "" || (second && (opensQuestion(second.word) || /^(i|we)$/.test(second.word))))
  )
    return tokens.slice(1);
  return tokens;
}

/** A word for somebody after one of these is a noun of the sentence, and no address. */
const HEADS_NOUN =
  /^(a|an|the|my|our|your|his|her|their|this|that|these|those|its|of|in|on|at|for|to|from|with|by|and|or|than|like|as|which|what|each|every|any|no|is|are|was|be)$/;
