import { lexicon, type WordGroup } from "../lexicon.js";
import type { Item, WordItem } from "./items.js";
import { pointsIn } from "./pointing-words.js";
import { TIME } from "./times.js";

/**
 * Whether a clause that speaks of the work (it names a part or holes, or points at them) tells no more of it than where it is,
 * and that somebody has it, looks at it or thinks of it: "rib 4 is on the bench under a blanket", "people hang their coats
 * on it", "I found it behind the freezer". What a word that is unknown here may say of the work nobody can tell, so it may
 * stand only in the words for a place, a time or a thing near by.
 */
export function isWhereabouts(clause: readonly Item[]): boolean {
  const from = saidFrom(clause);
  return clause.every((item, at) =>
    item.kind === "word" ? at < from || mayStand(clause, at) : item.kind === "place",
  );
}

/**
 * Where a clause begins to say something of what it names or points at: after the paper that shows it, and where it only points,
 * at the word that does something to it: "the chap who lends me his squeezer | wants it back".
 */
function saidFrom(clause: readonly Item[]): number {
  const named = clause.findIndex(
    ({ kind, ...item }) => kind !== "word" || ("senses" in item && isHoleWord(item.senses)),
  );
  const first = named >= 0 ? named : (pointsIn(clause)[0] ?? 0);
  const paper = clause.slice(0, first).findLastIndex((item) => isOf(item, "paper"));
  if (paper >= 0) return paper + 1;
  if (named >= 0)
    return wordAt(clause, named - 1) === "about" || wordAt(clause, named - 2) === "about" ? named : 0;
  const does = clause
    .slice(0, first)
    .findLastIndex((item) => item.kind === "word" && item.weight === "content");
  const verb = clause[does];
  // "There is a gap under it."
  return verb && !isOf(verb, "location") ? does : 0;
}

const isHoleWord = (senses: WordItem["senses"]): boolean =>
  senses.some(({ concept }) => /^(hole|row|head|rivet-type)$/.test(concept));

function mayStand(clause: readonly Item[], at: number): boolean {
  const item = clause[at] as WordItem;
  const { word, senses, weight } = item;
  const before = wordAt(clause, at - 1);
  if (/^(out|off)$/.test(word))
    return (
      /^(of|from)$/.test(wordAt(clause, at + 1)) ||
      lexicon().isOf(before, "whereabouts") ||
      isNearBy(clause, at)
    );
  if (lexicon().isOf(word, "location")) return true;
  if (isOf(item, "mishap", "left-open", "doing")) return false;
  if (isInHand(clause, at)) return true;
  if (senses.some(({ concept }) => /^(not|no)$/.test(concept)))
    return at === clause.length - 1 || clause.some((one) => isOf(one, "of-the-mind"));
  if (isOf(item, "whereabouts", "of-the-mind")) return true;
  if (word === "put" || word === "count") return before === "to";
  if (isOf(item, "work-thing")) return false;
  if (/^(bar|gun|puller)$/.test(word)) return true;
  if (/^(my|our|his|her|their)$/.test(before) && senses.length === 0 && !isOf(item, "quality")) return true;
  if (isOf(item, "quality")) return isOfNearBy(clause, at) || isOfSomebody(clause, at);
  if (weight !== "content" || lexicon().isPerson(word) || SOMEBODY.test(word)) return true;
  if (lexicon().number(word) !== undefined || /\d/.test(word))
    return isTime(clause, at) || isNearBy(clause, at);
  if (/^(last|next|first)$/.test(word)) return TIME.test(wordAt(clause, at + 1));
  if (senses.length > 0) return senses.every(({ concept }) => MILD.has(concept));
  return isNearBy(clause, at) || isManner(word) || /^(looking|smiling|grinning|feeling)$/.test(before);
}

/** "Patiently", "unfortunately": how somebody does something, where that counts for nothing. */
function isManner(word: string): boolean {
  return TIME.test(word) || (/[a-z]{3}ly$/.test(word) && !lexicon().isOf(word, "telling-adverb"));
}

/** It stands in words that a preposition begins: "behind the big freezer", "out of its bag". */
function isNearBy(clause: readonly Item[], at: number): boolean {
  for (let n = at - 1; n >= Math.max(0, at - MOST_NEAR); n--) {
    const before = clause[n];
    if (before?.kind !== "word") return false;
    if (lexicon().isOf(before.word, "location")) return true;
    if (BEING.test(before.word) || /^(i|we|he|she|they|and|but)$/.test(before.word)) return false;
  }
  return false;
}

/** "In the old box", not "on upside down": said of a thing near by. */
function isOfNearBy(clause: readonly Item[], at: number): boolean {
  return isNearBy(clause, at) && /^(the|a|an|my|our|his|her|this|that|some)$/.test(wordAt(clause, at - 1));
}

/** A preposition and so many words: "in the old blue plastic box". */
const MOST_NEAR = 5;

/** "I am new to it": said of the builder. */
function isOfSomebody(clause: readonly Item[], at: number): boolean {
  const said = clause.slice(0, at).map((_, n) => wordAt(clause, n));
  return /^(i|we|he|she) (am|are|is|was|feel)( (so|very|still|quite|a bit|too|rather|really))?$/.test(
    said
      .slice(-3)
      .join(" ")
      .replace(/^(and|but|so) /, ""),
  );
}

/** "In one hand", "the phone in the other": which hand it is says nothing. */
function isInHand(clause: readonly Item[], at: number): boolean {
  const [word, next] = [wordAt(clause, at), wordAt(clause, at + 1)];
  if (!/^(one|other|left|right|both|hand|hands)$/.test(word)) return false;
  const isLast = at === clause.length - 1;
  return (
    /^hands?$/.test(word) ||
    /^hands?$/.test(next) ||
    (word === "other" && isLast && wordAt(clause, at - 2) === "in")
  );
}

function isTime(clause: readonly Item[], at: number): boolean {
  return (
    /^(until|till|by|at|before|after|past)$/.test(wordAt(clause, at - 1)) || TIME.test(wordAt(clause, at + 1))
  );
}

function wordAt(clause: readonly Item[], at: number): string {
  const item = clause[at];
  return item?.kind === "word" ? item.word : "";
}

function isOf(item: Item, ...groups: readonly WordGroup[]): boolean {
  return item.kind === "word" && item.word.split(" ").some((word) => lexicon().isOf(word, ...groups));
}

const SOMEBODY =
  /^(i|we|he|she|they|you|my|our|your|his|her|me|us|people|nobody|everybody|everyone|somebody|someone)$/;
const BEING = /^(am|is|are|was|were|been|has|have|had|looks?|seems?)$/;

/** What may well be said beside a place: how somebody came by it, when and where. */
const MILD: ReadonlySet<string> = new Set(
  (
    "hole row what now intend want still already yet manual and or how who preamble quiet-time soon-time job but " +
    "long later must fetch return how-to explain tell-about before after until when where why by beside compare " +
    "note prepare watch-out rule news only count-up mark"
  ).split(" "),
);
