import { lexicon } from "../lexicon.js";
import type { Item, WordItem } from "./items.js";
import { isNegation } from "./meaning.js";
import { pointsIn } from "./pointing-words.js";
import { CLOCK } from "./times.js";
import { isWhereabouts } from "./whereabouts.js";

/**
 * Whether a sentence beside a question may bear on it. It does when it makes a condition or narrows what is meant. A clause
 * that speaks of the work (it names a part, a hole or a rivet, or points at them) does unless it says only where that is. Any
 * other clause does when it tells of an act of the trade, of what a part is made of or what is on it, or when it counts;
 * everyday words say nothing of the work: "my helper has to leave when the rain stops".
 * @param clauses  the sentence, cut at its commas
 */
export function bearsApart(clauses: readonly (readonly Item[])[]): boolean {
  const said = wordsIn(clauses.flat());
  const isTold = said.some((word) => SOMEBODY.test(word) || lexicon().isPerson(word));
  // "The odd ones", "the lower ones": some of what is asked about.
  if (said.includes("ones")) return true;
  if (said.includes("only") && (!isTold || NARROWED.test(said.join(" ")))) return true;
  if (said.some((word, at) => isCondition(word, said[at + 1] ?? ""))) return true;
  if (WHEN.test(said.find(isNoJoin) ?? "")) return true;
  let ofWork = false;
  for (const clause of clauses.flatMap(ownClauses)) {
    // "The mount is here, bent like a banana": what begins with nobody and nothing goes on about what was named.
    ofWork = speaksOfWork(clause) || (ofWork && !isOwn(clause));
    if (ofWork ? !isWhereabouts(clause) || hasTrade(clause) : saysOfWork(clause)) return true;
  }
  return false;
}

function wordsIn(items: readonly Item[]): readonly string[] {
  return items.flatMap((item) => (item.kind === "word" ? item.word.split(" ") : ["-"]));
}

const isNoJoin = (word: string): boolean => !/^(so|but|and|then|while|who|because)$/.test(word);

/** A clause cut before "and", "but" or "so" where somebody or something else follows. */
function ownClauses(clause: readonly Item[]): readonly (readonly Item[])[] {
  const starts = clause.flatMap((item, at) => {
    const isJoin = item.kind === "word" && /^(and|but|so|while|who|because)$/.test(item.word);
    return at === 0 || (isJoin && isOwn(clause.slice(at))) ? [at] : [];
  });
  return starts.map((from, n) => clause.slice(from, starts[n + 1] ?? clause.length));
}

/** Whether it says whom or what it is about: "my shoes are too", "I have coffee". */
function isOwn(clause: readonly Item[]): boolean {
  const [first = "", second = ""] = wordsIn(clause).filter(isNoJoin);
  return (
    lexicon().isPerson(first) ||
    /^(i|we|he|she|they|you|my|our|nobody|everybody|people|somebody)$/.test(first) ||
    (/^(the|a|an|it|that)$/.test(first) && second !== "")
  );
}

/** It names a part, a hole or a rivet, or points at something that was named; "everything" names nothing. */
export function speaksOfWork(clause: readonly Item[]): boolean {
  return (
    clause.some((item) =>
      item.kind === "word"
        ? item.senses.some(({ concept }) => WORK_NOUNS.has(concept))
        : !(item.kind === "place" && item.place.kind === "known" && item.place.where.kind === "all"),
    ) || pointsIn(clause).length > 0
  );
}

/** A clause that says nothing of the kit: whether it says something of the work all the same. */
export function saysOfWork(clause: readonly Item[]): boolean {
  const words = clause.flatMap((item) => (item.kind === "word" ? [item] : []));
  if (words.some((_, at) => isTool(words, at)) && words.some(isDenial)) return true;
  if (clause.some(isAll) && words.some(({ word }) => ALL_DONE.test(word))) return true;
  return words.some((item, at) =>
    isNumber(item)
      ? mayCount(words, at)
      : isTrade(words, at) ||
        item.word.split(" ").some((word) => lexicon().isOf(word, "work-thing") && !isOwnKit(words, at)),
  );
}

function hasTrade(clause: readonly Item[]): boolean {
  const words = clause.flatMap((item) => (item.kind === "word" ? [item] : []));
  return words.some(
    (item, at) => !lexicon().isOf(item.word, "whereabouts") && item.word !== "put" && isTrade(words, at),
  );
}

/** "I can't get the bar in", "no die here": something may not be done for want of it. */
function isTool(words: readonly WordItem[], at: number): boolean {
  const { word, senses } = words[at] as WordItem;
  const before = words.slice(0, at).map((item) => item.word);
  if (INTENDED.test(` ${before.join(" ")} `)) return false;
  return lexicon().isOf(word, "tool") || senses.some(({ concept }) => TACKLE.has(concept));
}

function isDenial({ word, senses }: WordItem): boolean {
  return senses.some(isNegation) || word.split(" ").some((one) => /^(not|never|no)$/.test(one));
}

/** "Everything looks done", "nothing lines up"; not "everything is in boxes". */
function isAll(item: Item): boolean {
  return item.kind === "word"
    ? item.word === "nothing"
    : item.kind === "place" && item.place.kind === "known" && item.place.where.kind === "all";
}

const ALL_DONE =
  /^(did|done|finished|complete|ready|fits?|lines?|lined|aligned|straight|left|riveted|tight)$/;

/** "My first kit": how much somebody has built. */
function isOwnKit(words: readonly WordItem[], at: number): boolean {
  return words[at]?.word === "kit" && /^(first|second|third)$/.test(words[at - 1]?.word ?? "");
}

/** Words that are said of the work and of nothing else: "dimpled", "bucked", "drilled"; not as tools, and not as what is to come. */
function isTrade(words: readonly WordItem[], at: number): boolean {
  const { word, senses } = words[at] as WordItem;
  const after = words[at + 1]?.word ?? "";
  // "The shop closes at noon", "I used to build boats".
  if ((/^clos/.test(word) && /^(at|early|for)$/.test(after)) || (word === "used" && after === "to"))
    return false;
  // "The drill press is warm."
  if (/^(drill|buck|rivet)s?$/.test(word) && /^(the|a|my|our|his|her)$/.test(words[at - 1]?.word ?? ""))
    return false;
  if (!TRADE_WORD.test(word) && !senses.some(({ concept }) => TRADE.has(concept))) return false;
  const before = words.slice(0, at).map((item) => item.word);
  const isPast = senses.some(({ past }) => past) || /ed$/.test(word);
  return isPast || !INTENDED.test(` ${before.join(" ")} `);
}

function isNumber({ word }: WordItem): boolean {
  return lexicon().number(word) !== undefined || /\d/.test(word);
}

/** "The last two" counts; "two coffees", "until four", "half a bench", "10:30" and "by nine" do not. */
function mayCount(words: readonly WordItem[], at: number): boolean {
  const { word } = words[at] as WordItem;
  const before = words[at - 1]?.word ?? "";
  if (CLOCK.test(word) || /^(until|till|by|at|before|after|past)$/.test(before)) return false;
  if (word === "twice") return false;
  const next = words
    .slice(at + 1)
    .find((item) => item.weight !== "quiet" && !/^(a|an|the|past|more|hours)$/.test(item.word));
  return next?.weight !== "content" || next.senses.length > 0;
}

/** What the answer may hang on; "right behind me", "I would rather not", "right now" are none. */
function isCondition(word: string, next: string): boolean {
  if (word === "right")
    return !/^(now|here|behind|beside|next|in|over|under|by|at|after|before|outside)$/.test(next);
  if (word === "rather") return !/^(not|sit|stay|know|ask|be|tired|late|pleased|a)$/.test(next);
  return CONDITION.test(word);
}

const CONDITION =
  /^(if|unless|assuming|assume|suppose|supposing|supposed|provided|given|except|excepting|excluding|ignoring|apart|besides|instead|than|whose|early|sooner|bigger|larger|smaller|longer|shorter|wider|thicker|thinner|deeper|different|wrong)$/;
/** As the first word of a sentence these make a condition of it. */
const WHEN = /^(when|whenever|while|until|till|since|after|before|because|once|as|without)$/;

/** "I only care about the top row." */
const NARROWED =
  /only (really )?(care|mean|meant|want|need|ask|asking|talk|talking|interested|look|looking|count)/;

const SOMEBODY = /^(i|we|he|she|they|my|our|me|us)$/;

const WORK_NOUNS: ReadonlySet<string> = new Set(
  "hole row head rivet-type rivet-size shop-head grip stack pitch treatment diameter edge".split(" "),
);

/** The builder's tools: without them something may not be done. */
const TACKLE: ReadonlySet<string> = new Set("cutter drill die tools temporary reach".split(" "));

const TRADE_WORD = /^(rivet|buck|drill|ream|squeez)(s|ed|ing|ted|ting)?$/;
const TRADE: ReadonlySet<string> = new Set(
  (
    "dimple countersink enlarge as-punched flush protruding pin deburr prime unwrap unset undimpled oversize oblong cracked " +
    "too-near-edge misplaced trap shop-head size rivet-size instead change undo remove hold-back premature close put use"
  ).split(" "),
);

/** Somebody is going to do it, or learns how; nothing is done yet. */
const INTENDED =
  / (about to|going to|gonna|ready to|ready for|want to|wants to|wanted to|itching to|keen to|dying to|hoping to|planning to|time to|time for|learning to|new to|in the mood for|looking forward to) (\w+ ){0,2}$/;
