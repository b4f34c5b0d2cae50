import type { Sense } from "../lexicon.js";
import type { Item } from "./items.js";
import { barredBy, keysOf, type Match, type Setting } from "./match.js";
import { isCondition, Matcher } from "./matcher.js";
import { isAct } from "./meaning.js";
import { type Element, keyOf } from "./phrasing.js";

/**
 * Ways in which a short text says a form with its words in another order, and without the small verbs: "nose skin on now
 * ok". Only where no word is among them whose place in the sentence tells what it goes with.
 */
export function reordered(items: readonly Item[], setting: Setting): readonly Match[] {
  const words = items.filter((item) => item.kind === "word");
  const [named, ...more] = items.filter((item) => item.kind !== "word");
  const small = items.filter((item) => item.kind === "word" && SMALL_TALK.has(item.word)).length;
  if (items.length - small > MOST_REORDERED || more.length > 0) return [];
  if (named?.kind !== "place" && named?.kind !== "milestone") return [];
  if (words.some(({ senses }) => senses.some(({ concept }) => PLACED.has(concept)))) return [];
  if (tellsWork(items) || items.some((_, at) => isCondition(items, at))) return [];
  const keys = keysOf(items);
  const barred = barredBy(items, setting);
  return setting.grammar.within(new Set([...keys, ...SMALL_VERB_KEYS])).flatMap((variant) => {
    if (barred.has(variant.form) || variant.form.statement || (variant.asks && !setting.asks)) return [];
    const whole = variant.elements;
    const elements = whole.filter((element) => !isSmallVerb(element));
    // Without its verb and its mark "rib 3's top row set" may tell as well as ask.
    if (elements.length < whole.length && !setting.asks) return [];
    if (!variant.needs.every((some) => some.some((key) => keys.has(key) || SMALL_VERB_KEYS.has(key))))
      return [];
    if (elements.filter((element) => element.every(({ kind }) => kind !== "slot")).length < 2) return [];
    const found = new Matcher(items, { ...variant, elements }, setting, "whole").anyOrder();
    return found ? [found] : [];
  });
}

/** "Both rows of the doubler are now riveted", "is the doubler now riveted": what was done, not what may be. */
function tellsWork(items: readonly Item[]): boolean {
  const verb = items.findIndex((item) => item.kind === "word" && BEEN.test(item.word));
  return (
    verb >= 0 && items.slice(verb).some((item) => item.kind === "word" && item.senses.some(isParticipleOfAct))
  );
}

function isParticipleOfAct(sense: Sense): boolean {
  return sense.past && isAct(sense);
}

const BEEN = /^(is|are|was|were|has|have|had)$/;

/** Longer texts are sentences, and their order counts; manners make none longer. */
const MOST_REORDERED = 9;

const SMALL_TALK: ReadonlySet<string> = new Set(
  "please kindly thanks thank ta cheers sorry hello hi hey oh er um uh well so then just really actually right".split(
    " ",
  ),
);

/** What these words go with is told by where they stand. */
const PLACED: ReadonlySet<string> = new Set(
  "not no without before until after when first later only but or other others same odd compare instead stop trap affect".split(
    " ",
  ),
);

const SMALL_VERBS: ReadonlySet<string> = new Set(
  "is are am was were do does did has have had i we to".split(" "),
);

const SMALL_VERB_KEYS: ReadonlySet<string> = new Set([...SMALL_VERBS].map((verb) => keyOf("literal", verb)));

function isSmallVerb(element: Element): boolean {
  return element.every((atom) => atom.kind === "literal" && SMALL_VERBS.has(atom.word));
}
