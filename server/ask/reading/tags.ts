import { lexicon } from "../lexicon.js";
import { isAct } from "./meaning.js";
import type { Token } from "./tokens.js";
import { isAsking } from "./words.js";

/**
 * A statement with a tag is a question: "rib 3 is dimpled, isn't it?", "the top skin goes on last, right". The tokens
 * without the tag, and whether there was one.
 */
export function withoutTag(tokens: readonly Token[]): Untagged {
  const plain = untagged(tokens);
  if (plain.asks) return plain;
  // "…, yes or no? please": small words round it do not hide a tag.
  const first = tokens.findIndex((token) => !isQuiet(token));
  const last = tokens.findLastIndex((token) => !isQuiet(token));
  if (first <= 0 && last === tokens.length - 1) return plain;
  // Where there is none they stay: "what do I dimple it with" asks for the tool.
  const inner = untagged(tokens.slice(Math.max(first, 0), last + 1));
  return inner.asks ? inner : plain;
}

/** The tokens without a tag, and whether there was one. */
export interface Untagged {
  readonly tokens: readonly Token[];
  readonly asks: boolean;
}

function isQuiet({ word, id, size }: Token): boolean {
  return !id && !size && lexicon().weight(word) === "quiet";
}

function untagged(tokens: readonly Token[]): Untagged {
  for (let length = Math.min(LONGEST, tokens.length - 2); length > 0; length--) {
    const start = tokens.length - length;
    const last = tokens[start - 1];
    if (!last) continue;
    const words = tokens.slice(start).map(({ word }) => word);
    const apart = /[,.;:!?/-]/.test(last.after);
    const saying = words.join(" ");
    const alone = ALONE.has(saying) || (saying === "right" && isDone(last)) || isRun(saying, tokens[0], last);
    const tagged =
      (isTurned(words) && !/^(what|which|where|how|when|who)$/.test(last.word)) ||
      DOUBLES.has(typed(tokens.slice(start))) ||
      (apart ? SAYINGS.has(saying) : alone);
    if (!tagged) continue;
    return { tokens: [...tokens.slice(0, start - 1), { ...last, after: "" }], asks: true };
  }
  const length = doubleAtStart(tokens);
  return length > 0 ? { tokens: tokens.slice(length), asks: true } : { tokens, asks: false };
}

/** "Yes or no: is rib 3 dimpled?": how many tokens that takes. */
function doubleAtStart(tokens: readonly Token[]): number {
  for (let length = Math.min(LONGEST, tokens.length - 1); length > 0; length--) {
    if (DOUBLES.has(typed(tokens.slice(0, length)))) return length;
  }
  return 0;
}

/** As typed, because "n" may have been taken for a word misspelt. */
function typed(tokens: readonly Token[]): string {
  return tokens.map(({ text }) => text.toLowerCase()).join(" ");
}

/** "Rib 2 gets dimpled right": a tag without its comma, after a statement; "is the drill right" and "on the right" are none. */
function isRun(said: string, first: Token | undefined, last: Token): boolean {
  const states = !isVerb(first?.word ?? "") && !isAsking(first?.word ?? "");
  return (
    states &&
    RUN_ON.test(said) &&
    !/^(the|on|to|at|of|in|from|its|my|is|are|was|be|that|this|it|not)$/.test(last.word)
  );
}

const RUN_ON = /^(right|correct|yeah|yes|innit|eh)$/;

/** Both answers offered at once: "y/n", "yes or no". */
const DOUBLES: ReadonlySet<string> = new Set(
  (
    "y n, y or n, yes no, yes or no, yay or nay, yea or nay, aye or nay, true or false, true false, t f, " +
    "aye or no, yes or nay, yea or no, true or not, right or wrong, correct or not, yes or not"
  ).split(", "),
);

const LONGEST = 5;

const SAYINGS: ReadonlySet<string> = new Set(
  (
    "right, correct, yes, yeah, yep, no, eh, huh, innit, true, or not, or no, or what, or yes, is that right, is that correct, is that so, " +
    "is that true, is it true, is that it, is it so, is that not so, or is it, or are they, or do they, or does it, or not so, " +
    "or can i, or may i, or can we, or may we, you reckon, do you reckon, reckon, would you, could you, can you tell, do you know, y n, yes or no, " +
    "or is it too soon, or is it too early, or too soon, or too early, or is that too soon, or is that too early, am i right, am i correct, you think, do you think, would you say, dont you think, is this right, is this correct, or not yet, or should i wait, or must i wait, or did i misread it, or did i misread that, or did i misread the drawing, or did i misread the manual, or did i misread the book, or did i get that wrong, or did i get it wrong, or have i got that wrong, or have i got it wrong, or have i misread it"
  ).split(", "),
);

/** What is no word of a question even without a comma before it. */
const ALONE: ReadonlySet<string> = new Set([
  "y n",
  "yes or no",
  "or not",
  "do you reckon",
  "you reckon",
  "innit",
]);

/** "… counter sunk right": after what is done to a hole it is no side. */
function isDone({ word }: Token): boolean {
  return lexicon()
    .senses(word)
    .some((sense) => sense.past && isAct(sense));
}

function isVerb(word: string): boolean {
  return lexicon().isOf(word, "question-verb") || word === "need";
}

const ABOUT = /^(it|they|i|we|you|there|that|those|this)$/;

/** "is it not", "does not it", "are they", "have i": the verb turned round, and nothing after it. */
function isTurned(words: readonly string[]): boolean {
  const [verb = "", ...rest] = words;
  // "Rib 5's deburred, did it myself": the builder's own doing.
  if (!isVerb(verb) || words.join(" ") === "did it") return false;
  const about = rest.filter((word) => word !== "not");
  const nots = rest.length - about.length;
  // "I did it", "did it myself" boasts; "didn't it" asks.
  if (verb === "did" && nots === 0) return false;
  return about.length === 1 && nots <= 1 && ABOUT.test(about[0] ?? "");
}
