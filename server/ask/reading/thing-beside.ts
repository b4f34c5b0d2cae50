import { itemsOf } from "./items.js";
import { asideOf, clausesOf, sentenceAside } from "./lead-in.js";
import type { NameIndex } from "./names.js";
import { neighbourAt } from "./neighbour-words.js";
import type { Token } from "./tokens.js";

/**
 * "I've found some SC-5-6 in the box, what are they for?", "MN-7 came in the post. What's in it?": a rivet, a notice
 * or something that comes near is named beside the question, which only points at it. The question with its name in it; null where the text is
 * no such thing. What stands beside it must be an aside without the name.
 */
export function withThingBeside(
  tokens: readonly Token[],
  names: NameIndex,
): { readonly tokens: readonly Token[]; readonly unused: readonly string[] } | null {
  const clauses = clausesOf(tokens);
  const things = tokens.flatMap((_, at) => thingAt(tokens, at, names) ?? []);
  const [thing, another] = things;
  if (!thing || another) return null;
  const starts = clauses.map((_, n) => clauses.slice(0, n).flat().length);
  const cut = starts.find((start) => start >= thing.to);
  if (cut === undefined) return null;
  const own = tokens.slice(cut);
  const at = own.findIndex(({ word }) => POINTS.test(word));
  const pointed = own[at];
  if (!pointed || own.length < 2 || own.some(({ id }) => id)) return null;
  const rest = tokens
    .slice(0, cut)
    .filter(({ word }, n) => (n < thing.from || n >= thing.to) && !AMOUNT.test(word));
  const items = itemsOf(rest, names);
  const aside = /[.!?]/.test(tokens[cut - 1]?.after ?? "") ? sentenceAside([items]) : asideOf(items);
  if (!aside || aside.where || aside.mishap) return null;
  const name = tokens.slice(thing.from, thing.to).map((token) => ({ ...token, after: "" }));
  const last = name.length - 1;
  const named = name.map((token, n) => (n === last ? { ...token, after: pointed.after } : token));
  const the = name.length > 1 ? [{ ...pointed, word: "the", after: "" }] : [];
  return { tokens: own.toSpliced(at, 1, ...the, ...named), unused: aside.unused };
}

/** Where a rivet, a notice or something that comes near is named. */
function thingAt(
  tokens: readonly Token[],
  at: number,
  names: NameIndex,
): { readonly from: number; readonly to: number } | null {
  const id = tokens[at]?.id;
  if (id) return id.kind === "rivet" || id.kind === "notice" ? { from: at, to: at + 1 } : null;
  const near = /^(the|a)$/.test(tokens[at - 1]?.word ?? "") ? neighbourAt(tokens, at, names) : null;
  return near && { from: at, to: near.end };
}

const POINTS = /^(it|they|them|these|those|this|that|its)$/;

/** How many there are of it, or in what: "some", "a box of", "left over". */
const AMOUNT =
  /^(some|few|lots?|of|box|bag|tin|tray|jar|packet|handful|pile|bunch|left|over|spare|in|the|a)$/;
