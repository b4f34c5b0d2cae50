import { lexicon } from "../lexicon.js";
import type { Asked } from "./clipped.js";
import type { Item, WordItem } from "./items.js";
import type { NameIndex } from "./names.js";
import { partOf, type Where, whereSlots } from "./where.js";

/** Which of two preps comes first, as a text asks it. */
export interface PrepOrder {
  /** The preps, and a drill or the rivets where one of the two is that; by lexicon id, in the order named. */
  readonly acts: readonly string[];
  /** What tells that order. */
  readonly choices: readonly Asked[];
}

/**
 * "Dimple before or after priming rib 3?", "do I deburr before I prime": asks for the order of two preps. The plan until a
 * part is on lists its preps in the kit's order, and the notes tell what is usual; what one prep is or when it comes does
 * not tell it. Null where fewer than two are named, or nothing asks what comes first.
 */
export function prepOrder(items: readonly Item[], names: NameIndex): PrepOrder | null {
  const words = items.filter((item): item is WordItem => item.kind === "word");
  const said = words.flatMap((item) => actsIn(item).map((act) => ({ act, word: item.word })));
  const named = said.filter(({ act }, at) => said.findIndex((one) => one.act === act) === at);
  const [first, second] = named;
  if (!first || !second || !named.some(({ act }) => act !== "drill" && act !== "set")) return null;
  if (!words.some(isOrdering) || states(words)) return null;
  const topic = `order of ${first.word} and ${second.word}`;
  const places = items.flatMap((item) =>
    item.kind === "place" && item.place.kind === "known" ? [item.place.where] : [],
  );
  const [where, another] = places;
  const part = where && !another ? onPart(where, names) : null;
  const placed = where && !another ? whereSlots(where, TREATED, names) : null;
  const forms = named.every(({ act }) => FORMING.has(act)) && placed !== null && where?.kind !== "all";
  return {
    acts: named.map(({ act }) => act),
    choices: [
      // "Enlarge, then dimple" is what is done to the holes.
      ...(forms ? [{ form: "treatment", slots: placed } as const] : []),
      ...(part !== null ? [{ form: "plan", slots: { part } } as const] : []),
      { form: "notes", slots: { topic } },
      ...(part === null && places.length === 0 ? [{ form: "plan", slots: {} } as const] : []),
    ],
  };
}

const FORMING: ReadonlySet<string> = new Set(["drill", "enlarge", "dimple", "countersink"]);
const TREATED: ReadonlySet<string> = new Set(["hole", "holes", "row", "part", "family", "step"]);

function actsIn({ senses }: WordItem): readonly string[] {
  return senses.flatMap(({ concept }) => {
    const slots = lexicon().concepts.get(concept)?.slots ?? {};
    if (slots.gate !== undefined) return [slots.gate];
    return concept === "drill" || concept === "set" ? [concept] : [];
  });
}

function isOrdering({ word, senses }: WordItem): boolean {
  return (
    ORDERING.test(word) ||
    senses.some(({ concept }) => concept === "before" || concept === "after" || concept === "first")
  );
}

const ORDERING =
  /^(before|after|first|then|beforehand|afterwards|order|sequence|prior|earlier|last|following|followed)\b/;

/** "I've deburred rib 3 before priming it": tells what was done. */
function states(words: readonly WordItem[]): boolean {
  const [somebody, verb] = words.filter(({ word }) => word !== "and" && word !== "so");
  return (
    /^(i|we)$/.test(somebody?.word ?? "") &&
    verb !== undefined &&
    (/^(have|had|just)$/.test(verb.word) || verb.senses.some(({ past }) => past))
  );
}

function onPart(where: Where, names: NameIndex): string | null {
  const part = partOf(where, names);
  return part && "id" in part ? part.id : null;
}
