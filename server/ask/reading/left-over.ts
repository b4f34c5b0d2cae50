import type { Asked } from "./clipped.js";
import type { Item, WordItem } from "./items.js";
import type { NameIndex } from "./names.js";
import { type Where, whereSlots } from "./where.js";

/**
 * "A box of PR-32-6 left over, did I forget them?", "which rivets did I miss?": rivets are left over, or a builder fears that
 * some were forgotten, so it asks what is still to be set; perhaps also where such rivets go. Null where it is no such thing.
 * @param asked  what it was read as, where it was read
 */
export function leftOver(
  items: readonly Item[],
  names: NameIndex,
  asked: Asked | null,
): readonly Asked[] | null {
  const words = items.filter((item): item is WordItem => item.kind === "word");
  const said = words.flatMap(({ word }) => word.split(" "));
  const text = ` ${said.join(" ")} `;
  const codes = items.flatMap((item) => (item.kind === "rivet" ? [item.code] : []));
  const [rivet, another] = codes;
  const isRivets = rivet !== undefined || RIVETS.test(text);
  if (COUNTED.test(text) || items.some(({ kind }) => kind === "measure")) return null;
  const lacks = MISSED.test(text) || LACKING.test(text);
  const over = isRivets && (OVER.test(text) || (SPARE.test(text) && lacks));
  const missed = MISSED.test(text) && (over || isRivets || ANY_MISSED.test(text));
  if (!(over || missed) || another !== undefined) return null;
  // "Could I use them in the sill?" asks no such thing.
  if (asked && (asked.form !== "fastener" || !missed || Object.keys(asked.slots).length > 1)) return null;
  const places = items.flatMap((item) =>
    item.kind === "place" && item.place.kind === "known" ? [item.place.where] : [],
  );
  const [where, more] = places;
  if (more) return null;
  const left = askedOn("progress", {}, where, names);
  const count = askedOn(
    "count",
    rivet === undefined ? { left: "yes" } : { rivet, left: "yes" },
    where,
    names,
  );
  const goes: readonly Asked[] = rivet === undefined ? [] : [{ form: "fastener", slots: { rivet } }];
  const asksWhere = said.some((word) => /^(where|what)$/.test(word)) && !missed;
  return asksWhere ? [...goes, ...count, ...left] : [...(rivet === undefined ? [] : count), ...left, ...goes];
}

function askedOn(
  form: string,
  slots: Readonly<Record<string, string>>,
  where: Where | undefined,
  names: NameIndex,
): readonly Asked[] {
  const placed = where ? whereSlots(where, PLACES, names) : {};
  return placed ? [{ form, slots: { ...slots, ...placed } }] : [];
}

const PLACES: ReadonlySet<string> = new Set(["hole", "holes", "row", "part", "family", "step"]);

const RIVETS = / (rivets?|pops?|fasteners?) /;
/** Rivets that are there when all seems done. */
const OVER = / (left over|leftovers?|surplus|too many) | over $| over , /;
/** Rivets that may be there for other reasons. */
const SPARE = / (spares?|extra|over|remaining|(have|has|got|are|is|still) (\w+ ){0,3}left) /;
/** How many are left, or with how many to spare, is counted. */
const COUNTED = / (how many|how much|picking|percent|why|allow|order) /;
/** "I forgot which rivet goes in" asks which, and misses none. */
const MISSED =
  / (i|we) (have |has |had |must have |may have |might have )?(forgotten|forgot|forget|missed|miss|skipped|skip|overlooked|overlook|left out|leave out) (?!(, )?(which|what|how|where|whether|if) )/;
const LACKING = / (missing|unset|unriveted|open|empty|forgotten|where) /;
const ANY_MISSED =
  /^( \w+){0,4} (i|we) (have )?(forget|forgot|forgotten|miss|missed|skip|skipped|overlook|overlooked|leave out|left out)( any(thing)?| one| some| them| it| a (hole|rivet))? $/;
