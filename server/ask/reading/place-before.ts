import { finder } from "../../kit/find.js";
import type { FormSpec } from "../form.js";
import { lexicon } from "../lexicon.js";
import type { Asked } from "./clipped.js";
import { inOrder } from "./counting.js";
import type { PlaceItem } from "./items.js";
import { type NameIndex, nameWords } from "./names.js";
import { type Spot, whereOfSpot } from "./place.js";
import { PLACE_SLOTS, type Where, whereOf, whereSlots } from "./where.js";

/**
 * The reading before, asked of another place: "and on rib 4?", "the bottom?", "hole 5?". What the place leaves unsaid comes
 * from the place before: after rib 3's top row "and rib 4?" is rib 4's top row. Null where that is nowhere.
 * @param whole  a part is meant by itself, not its row that was asked about: "anything on rib 2?"
 */
export function placed(
  item: PlaceItem,
  asked: Asked,
  form: FormSpec,
  names: NameIndex,
  whole = false,
): Asked | null {
  const before = whereOf(asked.slots);
  const sister = item.place.kind === "side" ? sisterOn(item.place.spot, before, names) : null;
  if (sister) return place(sister, asked, form, names);
  const where =
    before && item.place.kind === "known" && !whole
      ? carried(item.place.where, before, names)
      : whereIn(item, before, names);
  if (where) return place(where, asked, form, names);
  if (item.place.kind === "side" && form.slots.some(({ name }) => name === "side"))
    return { ...asked, slots: { ...asked.slots, side: item.place.view } };
  return null;
}

/** The reading before with a place in place of its own; null when its form takes no such place. */
export function place(where: Where, asked: Asked, form: FormSpec, names: NameIndex): Asked | null {
  const has = new Set(form.slots.map(({ name }) => name));
  const slots = whereSlots(where, has, names);
  if (!slots) return null;
  const rest = Object.fromEntries(
    Object.entries(asked.slots).filter(([slot]) => !PLACE_SLOTS.includes(slot) && slot !== "side"),
  );
  return { ...asked, slots: { ...rest, ...slots } };
}

/** Part, row and hole number that a place stands on. */
export function standing(
  where: Where | null,
  names: NameIndex,
): { part?: string; row?: string; numbers?: readonly number[] } {
  const find = finder(names.assembly);
  if (where?.kind === "part") return { part: where.id };
  if (where?.kind === "row") return { part: find.row(where.id).part, row: where.id };
  if (where?.kind === "hole") {
    const { part, rowId, number } = find.hole(where.id);
    return { part, row: rowId, numbers: [number] };
  }
  if (where?.kind === "holes") {
    const holes = where.ids.map((id) => find.hole(id));
    const rows = new Set(holes.map(({ rowId }) => rowId));
    const [first] = holes;
    if (first && rows.size === 1)
      return { part: first.part, row: first.rowId, numbers: holes.map(({ number }) => number) };
  }
  return {};
}

/** The same row and holes on another member of the family, or on another part that has none either, when the question before was about such. */
function carried(where: Where, before: Where, names: NameIndex): Where {
  const { part, row, numbers } = standing(before, names);
  if (where.kind !== "part" || !row || !part) return where;
  const family = (id: string) => names.assembly.parts.find((one) => one.id === id)?.family ?? null;
  if (family(part) !== family(where.id)) return where;
  return sameIn(`${where.id}.${row.slice(part.length + 1)}`, numbers, names) ?? where;
}

/** A row, or its holes of those numbers; null when they are not there. */
export function sameIn(row: string, numbers: readonly number[] | undefined, names: NameIndex): Where | null {
  const find = finder(names.assembly);
  if (!find.hasRow(row)) return null;
  if (!numbers) return { kind: "row", id: row };
  const ids = numbers.map((number) => `${row}.${number}`);
  if (!ids.every((id) => find.hasHole(id))) return null;
  const [only] = ids;
  return ids.length === 1 && only !== undefined ? { kind: "hole", id: only } : { kind: "holes", ids };
}

/** "The bottom", "hole 5", "the tip": what was left unsaid comes from the place before. */
function whereIn({ place }: PlaceItem, before: Where | null, names: NameIndex): Where | null {
  if (place.kind === "known") return place.where;
  if (place.kind === "unknown") return null;
  const { spot } = place;
  const { part, row, numbers } = standing(before, names);
  if (spot.pick && !spot.sayings && row) return whereOfSpot({ ...spot, rows: [row] }, names);
  if (part) {
    const inPart = whereOfSpot({ ...spot, parts: [part] }, names);
    if (inPart)
      return inPart.kind === "row" && !spot.pick ? (sameIn(inPart.id, numbers, names) ?? inPart) : inPart;
  }
  return endMember(place.spot.sayings, before, names);
}

/** "The tip": the last member of the family that was talked about. */
function endMember(
  sayings: readonly (readonly string[])[] | null,
  before: Where | null,
  names: NameIndex,
): Where | null {
  const [saying] = sayings ?? [];
  const [side] = saying ?? [];
  if (sayings?.length !== 1 || saying?.length !== 1 || side === undefined || !before) return null;
  const { part } = standing(before, names);
  const id =
    before.kind === "family" ? before.id : names.assembly.parts.find((one) => one.id === part)?.family;
  const family = names.assembly.families.find((one) => one.id === id);
  const first = family && inOrder(family.members, family.numbered, side)?.[0];
  return first === undefined ? null : carried({ kind: "part", id: first }, before, names);
}

/** "And the bottom one?" after the top skin: the part that is called the same but for its side. */
function sisterOn({ sayings }: Spot, before: Where | null, names: NameIndex): Where | null {
  const side = sayings?.[0]?.[0];
  const part = before?.kind === "part" && names.assembly.parts.find(({ id }) => id === before.id);
  if (!part || side === undefined) return null;
  const sisters = [part.name, ...part.nicknames].flatMap((name) => {
    const words = nameWords(name);
    const at = words.findIndex((word) => lexicon().opposite(word) === side);
    if (at < 0) return [];
    const called = words.with(at, side).join(" ");
    return names
      .aliases(called.split(" ")[0] ?? "")
      .filter((alias) => alias.words.join(" ") === called)
      .flatMap(({ targets }) => targets);
  });
  const [only, ...others] = new Set(sisters.map(({ kind, id }) => `${kind} ${id}`));
  const id = only?.startsWith("part ") && others.length === 0 ? only.slice("part ".length) : null;
  return id === null ? null : { kind: "part", id };
}
