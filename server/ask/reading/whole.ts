import { carriedIn, withoutCounts, withoutSame } from "./carried.js";
import { lackingSlots } from "./choices.js";
import { type Asked, clipped } from "./clipped.js";
import { whyElsewhere } from "./clipped-why.js";
import { withoutContrast } from "./contrast.js";
import { withExceptions } from "./exceptions.js";
import { howManyOf, measureOf, ofThoseOf } from "./follow-up.js";
import { type Item, itemsOf } from "./items.js";
import { type Match, matches, type Setting } from "./match.js";
import { means } from "./meaning.js";
import type { Token } from "./tokens.js";
import { opensQuestion } from "./words.js";

/** What a text is read against: the setting, and the reading before it. */
export interface Standing {
  readonly setting: Setting;
  readonly before: Asked | null;
}

/** What tokens say, as it is matched: an opening "and" says only that it goes on, a lone step id is a step. */
export function said(typed: readonly Token[], { setting, before }: Standing): readonly Item[] {
  const { names } = setting;
  const tokens = withoutTopicFirst(typed);
  const told = itemsOf(before ? withoutSame(tokens) : tokens, names);
  const carried = withoutCounts(carriedIn(told, setting.before, names), names);
  const items = withoutContrast(withExceptions(carried, names));
  return withoutOpening(withoutTurning(before ? items : items.map(settledStep)));
}

/** "What about the top skin, can that go on?": what it is about comes first, and the question says "that" for it. */
function withoutTopicFirst(tokens: readonly Token[]): readonly Token[] {
  const [first, second] = tokens;
  if (!/^(what|how)$/.test(first?.word ?? "") || second?.word !== "about") return tokens;
  const end = tokens.findIndex(({ after }) => /[,;:?-]/.test(after));
  const verb = tokens[end + 1]?.word ?? "";
  const that = tokens.findIndex(({ word }, at) => at > end + 1 && /^(that|it|they|those|these)$/.test(word));
  if (end < 2 || that < 0 || !opensQuestion(verb)) return tokens;
  return tokens.flatMap((token, at) => {
    if (at < 2 || (at === that + 1 && token.word === "one")) return [];
    return at === that && token.word === "that" ? [{ ...token, word: "it" }] : [token];
  });
}

/** The readings that use every telling word, those that pass over the fewest light ones. */
export function wholly(items: readonly Item[], setting: Setting): readonly Match[] {
  return closest(matches(items, setting, "whole"));
}

/** The one whole reading of some items, or what they say after the reading before; null when there is none or more than one. */
export function onlyReading(items: readonly Item[], { setting, before }: Standing): Asked | null {
  const elsewhere = before && beforeWhole(items, before, setting);
  if (elsewhere) return elsewhere;
  const [whole, another] = wholly(items, setting);
  if (whole) return another ? null : askedOf(whole);
  if (!before || items.some((item) => item.kind === "place" && item.place.kind === "unknown")) return null;
  const follow = clipped(items, before, setting);
  const form = follow && setting.grammar.forms.find(({ id }) => id === follow.form);
  return follow && form && lackingSlots(form, follow.slots).length === 0 ? follow : null;
}

/** What a text says of the reading before it, though its words would make a question of their own. */
export function beforeWhole(items: readonly Item[], before: Asked, setting: Setting): Asked | null {
  return (
    whyElsewhere(items, before, setting) ??
    howManyOf(items, before, setting) ??
    measureOf(items, before, setting) ??
    ofThoseOf(items, before)
  );
}

/** A match without how it came about. */
export function askedOf({ form, slots }: Match): Asked {
  return { form: form.id, slots };
}

/** The readings that pass over the fewest words, each once. */
export function closest(found: readonly Match[]): readonly Match[] {
  const least = Math.min(...found.map(({ passed }) => passed));
  const seen = new Set<string>();
  const close = found.filter((match) => {
    const key = keyOf(match);
    if (match.passed > least || seen.has(key)) return false;
    seen.add(key);
    return true;
  });
  return close.filter((match) => !close.some((other) => saysMore(other, match)));
}

/** Of two readings that pass over as much, one that fills the other's slots and more has used more of the words. */
function saysMore(one: Match, other: Match): boolean {
  const slots = Object.entries(other.slots);
  return (
    one.form === other.form &&
    one.open === other.open &&
    Object.keys(one.slots).length > slots.length &&
    slots.every(([name, value]) => JSON.stringify(one.slots[name]) === JSON.stringify(value))
  );
}

function keyOf({ form, slots, open }: Match): string {
  const sorted = Object.entries(slots).sort(([a], [b]) => (a < b ? -1 : 1));
  return JSON.stringify([form.id, sorted, open !== null]);
}

/** "For 6-5": a step's id alone is the step where nothing was asked before that the numbers could belong to. */
function settledStep(item: Item): Item {
  if (item.kind !== "place" || item.place.kind !== "open" || item.place.need !== "step") return item;
  const [only] = item.place.options;
  return item.place.options.length === 1 && only ? { ...item, place: { kind: "known", where: only } } : item;
}

/**
 * "And what do I set …": the opening word says only that it goes on from the answer before. "All but rib 4 are set"
 * says the opposite without it.
 */
function withoutOpening(items: readonly Item[]): readonly Item[] {
  const at = items.findIndex((item) => item.kind !== "word" || item.weight !== "quiet");
  if (items.slice(0, at).some((item) => item.kind === "word" && OF_ALL.test(item.word))) return items;
  const first = items[at];
  const rest = items.slice(at + 1);
  const opens = first?.kind === "word" && /^(and|but)$/.test(first.word);
  return opens && rest.some((item) => item.kind === "word" && item.weight !== "quiet") ? rest : items;
}

/** "And on hat 2, what would be the next thing?": what turns to a place adds nothing where a whole question follows it. */
function withoutTurning(items: readonly Item[]): readonly Item[] {
  const [first, place, ...rest] = items.filter((item) => item.kind !== "word" || item.weight !== "quiet");
  const turns = means(first, "what-about");
  const asks = rest.some((item) => item.kind === "word" && opensQuestion(item.word));
  return turns && place?.kind === "place" && asks ? items.filter((item) => item !== first) : items;
}

/** What follows these with "but" is left out of them. */
const OF_ALL = /^(all|altogether|both|each|every|any|anything|everything|nothing|none|no)$/;
