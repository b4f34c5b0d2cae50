import type { Assembly, Kit } from "../../kit/types.js";
import { NO_WORK, type Work } from "../../kit/work.js";
import type { FormSpec } from "../form.js";
import { lexicon } from "../lexicon.js";
import { slotConflict } from "../slot-conflict.js";
import { askedAlso } from "./asked-also.js";
import { askedStatement } from "./asked-statement.js";
import { type Apart, readApart, readBeside, readSentence, statedBefore } from "./beside.js";
import { withoutLeftOut, withShortPlaces } from "./choice-places.js";
import { completions, formsFor, lackingSlots, MOST_CHOICES } from "./choices.js";
import { type Asked, clipped, isClipped } from "./clipped.js";
import { concernOf } from "./concerns.js";
import { craftOf } from "./craft.js";
import { leftOutIn } from "./exceptions.js";
import { faultBeside } from "./fault-beside.js";
import { goingOn } from "./goes-on.js";
import { asOwnWords } from "./hearsay.js";
import { withoutInert } from "./inert.js";
import { type Item, itemsOf } from "./items.js";
import { likely } from "./likely.js";
import { isStatement, isUnknownWord, type Match, matches, type Setting, wordsIn } from "./match.js";
import { meantInstead } from "./meant-instead.js";
import { forgotten } from "./mishaps.js";
import { nameIndex } from "./names.js";
import { withoutNegativeTurn } from "./negative-question.js";
import { oddExcept } from "./odd-except.js";
import { withoutAgreeing, withoutOpeners } from "./opener.js";
import { grammarOf } from "./phrasing.js";
import { NOWHERE } from "./place.js";
import { runsEndingAt } from "./run-ends.js";
import { sameSlots } from "./slots.js";
import { withoutSpeaker } from "./speaker.js";
import { withoutTag } from "./tags.js";
import { takenBack } from "./taken-back.js";
import { MAX_CHARS, MAX_WORDS, wordsOf } from "./text.js";
import { waysToMend } from "./thumb-slips.js";
import { type Correction, type Mends, NO_MENDS, type Token, tokensOf } from "./tokens.js";
import { otherMeanings } from "./two-meanings.js";
import { partOf, whereOf } from "./where.js";
import { asksWhich } from "./which.js";
import { askedOf, beforeWhole, closest, onlyReading, type Standing, said, wholly } from "./whole.js";

/** What reading needs of a job. */
export interface Bench {
  readonly kit: Kit;
  readonly assembly: Assembly;
  readonly work: Work;
  readonly forms: readonly FormSpec[];
  /** Whether the notes have something on all of these words. */
  readonly inNotes: (words: readonly string[]) => boolean;
}

/** Why a question is asked back. Codes only; the sentences are in asking.ts. */
export type Doubt =
  | { readonly code: "empty" }
  | { readonly code: "too-long" }
  | { readonly code: "two-readings" }
  /** Two questions in one, or a statement of work and a question. */
  | { readonly code: "two-things" }
  | { readonly code: "missing"; readonly ask: string }
  | { readonly code: "which-place"; readonly need: "row" | "part" | "step" }
  | { readonly code: "unknown-name"; readonly names: readonly string[] }
  | { readonly code: "nothing-before" }
  | { readonly code: "nearly" }
  | { readonly code: "name-only" }
  | { readonly code: "elsewhere"; readonly who: string }
  | { readonly code: "unread" };

/** What came of reading a text. */
export type Outcome =
  | {
      readonly kind: "read";
      readonly asked: Asked;
      readonly corrected: readonly Correction[];
      /** Words of an aside that were not used. */
      readonly unused: readonly string[];
      /** It is asked which, what or how much: no yes and no no answers it. */
      readonly which?: true;
    }
  | {
      readonly kind: "doubt";
      readonly doubt: Doubt;
      /** What is certain so far; null when not even the form is. */
      readonly partly: Asked | null;
      readonly choices: readonly Asked[];
      /** Content words that could not be used. */
      readonly unread: readonly string[];
      readonly corrected: readonly Correction[];
    };

/**
 * Reads a question, or says why it cannot be read. Sound: every telling word is used by the phrasing, names
 * something or is light; otherwise it is asked back. What is said beside the question and means nothing here is named
 * as unused.
 * @param before  the reading before it, for "and on rib 4?"
 */
export function read(text: string, bench: Bench, before: Asked | null): Outcome {
  const plain = readText(text, bench, before, NO_MENDS);
  if (plain.kind === "read") return plain;
  const names = nameIndex(bench.kit, bench.assembly);
  const outcome = plain.doubt.code === "unread" ? readMended(text, plain, bench, before) : plain;
  if (outcome.kind === "read") return outcome;
  return { ...outcome, choices: withShortPlaces(outcome.choices, bench.forms, names) };
}

/**
 * A text with words that are misspelt in more ways than one, or too short to be put right by themselves: right where
 * one way alone makes it readable. What a builder states is offered, not taken.
 */
function readMended(text: string, plain: Unread, bench: Bench, before: Asked | null): Outcome {
  const names = nameIndex(bench.kit, bench.assembly);
  const typed = wordsOf(text).map(({ word }) => word);
  if (typed.length > MOST_MENDED) return plain;
  const unread = new Set(plain.unread.flatMap((one) => one.toLowerCase().split(/\s+/)));
  const ways = waysToMend(typed, unread, names.words, grammarOf(bench.forms).words);
  const tried = ways.map((mends) => readText(text, bench, before, mends));
  const found = tried.filter((one) => one.kind === "read");
  const different = found.filter(
    (one, at) => found.findIndex((same) => isSame(same.asked, one.asked)) === at,
  );
  const [only] = different;
  if (!only) return plain;
  if (different.length === 1 && !isStatementForm(only.asked.form, bench)) return only;
  const choices = different.map(({ asked }) => asked).slice(0, MOST_CHOICES);
  return { ...plain, choices };
}

/** Each way is read anew: a longer text would take too long. */
const MOST_MENDED = 16;

type Unread = Extract<Outcome, { kind: "doubt" }>;

function isStatementForm(id: string, { forms }: Bench): boolean {
  return grammarOf(forms).forms.some((form) => form.id === id && form.statement);
}

function readText(text: string, bench: Bench, before: Asked | null, mends: Mends): Outcome {
  if (text.length > MAX_CHARS) return doubt({ code: "too-long" }, []);
  const names = nameIndex(bench.kit, bench.assembly);
  const grammar = grammarOf(bench.forms);
  const words = wordsOf(text);
  if (words.length > MAX_WORDS) return doubt({ code: "too-long" }, []);
  if (words.length === 0) return doubt({ code: "empty" }, []);
  const { tokens: typed, corrected } = tokensOf(words, names, grammar.words, mends);
  const own = asOwnWords(withoutOpeners(typed, names), names);
  const turned = withoutNegativeTurn(withoutInert(own.tokens, names, grammar.words));
  const tokens = turned.tokens;
  const setting: Setting = {
    grammar,
    names,
    before: before && whereOf(before.slots),
    inNotes: bench.inNotes,
    asks: own.asks || turned.asks || text.includes("?"),
  };
  const reader: Reader = { setting, bench, before, corrected };
  const spoken = unlessStated(readSpoken(tokens, reader), tokens, reader);
  const outcome = unlessMeant(unlessTakenBack(spoken, typed, reader), typed, reader);
  const told = outcome.kind === "read" ? toldWithOk(tokens, reader) : null;
  const understood = concerned(
    told ? eitherOf(told, outcome) : agreed(tokens, outcome, reader),
    tokens,
    reader,
  );
  return understood.kind === "read" && asksWhich(tokens) ? { ...understood, which: true } : understood;
}

/** What a text is about besides what it could be read as is asked back first: the order of two preps, rivets left over, a mishap. */
function concerned(outcome: Outcome, tokens: readonly Token[], reader: Reader): Outcome {
  if (outcome.kind === "doubt" && outcome.doubt.code === "elsewhere") {
    const choices = faultBeside(tokens, reader);
    return choices ? { ...outcome, doubt: { code: "unread" }, choices } : outcome;
  }
  const odd =
    outcome.kind === "doubt" ? oddExcept(itemsOf(tokens, reader.setting.names), reader.setting.names) : [];
  if (odd.length > 0) return { ...doubt({ code: "nearly" }, outcome.corrected), choices: odd };
  const items = said(tokens, reader);
  const { names } = reader.setting;
  const others =
    outcome.kind === "read"
      ? [...runsEndingAt(tokens, outcome.asked, names), ...otherMeanings(items, outcome.asked, names)]
      : [];
  if (outcome.kind === "read" && others.length > 0)
    return { ...doubt({ code: "two-readings" }, outcome.corrected), choices: [...others, outcome.asked] };
  const concern = concernOf(items, outcome, reader);
  if (!concern)
    return outcome.kind === "read"
      ? { ...outcome, unused: [...outcome.unused, ...forgotten(items).map(({ text }) => text)] }
      : { ...outcome, choices: withoutLeftOut(outcome.choices, leftOutIn(items), reader.setting.names) };
  const offered = outcome.kind === "read" ? [] : outcome.choices;
  const rest = offered.filter(
    (one) => !concern.choices.some((own) => isSame(own, one)) && !concern.drops(one),
  );
  const choices = [...concern.choices, ...rest].slice(0, MOST_OFFERED);
  const { corrected } = outcome;
  return outcome.kind === "doubt" && !concern.understood
    ? { ...outcome, choices }
    : {
        ...doubt({ code: "nearly" }, corrected),
        choices,
        unread: outcome.kind === "read" ? [] : outcome.unread,
      };
}

/** "I set rib 3, what's left?": a question for what the statement before it names drops what that states, so both are offered. */
function unlessStated(outcome: Outcome, tokens: readonly Token[], reader: Reader): Outcome {
  const both = outcome.kind === "read" ? statedBefore(tokens, reader) : null;
  if (outcome.kind !== "read" || !both) return outcome;
  const [, asked] = both;
  return outcome.asked.form === asked.form && !isSame(outcome.asked, asked)
    ? { ...doubt({ code: "two-things" }, outcome.corrected), choices: both }
    : outcome;
}

/** A statement that may say less than it seems to is offered, and not read. */
function unlessTakenBack(outcome: Outcome, typed: readonly Token[], reader: Reader): Outcome {
  if (outcome.kind !== "read" || !isStatement(outcome.asked, reader.setting)) return outcome;
  const words = takenBack(typed, outcome.asked);
  if (words.length === 0) return outcome;
  return { ...doubt({ code: "unread" }, outcome.corrected), choices: [outcome.asked], unread: words };
}

/** "Is the sill's inner row dimpled? I mean the whole sill": both are offered, what was meant first. */
function unlessMeant(outcome: Outcome, typed: readonly Token[], reader: Reader): Outcome {
  const { names } = reader.setting;
  const instead =
    outcome.kind === "read" ? meantInstead(typed, outcome.asked, reader.bench.forms, names) : null;
  if (outcome.kind !== "read" || !instead || isSame(instead.asked, outcome.asked)) return outcome;
  return {
    ...doubt({ code: "unread" }, outcome.corrected),
    choices: [instead.asked, outcome.asked],
    unread: [instead.text],
  };
}

/** One of two readings of the same words is not picked. */
function eitherOf(told: Asked, outcome: Outcome): Outcome {
  if (outcome.kind !== "read" || isSame(told, outcome.asked)) return outcome;
  return { ...doubt({ code: "two-readings" }, outcome.corrected), choices: [told, outcome.asked] };
}

/** "Ok rib 3's top row is riveted": the first word agrees, or asks whether that may be done. */
function agreed(tokens: readonly Token[], outcome: Outcome, reader: Reader): Outcome {
  const { names, asks } = reader.setting;
  const agreeing = withoutAgreeing(tokens, names);
  const own = agreeing && asOwnWords(agreeing, names);
  const heard: Reader = own?.asks ? { ...reader, setting: { ...reader.setting, asks: true } } : reader;
  const bare = own && unlessTakenBack(readSpoken(own.tokens, heard), own.tokens, heard);
  if (bare?.kind !== "read") return outcome;
  return outcome.kind !== "read" || (!asks && isStatement(bare.asked, reader.setting))
    ? bare
    : eitherOf(bare.asked, outcome);
}

/** The text as it stands; else without who asks, without a tag, or apart from what is said beside it. */
function readSpoken(tokens: readonly Token[], reader: Reader): Outcome {
  const { setting, corrected } = reader;
  const done = setting.asks ? askedStatement(tokens, reader) : null;
  if (done) return { kind: "read", asked: done, corrected, unused: [] };
  const sentence = readSentence(tokens, reader);
  if (sentence?.kind === "one")
    return { kind: "read", asked: sentence.asked, corrected, unused: sentence.unused };
  const plain = readTokens(tokens, reader);
  if (plain.kind === "read") return eitherSentence(tokens, plain, reader);
  if (!ASIDE_MAY_HELP.has(plain.doubt.code)) return plain;
  const spoken = withoutSpeaker(tokens);
  if (spoken.tokens.length < tokens.length) {
    const heard = readTokens(spoken.tokens, {
      ...reader,
      setting: { ...setting, asks: spoken.asks || setting.asks },
    });
    if (heard.kind === "read") return heard;
  }
  const tag = withoutTag(tokens);
  const asking: Reader = tag.asks ? { ...reader, setting: { ...setting, asks: true } } : reader;
  const stated = tag.asks ? askedStatement(tag.tokens, asking) : null;
  if (stated) return { kind: "read", asked: stated, corrected, unused: [] };
  const untagged = tag.asks ? readTokens(tag.tokens, asking) : plain;
  if (untagged.kind === "read") return untagged;
  const twice = readTwice(tag.tokens, asking);
  if (twice) return twice;
  const beside = readBeside(tag.tokens, asking);
  const craft = beside ? null : craftOf(said(tokens, reader), setting);
  if (craft) return { kind: "read", asked: craft.asked, corrected, unused: craft.unused };
  // Strength, law and health are not asked about in pieces.
  if (untagged.doubt.code === "elsewhere" && beside?.kind !== "one") return untagged;
  if (beside?.kind === "one") return { kind: "read", asked: beside.asked, corrected, unused: beside.unused };
  if (beside) return { ...doubt({ code: "two-things" }, corrected), choices: beside.both };
  const apart = MAY_BE_OFFERED.has(untagged.doubt.code) ? readApart(tag.tokens, asking) : null;
  return apart ? offering(apart, untagged) : untagged;
}

/** "I want it flush. What rivet goes in hole 4?": read across a full stop, where the last sentence by itself asks another thing. */
function eitherSentence(tokens: readonly Token[], outcome: Outcome, reader: Reader): Outcome {
  const end = tokens.slice(0, -1).findLastIndex(({ after }) => /[.!;]/.test(after));
  const last = end < 0 ? null : onlyReading(said(tokens.slice(end + 1), reader), reader);
  if (!last || outcome.kind !== "read" || last.form === outcome.asked.form) return outcome;
  return eitherOf(last, outcome);
}

/** "Rib 3's top row riveted ok": what it states, if it is no asking whether that may be done. */
function toldWithOk(tokens: readonly Token[], reader: Reader): Asked | null {
  const end = tokens.findLastIndex(({ word }) => lexicon().weight(word) !== "quiet");
  const last = tokens[end]?.word ?? "";
  if (reader.setting.asks || !(lexicon().isOf(last, "agreeing") || last === "fine")) return null;
  const told = onlyReading(said(tokens.slice(0, end), reader), reader);
  return told && isStatement(told, reader.setting) ? told : null;
}

/** "Which holes stay open, and until when?": the question before, where its answer tells what follows it. */
function readTwice(tokens: readonly Token[], reader: Reader): Outcome | null {
  const found = askedAlso(tokens);
  if (!found) return null;
  const first = readTokens(found.tokens, { ...reader, setting: { ...reader.setting, asks: true } });
  if (first.kind !== "read") return null;
  const form = reader.bench.forms.find(({ id }) => id === first.asked.form);
  return form?.tells?.includes(found.also) ? first : null;
}

/** What was read by itself is the first of the choices, beside the words that it leaves out. */
function offering({ asked, unread }: Apart, outcome: Extract<Outcome, { kind: "doubt" }>): Outcome {
  const others = outcome.choices.filter((choice) => !isSame(choice, asked));
  const choices = [asked, ...others].slice(0, MOST_CHOICES);
  return { ...doubt({ code: "unread" }, outcome.corrected), choices, unread: [...new Set(unread)] };
}

/** Doubts that may come from something said beside the question. */
const ASIDE_MAY_HELP: ReadonlySet<Doubt["code"]> = new Set([
  "unread",
  "nothing-before",
  "missing",
  "which-place",
  "nearly",
  "unknown-name",
  // "The inspector is here, why is rib 3 dimpled?"
  "elsewhere",
]);

/** Doubts beside which the question by itself may be offered; not where something is named that does not exist. */
const MAY_BE_OFFERED: ReadonlySet<Doubt["code"]> = new Set(["unread", "nothing-before", "nearly"]);

function readTokens(tokens: readonly Token[], reader: Reader): Outcome {
  const outcome = readItems(said(tokens, reader), reader);
  return outcome.kind === "read" ? { ...outcome, asked: goingOn(tokens, outcome.asked, reader) } : outcome;
}

interface Reader extends Standing {
  readonly bench: Bench;
  readonly corrected: readonly Correction[];
}

function readItems(items: readonly Item[], reader: Reader): Outcome {
  const { setting, bench, before, corrected } = reader;
  const elsewhere = before && beforeWhole(items, before, setting);
  if (elsewhere) return { kind: "read", asked: elsewhere, corrected, unused: [] };
  const wholes = wholly(items, setting);
  const [whole] = wholes;
  if (whole && wholes.length === 1) return { kind: "read", asked: askedOf(whole), corrected, unused: [] };
  if (whole) {
    return {
      ...doubt({ code: "two-readings" }, corrected),
      choices: wholes.map(askedOf).slice(0, MOST_CHOICES),
    };
  }
  const unknown = items
    .filter((item) => item.kind === "place" && item.place.kind === "unknown")
    .map(({ text }) => text);
  if (unknown.length > 0) return unknownNames(items, unknown, reader);
  const follow = before && clipped(items, before, setting);
  const form = follow && bench.forms.find(({ id }) => id === follow.form);
  if (follow && form) {
    const [slot] = lackingSlots(form, follow.slots);
    if (slot === undefined) return { kind: "read", asked: follow, corrected, unused: [] };
    const lacking: Match = {
      form,
      slots: follow.slots,
      missing: [slot],
      open: null,
      pointing: false,
      passed: 0,
      left: [],
    };
    return missing(lacking, [lacking], reader);
  }
  const partial = closest(fewestGaps(matches(items, setting, "missing")));
  const [part] = partial;
  // "Can I still use it?": "it" may be the rivet or the hole that was asked about.
  const guesses = items.some((item) => item.kind === "word" && item.pronoun);
  if (part) return missing(part, partial, guesses ? { ...reader, before: null } : reader);
  return unread(items, reader);
}

function doubt(reason: Doubt, corrected: readonly Correction[]): Extract<Outcome, { kind: "doubt" }> {
  return { kind: "doubt", doubt: reason, partly: null, choices: [], unread: [], corrected };
}

function fewestGaps(found: readonly Match[]): readonly Match[] {
  const gaps = ({ missing, open, pointing }: Match): number => missing.length + (open || pointing ? 1 : 0);
  const least = Math.min(...found.map(gaps));
  return found.filter((match) => gaps(match) === least);
}

/** One thing is missing: asked for, with the choices that make sense; or taken from the reading before. */
function missing(
  match: Match,
  all: readonly Match[],
  { setting, bench, before, corrected }: Reader,
): Outcome {
  const { names } = setting;
  const [slot] = match.missing;
  const inherited =
    before && slot !== undefined && all.length === 1 && !match.open
      ? fromBefore(match, before, setting)
      : null;
  if (inherited) return { kind: "read", asked: inherited, corrected, unused: [] };
  const choices = all.flatMap((one) => completions(one, names, bench.work)).slice(0, MOST_CHOICES);
  const ask = match.form.slots.find(({ name }) => name === slot)?.ask;
  const reason: Doubt = match.open
    ? { code: "which-place", need: match.open.need }
    : match.pointing
      ? { code: "nothing-before" }
      : ask === undefined
        ? { code: "nearly" }
        : { code: "missing", ask };
  return { ...doubt(reason, corrected), partly: all.length === 1 ? askedOf(match) : null, choices };
}

/** The place of the reading before, when that is all that is missing. */
function fromBefore(match: Match, before: Asked, { names }: Setting): Asked | null {
  const named = whereOf(before.slots);
  const place = named && needsPart(match) ? (partOf(named, names) ?? named) : named;
  const [only] = completions(
    { ...match, open: place && { kind: "open", need: "part", options: [place], spot: NOWHERE } },
    names,
    NO_WORK,
  );
  if (!place || !only || slotConflict(match.form, only.slots, names.assembly)) return null;
  return only;
}

/** "Same as rib 3?" compares parts, whatever hole of a part was asked about. */
function needsPart({ form, slots }: Match): boolean {
  return Object.entries(form.needs ?? {}).some(
    ([slot, wanted]) => slots[slot] !== undefined && wanted.includes("part") && slots.part === undefined,
  );
}

/** Something is named that does not exist: said so, and never answered for another. */
function unknownNames(items: readonly Item[], unknown: readonly string[], reader: Reader): Outcome {
  const { setting, bench, corrected } = reader;
  const opened = items.map((item): Item => {
    if (item.kind !== "place" || item.place.kind !== "unknown") return item;
    return { ...item, place: { kind: "open", need: "part", options: item.place.options, spot: NOWHERE } };
  });
  const partial = closest(fewestGaps(matches(opened, { ...setting, before: null }, "missing")));
  const choices = partial
    .filter((match) => match.open && match.open.options.length > 0)
    .flatMap((match) => completions(match, setting.names, bench.work))
    .slice(0, MOST_CHOICES);
  // "The ledge row before the top skin": the skin is there, and only does not go with the row.
  const absent = unknown.filter((text) => !isThere(text, setting));
  const reason: Doubt = absent.length > 0 ? { code: "unknown-name", names: absent } : { code: "unread" };
  return { ...doubt(reason, corrected), choices, unread: unknown };
}

/** Whether a text by itself names something of the assembly. */
function isThere(text: string, { names, grammar }: Setting): boolean {
  const { tokens } = tokensOf(wordsOf(text), names, grammar.words);
  const items = itemsOf(tokens, names);
  return items.length === 1 && items[0]?.kind === "place" && items[0].place.kind === "known";
}

/** So many readings that leave words out are offered, and with those by words alone so many. */
const MOST_NEAR = 3;
const MOST_OFFERED = 5;

function isSame(a: Asked, b: Asked): boolean {
  return a.form === b.form && sameSlots(a.slots, b.slots);
}

/** Nothing is guessed at from a text longer than this many words and names. */
const LONG = 30;

/** Not read whole: the words that could not be used are named, and what may have been meant is offered. */
function unread(items: readonly Item[], { setting, bench, before, corrected }: Reader): Outcome {
  const near = (items.length > LONG ? [] : matches(items, setting, "near"))
    .filter(({ form, slots, open, pointing }) => !open && !pointing && lackingSlots(form, slots).length === 0)
    .filter(({ left }) => left.length < items.filter(isTelling).length)
    .sort((a, b) => a.left.length - b.left.length || a.passed - b.passed);
  const byForm = near.filter((match, at) => near.findIndex(({ form }) => form === match.form) === at);
  const words = items.filter(isUnknownWord).map(({ text }) => text);
  const left = (near[0]?.left ?? items.filter(isTelling)).map(({ text }) => text);
  const told = [...new Set(words.length > 0 ? words : left)];
  const who = lexicon().elsewhere(items.filter((item) => !isOddness(item)).flatMap(wordsSaid));
  if (who !== undefined) return { ...doubt({ code: "elsewhere", who }, corrected), unread: told };
  const isName = isClipped(items) || (before === null && items.every((item) => !isTelling(item)));
  if (isName && byForm.length === 0) return nameOnly(items, setting, bench, corrected);
  const close = byForm.slice(0, MOST_NEAR).map(askedOf);
  const others = items.length > LONG ? [] : likely(items, setting);
  const choices = [...close, ...others.filter((one) => !close.some((own) => isSame(own, one)))];
  return { ...doubt({ code: "unread" }, corrected), choices: choices.slice(0, MOST_OFFERED), unread: told };
}

/** The words of an item; what a known place is called asks nothing: no torque in "the torque-tube fitting". */
function wordsSaid(item: Item): readonly string[] {
  return item.kind === "place" && item.place.kind !== "unknown" ? ["-"] : wordsIn(item);
}

/** "Breaks the pattern" breaks nothing: fixed phrases for being odd say nothing of strength. */
function isOddness(item: Item): boolean {
  return (
    item.kind === "word" && item.word.includes(" ") && item.senses.some(({ concept }) => concept === "odd")
  );
}

function isTelling(item: Item): boolean {
  return item.kind !== "word" || item.weight === "content";
}

function nameOnly(
  items: readonly Item[],
  { names }: Setting,
  bench: Bench,
  corrected: readonly Correction[],
): Outcome {
  const places = items.flatMap((item) =>
    item.kind === "place" && item.place.kind === "known" ? [item.place.where] : [],
  );
  const [where] = places;
  const choices = where && places.length === 1 ? formsFor(where, bench.forms, names) : [];
  const reason: Doubt = choices.length > 0 ? { code: "name-only" } : { code: "nothing-before" };
  return { ...doubt(reason, corrected), choices, unread: [] };
}
