import { type FormSpec, takes } from "../form.js";
import { lexicon, type Sense } from "../lexicon.js";
import type { Slots } from "../types.js";
import type { Item, WordItem } from "./items.js";
import { isNegation, isWordItem } from "./meaning.js";

/**
 * How the words of a question put it: "does it foul", "is it too early to …" ask against what the form asks, "is it too
 * long" so that neither yes nor no would be plain. Beside "may", "or" or a negation it is open too; "without being too
 * near the edge" and "how close to the edge" turn nothing round.
 * @param fixed  what the phrasing itself says of it
 * @returns      the form's slot for it, filled; nothing where the question is put as the form puts it
 */
export function senseOf(items: readonly Item[], form: FormSpec, fixed: Slots): Slots {
  const slot = form.slots.find(({ type }) => type === "sense");
  if (!slot) return {};
  const own = fixed[slot.name];
  const words = items.filter(isWordItem);
  const turning = words.filter((item, at) => turnOf(item) !== undefined && !isTurnedBack(words, at));
  // "Must I close it now?" is neither turned nor "may I": only the phrasing tells that it asks so.
  if (own === "must" && turning.length === 0) return { [slot.name]: own };
  const values = new Set([...turning.map(turnOf), ...(typeof own === "string" ? [own] : [])]);
  if (values.size === 0) return {};
  const others = words.filter((item) => turnOf(item) === undefined);
  const isOpen = values.has("open") || others.some((item) => item.senses.some(isMixing));
  const value = isOpen ? "open" : "against";
  return takes(slot, value) ? { [slot.name]: value } : {};
}

function turnOf({ senses }: WordItem): string | undefined {
  return senses
    .map(({ concept }) => lexicon().concepts.get(concept)?.slots.sense)
    .find((value) => value === "against" || value === "open");
}

/** "Without going too near the edge" is as it should be; "how close to the edge" asks for a measure. */
function isTurnedBack(words: readonly WordItem[], at: number): boolean {
  return (
    words[at - 1]?.word === "how" ||
    words.slice(Math.max(0, at - 2), at).some(({ word }) => word === "without")
  );
}

/** Beside these it hangs on the sentence what a yes would mean: "may it touch", "does it clear or foul". */
function isMixing(sense: Sense): boolean {
  return MIXING.has(sense.concept) || isNegation(sense);
}

const MIXING: ReadonlySet<string> = new Set(["may", "or"]);
