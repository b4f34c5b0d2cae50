import type { Token } from "./tokens.js";

/**
 * A statement with a tag is a question: "rib 3 is dimpled, isn't it?", "the top skin goes on last, right". The tokens
 * without the tag, and whether there was one.
 */
export function withoutTag(tokens: readonly Token[]): {
  readonly tokens: readonly Token[];
  readonly asks: boolean;
} {
  for (let length = Math.min(LONGEST, tokens.length - 2); length > 0; length--) {
    const start = tokens.length - length;
    const last = tokens[start - 1];
    if (!last) continue;
    const words = tokens.slice(start).map(({ word }) => word);
    const apart = /[,.;!?-]/.test(last.after);
    if (!(isTurned(words) || (apart && SAYINGS.has(words.join(" "))))) continue;
    return { tokens: [...tokens.slice(0, start - 1), { ...last, after: "" }], asks: true };
  }
  return { tokens, asks: false };
}

const LONGEST = 5;

const SAYINGS: ReadonlySet<string> = new Set(
  (
    "right, correct, yes, yeah, yep, no, eh, huh, innit, true, or not, or no, or what, or yes, is that right, is that correct, is that so, " +
    "is that true, am i right, am i correct, you think, do you think, would you say, dont you think, is this right, is this correct, " +
    "or is it too soon, or is it too early, or not yet, or should i wait, or must i wait, or too soon, or too early"
  ).split(", "),
);

const ASKING = /^(is|are|was|were|do|does|did|has|have|had|can|could|should|must|will|would|need|shall|am)$/;
const ABOUT = /^(it|they|i|we|you|there|that|those|this)$/;

/** "is it not", "does not it", "are they", "have i": the verb turned round, and nothing after it. */
function isTurned(words: readonly string[]): boolean {
  const [verb = "", ...rest] = words;
  if (!ASKING.test(verb)) return false;
  const about = rest.filter((word) => word !== "not");
  const nots = rest.length - about.length;
  return about.length === 1 && nots <= 1 && ABOUT.test(about[0] ?? "");
}
