import { lexicon } from "../lexicon.js";
import type { WordItem } from "./items.js";

/**
 * Whether a sentence beside a question may bear on it: it speaks of holes or rivets, of what is done to them, of a condition
 * or of a choice among them. Everyday verbs say nothing of the work where nothing of the kit is spoken of: "people hang their
 * coats there", "I have my helper until the rain stops".
 * @param ofWork  the sentence names a place, or points at what was named
 */
export function bearsApart(words: readonly WordItem[], ofWork: boolean): boolean {
  const said = words.flatMap(({ word }) => word.split(" "));
  const isTold = said.some((word) => SOMEBODY.test(word) || lexicon().isPerson(word));
  if (said.includes("only") && (!isTold || NARROWED.test(said.join(" ")))) return true;
  if (said.some((word) => CONDITION.test(word)) || WHEN.test(said.find(isNoJoin) ?? "")) return true;
  const isStrict = ofWork || words.some(namesHoles) || said.some((word) => POINTING.test(word));
  return words.some((item, at) =>
    isNumber(item) ? mayCount(words, at) : isStrict ? !isMild(words, at) : isTrade(words, at),
  );
}

const isNoJoin = (word: string): boolean => !/^(so|but|and|then)$/.test(word);

function namesHoles({ senses }: WordItem): boolean {
  return senses.some(({ concept }) => WORK_NOUNS.has(concept));
}

/** Beside holes and rivets, a place or a word that points: only what cannot be said of them. */
function isMild(words: readonly WordItem[], at: number): boolean {
  const { word, senses } = words[at] as WordItem;
  if (word === "first") return /^(my|our)$/.test(words[at - 1]?.word ?? "");
  if (/^(last|next)$/.test(word)) return TIME.test(words[at + 1]?.word ?? "");
  return (
    AROUND.test(word) ||
    lexicon().isPerson(word) ||
    senses.every(({ concept }) => MILD.has(concept)) ||
    (HOLDING.test(word) && words.some((other) => SOMEBODY.test(other.word)))
  );
}

/** Words that are said of the work and of nothing else: "dimpled", "bucked", "drilled"; not as tools, and not as what is to come. */
function isTrade(words: readonly WordItem[], at: number): boolean {
  const { word, senses } = words[at] as WordItem;
  if (!TRADE_WORD.test(word) && !senses.some(({ concept }) => TRADE.has(concept))) return false;
  const before = words.slice(0, at).map((item) => item.word);
  const isPast = senses.some(({ past }) => past) || /ed$/.test(word);
  return isPast || !INTENDED.test(` ${before.join(" ")} `);
}

function isNumber({ word }: WordItem): boolean {
  return lexicon().number(word) !== undefined || /\d/.test(word);
}

/** "The last two" counts; "two coffees", "until four", "10:30" and "by nine" do not. */
function mayCount(words: readonly WordItem[], at: number): boolean {
  const { word } = words[at] as WordItem;
  const [before, next] = [words[at - 1]?.word ?? "", words[at + 1]];
  if (CLOCK.test(word) || /^(until|till|by|at|before|after|past)$/.test(before)) return false;
  return next?.weight !== "content" || next.senses.length > 0;
}

/** A time of the day. */
const CLOCK = /^\d{1,2}([:.]\d\d)?(am|pm)$|^\d{1,2}:\d\d$/;

/** What the answer may hang on. */
const CONDITION =
  /^(if|unless|assuming|assume|suppose|supposing|supposed|provided|given|except|excepting|excluding|ignoring|without|apart|besides|rather|instead|than|whose|early|sooner|bigger|larger|smaller|longer|shorter|wider|thicker|thinner|deeper|different|wrong|right)$/;
/** As the first word of a sentence these make a condition of it. */
const WHEN = /^(when|whenever|while|until|till|since|after|before|because|once|as)$/;

/** "I only care about the top row." */
const NARROWED =
  /only (really )?(care|mean|meant|want|need|ask|asking|talk|talking|interested|look|looking|count)/;

const SOMEBODY = /^(i|we|he|she|they|my|our|me|us)$/;
const POINTING = /^(them|those|these|they|one|ones|it|this|that|its|their)$/;
/** "Hold the other end", "when I hold it up". */
const HOLDING = /^(hold|holds|holding|held)$/;
/** Where something stands. */
const AROUND = /^(against|over|under|behind|beside|near|by|above|below|around|round|in front of|next to)$/;

const TIME =
  /^(time|day|night|week|weekend|month|year|summer|winter|spring|autumn|sunday|monday|saturday)s?$/;

const WORK_NOUNS: ReadonlySet<string> = new Set(
  "hole row head rivet-type rivet-size shop-head grip stack pitch treatment diameter edge".split(" "),
);

const TRADE_WORD = /^(rivet|buck|drill|ream|squeez)(s|ed|ing|ted|ting)?$/;
const TRADE: ReadonlySet<string> = new Set(
  (
    "dimple countersink enlarge as-punched flush protruding pin deburr prime unwrap unset undimpled oversize oblong cracked " +
    "too-near-edge misplaced trap shop-head size rivet-size without instead change undo remove hold-back premature close put"
  ).split(" "),
);

/** Somebody is going to do it, or learns how; nothing is done yet. */
const INTENDED =
  / (about to|going to|gonna|ready to|ready for|want to|wants to|wanted to|itching to|keen to|dying to|hoping to|planning to|time to|time for|learning to|new to|in the mood for|looking forward to) (\w+ ){0,2}$/;

/** What may well be said beside a place: how somebody came by it, when and where. */
const MILD: ReadonlySet<string> = new Set(
  (
    "hole row what now not no may intend want still already yet manual and or how who preamble quiet-time soon-time job but " +
    "long later must fetch return how-to explain tell-about before after until when where why by beside compare " +
    "note prepare watch-out rule news only count-up"
  ).split(" "),
);
