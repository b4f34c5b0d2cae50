import { lexicon } from "../lexicon.js";
import type { Slots } from "../types.js";
import type { Asked } from "./clipped.js";
import type { Item, WordItem } from "./items.js";
import type { Setting } from "./match.js";
import { concepts, isPlaceItem, isWordItem } from "./meaning.js";
import { placed } from "./place-before.js";
import { filled } from "./slots.js";
import { PLACE_SLOTS, whereOf } from "./where.js";

/** What a clipped question turns to another thing by: "and …", "what about …", "the same for …", "no, …". */
export const MARKERS = new Set([
  "what-about",
  "same-for",
  "and",
  "instead",
  "no",
  "now",
  "then",
  "or",
  "beside",
]);

/** "Why?", "why is that?", "why not?", "how no?", "what's stopping me?" about what was asked before. */
export function whyOf(items: readonly Item[], before: Asked, { grammar }: Setting): Asked | null {
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
export function whenOf(items: readonly Item[], before: Asked, { grammar }: Setting): Asked | null {
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
