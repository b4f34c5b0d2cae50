import { isExcept } from "./groups.js";
import type { Item, PlaceItem } from "./items.js";
import { isPlaceItem, isWord } from "./meaning.js";
import type { NameIndex } from "./names.js";
import { placeOf } from "./place.js";
import { holesAt, type Where } from "./where.js";

/**
 * "Everything in the bottom row is in, except the first hole": the bottom row without its first hole, as holes. The exception
 * has to be the last thing said, or the first ("except for hole 1, the bottom row is in"); and its holes have to lie in the
 * one place that is named beside it. The items are left as they are where it is not so.
 */
export function withExceptions(items: readonly Item[], names: NameIndex): readonly Item[] {
  const end = items.findLastIndex((item) => !isSmall(item)) + 1;
  const at = items.findIndex(
    (item, n) => leavesOut(item, items[n + 1]) && exceptedAt(items, n, end) !== null,
  );
  const excepted = at < 0 ? null : exceptedAt(items, at, end);
  if (!excepted) return items;
  const rest = [...items.slice(0, at), ...items.slice(excepted.end)];
  const places = rest.filter(isPlaceItem);
  const [place] = places;
  const own = places.filter(({ place: one }) => one.kind !== "known" || one.where.kind !== "all");
  const [whole] = own;
  if (!place || !whole || own.length > 1 || whole.place.kind !== "known") return items;
  const left = leftOut(excepted.item, whole.place.where, names);
  if (!left) return items;
  const all = holesAt(whole.place.where, names);
  const ids = all.filter((hole) => !left.includes(hole));
  const [only] = ids;
  // What is left out has to be some of it, not all.
  if (only === undefined || ids.length === all.length || !left.every((hole) => all.includes(hole)))
    return items;
  const where: Where = ids.length === 1 ? { kind: "hole", id: only } : { kind: "holes", ids };
  return rest
    .filter((item) => item.kind !== "place" || item === whole)
    .map((item) => (item === whole ? { ...whole, place: { kind: "known", where } } : item));
}

interface Excepted {
  readonly item: PlaceItem;
  readonly end: number;
}

/** "Except for the first hole", "but not hole 3", "apart from its level leg", as the last thing said or the first. */
function exceptedAt(items: readonly Item[], at: number, end: number): Excepted | null {
  let next = at + 1;
  while (isWord(items[next], /^(for|from|the|not|than|with|of|exception|its|their|two|all)$/)) next++;
  const item = items[next];
  if (item?.kind !== "place") return null;
  const opens = items.slice(0, at).every(isSmall);
  return next + 1 >= end || opens ? { item, end: next + 1 } : null;
}

/** "Except", "apart from"; "other than" and "the exception of" only together. */
function leavesOut(item: Item, next: Item | undefined): boolean {
  return (
    (item.kind === "word" && isExcept(item.word)) ||
    (isWord(item, /^other$/) && isWord(next, /^than$/)) ||
    (isWord(item, /^the exception$/) && isWord(next, /^of$/))
  );
}

/**
 * The places that a text leaves out, as far as nothing was done about it yet: "apart from rib 3, what stays open". Words that
 * may join as well as leave out ("but", "without") are not among them.
 */
export function leftOutIn(items: readonly Item[]): readonly Where[] {
  return items.flatMap((item, at) => {
    if (!leavesOut(item, items[at + 1]) || isWord(item, /^(but|without|save|minus|bar|aside)$/)) return [];
    const excepted = items.slice(at + 1).find((one) => one.kind !== "word" || !BETWEEN.test(one.word));
    return excepted?.kind === "place" && excepted.place.kind === "known" ? [excepted.place.where] : [];
  });
}

const BETWEEN = /^(for|from|the|than|of|its|their|all)$/;

function isSmall(item: Item): boolean {
  return (
    item.kind === "word" &&
    (item.weight === "quiet" ||
      item.senses.some(({ concept }) => /^(yet|now|still|quiet-time|already)$/.test(concept)) ||
      /^(far|of|course)$/.test(item.word))
  );
}

/** Holes of what is left out; what it does not say itself comes from the place that it is left out of. */
function leftOut({ place }: PlaceItem, whole: Where, names: NameIndex): readonly string[] | null {
  if (place.kind === "known") return place.where.kind === "all" ? null : holesAt(place.where, names);
  if (place.kind === "unknown") return null;
  const { spot } = place;
  if (spot.parts || spot.family) return null;
  if (spot.pick && !spot.sayings && whole.kind !== "row") return null;
  const inWhole =
    whole.kind === "row" && spot.pick && !spot.sayings
      ? placeOf({ ...spot, rows: [whole.id] }, names)
      : whole.kind === "part"
        ? placeOf({ ...spot, whichPart: null, parts: [whole.id] }, names)
        : null;
  return inWhole?.kind === "known" ? holesAt(inWhole.where, names) : null;
}
