import { type FormSpec, takes } from "../form.js";
import { lexicon } from "../lexicon.js";
import { slotConflict } from "../slot-conflict.js";
import type { Slots } from "../types.js";
import type { Item, PlaceItem, WordItem } from "./items.js";
import type { Match, Mode, Setting } from "./match.js";
import { isNegation, isPlaceItem, isWord, means } from "./meaning.js";
import type { Atom, Element, Variant } from "./phrasing.js";
import { NOWHERE, type Place } from "./place.js";
import { senseOf } from "./sense.js";
import { PLACE_SLOTS, type Where, whereSlots } from "./where.js";

/** What has been read so far; `floats` are things named that no element has taken. */
interface State {
  readonly slots: Slots;
  readonly missing: readonly string[];
  readonly open: Match["open"];
  readonly pointing: boolean;
  readonly passed: number;
  readonly left: readonly Item[];
  readonly floats: readonly Item[];
}

const START: State = { slots: {}, missing: [], open: null, pointing: false, passed: 0, left: [], floats: [] };

/**
 * One phrasing held against one text, from left to right. Every item is taken by an element of the phrasing, or passed over
 * where it may be; things named that no element takes float, and fill the form's other slots at the end.
 */
export class Matcher {
  readonly #items: readonly Item[];
  readonly #variant: Variant;
  readonly #setting: Setting;
  readonly #mode: Mode;
  readonly #has: ReadonlySet<string>;
  readonly #also: ReadonlySet<string>;
  /** Where the text ends, small words after it ("please") left out. */
  readonly #end: number;
  /** Places (element, item) from which nothing more can be read, so that no phrasing is tried twice there. */
  readonly #dead = new Set<number>();

  constructor(items: readonly Item[], variant: Variant, setting: Setting, mode: Mode) {
    this.#items = items;
    this.#variant = variant;
    this.#setting = setting;
    this.#mode = mode;
    this.#has = new Set(variant.form.slots.map(({ name }) => name));
    this.#also = setting.grammar.also(variant.form.id);
    this.#end = items.findLastIndex((item) => item.kind !== "word" || item.weight !== "quiet") + 1;
  }

  /** The phrasing in its own order; null when the text does not say it so. */
  run(): Match | null {
    const state = this.#step(0, 0, { ...START, slots: this.#variant.fixed });
    return state && this.#finish(state);
  }

  /** The phrasing's words wherever they stand, each used once. */
  anyOrder(): Match | null {
    const { elements, fixed } = this.#variant;
    const place = (e: number, used: ReadonlySet<number>, state: State): State | null => {
      const element = elements[e];
      if (!element) return this.#passRest(used, state);
      for (let i = 0; i < this.#items.length; i++) {
        if (used.has(i)) continue;
        for (const taken of this.#take(element, i, state, this.#items.length)) {
          const rest = place(e + 1, new Set([...used, i]), taken.state);
          if (rest) return rest;
        }
      }
      return null;
    };
    const state = place(0, new Set(), { ...START, slots: fixed });
    return state && this.#finish(state);
  }

  #passRest(used: ReadonlySet<number>, state: State): State | null {
    let rest: State | null = state;
    for (const [i, item] of this.#items.entries()) if (rest && !used.has(i)) rest = this.#pass(item, i, rest);
    return rest;
  }

  #step(e: number, i: number, state: State): State | null {
    const key = e * this.#items.length + e + i;
    if (this.#dead.has(key)) return null;
    const found = this.#try(e, i, state);
    if (!found) this.#dead.add(key);
    return found;
  }

  #try(e: number, i: number, state: State): State | null {
    const element = this.#variant.elements[e];
    const item = this.#items[i];
    if (!item) {
      if (!element) return state;
      return this.#mode !== "whole" && this.#mayLack(element)
        ? this.#step(e + 1, i, lacking(state, element))
        : null;
    }
    if (element) {
      for (const taken of this.#take(element, i, state, this.#variant.elements.length - e - 1)) {
        const rest = this.#step(e + 1, taken.next, taken.state);
        if (rest) return rest;
      }
    }
    const passed = this.#pass(item, i, state);
    const skipped = passed && this.#step(e, i + 1, passed);
    if (skipped) return skipped;
    if (element && this.#mode !== "whole" && this.#mayLack(element))
      return this.#step(e + 1, i, lacking(state, element));
    return null;
  }

  /** A slot that the form needs may be missing, to be asked for; one that it can do without may not. */
  #mayLack(element: Element): boolean {
    const needed = neededBy(this.#variant.form);
    return isSlot(element) && element.every((atom) => atom.kind === "slot" && needed.has(atom.slot));
  }

  /** The state with an item passed over; null when it may not be. */
  #pass(item: Item, i: number, state: State): State | null {
    if (item.kind !== "word")
      return this.#isComparedWith(i) || isCondition(this.#items, i)
        ? null
        : { ...state, floats: [...state.floats, item] };
    const meant = item.senses.length > 0 && item.weight !== "quiet" ? 1 : 0;
    if (item.senses.some(({ concept }) => this.#also.has(concept)) || this.#also.has(item.word))
      return { ...state, passed: state.passed + meant };
    // "Tell me whether …" states nothing, so a statement has no such words to pass over.
    if (item.weight === "quiet" && !(this.#variant.form.statement && ASKING.test(item.word))) return state;
    if (item.weight === "light" && !this.#variant.form.statement)
      return { ...state, passed: state.passed + 1 };
    if (this.#mode === "near") return { ...state, left: [...state.left, item] };
    return null;
  }

  /** "Same as rib 3": what something is compared with, never what the question is about. */
  #isComparedWith(i: number): boolean {
    let at = i - 1;
    let before = this.#items[at];
    while (before?.kind === "word" && /^(the|a|an)$/.test(before.word)) before = this.#items[--at];
    if (before?.kind !== "word" || !/^(as|than|from|to|like|versus|vs)$/.test(before.word)) return false;
    const said = this.#items[at - 1];
    return said?.kind === "word" && said.senses.some(({ concept }) => COMPARING.has(concept));
  }

  *#take(element: Element, i: number, state: State, rest: number): Generator<{ next: number; state: State }> {
    const item = this.#items[i];
    if (!item) return;
    for (const atom of element) {
      if (atom.kind === "slot" && atom.slot === "topic") {
        const topic = this.#topic(i, this.#end - rest, atom);
        if (!topic) continue;
        const slots = { ...state.slots, topic: topic.text };
        // Of two ways to cut a topic off, the shorter topic has used more of the words.
        yield { next: topic.end, state: { ...state, slots, passed: state.passed + topic.telling / 100 } };
        continue;
      }
      const taken = this.#atom(atom, item, state);
      if (taken) yield { next: i + 1, state: taken };
    }
  }

  #atom(atom: Atom, item: Item, state: State): State | null {
    if (atom.kind === "concept")
      return item.kind === "word" && item.senses.some(({ concept }) => concept === atom.concept)
        ? state
        : null;
    if (atom.kind === "literal") return item.kind === "word" && item.word === atom.word ? state : null;
    switch (this.#typeOf(atom.slot)) {
      case "where":
      case "part":
      case "row":
      case "hole":
      case "holes":
      case "family":
      case "step":
        return this.#placed(atom, item, state);
      case "milestone":
        if (item.kind !== "milestone" || (atom.via === "told" && !item.told)) return null;
        if (item.not !== (atom.via === "not")) return null;
        return fill(state, atom.slot, item.id, atom.keep);
      case "notice":
        if (item.kind !== "notice") return null;
        return fill(state, atom.slot, item.id, atom.keep);
      case "neighbour":
        return item.kind === "neighbour" ? fill(state, atom.slot, item.id, atom.keep) : null;
      case "size":
        return item.kind === "measure" && item.measure.kind === "size" && !item.distance
          ? fill(state, atom.slot, item.measure.text, atom.keep)
          : null;
      case "drill":
        if (atom.via === "named" && (item.kind !== "measure" || item.measure.kind !== "drill")) return null;
        return item.kind === "measure" && item.measure.kind !== "percent" && !item.distance
          ? fill(state, atom.slot, item.measure.text, atom.keep)
          : null;
      case "percent":
        return item.kind === "measure" && item.measure.kind === "percent"
          ? fill(state, atom.slot, item.measure.text, atom.keep)
          : null;
      case "rivet":
        return item.kind === "rivet" ? fill(state, atom.slot, item.code, atom.keep) : null;
      case "flag":
        return means(item, "not", "no") ? fill(state, atom.slot, "yes", atom.keep) : null;
      default:
        return this.#worded(atom, item, state);
    }
  }

  /** What sort of thing a slot holds; a slot that the form does not have is called after its sort. */
  #typeOf(slot: string): string {
    return this.#variant.form.slots.find(({ name }) => name === slot)?.type ?? slot;
  }

  #worded(atom: Extract<Atom, { kind: "slot" }>, item: Item, state: State): State | null {
    if (item.kind !== "word") return null;
    for (const { concept, past } of item.senses) {
      // A slot of another name holds what its sort holds: the second of two treatments is a treatment.
      const value = lexicon().concepts.get(concept)?.slots[this.#typeOf(atom.slot)];
      if (value === undefined || (this.#variant.form.statement && !past && atom.via !== "any")) continue;
      const spec = this.#variant.form.slots.find(({ name }) => name === atom.slot);
      if (spec && !takes(spec, value)) continue;
      if (atom.slot === "gate" && !this.#setting.names.kit.prepGates.some(({ id }) => id === value)) continue;
      return fill(state, atom.slot, value, atom.keep);
    }
    return null;
  }

  #placed(atom: Extract<Atom, { kind: "slot" }>, item: Item, state: State): State | null {
    if (item.kind === "word") return item.pronoun ? this.#pointed(atom, state) : null;
    if (item.kind !== "place") return null;
    const { place } = item;
    if (place.kind === "known") return this.#where(atom, place.where, state);
    if (place.kind !== "open" || state.open !== null || !isPlaceSlot(atom.slot)) return null;
    const options = place.options.filter((where) => this.#where(atom, where, state) !== null);
    return options.length === 0 && place.options.length > 0
      ? null
      : { ...state, open: { ...place, options } };
  }

  #pointed(atom: Extract<Atom, { kind: "slot" }>, state: State): State | null {
    const { before } = this.#setting;
    // "Hole 3 on rib 4's top row, what do I do to it?": the text names the place itself.
    const own = state.floats.filter(isPlaceItem);
    const [named] = own;
    if (named && named.place.kind === "known" && own.length === 1) {
      const rest = state.floats.filter((item) => item !== named);
      return this.#where(atom, named.place.where, { ...state, floats: rest });
    }
    if (before) return this.#where(atom, before, state);
    return this.#mode === "whole" ? null : { ...lacking(state, [atom]), pointing: true };
  }

  #where(atom: Extract<Atom, { kind: "slot" }>, where: Where, state: State): State | null {
    const { names } = this.#setting;
    if (atom.via === "pair") {
      const [one, two] = where.kind === "parts" && where.ids.length === 2 ? where.ids : [];
      const first = one === undefined ? null : fill(state, "part", one, atom.keep);
      return first && two !== undefined ? fill(first, "other", two, atom.keep) : null;
    }
    if (atom.slot === "family" && !atom.keep) return this.#ownFamily(where, state);
    if (atom.slot === "where") {
      // A statement about a whole part is about holes, and says which.
      const has = atom.via === "holes" ? HOLES_ONLY : this.#has;
      const slots = whereSlots(where, has, names);
      if (!slots || PLACE_SLOTS.some((slot) => state.slots[slot] !== undefined)) return null;
      return { ...state, slots: { ...state.slots, ...slots } };
    }
    if (atom.slot === "holes") {
      if (where.kind !== "holes" && where.kind !== "rows") return null;
      const slots = whereSlots(where, new Set(["holes"]), names);
      return slots && { ...state, slots: { ...state.slots, ...slots } };
    }
    if (where.kind !== this.#typeOf(atom.slot) || !("id" in where)) return null;
    return fill(state, atom.slot, where.id, atom.keep);
  }

  /** "Rib 4 … the other ribs": a family that is named beside one of its members adds nothing. */
  #ownFamily(where: Where, state: State): State | null {
    if (where.kind !== "family") return null;
    const part = state.slots.part;
    const family = this.#setting.names.assembly.families.find(({ id }) => id === where.id);
    return part !== undefined && family?.members.includes(part) ? state : null;
  }

  /** Words from an item on that make a topic; they run to the end, or to the phrasing's last words. */
  #topic(
    from: number,
    to: number,
    atom: Extract<Atom, { kind: "slot" }>,
  ): { end: number; text: string; telling: number } | null {
    const run = this.#items.slice(from, to);
    const telling = run.filter(
      (item) => item.kind !== "word" || item.weight === "content" || item.senses.length > 0,
    );
    if (telling.length === 0) return null;
    // "Not been deburred" is no topic: what is not so is asked of the work, not of the notes.
    if (run.some((item) => item.kind === "word" && item.senses.some(isNegation))) return null;
    // "Which rivets are set" is asked of the work, and who signs is asked of the inspector.
    const how = this.#items.findIndex(
      (item) => item.kind === "word" && item.senses.some(({ concept }) => /^how(-to)?$/.test(concept)),
    );
    const asked = how < 0 || how > from ? run : this.#items.slice(how, to);
    if (asked.some((item) => item.kind === "word" && NO_TOPIC.test(item.word))) return null;
    // "Something about rib 1 that I should leave undone": a clause about a place is no topic.
    if (run.some(isPlaceItem) && run.some((item) => item.kind === "word" && /^(i|we)$/.test(item.word)))
      return null;
    if (atom.via === "thing" && telling[0]?.kind === "word" && isParticiple(telling[0])) return null;
    if (atom.via !== null) {
      const words = telling.flatMap((item) => (item.kind === "word" ? item.word.split(" ") : []));
      if (telling.some(({ kind }) => kind !== "word") || !this.#setting.inNotes(words)) return null;
    }
    const [first, last] = [telling[0], telling.at(-1)].map((item) => (item ? run.indexOf(item) : 0));
    const words = run
      .slice(first, (last ?? 0) + 1)
      .map((item) => (item.kind === "word" ? item.word : item.text));
    return { end: to, text: words.join(" "), telling: telling.length };
  }

  /** Named things that the phrasing left out fill the form's slots for them, or the match fails. */
  #finish(state: State): Match | null {
    const { form } = this.#variant;
    if (form.statement && state.floats.length > 0) return null;
    let { slots, open } = state;
    const left: Item[] = [...state.left];
    for (const item of state.floats) {
      const filled = this.#float(item, slots, open);
      if (filled) ({ slots, open } = filled);
      else if (this.#mode === "near") left.push(item);
      else return null;
    }
    const pointsAt = this.#items.some((item) => item.kind === "word" && item.points);
    let pointing = state.pointing;
    const takesPlace = PLACE_SLOTS.some((slot) => this.#has.has(slot));
    const hasPlace =
      PLACE_SLOTS.some((slot) => slots[slot] !== undefined) ||
      form.slots.some(({ name, type }) => type === "part" && slots[name] !== undefined) ||
      open !== null ||
      state.floats.some(isAll);
    if (pointsAt && takesPlace && !hasPlace && !pointing) {
      const before = this.#setting.before && whereSlots(this.#setting.before, this.#has, this.#setting.names);
      if (before) slots = { ...slots, ...before };
      else if (!state.slots.topic && !state.slots.milestone && !state.slots.notice && !state.slots.neighbour)
        pointing = true;
    }
    slots = { ...slots, ...senseOf(this.#items, form, this.#variant.fixed) };
    const conflict = slotConflict(form, slots, this.#setting.names.assembly);
    if (conflict && (conflict.code !== "alone" || this.#mode === "whole")) return null;
    const missing = new Set(state.missing.filter((slot) => slots[slot] === undefined));
    // "Rib 3 is unfinished": a place that is named is not asked for.
    const isPlaced = PLACE_SLOTS.some((slot) => slots[slot] !== undefined);
    if (isPlaced && [...missing].some((slot) => PLACE_SLOTS.includes(slot))) return null;
    if (conflict) missing.add(conflict.with[0] ?? "");
    for (const { name, required } of form.slots)
      if (required && slots[name] === undefined && !open) missing.add(name);
    for (const group of form.oneOf) {
      if (
        !group.some((slot) => slots[slot] !== undefined || missing.has(slot)) &&
        !(open && group.some((slot) => PLACE_SLOTS.includes(slot)))
      )
        missing.add(group[0] ?? "");
    }
    if (this.#mode === "whole" && (missing.size > 0 || open !== null || pointing)) return null;
    return { form, slots, missing: [...missing], open, pointing, passed: state.passed, left };
  }

  #float(item: Item, slots: Slots, open: Match["open"]): { slots: Slots; open: Match["open"] } | null {
    if (item.kind === "milestone" || item.kind === "notice" || item.kind === "neighbour") {
      if (item.kind === "milestone" && (item.not || (item.told && this.#isToCome()))) return null;
      if (!this.#has.has(item.kind) || slots[item.kind] !== undefined) return null;
      return { slots: { ...slots, [item.kind]: item.id }, open };
    }
    if (item.kind !== "place") return null;
    return this.#isAssembly(item) ? { slots, open } : this.#floatPlace(item, slots, open);
  }

  /** "The latch is rigged, what stays open?": what it is open until, or what is left open after? */
  #isToCome(): boolean {
    return this.#variant.form.slots.some(({ type, toCome }) => type === "milestone" && toCome);
  }

  /** "Do I turn the frame over": the assembly by a word of its name, though parts are called so too, where the form takes no place. */
  #isAssembly({ text, place }: PlaceItem): boolean {
    if (place.kind !== "open" || PLACE_SLOTS.some((slot) => this.#has.has(slot))) return false;
    const { name, nicknames } = this.#setting.names.assembly;
    return [name, ...nicknames].some((one) => one.toLowerCase().split(/[ -]/).includes(text.toLowerCase()));
  }

  #floatPlace(
    { place }: PlaceItem,
    slots: Slots,
    open: Match["open"],
  ): { slots: Slots; open: Match["open"] } | null {
    if (place.kind === "side") {
      if (!this.#has.has("side") || slots.side !== undefined) return null;
      return { slots: { ...slots, side: place.view }, open };
    }
    if (place.kind === "known" && place.where.kind === "all") return { slots, open };
    if (PLACE_SLOTS.some((slot) => slots[slot] !== undefined) || open) return null;
    if (place.kind === "open")
      return PLACE_SLOTS.some((slot) => this.#has.has(slot)) ? { slots, open: place } : null;
    if (place.kind !== "known") return null;
    if (place.where.kind === "part" && !this.#has.has("part"))
      return { slots, open: this.#rowsOf(place.where.id) };
    const filled = whereSlots(place.where, this.#has, this.#setting.names);
    return filled && { slots: { ...slots, ...filled }, open };
  }

  /** "A hole on rib 3", where a form takes holes but no part: one of its rows, and the text does not say which. */
  #rowsOf(part: string): Extract<Place, { kind: "open" }> {
    const rows = this.#setting.names.rows.filter(({ row }) => row.part === part);
    const options = rows.map(({ row }): Where => ({ kind: "row", id: row.id }));
    return { kind: "open", need: "row", options, spot: NOWHERE };
  }
}

const needs = new WeakMap<FormSpec, ReadonlySet<string>>();

/** Slots that a form cannot do without, or needs one of. */
function neededBy(form: FormSpec): ReadonlySet<string> {
  const known = needs.get(form);
  if (known) return known;
  const required = form.slots.filter((slot) => slot.required).map(({ name }) => name);
  const made: ReadonlySet<string> = new Set([...required, ...form.oneOf.flat(), "where"]);
  needs.set(form, made);
  return made;
}

const NO_TOPIC = /^(which|sign|signs|signed|signing)$/;

/** "dimpled", "set": what is done to something, not a thing itself. */
function isParticiple({ word, senses }: WordItem): boolean {
  return !word.includes(" ") && senses.some(({ past }) => past) && /(ed|unk|set|shot|en)$/.test(word);
}

/** Fixed phrases, and the word that starts an indirect question; not those that only open a statement or round it off. */
const ASKING = {
  test: (word: string): boolean => word === "whether" || (word.includes(" ") && !STATING.has(word)),
};

const STATING: ReadonlySet<string> = new Set(
  (
    "at last, at long last, oh dear, oh no, uh oh, as well, for me, for us, between us, for what it is worth, hand on heart, of course, " +
    "thank you, by the way, right then, well then, so then, ok then, okay then, ok so, okay so, right so, to be honest, in fact, " +
    "good morning, good evening, good afternoon, if you do not mind, if you please, as it happens, as i said, all over"
  ).split(", "),
);

const COMPARING: ReadonlySet<string> = new Set(["odd", "same", "compare"]);

const HOLES_ONLY: ReadonlySet<string> = new Set(["hole", "holes", "row"]);

/** "Before the servo mount", "with the top skin on": when something is asked about, never what it is asked about. */
export function isCondition(items: readonly Item[], i: number): boolean {
  const item = items[i];
  if (item?.kind !== "place" || item.place.kind !== "known" || isAll(item)) return false;
  let at = i - 1;
  while (isArticle(items[at])) at--;
  if (means(items[at], "before", "after")) return true;
  return isWord(items[at], /^with$/) && isWord(items[i + 1], /^(on|off|in|out|closed|fitted|riveted)$/);
}

function isArticle(item: Item | undefined): boolean {
  return isWord(item, /^(the|a|an|my)$/);
}

function isAll(item: Item): boolean {
  return item.kind === "place" && item.place.kind === "known" && item.place.where.kind === "all";
}

function isPlaceSlot(slot: string): boolean {
  return slot === "where" || PLACE_SLOTS.includes(slot);
}

/** Whether an element is only a thing to be named, no word that says what is asked. */
export function isSlot(element: Element): boolean {
  return element.every((atom) => atom.kind === "slot" && atom.keep && atom.slot !== "not");
}

function lacking(state: State, element: Element): State {
  const [atom] = element;
  if (atom?.kind !== "slot") return state;
  const slot = atom.slot === "where" ? "hole" : atom.slot;
  return { ...state, missing: [...state.missing, slot] };
}

function fill(state: State, slot: string, value: string, keep: boolean): State | null {
  if (!keep) return state;
  const own = state.slots[slot];
  if (own !== undefined && own !== value) return null;
  return { ...state, slots: { ...state.slots, [slot]: value } };
}
