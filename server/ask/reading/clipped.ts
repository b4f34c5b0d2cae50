import type { FormSpec } from "../form.js";
import { lexicon } from "../lexicon.js";
import type { Slots } from "../types.js";
import { MARKERS, whenOf, whyOf } from "./clipped-why.js";
import { howManyOf, isPlaceless, onwardOf, restOf, withMilestone, withNumbers } from "./follow-up.js";
import type { Item, MeasureItem, RivetItem, WordItem } from "./items.js";
import type { Setting } from "./match.js";
import { concepts } from "./meaning.js";
import type { NameIndex } from "./names.js";
import { place, placed, sameIn, standing } from "./place-before.js";
import { type Where, whereOf } from "./where.js";

/** A form and its slots, before it is checked or said. */
export interface Asked {
  readonly form: string;
  readonly slots: Slots;
}

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
    if (own.includes("only") && before.form === "before-closing") return false;
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
