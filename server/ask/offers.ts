import { finder } from "../kit/find.js";
import { closedParts } from "../kit/work.js";
import { checkSlots, specOf } from "./ask.js";
import type { FormSpec, SlotSpec } from "./form.js";
import { lackingSlots, valuesOf } from "./reading/choices.js";
import { nameIndex } from "./reading/names.js";
import { PLACE_SLOTS } from "./reading/where.js";
import { slotConflict } from "./slot-conflict.js";
import type { Job, Slots } from "./types.js";
import { namesOf } from "./wording/names.js";
import { sayReading } from "./wording/readings.js";
import { LEFT_OUT, ROW_FIRST, sayFirst, saySlot, slotLabel } from "./wording/slots.js";

/** One value that a slot could have, and what all slots would be with it. */
export interface Offer {
  readonly said: string;
  readonly slots: Slots;
  /** The question in words with it; null while it lacks something else. */
  readonly asks: string | null;
  /** It is what the slot has now. */
  readonly current: boolean;
}

/** What a slot has, and what else would make sense for it. */
export interface SlotOffers {
  readonly slot: string;
  readonly label: string;
  readonly ask: string;
  readonly required: boolean;
  /** In words; null when it is empty. */
  readonly value: string | null;
  /** The nearest first: the same row in the family's other members before rows elsewhere. */
  readonly offers: readonly Offer[];
  /** How many more there would be. */
  readonly more: number;
  /** All slots with nothing in this one, as the page may send them on. */
  readonly without: Slots;
  /** It takes any text. */
  readonly typed: boolean;
  /** What has to be chosen before there is anything to offer. */
  readonly first: string | null;
}

/** A question as far as it is chosen. */
export interface Offers {
  readonly form: string;
  readonly purpose: string;
  readonly slots: Slots;
  /** The question in words; null while it lacks something. */
  readonly said: string | null;
  /** What it lacks, as it would be asked for. */
  readonly missing: readonly { readonly slot: string; readonly ask: string }[];
  readonly chips: readonly SlotOffers[];
}

/** An offer before its question is put in words. */
type Bare = Omit<Offer, "asks">;

/** Most values that one slot offers; a longer list is no help. */
const MOST_OFFERS = 200;

/**
 * For each slot of a form the values that make sense beside the slots filled so far, as the work stands.
 * @throws UNKNOWN_FORM, SLOT_UNKNOWN, SLOT_INVALID, UNKNOWN_ID
 */
export function offersFor(job: Job, form: string, slots: Slots, specs: readonly FormSpec[]): Offers {
  const spec = specOf(form, specs);
  checkSlots(job, spec, slots);
  const missing = lackingSlots(spec, slots);
  const asked = (name: string): string => spec.slots.find((slot) => slot.name === name)?.ask ?? spec.purpose;
  return {
    form,
    purpose: spec.purpose,
    slots,
    said: missing.length === 0 ? sayReading(job, form, slots) : null,
    missing: missing.map((slot) => ({ slot, ask: asked(slot) })),
    chips: spec.slots.flatMap((slot) => chipOf(job, spec, slot, slots) ?? []),
  };
}

function chipOf(job: Job, spec: FormSpec, slot: SlotSpec, slots: Slots): SlotOffers | null {
  const isPlace = PLACE_SLOTS.includes(slot.name);
  const value = slots[slot.name];
  // A list of holes is picked on the map, or comes out of a reading: empty, it is not asked for.
  if (slot.type === "holes" && value === undefined) return null;
  // How a question is put comes out of its words.
  if (slot.type === "sense" && value === undefined) return null;
  const found = isPlace ? placeOffers(job, spec, slot, slots) : valueOffers(job, slot, slots);
  const fitting = found.flatMap((offer) => {
    const fits = fitted(job, spec, offer.slots, slot.name);
    return fits ? [{ ...offer, slots: fits }] : [];
  });
  const offers = [...distinct(fitting), ...leftOut(job, spec, slot, slots)];
  const needs = spec.needs?.[slot.name] ?? [];
  const isTyped = slot.type === "topic" || (!isPlace && found.length === 0 && !CLOSED.has(slot.type));
  const waits = needs.length > 0 && !needs.some((other) => slots[other] !== undefined);
  return {
    slot: slot.name,
    label: slotLabel(slot.name),
    ask: slot.ask,
    required: slot.required,
    value: value === undefined ? null : saySlot(job, slot, value),
    offers: offers.slice(0, MOST_OFFERS).map((offer) => ({
      ...offer,
      asks: lackingSlots(spec, offer.slots).length === 0 ? sayReading(job, spec.id, offer.slots) : null,
    })),
    more: Math.max(0, offers.length - MOST_OFFERS),
    without: without(job, spec, slot, slots),
    typed: isTyped && !waits,
    first: waits ? sayFirst(needs) : slot.type === "hole" && found.length === 0 ? ROW_FIRST : null,
  };
}

/**
 * The slots with those left out that cannot stand beside the one just chosen.
 * @returns  null when that one cannot stand: it says nothing alone, or names the same part twice
 */
function fitted(job: Job, spec: FormSpec, slots: Slots, chosen: string): Slots | null {
  let left = slots;
  for (;;) {
    const conflict = slotConflict(spec, left, job.assembly);
    if (!conflict) return left;
    const { slot, code, with: others } = conflict;
    const out = slot === chosen ? others.find((name) => left[name] !== undefined) : slot;
    if (code === "itself" || out === undefined) return null;
    left = dropped(left, out);
  }
}

/** Nothing in the slot, nor in one that says nothing without it. */
function without(job: Job, spec: FormSpec, { name }: SlotSpec, slots: Slots): Slots {
  const rest = dropped(slots, name);
  return fitted(job, spec, rest, "") ?? rest;
}

function dropped(slots: Slots, name: string): Slots {
  return Object.fromEntries(Object.entries(slots).filter(([other]) => other !== name));
}

/** Slots whose values are the kit's: when it has none, there is nothing to type either. */
const CLOSED: ReadonlySet<string> = new Set([
  "milestone",
  "notice",
  "gate",
  "side",
  "family",
  "step",
  "neighbour",
  "flag",
  "sense",
]);

function valueOffers(job: Job, slot: SlotSpec, slots: Slots): readonly Bare[] {
  const values =
    slot.type === "part"
      ? partsNear(job, slot, slots.part ?? null)
      : slot.type === "flag"
        ? ["yes", "no"]
        : slot.type === "topic"
          ? job.notes.notes.map(({ title }) => title)
          : valuesOf(slot, nameIndex(job.kit, job.assembly));
  return values.map((value) => ({
    said: saySlot(job, slot, value),
    slots: { ...slots, [slot.name]: value },
    current: slots[slot.name] === value,
  }));
}

/** Nothing in the slot, where the question is whole without it. */
function leftOut(job: Job, spec: FormSpec, slot: SlotSpec, slots: Slots): readonly Bare[] {
  if (slots[slot.name] === undefined || slot.required) return [];
  const rest = without(job, spec, slot, slots);
  if (lackingSlots(spec, rest).length > 0) return [];
  const isPlace = PLACE_SLOTS.includes(slot.name);
  const isAll = isPlace && !PLACE_SLOTS.some((name) => rest[name] !== undefined);
  const said = isAll ? `${LEFT_OUT.place} (${job.assembly.name})` : LEFT_OUT.other;
  return [{ said, slots: rest, current: false }];
}

/** Where a question stands: its part, row and hole numbers, as far as its slots say. */
interface Standing {
  readonly part: string | null;
  readonly row: string | null;
  readonly numbers: readonly number[] | null;
}

function standingOf(job: Job, { part, row, hole, holes }: Slots): Standing {
  const find = finder(job.assembly);
  const ids = hole ? [hole] : (holes ?? []);
  const rows = new Set(ids.map((id) => find.hole(id).rowId));
  const [only] = rows;
  const rowId = row ?? (rows.size === 1 && only !== undefined ? only : null);
  return {
    part: part ?? (rowId === null ? null : find.row(rowId).part),
    row: rowId,
    numbers: ids.length > 0 && rows.size === 1 ? ids.map((id) => find.hole(id).number) : null,
  };
}

/** Places that could stand in the slot in place of the one that is named now. */
function placeOffers(job: Job, spec: FormSpec, slot: SlotSpec, slots: Slots): readonly Bare[] {
  const bare = Object.fromEntries(Object.entries(slots).filter(([name]) => !PLACE_SLOTS.includes(name)));
  const lacks = lackingSlots(spec, { ...bare, [slot.name]: "" }).some((name) => slots[name] !== undefined);
  // One place takes the other's room, unless the question needs both.
  const rest = lacks ? slots : bare;
  const at = standingOf(job, slots);
  const offer = (value: string | readonly string[], isCurrent: boolean): Bare => ({
    said: saySlot(job, slot, value),
    slots: { ...rest, [slot.name]: value },
    current: isCurrent,
  });
  switch (slot.type) {
    case "part":
      return partsNear(job, slot, at.part).map((id) => offer(id, id === at.part));
    case "row":
      return rowsNear(job, at).map((id) => offer(id, id === at.row));
    case "hole":
      return holesNear(job, at).map((id) => offer(id, id === slots.hole));
    case "holes":
      return listsNear(job, spec, at, slots, offer);
    case "step":
      return job.assembly.steps.map(({ id }) => offer(id, id === slots.step));
    case "family":
      return job.assembly.families.map(({ id }) => offer(id, id === slots.family));
    default:
      return [];
  }
}

/** Parts: the members of the present one's family, then the others in the order in which the manual closes them. */
function partsNear({ assembly, work }: Job, { offer }: SlotSpec, part: string | null): readonly string[] {
  const closed = offer === "not closed" ? closedParts(assembly, work) : new Set<string>();
  const ids = [
    ...siblings(assembly, part),
    ...assembly.closings,
    ...assembly.parts.map(({ id }) => id),
  ].filter((id) => id === part || (!closed.has(id) && finder(assembly).holesThrough(id).length > 0));
  return [...new Set(ids)];
}

/** Members of the part's family, itself included, in the family's order. */
function siblings({ parts, families }: Job["assembly"], part: string | null): readonly string[] {
  const family = parts.find(({ id }) => id === part)?.family;
  return families.find(({ id }) => id === family)?.members ?? [];
}

/** Rows: the same one in the family's other members, then the part's own, else those through the part; all without a part. */
function rowsNear({ assembly }: Job, { part, row }: Standing): readonly string[] {
  if (part === null) return assembly.rows.map(({ id }) => id);
  const find = finder(assembly);
  const name = row === null ? null : find.row(row).row;
  const alike =
    name === null
      ? []
      : siblings(assembly, part)
          .map((id) => `${id}.${name}`)
          .filter(find.hasRow);
  const own = assembly.rows.filter((one) => one.part === part).map(({ id }) => id);
  const through = new Set(find.holesThrough(part).map(({ rowId }) => rowId));
  return [...new Set([...alike, ...own, ...(own.length > 0 ? [] : through)])];
}

/** Holes: those of the row, then the one of the same number in the family's other members. */
function holesNear({ assembly }: Job, { part, row, numbers }: Standing): readonly string[] {
  if (row === null) return [];
  const find = finder(assembly);
  const name = find.row(row).row;
  const [number] = numbers ?? [];
  const alike =
    number === undefined
      ? []
      : siblings(assembly, part)
          .map((id) => `${id}.${name}.${number}`)
          .filter(find.hasHole);
  return [...new Set([...find.row(row).holes, ...alike])];
}

/** In place of a list of holes: the whole row, and the same numbers in the family's other members. */
function listsNear(
  job: Job,
  spec: FormSpec,
  { part, row, numbers }: Standing,
  slots: Slots,
  offer: (value: readonly string[], isCurrent: boolean) => Bare,
): readonly Bare[] {
  const now = slots.holes ? [offer(slots.holes, true)] : [];
  if (row === null || numbers === null) return now;
  const find = finder(job.assembly);
  const { holes: _, ...rest } = slots;
  const whole = spec.slots.some(({ name }) => name === "row")
    ? [{ said: namesOf(job).row(row), slots: { ...rest, row }, current: false }]
    : [];
  const name = find.row(row).row;
  const alike = siblings(job.assembly, part)
    .map((id) => numbers.map((number) => `${id}.${name}.${number}`))
    .filter((ids) => ids.every(find.hasHole))
    .map((ids) => offer(ids, String(ids) === String(slots.holes)));
  return [...(alike.some(({ current }) => current) ? [] : now), ...whole, ...alike];
}

/** Offers that say the same twice are one. */
function distinct(offers: readonly Bare[]): readonly Bare[] {
  const seen = new Set<string>();
  return offers.filter(({ slots }) => {
    const key = JSON.stringify(slots);
    return seen.has(key) ? false : seen.add(key);
  });
}
