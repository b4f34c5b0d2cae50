import { lexicon } from "../lexicon.js";
import type { Token } from "./tokens.js";

/**
 * "Rib 3's top row isn't dimpled and I want to know why", "the drawing shows the sill countersunk, what's the reason?":
 * what is so first, and then why. The same as a question that begins with "why"; null when the text is no such thing.
 */
export function whyFirst(tokens: readonly Token[]): readonly Token[] | null {
  const from = tokens.length > MOST ? -1 : tailAt(tokens);
  if (from < LEAST) return null;
  const stated = tokens.slice(0, from);
  const lead = leadOf(stated);
  const own = stated.slice(lead).map((token) => ({ ...token, after: "" }));
  const [first] = own;
  if (!first || own.length < LEAST || own.some(({ word }) => isTied(word))) return null;
  if (stated.slice(lead, -1).some(({ after }) => /[.;:!?]/.test(after))) return null;
  return [{ word: "why", text: tokens[from]?.text ?? "why", after: "" }, ...own];
}

/** Fewer words state nothing, more are a story. */
const LEAST = 3;
const MOST = 30;

/** Where the asking for the reason begins that ends the text; -1 where it does not end so. */
function tailAt(tokens: readonly Token[]): number {
  for (let from = Math.max(1, tokens.length - LONGEST); from < tokens.length; from++) {
    const said = tokens.slice(from).map(({ word }) => word);
    const apart = /[,.;:!?-]/.test(tokens[from - 1]?.after ?? "") || said[0] === "and" || said[0] === "but";
    if (apart && TAIL.test(said.join(" "))) return from;
  }
  return -1;
}

const LONGEST = 12;

const TAIL = new RegExp(
  "^(and |but |so |now |please )*" +
    "((i|we) ((just|really|still|also|quite) )*((would|do|can|could|am|have|must) )?(not )?((like|love|want|need|have|dying|curious|wondering) )?(to )?(know|see|understand|wonder|wondering|ask|find out|get|remember|hear|learn|be told|explain) |" +
    "(do|can|could|would) (you|anyone|anybody|someone) (please )?(know|tell me|explain|say|remind me) |(please )?(tell me|explain|any idea) |" +
    "(and )?what (is|was|could be|may be) )?" +
    "(why|how come|the reason|reason|the reasons|the reason why|the logic|the thinking|the point|what for|for what reason)" +
    "( (is|are|was|were) (that|this|it|so|they))?( (of|for|behind|to) (that|this|it))?( (please|though|then|that|so))?$",
);

/** "I see that", "my drawing shows", "it says here": how the builder knows is no part of what is so. */
function leadOf(stated: readonly Token[]): number {
  const line = stated
    .slice(0, 8)
    .map(({ word }) => word)
    .join(" ");
  const found = LEAD.exec(`${line} `)?.[0];
  const length = found === undefined ? 0 : found.trim().split(" ").length;
  // A bar, a size or a part never stands in these words.
  return stated.slice(0, length).some(({ id, size }) => id || size) ? 0 : length;
}

const LEAD =
  /^((and|so|but|now|ok|okay|well) )*(((i|we) (can |just |have )*(see|seen|saw|notice|noticed|read|heard|hear|gather|understand|know|found)|(my|the|our) (drawing|drawings|manual|book|plans|plan|instructions|notice) (say|says|show|shows|has|have|calls for)|it says( here| in the (manual|book|drawing|plans))?)( that)?|apparently)(?= )/;

/** What ties a clause to another, or asks something else. */
function isTied(word: string): boolean {
  return lexicon().isOf(word, "condition", "asking") || OTHER_TIES.test(word);
}

const OTHER_TIES = /^(whether|because|but|except|only|instead)$/;
