import { finder } from "../../kit/find.js";
import { lexicon } from "../lexicon.js";
import type { Item, PlaceItem } from "./items.js";
import { isPlaceItem, isWord, means } from "./meaning.js";
import type { NameIndex } from "./names.js";
import { type Spot, whereOfSpot } from "./place.js";
import type { Token } from "./tokens.js";
import { holesAt, type Where } from "./where.js";

const OF = /^(of|on|in|at|from)$/;
const THAT = /^(it|that|this|them|there|those|these)$/;
const OWN = /^(its|their)$/;

/**
 * "Hole 3 of it", "hole 8 of that row", "its outer column" after a question about a place: what was left unsaid comes
 * from that place, and the words that point at it are used up. Items are left as they are where nothing fits.
 */
export function carriedIn(items: readonly Item[], before: Where | null, names: NameIndex): readonly Item[] {
  if (!before) return items;
  for (const [at, item] of items.entries()) {
    if (item.kind !== "place" || item.place.kind !== "open") continue;
    const used = pointersAfter(items, at);
    const owned = isWord(items[at - 1], OWN);
    const where = used > 0 || owned ? inPlaceOf(item.place.spot, before, names) : null;
    if (!where) continue;
    const known: PlaceItem = { ...item, place: { kind: "known", where } };
    return [...items.slice(0, owned ? at - 1 : at), known, ...items.slice(at + 1 + used)];
  }
  return items;
}

/** How many items "of it", "of that row", "in there" are, after a place. */
function pointersAfter(items: readonly Item[], at: number): number {
  if (!isWord(items[at + 1], OF)) return 0;
  const isThe = isWord(items[at + 2], /^the$/) && isWord(items[at + 3], /^same$/);
  if (!isThe && !isWord(items[at + 2], THAT) && !isWord(items[at + 2], /^same$/)) return 0;
  const next = at + (isThe ? 4 : 3);
  return next - at - 1 + (means(items[next], "row") ? 1 : 0);
}

/** A row's or hole's words looked up in the row or part that was talked about. */
function inPlaceOf(spot: Spot, before: Where, names: NameIndex): Where | null {
  const find = finder(names.assembly);
  const rows = new Set(
    before.kind === "part"
      ? names.rows.filter(({ row }) => row.part === before.id).map(({ row }) => row.id)
      : before.kind === "row"
        ? [before.id]
        : holesAt(before, names).map((id) => find.hole(id).rowId),
  );
  const parts = new Set([...rows].map((id) => find.row(id).part));
  const [row] = rows;
  const [part] = before.kind === "part" ? [before.id] : parts;
  if (spot.pick && !spot.sayings)
    return rows.size === 1 && row !== undefined ? whereOfSpot({ ...spot, rows: [row] }, names) : null;
  if (part === undefined || parts.size > 1) return null;
  return whereOfSpot({ ...spot, parts: [part] }, names);
}

/** "Drill for same", "rivets for the same": what was talked about before. */
export function withoutSame(tokens: readonly Token[]): readonly Token[] {
  return tokens.flatMap((token, at) => {
    const rest = tokens.slice(at + 1);
    const ends = /[,.;:!?]/.test(token.after) || rest.every(({ word }) => lexicon().weight(word) === "quiet");
    const the = tokens[at - 1]?.word === "the";
    const lead = tokens[the ? at - 2 : at - 1]?.word ?? "";
    return token.word === "same" && ends && /^(for|on|at|in|of|to)$/.test(lead)
      ? [{ ...token, word: "it" }]
      : [token];
  });
}

/**
 * "All three of the aft flange", "all four rivets of stiffener 2": a number that is how many holes or rows there are
 * adds nothing to "all".
 */
export function withoutCounts(items: readonly Item[], names: NameIndex): readonly Item[] {
  const places = items.filter(isPlaceItem);
  const [place] = places;
  if (place?.place.kind !== "known" || places.length > 1) return items;
  const { where } = place.place;
  return items.filter((item, at) => {
    if (item.kind !== "word" || !isWord(items[at - 1], /^(all|the)$/)) return true;
    const number = lexicon().number(item.word) ?? (/^\d+$/.test(item.word) ? Number(item.word) : null);
    const own = isHoleItem(items[at + 1]) ? ownHoles(where, names) : null;
    return number === null || (countIn(where, names) ?? own) !== number;
  });
}

function isHoleItem(item: Item | undefined): boolean {
  return isWord(item, /^(holes|rivets)$/);
}

/** How many holes a part's own rows have; null where it is no part. */
function ownHoles(where: Where, names: NameIndex): number | null {
  if (where.kind !== "part") return null;
  const find = finder(names.assembly);
  const rows = names.rows.filter(({ row }) => row.part === where.id);
  return rows.reduce((count, { row }) => count + find.row(row.id).holes.length, 0);
}

/** How many holes rows or holes that are named come to; null for places that may be counted in other ways. */
export function countIn(where: Where, names: NameIndex): number | null {
  return ["row", "rows", "holes"].includes(where.kind) ? holesAt(where, names).length : null;
}
