import type { Reading, Slots } from "../types.js";

type Say = (slots: Slots, them: boolean) => string | null;

/** A question about what is pointed at, in few words: the place is in view and needs no naming. */
const SHORT: Readonly<Record<string, Say>> = {
  "before-closing": () => "What before it closes?",
  treatment: ({ treatment, not }) =>
    treatment === undefined
      ? "What is done here?"
      : not === "yes"
        ? `Which holes get no ${treatment}?`
        : null,
  why: () => "Why?",
  "may-i": ({ act, part }, them) => `May I ${String(act)} ${part || !them ? "it" : "them"}?`,
  "stay-open": ({ hole, holes, row, part }) =>
    hole ? "Does it stay open?" : holes || row || part ? "Which stay open?" : "Which holes stay open?",
  "close-later": () => "What is closed later, and when?",
  changed: ({ hole, holes, row }) =>
    hole
      ? "Did a notice change it?"
      : holes || row
        ? "Did a notice change these?"
        : "What did notices change?",
  rework: ({ first, hole, holes, row }) =>
    first === "yes"
      ? "What if it were hung first?"
      : hole || holes || row
        ? "How do I get back to it?"
        : "What is the way back?",
  fastener: () => "Which rivet?",
  tools: () => "Which tools?",
  clearance: () => "Does the head clear?",
  edge: () => "Is the edge far enough?",
  count: () => "How many rivets?",
  progress: ({ hole, holes, row, part }) =>
    hole || holes || row || part ? "What is done and left of it?" : "What is done and what is left?",
  plan: ({ part }) => (part ? "What comes before it is on?" : "What is the whole order?"),
  next: ({ part }) => (part ? "What comes next on it?" : "What comes next?"),
  "turn-over": () => "When is it turned over?",
};

/**
 * The question in few words; as it is where there are no fewer.
 * @param isPointed  the place is in view; otherwise a question that names one is said in full
 */
export function sayShort({ form, slots, said }: Reading, isPointed: boolean): string {
  if (!isPointed && slots.part !== undefined) return said;
  const them = slots.row !== undefined || (slots.holes?.length ?? 0) > 1;
  return SHORT[form]?.(slots, them) ?? said;
}
