import type { FormSpec } from "../form.js";
import type { Slots } from "../types.js";
import type { Item, WordItem } from "./items.js";
import { isSlot, Matcher } from "./matcher.js";
import type { NameIndex } from "./names.js";
import { type Grammar, keyOf } from "./phrasing.js";
import type { Place } from "./place.js";
import type { Where } from "./where.js";

/** What a form would be asked, as far as the words go. */
export interface Match {
  readonly form: FormSpec;
  readonly slots: Slots;
  /** Slots that the phrasing needs and the text does not fill. */
  readonly missing: readonly string[];
  /** A place that could be one of several. */
  readonly open: Extract<Place, { kind: "open" }> | null;
  /** A word stands for a place that was named before ("it"), and nothing says which. */
  readonly pointing: boolean;
  /** Light words passed over that mean something elsewhere; the lower, the closer. */
  readonly passed: number;
  /** Items that nothing in the phrasing used; empty when the text was read whole. */
  readonly left: readonly Item[];
}

/** What matching needs beside the text. */
export interface Setting {
  readonly grammar: Grammar;
  readonly names: NameIndex;
  /** Place that "it" and "there" stand for, from the reading before; null when there is none. */
  readonly before: Where | null;
  /** Whether the notes have something on all of these words. */
  readonly inNotes: (words: readonly string[]) => boolean;
  /** The text ends in a question mark: it states nothing. */
  readonly asks: boolean;
}

/** Whether a reading states something and asks nothing. */
export function isStatement({ form }: { readonly form: string }, { grammar }: Setting): boolean {
  return grammar.forms.some(({ id, statement }) => id === form && statement);
}

/** How much may stay unread: nothing; missing slots; or words too, to find what may have been meant. */
export type Mode = "whole" | "missing" | "near";

/** Every way in which the text says one of the forms. */
export function matches(items: readonly Item[], setting: Setting, mode: Mode): readonly Match[] {
  const keys = keysOf(items);
  const barred = barredBy(items, setting);
  return setting.grammar.within(keys).flatMap((variant) => {
    if (barred.has(variant.form)) return [];
    if (variant.form.statement && (setting.asks || mode === "near")) return [];
    if (variant.asks && !setting.asks && mode !== "near") return [];
    if (mode !== "whole" && variant.elements.every(isSlot)) return [];
    if (!variant.needs.every((some) => some.some((key) => keys.has(key)))) return [];
    const found = new Matcher(items, variant, setting, mode).run();
    return found ? [found] : [];
  });
}

/** The forms that the text cannot ask, because it holds one of their bars: "what now" is no question of progress. */
export function barredBy(items: readonly Item[], { grammar }: Setting): ReadonlySet<FormSpec> {
  const words = plainWords(items);
  const text = ` ${words.join(" ")} `;
  const says = (saying: string): boolean =>
    saying.includes(" ") ? text.includes(` ${saying} `) : words.includes(saying);
  return new Set(grammar.forms.filter(({ bars = [] }) => bars.some(says)));
}

/** The words of a text, those of fixed phrases too, and a dash for each thing named; "the" before a place is part of it. */
function plainWords(items: readonly Item[]): readonly string[] {
  return items.flatMap((item, at) => {
    if (item.kind !== "word") return ["-"];
    return /^(the|my|its)$/.test(item.word) && items[at + 1]?.kind === "place" ? [] : [item.word];
  });
}

/** Concepts and words that the text holds, to pass by most phrasings at once. */
export function keysOf(items: readonly Item[]): ReadonlySet<string> {
  const keys = new Set<string>();
  for (const item of items) {
    if (item.kind !== "word") continue;
    keys.add(keyOf("literal", item.word));
    for (const { concept } of item.senses) keys.add(keyOf("concept", concept));
  }
  return keys;
}

/** A word of the text that no name, phrase or sense explains. */
export function isUnknownWord(item: Item): item is WordItem {
  return item.kind === "word" && item.weight === "content" && item.senses.length === 0;
}

/** The words of an item, those of a fixed phrase one by one. */
export function wordsIn(item: Item): readonly string[] {
  return (item.kind === "word" ? item.word : item.text.toLowerCase()).split(" ");
}
