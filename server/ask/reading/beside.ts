import { lexicon } from "../lexicon.js";
import type { Asked } from "./clipped.js";
import { echoOf, isNarrowing, reasonIn, reasons, type Told, tellings } from "./echo.js";
import { asOwnWords } from "./hearsay.js";
import type { Item } from "./items.js";
import { itemsOf } from "./items.js";
import { type Aside, halves, type Question, questions, sentenceQuestions } from "./lead-in.js";
import { isStatement } from "./match.js";
import type { NameIndex } from "./names.js";
import { placeOf } from "./place.js";
import { reordered } from "./reordered.js";
import { sameSlots } from "./slots.js";
import { withThingBeside } from "./thing-beside.js";
import type { Token } from "./tokens.js";
import { PLACE_SLOTS, type Where, whereOf } from "./where.js";
import { askedOf, closest, onlyReading, type Standing, said } from "./whole.js";
import { whyFirst } from "./why-last.js";
import { isAsking } from "./words.js";

/** What a text says that is no question from end to end. */
export type Beside =
  /** One question; `unused` are words said beside it that mean nothing here. */
  | { readonly kind: "one"; readonly asked: Asked; readonly unused: readonly string[] }
  /** Two questions, or a statement of work and a question, in their order. */
  | { readonly kind: "two"; readonly both: readonly [Asked, Asked] };

/** A question that can be read by itself, and the words beside it that may bear on it. */
export interface Apart {
  readonly asked: Asked;
  readonly unread: readonly string[];
}

/** Longer texts are told as a story; nobody can say which part of it is the question. */
const MOST_TOKENS = 40;
/** So many ways of cutting a text are tried, so that reading stays quick. */
const MOST_CUTS = 4;
const MOST_TRIED = 8;

/** The question in a text that says something beside it, or has its asking word last; null when there is none. */
export function readBeside(tokens: readonly Token[], standing: Standing): Beside | null {
  if (tokens.length > MOST_TOKENS) return null;
  return (
    withoutAsides(tokens, standing) ??
    ofThingBeside(tokens, standing) ??
    withoutEcho(tokens, standing) ??
    withoutReason(tokens, standing) ??
    turnedRound(tokens, standing) ??
    reasonLast(tokens, standing) ??
    inAnyOrder(tokens, standing) ??
    twoThings(tokens, standing)
  );
}

/**
 * "I've deburred rib 2. My dad is here.": a sentence that is read by itself, where those beside it say nothing of the
 * work. Sentences are not run together as long as one of them is enough.
 */
export function readSentence(tokens: readonly Token[], standing: Standing): Beside | null {
  if (tokens.length > MOST_TOKENS) return null;
  return firstOf(sentenceQuestions(tokens, standing.setting.names), standing);
}

/** "I'm at the bench with rib 3, is the top row dimpled?": the question by itself, for the place named beside it. */
function withoutAsides(tokens: readonly Token[], standing: Standing): Beside | null {
  return firstOf(questions(tokens, standing.setting.names), standing);
}

/** "I've found some SC-5-6, what are they for?": the question of the rivet that is named beside it. */
function ofThingBeside(tokens: readonly Token[], standing: Standing): Beside | null {
  const question = withThingBeside(tokens, standing.setting.names);
  const alone = { setting: { ...standing.setting, before: null, asks: true }, before: null };
  const asked = question && onlyReading(said(question.tokens, alone), alone);
  return asked && (asked.slots.rivet ?? asked.slots.notice ?? asked.slots.neighbour) !== undefined
    ? { kind: "one", asked, unused: question.unused }
    : null;
}

function firstOf(cuts: readonly Question[], standing: Standing): Beside | null {
  for (const { own, aside } of cuts.slice(0, MOST_TRIED)) {
    const { tokens, asks } = asOwnWords(withoutJoining(own), standing.setting.names);
    const heard = asks ? { ...standing, setting: { ...standing.setting, asks } } : standing;
    const asked = apartFrom(aside, tokens, heard);
    if (asked && mayLeaveOut(aside, asked, heard)) return { kind: "one", asked, unused: aside.unused };
  }
  return null;
}

/** "It was late, but rib 2 is pinned": what stood before it is left out, and so is the word that joins them. */
function withoutJoining(tokens: readonly Token[]): readonly Token[] {
  return /^(but|so|and)$/.test(tokens[0]?.word ?? "") && tokens.length > 1 ? tokens.slice(1) : tokens;
}

/** "The ledge row is in, all four pulled": a statement, and clauses that say no more. */
function withoutEcho(tokens: readonly Token[], standing: Standing): Beside | null {
  const { names } = standing.setting;
  return statedBeside(tellings(tokens), standing, (rest, asked) => echoOf(rest, asked, names));
}

/** "I drilled out hole 4 because it sat crooked", "bad head, so I took it out": what is open again or not done yet, and why. */
function withoutReason(tokens: readonly Token[], standing: Standing): Beside | null {
  return statedBeside(reasons(tokens), standing, (rest, { slots: { state, done, reached } }) =>
    state === "unset" || done === "no" || reached === "no" ? reasonIn(rest) : null,
  );
}

/** The first cut whose own part states something, and whose rest adds nothing but the words that are told as unused. */
function statedBeside(
  cuts: readonly Told[],
  standing: Standing,
  unusedIn: (rest: readonly Item[], asked: Asked) => readonly string[] | null,
): Beside | null {
  const { setting } = standing;
  if (setting.asks) return null;
  for (const { own, rest } of cuts.slice(0, MOST_CUTS)) {
    const asked = onlyReading(said(own, standing), standing);
    const unused =
      asked && isStatement(asked, setting) ? unusedIn(itemsOf(rest, setting.names), asked) : null;
    if (asked && unused) return { kind: "one", asked, unused };
  }
  return null;
}

/**
 * "I think I messed up rib 2. What now?": what went wrong matters to any question but how to mend it. "Rib 2 is
 * deburred, I think" states nothing.
 */
function mayLeaveOut(
  { mishap, hedges, unused, far, apart, stands, elsewhere }: Aside,
  { form, slots }: Asked,
  { setting }: Standing,
): boolean {
  const states = isStatement({ form }, setting);
  return (
    !(mishap && slots.damage === undefined && form !== "rework") &&
    !(stands && form === MAY) &&
    !(far && ((states && !apart) || !SAYS_OF_WHAT.some((slot) => slots[slot] !== undefined))) &&
    !(states && !elsewhere && (hedges || unused.some((word) => isNarrowing(word.toLowerCase()))))
  );
}

/** Whether something may be done hangs on how the work stands. */
const MAY = "may-i";

function apartFrom({ where, far, thing }: Aside, tokens: readonly Token[], standing: Standing): Asked | null {
  // "The gizmo, is it dimpled?": what "it" is was said beside the question, not in the one before.
  const alone = far ? { setting: { ...standing.setting, before: null }, before: null } : standing;
  const items = said(tokens, alone);
  // "The winglet is here, which of its holes are dimpled?"
  if (thing && !where && items.every(({ kind }) => kind === "word") && tokens.some(isPointing)) return null;
  const placed = where ? placedIn(items, where, alone.setting.names) : items;
  return placed && onlyReading(placed, where ? { ...alone, before: null } : alone);
}

function isPointing({ word }: Token): boolean {
  return lexicon().isPronoun(word) || /^(its|their|this|that|these|those)$/.test(word);
}

/** What a question says by itself of what it is about. */
const SAYS_OF_WHAT: readonly string[] = [...PLACE_SLOTS, "notice", "milestone", "neighbour", "rivet", "size"];

/**
 * "I've opened these to 3.3, are rib 3's holes dimpled?": what is said beside the question may bear on it, so the
 * question by itself is only to be offered, with the words that it leaves out.
 */
export function readApart(tokens: readonly Token[], standing: Standing): Apart | null {
  if (tokens.length > MOST_TOKENS) return null;
  for (const { own, rest } of halves(tokens).slice(0, MOST_TRIED)) {
    const asked = onlyReading(said(own, standing), standing);
    const items = asked ? itemsOf(rest, standing.setting.names) : [];
    const unread = items.filter((item) => item.kind !== "word" || item.weight === "content");
    if (asked) return { asked, unread: unread.map(({ text }) => text) };
  }
  return null;
}

/** A question's items with the place that was named beside it; null when it has another place of its own. */
function placedIn(items: readonly Item[], where: Where, names: NameIndex): readonly Item[] | null {
  const at = items.findIndex(({ kind }) => kind === "place");
  const item = items[at];
  if (!item) return [{ kind: "place", text: "", place: { kind: "known", where } }, ...items];
  if (item.kind !== "place" || items.filter(({ kind }) => kind === "place").length > 1) return null;
  const { place } = item;
  if (place.kind !== "open" || where.kind !== "part") return null;
  const own = placeOf({ ...place.spot, whichPart: null, parts: [where.id] }, names);
  return own.kind === "known" ? items.with(at, { ...item, place: own }) : null;
}

/** Longer texts are no clipped question with its words in another order. */
const MOST_TURNED = 12;

/** "Rib 4 domed, why", "domed heads on ribs where": read as if it began with its asking word. */
function turnedRound(tokens: readonly Token[], standing: Standing): Beside | null {
  if (tokens.length > MOST_TURNED) return null;
  const at = tokens.findLastIndex(({ word }) => isAsking(word));
  const before = tokens.slice(0, Math.max(at, 0));
  if (at <= 0 || before.some(({ word, after }) => isAsking(word) || /[.;!?]/.test(after))) return null;
  const last = tokens.length - 1;
  const open = tokens.map((token, n) => (n === at - 1 || n === last ? { ...token, after: "" } : token));
  const asked = onlyReading(said([...open.slice(at), ...open.slice(0, at)], standing), standing);
  return asked && { kind: "one", asked, unused: [] };
}

/** "Rib 3 isn't dimpled and I want to know why": read as if it began so. */
function reasonLast(tokens: readonly Token[], standing: Standing): Beside | null {
  const turned = whyFirst(tokens);
  const asked = turned && onlyReading(said(turned, standing), standing);
  return asked && /^why/.test(asked.form) ? { kind: "one", asked, unused: [] } : null;
}

/** "Nose skin on now ok": read when its words, in whatever order, say one thing only. */
function inAnyOrder(tokens: readonly Token[], standing: Standing): Beside | null {
  if (tokens.slice(0, -1).some(({ after }) => /[.:;!?]/.test(after))) return null;
  const [one, another] = closest(reordered(said(tokens, standing), standing.setting));
  return one && !another ? { kind: "one", asked: askedOf(one), unused: [] } : null;
}

/** "I've dimpled rib 3, what's next?": both are offered, one at a time. */
function twoThings(tokens: readonly Token[], standing: Standing): Beside | null {
  const cuts = tokens.flatMap((token, at) =>
    at > 0 && (/[,.;:!?-]/.test(tokens[at - 1]?.after ?? "") || /^(and|so|but)$/.test(token.word))
      ? [at]
      : [],
  );
  const { setting } = standing;
  for (const at of cuts.slice(0, MOST_CUTS)) {
    const stated = { ...standing, setting: { ...setting, asks: false } };
    const first = onlyReading(said(tokens.slice(0, at), stated), stated);
    if (!first) continue;
    const after = { setting: { ...setting, before: whereOf(first.slots) }, before: first };
    const second = onlyReading(said(tokens.slice(at), after), after);
    if (second && isAskedAgain(first, second)) return { kind: "one", asked: first, unused: [] };
    if (second) return { kind: "two", both: [first, second] };
  }
  return null;
}

/**
 * "I set rib 3, what's left?" read as what is left of rib 3: the clause before the comma states work done, and what
 * follows it asks by itself. Both in their order; null where there is no such comma.
 */
export function statedBefore(tokens: readonly Token[], standing: Standing): readonly [Asked, Asked] | null {
  if (tokens.length > MOST_TOKENS) return null;
  const { setting } = standing;
  const cuts = tokens.slice(0, -1).flatMap(({ after }, at) => (/[,;]/.test(after) ? [at + 1] : []));
  for (const at of cuts.slice(0, MOST_CUTS)) {
    if (!isAsking(tokens[at]?.word ?? "")) continue;
    const stated = { ...standing, setting: { ...setting, asks: false } };
    const told = onlyReading(said(tokens.slice(0, at), stated), stated);
    const asked =
      told && isStatement(told, setting) && onlyReading(said(tokens.slice(at), standing), standing);
    if (told && asked && !isStatement(asked, setting)) return [told, asked];
  }
  return null;
}

/**
 * "Why no flush heads there, is there a reason?", "I closed it too early, how do I get back?", "what is done and what is left?":
 * the same thing twice, with no more said of it.
 */
function isAskedAgain(first: Asked, second: Asked): boolean {
  if (second.form === "why" && /^why/.test(first.form)) return sameSlots(first.slots, second.slots);
  const told = Object.entries(second.slots).filter(([, value]) => value !== undefined);
  const more = told.filter(([name]) => first.slots[name] === undefined);
  return (
    second.form === first.form &&
    more.length === 0 &&
    sameSlots(Object.fromEntries(told), Object.fromEntries(told.map(([name]) => [name, first.slots[name]])))
  );
}
