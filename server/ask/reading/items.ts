import { lexicon, type Sense, type Weight } from "../lexicon.js";
import { withBoth } from "./both.js";
import { withDistances } from "./distances.js";
import { type Group, grouped, isGroup } from "./groups.js";
import type { Measure } from "./measures.js";
import { isAligned } from "./milestone-words.js";
import type { NameIndex } from "./names.js";
import { type Place, placeOf } from "./place.js";
import { type Run, runsOf } from "./runs.js";
import type { Token } from "./tokens.js";
import { isHoleNoun, leadsVerb } from "./words.js";

/** One thing that a question says: a word of the lexicon, or something named. */
export type Item =
  | WordItem
  | PlaceItem
  | MilestoneItem
  | NoticeItem
  | NeighbourItem
  | MeasureItem
  | RivetItem;

/** A word or a fixed phrase, with all that it may stand for. */
export interface WordItem {
  readonly kind: "word";
  /** The words that it was read from, as typed. */
  readonly text: string;
  /** One word, or a fixed phrase joined by spaces. */
  readonly word: string;
  readonly senses: readonly Sense[];
  readonly weight: Weight;
  readonly pronoun: boolean;
  /** Certainly points at something named before: "it", "stay open there"; not "are there". */
  readonly points: boolean;
}
/** A part, a row, holes, a family or a step: known, open between several, or not there. */
export interface PlaceItem {
  readonly kind: "place";
  readonly text: string;
  readonly place: Place;
}
/** Something that has to be reached first: "the twist is checked". */
export interface MilestoneItem {
  readonly kind: "milestone";
  readonly text: string;
  readonly id: string;
  /** Said with its verb, as in "the twist is checked"; not "the twist" alone. */
  readonly told: boolean;
  /** Said to be so not yet. */
  readonly not: boolean;
}
/** A notice of the kit maker's. */
export interface NoticeItem {
  readonly kind: "notice";
  readonly text: string;
  readonly id: string;
}
/** A surface that comes near. */
export interface NeighbourItem {
  readonly kind: "neighbour";
  readonly text: string;
  readonly id: string;
}
/** A size, a drill or a percentage. */
export interface MeasureItem {
  readonly kind: "measure";
  readonly text: string;
  readonly measure: Measure;
  /** It is how far something is from an edge or from the next hole; no size of a rivet or a hole. */
  readonly distance?: boolean;
}
/** A rivet by the kit's code for it. */
export interface RivetItem {
  readonly kind: "rivet";
  readonly text: string;
  readonly code: string;
}

/** What the tokens say, in order: names found first, the longest one at each place, then fixed phrases, then words. */
export function itemsOf(tokens: readonly Token[], names: NameIndex): readonly Item[] {
  return withBoth(
    withDistances(itemise(grouped(runsOf(tokens, names), tokens, names), tokens, names)),
    names,
  );
}

function itemise(slots: readonly (Group | Run)[], tokens: readonly Token[], names: NameIndex): Item[] {
  return slots.flatMap((slot): Item[] => {
    const text = textOf(tokens.slice(slot.from, slot.to));
    if (isGroup(slot)) return [{ kind: "place", text, place: placeOf(slot.spot, names) }];
    if (slot.piece?.kind === "milestone") {
      const run = tokens.slice(slot.from, slot.to);
      const words = run.map(({ word }) => word).join(" ");
      const ends = run.some(
        ({ word }, n) => /(ed|un[gk]|en|set)$/.test(word) || isAligned(tokens, slot.from + n),
      );
      // "The flap still has to be rigged" says that it is not, and "will be" not that it is.
      const told = ends && !TO_COME.test(words);
      const not = slot.piece.not || STILL_TO_COME.test(words);
      if (not && slot.piece.not && TO_COME.test(words))
        return [{ kind: "milestone", text, id: slot.piece.id, told: false, not: false }];
      return [{ kind: "milestone", text, id: slot.piece.id, told, not }];
    }
    if (slot.piece?.kind === "notice" || slot.piece?.kind === "neighbour")
      return [{ kind: slot.piece.kind, text, id: slot.piece.id }];
    if (slot.phrase) {
      const { word, concepts, quiet } = slot.phrase;
      const senses = concepts.map((concept) => ({
        concept,
        past: PAST_SAYING.test(word),
      }));
      return [
        {
          kind: "word",
          text,
          word,
          senses,
          weight: quiet ? "quiet" : "content",
          pronoun: false,
          points: false,
        },
      ];
    }
    return tokens
      .slice(slot.from, slot.to)
      .map((token, n) => itemOf(token, tokens[slot.from + n - 1], tokens[slot.from + n + 1]));
  });
}

/** "Knocked out", "film is off", "on with temporary fasteners": phrases that tell of work done. */
const PAST_SAYING =
  /(ed|eld|un[gk]|en|et|uck)\b|^(put|had|got|took|came)\b|\bon pins$|^(film|plastic|vinyl|burrs|primer)\b.* (off|on|gone)$|^(on|up|in place|together) with\b|^(on|full of) (temporary|skin|sheet|spring)\b|^(used|stuck|has|have)\b/;

const TO_COME = /\b(will|would|shall|being|can|could|may|might|must|should|to) (not )?be\b|\b(being|gets)\b/;
const STILL_TO_COME = /\bstill\b.* (has|have) to be\b|\b(is|are|has|have) (yet|still) to be\b/;

const POINTING = new Set(["it", "them", "those", "these", "they"]);

function isBe(token: Token | undefined): boolean {
  return token !== undefined && /^(is|are|was|were|be|been|has|have|not|no)$/.test(token.word);
}

const BEFORE_NOUN = new Set(
  "a an the this that each every any some which what one last my no right wrong single correct proper different same other another new".split(
    " ",
  ),
);

/**
 * What a word stands for here. "Rivet" is the thing or the act, never both: in "why rivet rib 3" the act; in "the
 * rivet", "which rivet", "third rivet" and "rivets" the thing.
 */
function sensesAt({ word }: Token, before?: Token, after?: Token): readonly Sense[] {
  if (/^bits?$/.test(word) && isToolBefore(before) && after?.word !== "of")
    return [{ concept: "drill", past: false }];
  const senses = lexicon().senses(word);
  if (senses.length < 2 || !senses.some(({ concept }) => concept === "hole")) return senses;
  const isThing =
    word.endsWith("s") ||
    (isHoleNoun(after) && !leadsVerb(before)) ||
    // "Rivet for rib 4's top row?"
    (before === undefined && after?.word === "for") ||
    (before !== undefined &&
      (before.measure !== undefined ||
        BEFORE_NOUN.has(before.word) ||
        lexicon().ordinal(before.word) !== undefined));
  return senses.filter(({ concept }) => (concept === "hole") === isThing);
}

/** "What bit", "a 3.3 mm bit", "the right bit": the tool; "a bit" and "bits of it" say nothing. */
function isToolBefore(before: Token | undefined): boolean {
  return (
    before !== undefined &&
    (before.measure !== undefined || /^(what|which|right|correct|same|proper|final|size)$/.test(before.word))
  );
}

function itemOf(token: Token, before?: Token, after?: Token): Item {
  const { text, measure, id } = token;
  if (measure) return { kind: "measure", text, measure };
  if (id?.kind === "rivet") return { kind: "rivet", text, code: id.id };
  return wordItem(token, before, after);
}

function wordItem(token: Token, before?: Token, after?: Token): WordItem {
  const { word, text, size, unknownId } = token;
  if (size || unknownId)
    return { kind: "word", text, word: text, senses: [], weight: "content", pronoun: false, points: false };
  const senses = sensesAt(token, before, after);
  const light = senses.some(({ concept }) => lexicon().concepts.get(concept)?.light);
  const own = isEmphasis(token, after) ? "quiet" : lexicon().weight(word);
  const counts = word === "one" && isHoleNoun(after);
  const isTool = light === false && own === "light" && senses.some(({ concept }) => concept === "drill");
  const weight: Weight = counts || isTool ? "content" : own !== "content" ? own : light ? "light" : "content";
  const points =
    (POINTING.has(word) && !isMaker(token, after)) || (word === "there" && !isBe(before) && !isBe(after));
  return { kind: "word", text, word, senses, weight, pronoun: lexicon().isPronoun(word), points };
}

/** "Have they sent out …", "did they publish …": no part does such things. */
function isMaker({ word, after: mark }: Token, after: Token | undefined): boolean {
  return (
    word === "they" &&
    mark === "" &&
    /^(sent|send|sending|issued|issue|published|publish|released|release|wrote|decided|intended|intend)$/.test(
      after?.word ?? "",
    )
  );
}

/** "Are we even allowed to": only for weight; "the even holes" and "even-numbered" pick some. */
function isEmphasis({ word, after: mark }: Token, after: Token | undefined): boolean {
  return (
    word === "even" &&
    after !== undefined &&
    !/[,.;:!?/]/.test(mark) &&
    !isHoleNoun(after) &&
    !/^(numbered|number|numbers|ones|one|and|or|rows?|pitch|spacing|spaced|gap|gaps|of|on|in|for)$/.test(
      after.word,
    ) &&
    !/^\d/.test(after.word)
  );
}

/** As typed; a typed word that became several tokens is said once. */
function textOf(tokens: readonly Token[]): string {
  const texts: string[] = [];
  for (const { text } of tokens) if (texts.at(-1) !== text) texts.push(text);
  return texts.join(" ");
}
