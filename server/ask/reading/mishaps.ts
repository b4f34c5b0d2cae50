import { lexicon, type WordGroup } from "../lexicon.js";
import type { Asked } from "./clipped.js";
import type { Item } from "./items.js";
import { isWord } from "./meaning.js";
import type { NameIndex } from "./names.js";
import { type Where, whereSlots } from "./where.js";

/** Something told of a rivet or a hole that is not as it should be. */
type Mishap = "left out" | "wrong rivet" | "bad rivet";

/**
 * What a text tells of a rivet or a hole that is missing, loose, sheared or the wrong one; null where it tells nothing so.
 * Words that may be said of anything ("I lost the page") count only where a rivet, a hole or "one" is named.
 */
function mishapIn(items: readonly Item[]): Mishap | null {
  const text = ` ${items.map(wordOf).join(" ")} `;
  const isRivet = holds(text, "rivet-thing");
  const isThing = isRivet || / (it|-) /.test(text);
  return (
    FAULTS.find(
      ([mishap, group]) => (mishap === "bad rivet" ? isThing : isRivet) && holds(text, group),
    )?.[0] ?? null
  );
}

/** A hole that is named stands for its rivet. */
function wordOf(item: Item): string {
  if (item.kind === "word") return item.word;
  const isHole = item.kind === "place" && item.place.kind === "known" && item.place.where.kind === "hole";
  return item.kind === "rivet" || isHole ? "rivet" : "-";
}

/** What may have happened, the first that a text tells, each with the words for it. */
const FAULTS: readonly (readonly [Mishap, WordGroup])[] = [
  ["left out", "left-out"],
  ["wrong rivet", "wrong-rivet"],
  ["bad rivet", "bad-rivet"],
];

function holds(text: string, group: WordGroup): boolean {
  return [...(lexicon().group(group) ?? [])].some((saying) => text.includes(` ${saying} `));
}

/** Whether a clause tells of such a thing, so that it must not be left out beside a question. */
export function tellsMishap(items: readonly Item[]): boolean {
  return mishapIn(items) !== null;
}

/** Whether the mishap is a rivet's: a part that is bent or broken is a question of strength. */
export function tellsOfRivet(items: readonly Item[]): boolean {
  return mishapIn(items) !== null && holds(` ${items.map(wordOf).join(" ")} `, "rivet-thing");
}

/** Whether words told of a mishap ask about more than that: strength, law, health. */
export function tellsMore(items: readonly Item[]): boolean {
  const faults = FAULTS.map(([, group]) => group);
  const others = items.flatMap((item) =>
    item.kind === "word" ? item.word.split(" ").filter((word) => !lexicon().isOf(word, ...faults)) : ["-"],
  );
  return lexicon().elsewhere(others, true) !== undefined;
}

/** "I forgot one", "I forgot hole 3": the words by which something was left out; "I forgot which", "I forgot the size" ask. */
export function forgotten(items: readonly Item[]): readonly Item[] {
  return items.filter((item, at) => {
    const next = items[isWord(items[at + 1], /^the$/) ? at + 2 : at + 1];
    const isForgot = item.kind === "word" && /^i (forgot|.*forgotten)$/.test(item.word);
    return isForgot && (next?.kind === "place" || (next?.kind === "word" && SOME.test(next.word)));
  });
}

const SOME = /^(a|an|one|two|three|some|any|to|few|couple|rivets?|holes?)$/;

/**
 * What helps with a mishap that is told beside a question whether something may be done: how a damaged hole is mended, the
 * rivet taken back out of what is set, what is left there, which rivet belongs there, or the notes.
 * @param taken  what the question itself is about
 */
export function mishapChoices(items: readonly Item[], taken: Asked, names: NameIndex): readonly Asked[] {
  const own = Object.values(taken.slots);
  const told = items.filter((item) => !isNamed(item, own));
  const mishap = mishapIn(told);
  const [damage] = told.flatMap((item) =>
    item.kind === "word"
      ? item.senses.flatMap(({ concept }) => lexicon().concepts.get(concept)?.slots.damage ?? [])
      : [],
  );
  if (mishap === null && damage === undefined) return [];
  const [where] = told.flatMap((item) =>
    item.kind === "place" && item.place.kind === "known" ? [item.place.where] : [],
  );
  if (damage !== undefined) {
    const isNarrow = where?.kind === "hole" || where?.kind === "holes" || where?.kind === "row";
    return askedAt("repair", { damage }, isNarrow ? where : undefined, PLACES, names);
  }
  const isOneHole = where?.kind === "hole";
  return [
    ...(isOneHole ? askedAt("tell", { state: "unset" }, where, ["hole"], names) : []),
    ...(mishap === "left out" && !isOneHole ? askedAt("progress", {}, where, PLACES, names) : []),
    ...(mishap === "wrong rivet" && where ? askedAt("fastener", {}, where, PLACES, names) : []),
    ...(mishap === "left out" ? [] : [{ form: "notes", slots: { topic: mishap ?? "" } }]),
  ];
}

/** Whether an item is the place that a question is about. */
function isNamed(item: Item, own: readonly unknown[]): boolean {
  return (
    item.kind === "place" &&
    item.place.kind === "known" &&
    "id" in item.place.where &&
    own.includes(item.place.where.id)
  );
}

const PLACES: readonly string[] = ["hole", "holes", "row", "part", "family", "step"];

function askedAt(
  form: string,
  slots: Readonly<Record<string, string>>,
  where: Where | undefined,
  takes: readonly string[],
  names: NameIndex,
): readonly Asked[] {
  const placed = where ? whereSlots(where, new Set(takes), names) : {};
  return [{ form, slots: { ...slots, ...placed } }];
}
