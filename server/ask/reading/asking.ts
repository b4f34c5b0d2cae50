import { counted, listed } from "../wording/grammar.js";
import type { Doubt } from "./read.js";
import { MAX_CHARS } from "./text.js";

/** What is said when a question is not answered: what was missing or not understood, and the way on. */
export function sayDoubt(doubt: Doubt, unread: readonly string[], choices: number): string {
  const pick =
    choices === 0 ? "" : choices === 1 ? " Did you mean this?" : " Choose one, or say it another way.";
  switch (doubt.code) {
    case "empty":
      return "There is no question yet. Ask about a part, a row or a hole.";
    case "too-long":
      return `That is too much to read at once (at most ${MAX_CHARS} characters). Ask one thing, in one sentence.`;
    case "two-readings":
      return `That can be read in ${choices === 2 ? "two" : "several"} ways. Which one do you mean?`;
    case "two-things":
      return "That says two things. One at a time: which first?";
    case "missing":
      return doubt.ask;
    case "which-place":
      return WHICH[doubt.need];
    case "unknown-name":
      return `There is no ${listed(
        doubt.names.map((name) => `"${name}"`),
        "or",
      )} here, so nothing is answered for ${doubt.names.length === 1 ? "it" : "them"}.${pick}`;
    case "nothing-before":
      return `That points at something that was not named before. Say which part, row or hole.${pick}`;
    case "nearly":
      return choices === 1 ? "Is this what you mean?" : "Which of these do you mean?";
    case "name-only":
      return "What do you want to know about it?";
    case "elsewhere":
      return `That cannot be answered here. ${doubt.who}`;
    case "unread":
      return `${unreadWords(unread)}${pick}`;
  }
}

const WHICH = {
  row: "Which row? The part has more than one that it could be.",
  part: "Which part? More than one could be meant.",
  step: "Which step of the manual? More than one could be meant.",
} as const;

/** At most this many words are named; a whole text in another language is not read out. */
const MOST_WORDS = 6;

function unreadWords(unread: readonly string[]): string {
  if (unread.length === 0) return "That could not be read as a question.";
  const shown = unread.slice(0, MOST_WORDS).map((word) => `"${word}"`);
  const rest = unread.length - shown.length;
  const words = rest > 0 ? `${shown.join(", ")} and ${counted(rest, "more word")}` : listed(shown);
  return `Not understood: ${words}.`;
}
