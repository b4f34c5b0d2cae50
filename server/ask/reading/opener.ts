import { lexicon } from "../lexicon.js";
import { clausesOf, isChatter } from "./lead-in.js";
import { isAct } from "./meaning.js";
import type { NameIndex } from "./names.js";
import type { Token } from "./tokens.js";
import { isAsking, opensQuestion } from "./words.js";

/**
 * The tokens without what only opens a text or rounds it off: "ok, which …", "listen, why …", "umm", "…, ok?" after a
 * question. "Ok to close it?", "the right skin" and "is it ok" stay: there these words say something.
 */
export function withoutOpeners(tokens: readonly Token[], names: NameIndex): readonly Token[] {
  let rest: readonly Token[] = tokens.filter((token) => !isHumming(token, names));
  for (let length = openingOf(rest); length > 0; length = openingOf(rest)) rest = rest.slice(length);
  for (let length = closingOf(rest, names); length > 0; length = closingOf(rest, names))
    rest = shortened(rest, length);
  return rest.length > 0 ? rest : tokens;
}

/** Without so many at the end; the mark after them stays. */
function shortened(tokens: readonly Token[], length: number): readonly Token[] {
  const end = tokens.length - length;
  const { after } = tokens.at(-1) as Token;
  return tokens.slice(0, end).map((token, at) => (at === end - 1 ? { ...token, after } : token));
}

/** "Umm", "uhh", "hmmm", of any length. */
function isHumming({ word, id, size }: Token, names: NameIndex): boolean {
  return !id && !size && HUMMING.test(word) && !names.knows(word);
}

const HUMMING = /^(u+h+m*|u+m+|e+r+m+|h+m+|m+h+m+|a+h+|o+h+|ahem)$/;

/** How many tokens at the start only open the text; 0 for none. */
function openingOf(tokens: readonly Token[]): number {
  const exclaimed = exclamationOf(tokens);
  if (exclaimed > 0) return exclaimed;
  if (tokens.length > 1 && isSmall(tokens[0])) return 1;
  const saying = OPENING.find(({ words }) => words.every((word, at) => tokens[at]?.word === word));
  if (saying && tokens.length - saying.words.length >= LEAST) return saying.words.length;
  const [first, second] = tokens;
  if (!first || !second || first.id) return 0;
  // "Say, can I …" asks; "say I hang it first" supposes.
  if (first.word === "say" && tokens.length > LEAST && opens(second.word)) return 1;
  if (!isAgreeing(first.word)) return 0;
  if (/[,.;:!-]/.test(first.after)) return 1;
  const at = tokens.findIndex(({ word }, n) => n > 0 && lexicon().weight(word) !== "quiet");
  const [next, after] = [tokens[at]?.word ?? "", tokens[at + 1]?.word ?? ""];
  if (tokens.length - at < LEAST) return 0;
  return opens(next) || (/^(in|on|at|for|from|by|to)$/.test(second.word) && isAsking(after)) ? 1 : 0;
}

/** "Hang on.", "blimey!": a first sentence that says nothing; with a comma it may be part of what follows. */
function exclamationOf(tokens: readonly Token[]): number {
  const [first] = clausesOf(tokens);
  if (!first || first.length === tokens.length || !/[.;!]/.test(first.at(-1)?.after ?? "")) return 0;
  const words = first.map(({ word }) => word);
  // "Nope. The lower one." corrects.
  return isChatter(words) && !words.some((word) => /^(no|nope|nah)$/.test(word)) ? first.length : 0;
}

/** "Please", "hello", "well", "so", however often. */
function isSmall(token: Token | undefined): boolean {
  return token !== undefined && !token.id && SMALL.test(token.word);
}

const SMALL =
  /^(please|kindly|hey|hi|hello|um|uh|er|oh|ah|well|thanks|ta|cheers|sorry|actually|basically|honestly|so|just)$/;

/**
 * The tokens without a first word that agrees, where it may do no more than that: "ok rib 6's top row is pinned", "okay sill:
 * csk?". Null where it is no such word, or asks whether something may be done: "ok to …", "fine dimpling …".
 */
export function withoutAgreeing(tokens: readonly Token[], names: NameIndex): readonly Token[] | null {
  const [first, second] = tokens;
  if (!first || !second || first.id || !isAgreeing(first.word) || names.knows(first.word)) return null;
  if (OK_TO.test(second.word) || isToDo(second)) return null;
  return tokens.slice(1);
}

/** "Dimple", "dimpling": what is to be done, not what was. */
function isToDo({ word, id }: Token): boolean {
  return (
    !id &&
    lexicon()
      .senses(word)
      .some((sense) => !sense.past && isAct(sense))
  );
}

/** "What now" is left whole. */
const LEAST = 2;

/** "Ok", "right", "look": nothing is said yet. */
function isAgreeing(word: string): boolean {
  return lexicon().isOf(word, "agreeing") || /^(right|fine|good|great|cool|now|like|look|see)$/.test(word);
}
/** What a question or an order begins with. */
function opens(word: string): boolean {
  return opensQuestion(word) || ORDERS.test(word);
}

/** What an order begins with: "list …", "show me …", "anything left …". */
const ORDERS = /^(list|show|give|tell|anything|any|please)$/;
/** After "ok" these ask whether something may be: "ok to close it", "ok if …". */
const OK_TO = /^(to|if|that|when|with|by|and|or|as|so|not)$/;

/** What opens a text whatever follows. */
const OPENING = saidAs(
  "i mean, excuse me, pardon me, pardon, dear me, come on, listen, listen up, look here, yes, yeah, yep, yup, aye, honest, you see, although, even though, albeit, granted that",
);

/** How many tokens at the end only round a question off; 0 for none. */
function closingOf(tokens: readonly Token[], names: NameIndex): number {
  const end = tokens.at(-1);
  if (tokens.length > 1 && isSmall(end)) return 1;
  const saying = CLOSING.find(({ words }) =>
    words.every((word, at) => tokens[tokens.length - words.length + at]?.word === word),
  );
  if (saying && tokens.length - saying.words.length >= LEAST) return saying.words.length;
  const [before, last] = tokens.slice(-2);
  const first = tokens.find(({ word }) => lexicon().weight(word) !== "quiet");
  if (!first || !before || !last || last.id || names.knows(last.word) || tokens.length - 1 < LEAST) return 0;
  if (!isRounding(last.word) || !opens(first.word)) return 0;
  if (before.after.includes(",")) return 1;
  if (PREDICATE.test(before.word) || last.word === "right") return 0;
  return isAsking(first.word) || last.word.startsWith("y") ? 1 : 0;
}

function isRounding(word: string): boolean {
  return lexicon().isOf(word, "agreeing", "yes") || word === "right";
}

/** After these the word is what is asked: "why is that ok". */
const PREDICATE = /^(is|are|was|were|be|it|that|this|they|not|all|look|looks|or|and|the)$/;

const CLOSING = saidAs("i mean, excuse me, pardon me, pardon, dear me, honest, you see");

function saidAs(sayings: string): readonly { readonly words: readonly string[] }[] {
  return sayings
    .split(", ")
    .map((saying) => ({ words: saying.split(" ") }))
    .sort((a, b) => b.words.length - a.words.length);
}
