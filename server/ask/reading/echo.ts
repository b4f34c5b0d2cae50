import { lexicon } from "../lexicon.js";
import { countIn } from "./carried.js";
import type { Asked } from "./clipped.js";
import type { Item, WordItem } from "./items.js";
import { clausesOf, isDoubtful } from "./lead-in.js";
import { isWordItem } from "./meaning.js";
import { tellsMishap } from "./mishaps.js";
import type { NameIndex } from "./names.js";
import type { Token } from "./tokens.js";
import { whereOf } from "./where.js";

/** A statement and the clauses after it, which say it again or how it came about. */
export interface Told {
  readonly own: readonly Token[];
  readonly rest: readonly Token[];
}

/** Every way to cut a text into a statement and what is said after it, the longest statement first. */
export function tellings(tokens: readonly Token[]): readonly Told[] {
  const clauses = clausesOf(tokens);
  const cuts = clauses.slice(1).map((_, n) => clauses.length - 1 - n);
  return cuts.map((cut) => ({ own: clauses.slice(0, cut).flat(), rest: clauses.slice(cut).flat() }));
}

/** Every way to cut a statement from the reason for it: "… because it sat crooked", "…, it was loose", "bad head, so …". */
export function reasons(tokens: readonly Token[]): readonly Told[] {
  const because = tokens.findIndex(({ word }, at) => at > 1 && BECAUSE.test(word));
  const clauses = clausesOf(tokens);
  const last = clauses.at(-1) ?? [];
  return [
    ...(because > 0 ? [{ own: tokens.slice(0, because), rest: tokens.slice(because) }] : []),
    ...tellings(tokens),
    ...(clauses.length > 1 && last.some(({ word }) => /^(i|we)$/.test(word))
      ? [{ own: last[0]?.word === "so" ? last.slice(1) : last, rest: clauses.slice(0, -1).flat() }]
      : []),
  ];
}

const BECAUSE = /^(because|since|as|cause)$/;

/** Longer ones are stories. */
const MOST_REASON = 12;

/** Words of a reason that mean nothing here, as typed; null where it names a place or more work, or where it is a condition. */
export function reasonIn(items: readonly Item[]): readonly string[] | null {
  const words = items.filter(isWordItem);
  if (words.length === 0 || words.length < items.length || words.length > MOST_REASON) return null;
  const single = words.flatMap(({ word }) => word.split(" "));
  if (single.some((word) => isConditional(word))) return null;
  const work = words.filter(({ senses }) => senses.some(({ concept }) => isWork(concept)));
  // "Bad rivet": the thing, not the act.
  if (!work.every(({ word }) => /^rivets?$/.test(word))) return null;
  return words
    .filter(({ word, weight }) => weight === "content" && !BECAUSE.test(word) && !/^(so|rivets?)$/.test(word))
    .map(({ text }) => text);
}

/** What makes a condition of a reason, doubts it, or asks. */
function isConditional(word: string): boolean {
  return (
    lexicon().isOf(word, "condition", "leaving-out", "asking", "doubting", "not-yet") ||
    /^(only|whether|think|again)$/.test(word)
  );
}

/** What may be work of its own: another state or prep, or a condition of it. */
function isWork(concept: string): boolean {
  const { state, gate, act } = lexicon().concepts.get(concept)?.slots ?? {};
  return [state, gate, act].some((value) => value !== undefined) || concept === "done";
}

/**
 * Words of a clause that only repeats a statement ("all four pulled") or says how it came about ("the rod slid through all
 * three"): those that mean nothing here, as typed. Null when the clause may say more, or something else.
 */
export function echoOf(items: readonly Item[], told: Asked, names: NameIndex): readonly string[] | null {
  const words = items.filter(isWordItem);
  if (items.length === 0 || !items.every((item) => item.kind === "word" || isEverything(item))) return null;
  if (tellsMishap(items)) return null;
  // Quiet phrases are hedges: "I suppose".
  if (words.some(({ word, weight }) => weight === "quiet" && word.includes(" "))) return null;
  const single = words
    .map(({ word }) => word.replace(/^(came|come|turned|went) (out|in)$/, "came"))
    .flatMap((word) => word.split(" "));
  if (single.some((word) => isDoubtful(word) || isNarrowing(word))) return null;
  if (isPraise(single)) return words.filter(({ weight }) => weight === "content").map(({ text }) => text);
  if (!words.every((item) => isRepeat(item, told))) return null;
  const where = whereOf(told.slots);
  const numbers = words.flatMap(({ word }, at) =>
    isOfSomething(words[at + 1]) ? [] : (numberIn(word) ?? []),
  );
  // "Three pulled" of a row of four is another statement.
  if (where && numbers.some((number) => countIn(where, names) !== number)) return null;
  return words
    .filter(
      ({ word, weight, senses }) => weight === "content" && senses.length === 0 && numberIn(word) === null,
    )
    .map(({ text }) => text);
}

function isPraise(said: readonly string[]): boolean {
  if (said.some((word) => numberIn(word) !== null)) return false;
  const end = said.findLastIndex((word) => lexicon().weight(word) !== "quiet");
  return PRAISE.test(said.slice(0, end + 1).join(" "));
}

/** "Shop heads look good", "works a treat": pleased with what was stated. */
const PRAISE =
  /^([a-z ]+ )?(looks?|came|went|works?|worked|feels?|is|are|was|were) (all |very |really |pretty |quite |so |just |absolutely )?(good|nice|fine|great|true|well|perfect|perfectly|lovely|beautiful|beautifully|a treat|a dream|spot on|sweet|neat|sound|ok|okay|smoothly|easily|as it should|like a charm|like a dream)$/;

/** "Every one of them". */
function isEverything(item: Item): boolean {
  return item.kind === "place" && item.place.kind === "known" && item.place.where.kind === "all";
}

/** "Two coats": a number of things that are not meant here. */
function isOfSomething(next: WordItem | undefined): boolean {
  return (
    next !== undefined &&
    next.weight === "content" &&
    next.senses.length === 0 &&
    numberIn(next.word) === null
  );
}

function numberIn(word: string): number | null {
  return lexicon().number(word) ?? (/^\d+$/.test(word) ? Number(word) : null);
}

/** A word that says nothing here, or the same that was told. */
function isRepeat({ senses, weight }: WordItem, { slots }: Asked): boolean {
  if (senses.length === 0 || weight === "quiet") return true;
  return senses.some(({ concept, past }) => {
    if (ALSO.has(concept)) return true;
    const own = lexicon().concepts.get(concept)?.slots ?? {};
    return past && ["state", "gate"].some((slot) => own[slot] !== undefined && own[slot] === slots[slot]);
  });
}

const ALSO: ReadonlySet<string> = new Set("hole row done now already and by".split(" "));

/** Whether a word takes something off a statement beside it, or asks: "bar the ends", "it's out by a degree". */
export function isNarrowing(word: string): boolean {
  return lexicon().isOf(word, "taking-off", "left-open", "asking") || ASKS.test(word);
}

const ASKS = /^(ask|whether|do|does|should|must|shall)$/;
