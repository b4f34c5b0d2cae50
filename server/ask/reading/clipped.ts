import { finder } from "../../kit/find.js";
import type { FormSpec } from "../form.js";
import { lexicon } from "../lexicon.js";
import type { Slots } from "../types.js";
import { inOrder } from "./counting.js";
import { howManyOf, isPlaceless, onwardOf, restOf, withMilestone, withNumbers } from "./follow-up.js";
import type { Item, MeasureItem, PlaceItem, RivetItem, WordItem } from "./items.js";
import type { Setting } from "./match.js";
import { concepts, isPlaceItem, isWordItem } from "./meaning.js";
import { type NameIndex, nameWords } from "./names.js";
import { PLACE_SLOTS, type Spot, type Where, whereOf, whereOfSpot, whereSlots } from "./place.js";
import { filled } from "./slots.js";

/** A form and its slots, before it is checked or said. */
export interface Asked {
  readonly form: string;
  readonly slots: Slots;
}

const MARKERS = new Set(["what-about", "same-for", "and", "instead", "no", "now", "then", "or", "beside"]);
const BARE = new Set(["one", "ones", "my", "our", "this", "that"]);
const TURNED = new Set(["side", "row", "one", "flange", "surface", "end"]);

/**
 * A clipped question after another: "why?", "and on rib 4?", "what about the bottom?", "the same for the tip",
 * "until when?", "with 10 % extra", "no, the lower one", "undo that". Null when the text is no such thing or does not fit the reading before.
 */
export function clipped(told: readonly Item[], before: Asked, setting: Setting): Asked | null {
  const items = withNumbers(withMilestone(told, before, setting.names), whereOf(before.slots), setting.names);
  return (
    whyOf(items, before, setting) ??
    whenOf(items, before, setting) ??
    restOf(items, before, setting) ??
    howManyOf(items, before, setting) ??
    onwardOf(items, before, setting) ??
    undone(items, before) ??
    changed(items, before, setting)
  );
}

/** Whether a text consists only of names and the small words of a clipped question. */
export function isClipped(
  items: readonly Item[],
  besides: (item: WordItem) => boolean = () => false,
): boolean {
  const isTime = items.some(({ kind }) => kind === "milestone");
  const isShare = items.some((item) => item.kind === "measure" && item.measure.kind === "percent");
  return (
    items.some(isTelling) &&
    items.every(
      (item) =>
        isTelling(item) ||
        isSmall(item) ||
        (item.kind === "word" && besides(item)) ||
        (isTime && concepts(item).some(isTimeWord)) ||
        (isShare && isBesideShare(item)),
    )
  );
}

/** "Throw in 15 percent extra on that". */
function isBesideShare(item: Item): boolean {
  return (
    item.kind === "word" &&
    (concepts(item).includes("spare") || item.pronoun || ADDING.test(item.word) || item.weight === "light")
  );
}

const ADDING =
  /^(add|adding|throw|chuck|include|including|allow|allowing|allowance|plus|make|give|want|put|margin|over|top|more|need|say)$/;

/** "And after the twist check?" */
function isTimeWord(concept: string): boolean {
  return concept === "after" || concept === "until" || concept === "when";
}

function isSmall(item: Item): boolean {
  if (item.kind !== "word") return false;
  if (item.weight === "quiet" || BARE.has(item.word)) return true;
  return concepts(item).some((concept) => MARKERS.has(concept) || concept === "hole" || concept === "row");
}

function isTelling(item: Item): boolean {
  if (item.kind !== "word") return true;
  return item.senses.some(({ concept }) => {
    const slots = lexicon().concepts.get(concept)?.slots ?? {};
    return ["treatment", "head"].some((slot) => slot in slots);
  });
}

/** "Why?", "why is that?", "why not?", "how no?", "what's stopping me?" about what was asked before. */
function whyOf(items: readonly Item[], before: Asked, { grammar }: Setting): Asked | null {
  const words = items.filter(isWordItem);
  if (words.length !== items.length) return null;
  const said = new Set(words.flatMap(concepts));
  const negated = said.has("not") || said.has("no");
  const stops = said.has("stop") || words.some(({ word }) => SNAG.test(word));
  const asksWhy = said.has("why") || (said.has("what") && stops) || (said.has("how") && negated);
  if (!asksWhy || !words.every(isBesideWhy)) return null;
  const { hole, holes, row, part, family, head, act } = before.slots;
  // Of two treatments neither alone is what was asked about.
  const treatment = before.slots.orTreatment === undefined ? before.slots.treatment : undefined;
  const place = { hole, holes, row, part, family };
  const wanted = { treatment, head, act: treatment || head ? undefined : act };
  const holds = grammar.forms
    .find(({ id }) => id === before.form)
    ?.slots.some(({ name }) => name === "milestone");
  if (negated || stops || act || before.slots.not === "yes")
    return { form: "why-not", slots: filled({ ...place, ...wanted }) };
  return {
    form: "why",
    slots: filled({ ...place, treatment, head, attribute: holds ? "hold" : textOf(before.slots.attribute) }),
  };
}

/** "What's the snag?" */
const SNAG = /^(snag|hitch|holdup|obstacle|problem|objection)$/;

const BESIDE_WHY: ReadonlySet<string> = new Set([
  "why",
  "how",
  "what",
  "not",
  "no",
  "stop",
  "may",
  "must",
  "yet",
  "now",
  "still",
  "already",
  "any",
]);

/** A word that may stand in "but why may I not yet?"; who says "aw" says nothing by it. */
function isBesideWhy(item: WordItem): boolean {
  return (
    item.weight !== "content" ||
    lexicon().isChatter(item.word) ||
    SNAG.test(item.word) ||
    /^(tho|though|exactly)$/.test(item.word) ||
    concepts(item).some((concept) => BESIDE_WHY.has(concept) || MARKERS.has(concept))
  );
}

const ASKS_TIME: ReadonlySet<string> = new Set(["when", "long"]);

/** "Until when?", "for how long?" after what stays open; "when, then?" after what may not be done yet. */
function whenOf(items: readonly Item[], before: Asked, { grammar }: Setting): Asked | null {
  const words = items.filter(isWordItem);
  if (
    words.length !== items.length ||
    !words.some((item) => concepts(item).some((one) => ASKS_TIME.has(one)))
  )
    return null;
  const isBeside = (item: WordItem): boolean =>
    isBesideWhy(item) || concepts(item).some((one) => ASKS_TIME.has(one) || one === "until");
  if (!words.every((item) => isBeside(item) && !concepts(item).includes("why"))) return null;
  const { hole, holes, row, part, family, step, act, attribute } = before.slots;
  const place = { hole, holes, row, part, family, step };
  const holds = grammar.forms
    .find(({ id }) => id === before.form)
    ?.slots.some(({ name }) => name === "milestone");
  if (attribute === "hold" || (holds && before.slots.milestone === undefined && whereOf(before.slots)))
    return { form: "stay-open", slots: filled(place) };
  if (act !== "set" && act !== "close") return null;
  return { form: "plan", slots: filled({ ...place, act: part && act === "set" ? "set" : undefined }) };
}

/**
 * "And why not the web doubler?", "how come hole 8 too?": the why of the reading before, asked of another place. Null where it is a
 * question of its own: it names what it asks about, or nothing that has a why was asked before.
 */
export function whyElsewhere(items: readonly Item[], before: Asked, setting: Setting): Asked | null {
  const places = items.filter(isPlaceItem);
  const [place] = places;
  const words = items.filter(isWordItem);
  if (!place || places.length > 1 || words.length + 1 < items.length) return null;
  if (!words.some((item) => concepts(item).includes("why")) || words.some(isOwnWord)) return null;
  const negated = words.some((item) => concepts(item).includes("not"));
  const { treatment, head, act, attribute, orTreatment, not } = before.slots;
  const told = orTreatment === undefined && (treatment ?? head ?? act ?? attribute) !== undefined;
  // After "why not", a bare "why" of another place may ask either way.
  if (!told || (!negated && (before.form === "why-not" || act !== undefined || not === "yes"))) return null;
  const form = setting.grammar.forms.find(({ id }) => id === (negated ? "why-not" : "why"));
  const slots = filled({ treatment, head, act: treatment || head ? undefined : act, attribute });
  const kept = { ...placeSlots(before), ...slots };
  return form ? placed(place, { form: form.id, slots: kept }, form, setting.names) : null;
}

/** A word that asks something by itself, beside the why. */
function isOwnWord(item: WordItem): boolean {
  if (item.weight !== "content") return false;
  const own = concepts(item);
  return (
    !["why", "not", "hole", "row"].some((concept) => own.includes(concept)) &&
    !own.some((one) => MARKERS.has(one))
  );
}

function placeSlots({ slots }: Asked): Slots {
  return Object.fromEntries(Object.entries(slots).filter(([slot]) => PLACE_SLOTS.includes(slot)));
}

function textOf(value: string | readonly string[] | undefined): string | undefined {
  return typeof value === "string" ? value : undefined;
}

/** "Undo that" after a statement of work: the statement turned round. */
function undone(items: readonly Item[], before: Asked): Asked | null {
  const undoes = items.some((item) => concepts(item).includes("undo"));
  const others = items.some(
    (item) => item.kind !== "word" || (item.weight === "content" && !concepts(item).includes("undo")),
  );
  if (!undoes || others) return null;
  const { state, done, reached } = before.slots;
  if (state) return { ...before, slots: { ...before.slots, state: state === "unset" ? "set" : "unset" } };
  if (done) return { ...before, slots: { ...before.slots, done: done === "yes" ? "no" : "yes" } };
  if (reached) return { ...before, slots: { ...before.slots, reached: reached === "yes" ? "no" : "yes" } };
  return null;
}

/** The question before, with what the text names in place of what it named then. */
function changed(items: readonly Item[], before: Asked, setting: Setting): Asked | null {
  const form = setting.grammar.forms.find(({ id }) => id === before.form);
  if (!form || (form.statement && (setting.asks || !whereOf(before.slots)))) return null;
  const turned = otherSide(items, before, setting.names);
  if (turned) return place(turned, before, form, setting.names);
  if (!isClipped(items, form.statement ? isDoing(items) : isAskedAgain(items, before))) return null;
  const finds = items.some((item) => item.kind === "word" && /^(any|anything|something)$/.test(item.word));
  return items.filter(isTelling).reduce<Asked | null>(
    (asked, item) => {
      if (!asked) return null;
      if (item.kind === "place") return placed(item, asked, form, setting.names, finds);
      if (item.kind === "milestone" && item.not) return null;
      if (item.kind === "milestone" || item.kind === "notice" || item.kind === "neighbour")
        return renamed(item.kind, item.id, asked, form);
      if (item.kind === "measure" || item.kind === "rivet") return measured(item, asked, form);
      return worded(item, asked, form, items);
    },
    putAnew(items, before),
  );
}

/** "Would that do for a 4 mm rivet?" after "is it too near the edge?": asked again, and no longer the same way round. */
function putAnew(items: readonly Item[], before: Asked): Asked {
  const suits = items.some((item) => item.kind === "word" && PUT_ANEW.test(item.word));
  if (!suits || before.slots.sense === undefined) return before;
  return { ...before, slots: { ...before.slots, sense: "open" } };
}

const PUT_ANEW =
  /^(do|do for|work|works|fit|fits|suit|suits|suffice|enough|good enough|use|used|using|go|goes|also|even|still)$/;

/** "I did rib 6 as well" after a statement: the same was done there. */
function isDoing(items: readonly Item[]): (item: WordItem) => boolean {
  const does = items.some(
    (item) =>
      item.kind === "word" &&
      (/^(did|too|also|as well|likewise|same)$/.test(item.word) || concepts(item).includes("done")),
  );
  return (item) =>
    does &&
    (/^(i|we|did|have|has|is|are|was|were|been|same)$/.test(item.word) || concepts(item).includes("done"));
}

/** Small words of a question that is asked again of something else. */
function isAskedAgain(items: readonly Item[], before: Asked): (item: WordItem) => boolean {
  const finds = isFinding(before);
  const { form, slots } = before;
  const measures = items.some(({ kind }) => kind === "measure" || kind === "rivet");
  const names = items.some((item) => item.kind === "word" && isTelling(item));
  const ends = items.some(({ kind }) => kind === "milestone");
  return (item) => {
    if (finds(item)) return true;
    const own = concepts(item);
    // "And only hat 4?", "only the flush ones?"
    if (own.includes("only")) return items.some((other) => other.kind === "place" || isTelling(other));
    // "Would that also do for a 4 mm rivet?"
    if (measures && slots.act === undefined && SUITED.has(form)) return SUITING.test(item.word);
    // "Any left domed?"
    if (names && slots.act === undefined && (own.includes("not") || FINDING.test(item.word))) return true;
    // "What about before the latch is rigged?", "and before the top one?"
    if (own.includes("before")) return (ends && form === "stay-open") || form === "before-closing";
    // "It's hole 2 on rib 4's top row."
    return isPlaceless(before) && /^(it|is|that|this|was|it was|its)$/.test(item.word);
  };
}

const FINDING = /^(left|remaining|them|those|these)$/;

/** Forms that ask whether a size will do. */
const SUITED: ReadonlySet<string> = new Set(["edge", "clearance", "fastener"]);
const SUITING =
  /^(would|will|does|do|do for|could|is|be|that|it|this|there|i|we|also|too|still|even|enough|work|works|fit|fits|suit|suits|suffice|go|goes|in|with|for|if|use|used|using|put|went|had|have|same|as well|good enough|what|same for|did)$/;

/** "Anything on hat 5?", "has the tip rib got any?" after a question that finds things. */
function isFinding({ form, slots }: Asked): (item: WordItem) => boolean {
  const finds = slots.act === undefined && !/^(why|plan|may-i|odd)/.test(form);
  return ({ word }) => finds && /^(any|anything|something|has|have|got|get|is|are|does|there)$/.test(word);
}

function renamed(slot: string, value: string, asked: Asked, form: FormSpec): Asked | null {
  if (!form.slots.some(({ name }) => name === slot)) return null;
  return { ...asked, slots: { ...asked.slots, [slot]: value } };
}

/** "And for a 5/32?": the size of that sort that was asked with, or the only one that the form takes. */
function measured(item: MeasureItem | RivetItem, asked: Asked, form: FormSpec): Asked | null {
  const [type, value] = item.kind === "rivet" ? ["rivet", item.code] : [item.measure.kind, item.measure.text];
  const sorts = type === "size" ? ["size", "drill"] : [type];
  const slots = form.slots.filter((slot) => sorts.includes(slot.type)).map(({ name }) => name);
  const used = slots.filter((name) => asked.slots[name] !== undefined);
  const [slot] = used.length > 0 ? used : slots;
  return slot === undefined || (used.length !== 1 && slots.length !== 1)
    ? null
    : { ...asked, slots: { ...asked.slots, [slot]: value } };
}

function worded(item: WordItem, asked: Asked, form: FormSpec, items: readonly Item[]): Asked | null {
  const { treatment: _treatment, orTreatment: _or, head: _head, not: _not, act: _act, ...rest } = asked.slots;
  const negated = items.some((other) => concepts(other).includes("not"));
  for (const { concept } of item.senses) {
    const slots = lexicon().concepts.get(concept)?.slots ?? {};
    for (const slot of ["treatment", "head", "act"]) {
      const value = slots[slot];
      const isAct = asked.slots.act !== undefined;
      if (value === undefined || (slot === "act") !== isAct || !form.slots.some(({ name }) => name === slot))
        continue;
      return { ...asked, slots: { ...rest, [slot]: value, ...(negated ? { not: "yes" } : {}) } };
    }
  }
  return null;
}

/** @param whole  a part is meant by itself, not its row that was asked about: "anything on rib 2?" */
function placed(
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

function place(where: Where, asked: Asked, form: FormSpec, names: NameIndex): Asked | null {
  const has = new Set(form.slots.map(({ name }) => name));
  const slots = whereSlots(where, has, names);
  if (!slots) return null;
  const rest = Object.fromEntries(
    Object.entries(asked.slots).filter(([slot]) => !PLACE_SLOTS.includes(slot) && slot !== "side"),
  );
  return { ...asked, slots: { ...rest, ...slots } };
}

/** Part, row and hole number that a place stands on. */
function standing(
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
function sameIn(row: string, numbers: readonly number[] | undefined, names: NameIndex): Where | null {
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

/** "The other side", "the other row": the opposite row of the same part. */
function otherSide(items: readonly Item[], before: Asked, names: NameIndex): Where | null {
  const other = items.some((item) => concepts(item).includes("other"));
  const small = items.every(
    (item) =>
      isSmall(item) || concepts(item).includes("other") || (item.kind === "word" && TURNED.has(item.word)),
  );
  if (!other || !small) return null;
  const { part, row, numbers } = standing(whereOf(before.slots), names);
  const own = names.rows.find((one) => one.row.id === row);
  if (!own || !part) return null;
  const opposites = [...own.words]
    .map((word) => lexicon().opposite(word))
    .filter((word) => word !== undefined);
  const rows = names.rows.filter(
    (one) => one.row.part === part && opposites.includes(one.row.row.toLowerCase()),
  );
  const [only] = rows;
  return rows.length === 1 && only ? sameIn(only.row.id, numbers, names) : null;
}
