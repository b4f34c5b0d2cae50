import type { Item } from "./items.js";
import { isQuiet, isWord, means } from "./meaning.js";

/**
 * "Rib 3's top row is not riveted, only pinned", "pinned but not set yet": set and pinned are both named, and one of the two
 * is denied. The denied one is taken out with its "not", so that "rib 3's top row is pinned" is left to be read. The items
 * are left as they are where only one of the two is named, where neither is denied, or where what is so is not told as done.
 */
export function withoutContrast(items: readonly Item[]): readonly Item[] {
  const not = items.findIndex(
    (item) => means(item, "not") || (means(item, "instead") && isThan(items, item)),
  );
  if (not < 0 || items.filter((item) => means(item, "not")).length > 1) return items;
  const denied = items.findIndex((item, at) => at > not && (means(item, "set") || means(item, "pin")));
  const own = items.findIndex((item, at) => at !== denied && STATES.some((state) => means(item, state)));
  if (denied < 0 || own < 0) return items;
  const between = items.slice(not + 1, denied);
  if (!between.every((item) => isWord(item, BESIDE_STATE) || isQuiet(item))) return items;
  const [deniedState, ownState] = [items[denied], items[own]].map((item) =>
    STATES.find((state) => item && means(item, state)),
  );
  if (deniedState === ownState) return items;
  // What is so has to be told as done: "pinned", not "pin".
  const told = items[own];
  if (told?.kind !== "word" || !told.senses.some(({ concept, past }) => concept === ownState && past))
    return items;
  const from = own < not ? lastLink(items, not) : not;
  const to = own > denied ? firstAfterLink(items, denied + 1) : denied + 1;
  const rest = [...items.slice(0, from), ...items.slice(to)];
  return rest.filter((item) => !isWord(item, /^(only|merely)$/));
}

const STATES = ["set", "pin"] as const;

const BESIDE_STATE = /^(been|be|yet|fully|actually|really|properly|than|it|them|the|got|to|being)$/;

/** "Pinned rather than riveted", "instead of riveting it": what follows is denied. */
function isThan(items: readonly Item[], item: Item): boolean {
  return isWord(items[items.indexOf(item) + 1], /^(than|of)$/);
}

/** Where the words that lead to a denial begin: "but we did" in "pinned, but we did not rivet it". */
function lastLink(items: readonly Item[], not: number): number {
  let from = not;
  while (isWord(items[from - 1], /^(but|and|have|has|is|are|did|was|were|i|we|it|they|so|still)$/)) from--;
  return from;
}

/** Where the words between a denial and what is so end: "but only" in "not riveted but only pinned". */
function firstAfterLink(items: readonly Item[], after: number): number {
  let to = after;
  while (
    isWord(items[to], /^(but|and|only|just|yet|merely|simply|it|they|is|are|it is|rather|so|i|we|have|did)$/)
  )
    to++;
  return to;
}
