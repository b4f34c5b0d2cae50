import lunr from "lunr";
import { type FormSpec, takes } from "../form.js";
import { lexicon } from "../lexicon.js";
import { slotConflict } from "../slot-conflict.js";
import type { Slots } from "../types.js";
import { lackingSlots } from "./choices.js";
import type { Asked } from "./clipped.js";
import type { Item } from "./items.js";
import type { Setting } from "./match.js";
import { isNegation } from "./meaning.js";
import type { NameIndex } from "./names.js";
import type { Grammar } from "./phrasing.js";
import { whereSlots } from "./where.js";

/**
 * What may have been meant by a text that no phrasing reads, likeliest first, one a form: forms ranked by the words
 * that their phrasings share with it, slots filled with what it names. Only ever offered, never answered.
 */
export function likely(items: readonly Item[], { grammar, names, asks }: Setting): readonly Asked[] {
  const { index, often } = phrasingsOf(grammar);
  const terms = [...new Set(items.flatMap(termsOf))]
    .filter((term) => often.has(term))
    .sort((a, b) => (often.get(a) ?? 0) - (often.get(b) ?? 0))
    .slice(0, MOST_TERMS);
  if (terms.length === 0) return [];
  const hits = index.query((query) => {
    for (const term of terms) query.term(term, {});
  });
  const ranked = [...new Set(hits.map(({ ref }) => ref.slice(0, ref.indexOf(" "))))];
  return ranked.flatMap((id) => {
    const form = grammar.forms.find((one) => one.id === id);
    if (!form || (form.statement && asks)) return [];
    const slots = slotsFrom(items, form, names);
    return slots && lackingSlots(form, slots).length === 0 && !slotConflict(form, slots, names.assembly)
      ? [{ form: form.id, slots }]
      : [];
  });
}

/** Of a long text the words that fewest phrasings have are looked up: they tell most, and are looked up soonest. */
const MOST_TERMS = 10;

/** The phrasings of a grammar, and how many of them have each word. */
export interface Phrasings {
  readonly index: lunr.Index;
  readonly often: ReadonlyMap<string, number>;
}

const indexes = new WeakMap<Grammar, Phrasings>();

/** The phrasings of a grammar to rank by, made once: a few hundred milliseconds, better spent before the first question. */
export function phrasingsOf(grammar: Grammar): Phrasings {
  const made = indexes.get(grammar) ?? indexOf(grammar);
  indexes.set(grammar, made);
  return made;
}

/** One document a phrasing, its words as they are matched: concepts, words and sorts of things named. */
function indexOf({ variants }: Grammar): Phrasings {
  const builder = new lunr.Builder();
  builder.ref("id");
  builder.field("terms");
  const seen = new Set<string>();
  const often = new Map<string, number>();
  for (const { form, elements } of variants) {
    const terms = elements.flatMap((element) =>
      element.flatMap((atom) =>
        atom.kind === "concept"
          ? [conceptTerm(atom.concept)]
          : atom.kind === "literal"
            ? [wordTerm(atom.word)]
            : [sortTerm(form.slots.find(({ name }) => name === atom.slot)?.type ?? atom.slot)],
      ),
    );
    const key = `${form.id} ${[...new Set(terms)].sort().join(" ")}`;
    if (seen.has(key)) continue;
    seen.add(key);
    for (const term of new Set(terms)) often.set(term, (often.get(term) ?? 0) + 1);
    builder.add({ id: `${form.id} ${seen.size}`, terms: terms.join(" ") });
  }
  return { index: builder.build(), often };
}

function conceptTerm(concept: string): string {
  return `c${concept.replaceAll("-", "")}`;
}

function wordTerm(word: string): string {
  return `w${word.replace(/[^\p{L}\p{N}]/gu, "")}`;
}

const PLACES: ReadonlySet<string> = new Set("where part row hole holes family step".split(" "));

function sortTerm(type: string): string {
  return `s${PLACES.has(type) ? "where" : type === "size" || type === "drill" ? "size" : type}`;
}

function termsOf(item: Item): readonly string[] {
  switch (item.kind) {
    case "word":
      return [wordTerm(item.word), ...item.senses.flatMap(({ concept }) => senseTerms(concept))];
    case "place":
      return [sortTerm("where")];
    case "measure":
      return [sortTerm(item.measure.kind)];
    case "milestone":
    case "notice":
    case "neighbour":
    case "rivet":
      return [sortTerm(item.kind)];
  }
}

/** A concept, and the sorts of slots that it fills. */
function senseTerms(concept: string): readonly string[] {
  return [
    conceptTerm(concept),
    ...Object.keys(lexicon().concepts.get(concept)?.slots ?? {}).map((type) => sortTerm(type)),
  ];
}

/** The form's slots filled with what the items name; null when two places are named, or one that is not certain. */
function slotsFrom(items: readonly Item[], form: FormSpec, names: NameIndex): Slots | null {
  const has = new Set(form.slots.map(({ name }) => name));
  const ofType = (type: string): string | undefined => form.slots.find((slot) => slot.type === type)?.name;
  const places = items.filter((item) => item.kind === "place");
  const [place] = places;
  if (places.length > 1 || (place && place.place.kind !== "known")) return null;
  const where = place?.place.kind === "known" ? place.place.where : null;
  const placed = where && where.kind !== "all" ? whereSlots(where, has, names) : {};
  if (!placed) return null;
  const slots: Record<string, Slots[string]> = { ...placed };
  const fill = (name: string | undefined, value: string): void => {
    const slot = form.slots.find((one) => one.name === name);
    if (slot && slots[slot.name] === undefined && takes(slot, value)) slots[slot.name] = value;
  };
  for (const item of items) {
    if (item.kind === "word")
      for (const { concept } of item.senses)
        for (const [type, value] of Object.entries(lexicon().concepts.get(concept)?.slots ?? {}))
          fill(ofType(type), value);
    else if (item.kind === "milestone" || item.kind === "notice" || item.kind === "neighbour")
      fill(ofType(item.kind), item.id);
    else if (item.kind === "rivet") fill(ofType("rivet"), item.code);
    else if (item.kind === "measure") {
      const { kind, text } = item.measure;
      fill(ofType(kind) ?? (kind === "size" ? ofType("drill") : undefined), text);
    }
  }
  return withFlags(items, form, slots);
}

/** "Not" where it says something of a treatment or a head; the marks of a statement. */
function withFlags(items: readonly Item[], form: FormSpec, slots: Slots): Slots {
  const negated = items.some((item) => item.kind === "word" && item.senses.some(isNegation));
  const has = (name: string): boolean => form.slots.some((slot) => slot.name === name);
  const said = { ...slots };
  if (negated && has("not") && (slots.treatment || slots.head)) return { ...said, not: "yes" };
  if (form.statement && slots.gate !== undefined && has("done"))
    return { ...without(said, "state"), done: negated ? "no" : "yes" };
  if (form.statement && slots.milestone !== undefined && has("reached"))
    return { ...without(said, "state"), reached: negated ? "no" : "yes" };
  return said;
}

function without(slots: Slots, name: string): Slots {
  return Object.fromEntries(Object.entries(slots).filter(([slot]) => slot !== name));
}
