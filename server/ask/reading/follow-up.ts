import { finder } from "../../kit/find.js";
import type { Asked } from "./clipped.js";
import type { Item, WordItem } from "./items.js";
import { isStatement, type Setting } from "./match.js";
import { concepts, isAct, isPlaceItem, isWordItem, means } from "./meaning.js";
import { type NameIndex, stemOf } from "./names.js";
import { filled } from "./slots.js";
import { PLACE_SLOTS, type Where, whereOf, whereSlots } from "./where.js";

function wordsOnly(items: readonly Item[]): readonly WordItem[] | null {
  const words = items.filter(isWordItem);
  return words.length === items.length ? words : null;
}

function isSmall({ weight }: WordItem): boolean {
  return weight !== "content";
}

/** "And which are not?", "any that don't get that?": the rest of what was asked for; "and which are?" turns it back. */
export function restOf(items: readonly Item[], before: Asked, { grammar }: Setting): Asked | null {
  const words = wordsOnly(items);
  const form = grammar.forms.find(({ id }) => id === before.form);
  if (!words || !form?.slots.some(({ name, type }) => name === "not" && type === "flag")) return null;
  const { treatment, head, not, orTreatment } = before.slots;
  if ((treatment === undefined && head === undefined) || orTreatment !== undefined) return null;
  const negations = words.filter((item) => concepts(item).includes("not")).length;
  const picks = words.some((item) => OF_REST.test(item.word) || means(item, "what"));
  if (!picks || negations > 1 || (negations === 1) === (not === "yes")) return null;
  if (!words.every((item) => isSmall(item) || isBesideRest(item))) return null;
  const { not: _not, ...rest } = before.slots;
  return { ...before, slots: not === "yes" ? rest : { ...rest, not: "yes" } };
}

const OF_REST = /^(any|some|ones|those)$/;

function isBesideRest(item: WordItem): boolean {
  const own = concepts(item);
  return (
    OF_REST.test(item.word) ||
    own.some((one) => /^(not|and|but|or|what|hole|row|any|then|now|where)$/.test(one))
  );
}

/** "And how many of them?" after the rivets of a place; "how many are left?" counts those still to set. */
export function howManyOf(items: readonly Item[], before: Asked, { grammar, names }: Setting): Asked | null {
  const words = wordsOnly(items);
  const form = grammar.forms.find(({ id }) => id === COUNT);
  if (!words || !form || !COUNTED.has(before.form)) return null;
  const how = words.findIndex(({ word }) => word === "how");
  if (how < 0 || words[how + 1]?.word !== "many") return null;
  const others = words.filter((_, at) => at !== how && at !== how + 1);
  const left = others.filter(({ word }) => LEFT.test(word));
  if (
    !others.every(
      (item) => isSmall(item) || LEFT.test(item.word) || BESIDE_COUNT.test(item.word) || isCounted(item),
    )
  )
    return null;
  // "How many are in?" is asked of the work.
  if (/\b(is|are|has|have) (now |already )?in\b/.test(others.map(({ word }) => word).join(" "))) return null;
  // "How many of them are set" is asked of the work.
  if (left.length === 0 && others.some((item) => concepts(item).includes("set"))) return null;
  const { rivet, head, size, treatment, not, drill } = before.slots;
  if (treatment !== undefined || not !== undefined || drill !== undefined) return null;
  const where = whereOf(before.slots);
  const place = where && whereSlots(where, new Set(form.slots.map(({ name }) => name)), names);
  if (!place && rivet === undefined) return null;
  const slots = {
    ...place,
    rivet,
    head,
    size: rivet === undefined ? size : undefined,
    left: left.length > 0 ? "yes" : undefined,
  };
  return { form: COUNT, slots: filled(slots) };
}

/** "By how much?", "how close?" after whether it clears: the same place, put so that the measure answers it. */
export function measureOf(items: readonly Item[], before: Asked, { grammar }: Setting): Asked | null {
  const words = wordsOnly(items);
  const form = grammar.forms.find(({ id }) => id === before.form);
  if (!words || !MEASURING.has(before.form) || form?.slots.some(({ type }) => type === "sense") !== true)
    return null;
  const text = words
    .map(({ word }) => word)
    .filter((word) => !/^(and|so|but|then|exactly|about|roughly|please)$/.test(word))
    .join(" ");
  return MEASURE.test(text) ? { ...before, slots: { ...before.slots, sense: "open" } } : null;
}

const MEASURING: ReadonlySet<string> = new Set(["clearance", "edge"]);
const MEASURE =
  /^(by )?how (much|far|close|near|tight|little)( (is it|does it|is there|to spare|room|off|short|over))*$/;

/** "Of which flush?", "how many of those domed?" after how many rivets: the same count, of that head. */
export function ofThoseOf(items: readonly Item[], before: Asked): Asked | null {
  const words = wordsOnly(items);
  const text = words?.map(({ word }) => word).join(" ") ?? "";
  if (before.form !== COUNT || !/\bof (which|those|them|these)\b/.test(text)) return null;
  const heads = (words ?? []).filter((item) => concepts(item).some((one) => HEADS.has(one)));
  const [head, another] = heads;
  if (
    !head ||
    another ||
    words?.some((item) => item !== head && !isSmall(item) && !/^(how|many)$/.test(item.word))
  )
    return null;
  const [value] = concepts(head).filter((one) => HEADS.has(one));
  return value === undefined ? null : { ...before, slots: { ...before.slots, head: value } };
}

const HEADS: ReadonlySet<string> = new Set(["flush", "protruding"]);

const COUNT = "count";
/** What was asked before that has a number of rivets. */
const COUNTED: ReadonlySet<string> = new Set(["fastener", "count"]);
const LEFT = /^(left|remain|remaining|remains|more|still|outstanding)$/;
const BESIDE_COUNT =
  /^(and|but|or|need|needed|want|take|takes|in|go|goes|is|there|total|altogether|fetch|use|set|must|should|then|rivet|rivets)$/;

function isCounted(item: WordItem): boolean {
  return concepts(item).some((one) => /^(hole|must|use|go|fetch|want)$/.test(one));
}

/**
 * "Can I go on with 6 to 8?" after holes of a row were set, pinned or asked about: the same act on those holes of the row.
 * @param asks  only where it asks whether that may be done; "carry on with rib 4" does not say so
 */
export function onwardOf(items: readonly Item[], before: Asked, setting: Setting, asks = true): Asked | null {
  const act = before.slots.act ?? ONWARD[String(before.slots.state)];
  const form = setting.grammar.forms.find(({ id }) => id === MAY);
  if (!form || typeof act !== "string" || (before.form !== MAY && !isStatement(before, setting))) return null;
  const place = items.filter(isPlaceItem);
  const [named] = place;
  const words = items.filter(isWordItem);
  if (named?.place.kind !== "known" || place.length > 1 || words.length + 1 < items.length) return null;
  if (asks && !words.some((item) => concepts(item).includes("may"))) return null;
  if (!words.every((item) => isSmall(item) || isOnward(item))) return null;
  const slots = whereSlots(named.place.where, new Set(form.slots.map(({ name }) => name)), setting.names);
  return slots && { form: MAY, slots: { act, ...slots } };
}

const MAY = "may-i";
/** What goes on after a statement of work. */
const ONWARD: Readonly<Record<string, string>> = { set: "set", pinned: "pin" };

/** "Go on with", "carry on to", "move on to", "do", "at least": goes on with what was done, and names no other act. */
function isOnward(item: WordItem): boolean {
  return (
    /^(and|but|also|too|on|carry|continue|proceed|move|next|now|least|then|straight|ahead|same|do|crack|press|keep|going)$/.test(
      item.word,
    ) || concepts(item).some((one) => /^(may|start|go|yet|now|already|still|next)$/.test(one))
  );
}

/**
 * "6 to 8", "3 and 4" after a row or its holes was talked about: those holes of the row. Items are left as they are where the
 * numbers may be anything else: a number that the row does not have, one beside a noun, more than one run.
 */
export function withNumbers(items: readonly Item[], before: Where | null, names: NameIndex): readonly Item[] {
  const row = before && rowOf(before, names);
  if (!row) return items;
  const from = items.findIndex(isNumber);
  if (from < 0) return items;
  let to = from + 1;
  while (to < items.length && (isNumber(items[to]) || (isBetween(items[to]) && isNumber(items[to + 1]))))
    to++;
  const run = items.slice(from, to).flatMap((item, at) => {
    const word = item.kind === "word" ? item.word : "";
    // "6-8" was typed as one word.
    return at > 0 && /^\d+-\d+$/.test(item.text) && items[from + at - 1]?.text === item.text
      ? ["to", word]
      : [word];
  });
  const lead = items[from - 1];
  // "And with 4?" may be a size.
  const isSize =
    to === from + 1 && lead?.kind === "word" && /^(with|for|by|to|of|a|than|at)$/.test(lead.word);
  if (isSize || items.slice(to).some(isNumber) || !mayFollowNumbers(items[to])) return items;
  const numbers = numbersOf(run);
  const find = finder(names.assembly);
  const ids = numbers?.map((number) => `${row}.${number}`) ?? [];
  const [only] = ids;
  if (only === undefined || !ids.every((id) => find.hasHole(id))) return items;
  const where: Where = ids.length === 1 ? { kind: "hole", id: only } : { kind: "holes", ids };
  const text = items
    .slice(from, to)
    .map((item) => item.text)
    .join(" ");
  return [
    ...items.slice(0, from),
    { kind: "place", text, place: { kind: "known", where } },
    ...items.slice(to),
  ];
}

function rowOf(where: Where, names: NameIndex): string | null {
  const find = finder(names.assembly);
  if (where.kind === "row") return where.id;
  if (where.kind === "hole") return find.hole(where.id).rowId;
  if (where.kind !== "holes") return null;
  const rows = new Set(where.ids.map((id) => (find.hasHole(id) ? find.hole(id).rowId : undefined)));
  const [only] = rows;
  return rows.size === 1 && only !== undefined ? only : null;
}

function isNumber(item: Item | undefined): boolean {
  return item?.kind === "word" && /^\d{1,3}$/.test(item.word) && item.senses.length === 0;
}

function isBetween(item: Item | undefined): boolean {
  return item?.kind === "word" && /^(to|through|thru|and|till|until|up)$/.test(item.word);
}

/** A number before a noun counts something. */
function mayFollowNumbers(item: Item | undefined): boolean {
  return (
    item === undefined ||
    (item.kind === "word" &&
      !concepts(item).includes("hole") &&
      (isSmall(item) ||
        /^(and|too|also|at|least|now|yet|next|as well|then)$/.test(item.word) ||
        concepts(item).includes("now")))
  );
}

function numbersOf(run: readonly string[]): readonly number[] | null {
  const numbers: number[] = [];
  for (let at = 0; at < run.length; at++) {
    const word = run[at] ?? "";
    if (word === "and") continue;
    const before = numbers.at(-1);
    if (/^\d+$/.test(word)) {
      // Two numbers with nothing between that could be read, unless they follow each other.
      if (
        before !== undefined &&
        run[at - 1] !== "and" &&
        !isRangeEnd(run, at) &&
        Number(word) !== before + 1
      )
        return null;
      numbers.push(Number(word));
    } else {
      const last = Number(run[at + 1]);
      if (before === undefined || !(last > before)) return null;
      for (let number = before + 1; number < last; number++) numbers.push(number);
    }
  }
  return new Set(numbers).size === numbers.length ? numbers : null;
}

function isRangeEnd(run: readonly string[], at: number): boolean {
  return at > 0 && !/^(\d+|and)$/.test(run[at - 1] ?? "");
}

/** "Until it's rigged" after a question: the one milestone that is said with that verb. */
export function withMilestone(
  items: readonly Item[],
  before: Asked | null,
  names: NameIndex,
): readonly Item[] {
  if (!before) return items;
  const time = items.findIndex((item) => concepts(item).some((one) => /^(until|before)$/.test(one)));
  const rest = items.slice(time + 1);
  const [it, is] = rest;
  if (time < 0 || it?.kind !== "word" || !/^(it|that|they|them|this)$/.test(it.word)) return items;
  if (is?.kind !== "word" || !/^(is|has|are|have|was)$/.test(is.word)) return items;
  const been = rest[2]?.kind === "word" && rest[2].word === "been" ? 1 : 0;
  const verb = rest[2 + been];
  if (verb?.kind === "milestone") return [...items.slice(0, time + 1), ...rest.slice(2 + been)];
  if (verb?.kind !== "word" || verb.senses.some(isAct)) return items;
  const found = names.assembly.milestones.filter(({ name, nicknames }) =>
    [name, ...nicknames].some((saying) => {
      const [, said] = /(?:is|are|has|have) (?:been )?([a-z]+)/.exec(saying.toLowerCase()) ?? [];
      return said !== undefined && stemOf(said) === stemOf(verb.word);
    }),
  );
  const [only] = found;
  if (!only || found.length > 1) return items;
  const text = rest
    .slice(0, 3 + been)
    .map((item) => item.text)
    .join(" ");
  return [
    ...items.slice(0, time + 1),
    { kind: "milestone", text, id: only.id, told: true, not: false },
    ...rest.slice(3 + been),
  ];
}

/** Whether the reading before names no place of its own. */
export function isPlaceless({ slots }: Asked): boolean {
  return PLACE_SLOTS.every((slot) => slots[slot] === undefined);
}
