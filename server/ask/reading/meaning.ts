import { lexicon, type Sense } from "../lexicon.js";
import type { Item, PlaceItem, WordItem } from "./items.js";

/** The concepts that an item may stand for; none for what is named. */
export function concepts(item: Item): readonly string[] {
  return item.kind === "word" ? item.senses.map(({ concept }) => concept) : [];
}

/** Whether an item may stand for one of these concepts. */
export function means(item: Item | undefined, ...wanted: readonly string[]): boolean {
  return item?.kind === "word" && item.senses.some(({ concept }) => wanted.includes(concept));
}

/** Whether a word by itself may stand for one of these concepts. */
export function wordMeans(word: string, ...wanted: readonly string[]): boolean {
  return lexicon()
    .senses(word)
    .some(({ concept }) => wanted.includes(concept));
}

/** "Dimple", "riveted", "close": something that is done to a hole or a part. */
export function isAct({ concept }: Sense): boolean {
  return lexicon().concepts.get(concept)?.slots.act !== undefined;
}

/** "Not", "no", "without". */
export function isNegation({ concept }: Sense): boolean {
  return lexicon().concepts.get(concept)?.negation ?? false;
}

/** Whether an item is a word or a fixed phrase of this shape. */
export function isWord(item: Item | undefined, shape: RegExp): boolean {
  return item?.kind === "word" && shape.test(item.word);
}

/** Whether an item is a word that even a clipped question passes over: "please", "the". */
export function isQuiet(item: Item): boolean {
  return item.kind === "word" && item.weight === "quiet";
}

/** A word or a fixed phrase. */
export function isWordItem(item: Item): item is WordItem {
  return item.kind === "word";
}

/** Something named that says where. */
export function isPlaceItem(item: Item): item is PlaceItem {
  return item.kind === "place";
}
