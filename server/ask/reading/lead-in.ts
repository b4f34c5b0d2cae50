import { lexicon } from "../lexicon.js";
import { bearsApart, saysOfWork, speaksOfWork } from "./idle.js";
import { type Item, itemsOf, type WordItem } from "./items.js";
import { isNegation } from "./meaning.js";
import { tellsMishap } from "./mishaps.js";
import type { NameIndex } from "./names.js";
import { saysHowItStands, talliesWork } from "./stands-beside.js";
import { TIME } from "./times.js";
import type { Token } from "./tokens.js";
import type { Where } from "./where.js";
import { isWhereabouts } from "./whereabouts.js";

/** What stands before a question or after it and asks nothing: "I'm at the bench with rib 3 in my hands, …". */
export interface Aside {
  /** The one place that it names; null when it names none. */
  readonly where: Where | null;
  /** Its words that mean nothing here, as typed: said to be unused. */
  readonly unused: readonly string[];
  /** It tells of something that went wrong. */
  readonly mishap: boolean;
  /** It takes back some of what a statement beside it says: "I think", "I hope so". */
  readonly hedges: boolean;
  /** It is no clause about the builder: it may be the thing that is asked about, unless the question names one itself. */
  readonly far: boolean;
  /** It speaks of something that is unknown here, which "it" in the question may be. */
  readonly thing: boolean;
  /** It is a sentence of its own. */
  readonly apart: boolean;
  /** It says how the work stands, in words that mean nothing here: "the primer is wet". */
  readonly stands: boolean;
  /** It is about somebody or something else than the work, so that no word of it takes anything off a statement. */
  readonly elsewhere: boolean;
}

/** A run of clauses that may be the question, and what stands beside it. */
export interface Question {
  readonly own: readonly Token[];
  readonly aside: Aside;
}

/** More clauses than these are no question with something said beside it. */
const MOST_CLAUSES = 7;

/** The text cut at its punctuation, and before "so". */
export function clausesOf(tokens: readonly Token[]): readonly (readonly Token[])[] {
  const starts = tokens.flatMap((token, at) => {
    const before = tokens[at - 1];
    const isSo = token.word === "so" && !SO_MUCH.test(tokens[at + 1]?.word ?? "");
    return !before || /[,.;:!?-]/.test(before.after) || isSo ? [at] : [];
  });
  return starts.map((from, n) => tokens.slice(from, starts[n + 1] ?? tokens.length));
}

/** "So far", "so many": no new clause. */
const SO_MUCH = /^(far|much|many|long|few|soon|that)$/;

/**
 * Every way to take a text as one question with asides before it and after it, the longest question first. What
 * follows a question after a comma alone must be a clause of its own about somebody: it may be a condition otherwise.
 */
export function questions(tokens: readonly Token[], names: NameIndex): readonly Question[] {
  const clauses = clausesOf(tokens);
  if (clauses.length < 2 || clauses.length > MOST_CLAUSES) return [];
  const asks = clauses.map((clause) => clause.some(({ word }) => /^(before|beforehand|first)$/.test(word)));
  const items = clauses.map((clause) => itemsOf(clause, names));
  const joined = items.map((own, n) => asideOf(own, { awaited: asks.slice(n + 1).some(Boolean) }));
  // Whoever types with thumbs leaves out the last full stop.
  const ends = clauses.map((clause, n) => n === clauses.length - 1 || endsSentence(clause));
  const sentences = new Map<string, Aside | null>();
  /** The clauses up to the end of each sentence as one aside; by themselves where they are none together. */
  const apart = (from: number, to: number): Aside | null => {
    const parts: (Aside | null)[] = [];
    for (let at = from; at < to; ) {
      const end = ends.slice(at, to).indexOf(true);
      const next = end < 0 ? to : at + end + 1;
      const key = `${at} ${next}`;
      if (!sentences.has(key))
        sentences.set(key, sentenceAside(items.slice(at, next), joined.slice(at, next), end >= 0));
      parts.push(sentences.get(key) ?? null);
      at = next;
    }
    return together(parts);
  };
  const found: { length: number; question: Question }[] = [];
  for (let from = 0; from < clauses.length; from++) {
    const lead = beginsAnew(clauses[from - 1], clauses[from])
      ? apart(0, from)
      : together(joined.slice(0, from));
    if (!lead) continue;
    for (let to = clauses.length; to > from; to--) {
      if (from === 0 && to === clauses.length) continue;
      if (to < clauses.length && !mayFollow(clauses[to - 1] ?? [], clauses[to] ?? [])) continue;
      const after = ends[to - 1] ? apart(to, clauses.length) : together(joined.slice(to));
      const aside = together([lead, after]);
      if (aside) found.push({ length: to - from, question: { own: clauses.slice(from, to).flat(), aside } });
    }
  }
  return found.sort((a, b) => b.length - a.length).map(({ question }) => question);
}

/** The same, cut only where a sentence ends; a last sentence that asks whether it is so ("Right.") is no aside. */
export function sentenceQuestions(tokens: readonly Token[], names: NameIndex): readonly Question[] {
  const ends = (part: readonly Token[]): boolean => /[.;!?]/.test(part.at(-1)?.after ?? "");
  const last = clausesOf(tokens).at(-1) ?? [];
  if (!tokens.slice(0, -1).some(({ after }) => /[.;!?]/.test(after))) return [];
  if (last.every(({ word }) => isJudging(word))) return [];
  return questions(tokens, names).filter(({ own }) => {
    const from = tokens.indexOf(own[0] as Token);
    const to = from + own.length;
    return (from === 0 || ends(tokens.slice(0, from))) && (to === tokens.length || ends(own));
  });
}

/** Where a text can be cut in two, the question last or first: what is offered when the rest may bear on it. */
export function halves(
  tokens: readonly Token[],
): readonly { readonly own: readonly Token[]; readonly rest: readonly Token[] }[] {
  const clauses = clausesOf(tokens);
  if (clauses.length < 2 || clauses.length > MOST_CLAUSES) return [];
  const cuts = clauses.slice(1).map((_, n) => n + 1);
  const cutAt = (cut: number) =>
    [clauses.slice(0, cut), clauses.slice(cut)].map((part) => part.flat()) as [Token[], Token[]];
  return [
    ...cuts.map((cut) => ({ own: cutAt(cut)[1], rest: cutAt(cut)[0] })),
    ...cuts.toReversed().map((cut) => ({ own: cutAt(cut)[0], rest: cutAt(cut)[1] })),
  ];
}

const NOTHING_SAID: Aside = {
  where: null,
  unused: [],
  mishap: false,
  hedges: false,
  far: false,
  thing: false,
  apart: true,
  stands: false,
  elsewhere: true,
};

function endsSentence(clause: readonly Token[] | undefined): boolean {
  return /[.;!?]/.test(clause?.at(-1)?.after ?? "");
}

/** A clause after a full stop, one that asks, and one after "but" say what they say without what stands before them. */
function beginsAnew(before: readonly Token[] | undefined, clause: readonly Token[] | undefined): boolean {
  return endsSentence(before) || asksOwn(clause) || clause?.[0]?.word === "but";
}

/** "… , which holes are dimpled?": a question that needs no word before it. */
function asksOwn(clause: readonly Token[] | undefined): boolean {
  const first = clause?.find(({ word }) => !JOINING.test(word));
  return ASKING.test(first?.word ?? "");
}

/** Several asides as one; null when one is none, or when they name two places. */
function together(asides: readonly (Aside | null)[]): Aside | null {
  let all: Aside = NOTHING_SAID;
  for (const aside of asides) {
    if (!aside || (aside.where && all.where)) return null;
    const { where, unused, mishap, hedges, far, thing, apart, stands, elsewhere } = aside;
    all = {
      where: where ?? all.where,
      unused: [...all.unused, ...unused],
      mishap: all.mishap || mishap,
      hedges: all.hedges || hedges,
      far: all.far || far,
      thing: all.thing || thing,
      apart: all.apart && apart,
      stands: all.stands || stands,
      elsewhere: all.elsewhere && elsewhere,
    };
  }
  return all;
}

/** After a full stop anything may be added; after a comma only what starts a clause of its own. */
function mayFollow(before: readonly Token[], clause: readonly Token[]): boolean {
  if (/[.;!?]/.test(before.at(-1)?.after ?? "")) return true;
  const words = clause.map(({ word }) => word);
  const [first, second] = words;
  return (
    (isChatter(words) && !words.every((word) => isJudging(word))) ||
    /^(i|we|it|he|she|you|my|honestly|took|taking)$/.test(first ?? "") ||
    (first === "that" && /^(is|was|has)$/.test(second ?? ""))
  );
}

/**
 * A clause that can be told apart from the question beside it without changing what is asked: it names no work, state,
 * treatment, size or condition, and one place at most, of which it says only where that is. Null when it may bear on the
 * question.
 * @param awaited  the question beside it asks what comes before what this clause says: "The top skin goes on tonight. What before that?"
 */
export function asideOf(
  items: readonly Item[],
  { awaited }: { readonly awaited: boolean } = { awaited: false },
): Aside | null {
  const words = wordsIn(items);
  const said = saidIn(items);
  if (words.length === items.length && isChatter(said)) return NOTHING_SAID;
  if (!mayBeAside(items)) return null;
  const isNamed = items.some((item) => item.kind !== "word" && !isEverything(item));
  const own = words.slice(ownTimeTo(said));
  if (own.some((item) => mayBear(item, said, { awaited, named: isNamed }))) return null;
  const isOwnTime = own.length < words.length;
  const isComing = awaited && own.some(({ senses }) => senses.some(({ concept }) => AWAITED.has(concept)));
  if (!isComing && !isOwnTime && (speaksOfWork(items) ? !isWhereabouts(items) : saysOfWork(items)))
    return null;
  if (lexicon().elsewhere(said.filter(isNoOverseer)) !== undefined) return null;
  const isClause = isTold(words, said);
  if (!isClause && (isNamed || LINKING.test(said[0] ?? ""))) return null;
  const unused = words.filter(isUnused).filter(({ senses }) => senses.length === 0);
  return made(items, { unused, far: !isClause, apart: false });
}

/**
 * The same of a sentence of its own beside the question, or of clauses before a question that begins anew: everyday words
 * may be said in it as long as it says nothing of the work.
 * @param clauses  the sentence, cut at its commas
 * @param asides  what each of its clauses is by itself
 * @param ended  it ends with a full stop, so that it can be no name that the question takes up: "the gizmo bracket, is it …?"
 */
export function sentenceAside(
  clauses: readonly (readonly Item[])[],
  asides: readonly (Aside | null)[] = clauses.map((clause) => asideOf(clause)),
  ended = true,
): Aside | null {
  const byItself = together(asides);
  if (byItself)
    return { ...byItself, apart: true, elsewhere: byItself.elsewhere || isElsewhere(clauses.flat()) };
  const items = clauses.flat();
  const words = wordsIn(items);
  const said = saidIn(items);
  if (!mayBeAside(items) || bearsApart(clauses)) return null;
  if (lexicon().elsewhere(said.filter(isNoOverseer), true) !== undefined) return null;
  const isClause = isTold(words, said);
  const isNamed = items.some((item) => item.kind !== "word" && !isEverything(item));
  // "The gizmo bracket.", "On the gizmo.", "The last two."
  if (!isClause && (isNamed || (ended ? HANGING_ON : LINKING).test(said[0] ?? "") || said.some(isChoosing)))
    return null;
  return made(items, { unused: words.filter(isUnused), far: !isClause, apart: true });
}

/** Whether items may be an aside at all: they name one place that is there, count no parts, and ask nothing. */
function mayBeAside(items: readonly Item[]): boolean {
  const named = items.filter((item) => item.kind !== "word");
  const [place] = named;
  if (named.length > 1 || (place && (place.kind !== "place" || place.place.kind !== "known"))) return false;
  if (items.some((item, at) => counts(item, items[at + 1]))) return false;
  const said = saidIn(items);
  // "With the top skin on": a condition.
  const isAll = place !== undefined && isEverything(place);
  if (place && !isAll && said[0] === "with" && /^(on|off|closed|fitted|riveted)$/.test(said.at(-1) ?? ""))
    return false;
  return !(asksItself(said, place !== undefined) || talliesWork(wordsIn(items)));
}

function made(
  items: readonly Item[],
  {
    unused,
    far,
    apart,
  }: { readonly unused: readonly WordItem[]; readonly far: boolean; readonly apart: boolean },
): Aside {
  const words = wordsIn(items);
  const said = saidIn(items);
  const place = items.find((item) => item.kind === "place");
  const where = place?.kind === "place" && place.place.kind === "known" ? place.place.where : null;
  return {
    where: where?.kind === "all" ? null : where,
    unused: unused.map(({ text }) => text),
    mishap: said.some((word) => lexicon().isOf(word, "mishap")) || tellsMishap(items),
    hedges:
      said.some((word) => lexicon().isOf(word, "hedge")) || words.some(({ word }) => word.includes(" ")),
    far,
    thing:
      unused.length > 0 &&
      !said.slice(0, SUBJECT).some((word) => SOMEBODY.test(word) || lexicon().isPerson(word)),
    apart,
    stands: unused.length > 0 && saysHowItStands(words),
    elsewhere: apart && isElsewhere(items),
  };
}

/** "I could kick myself", "the lamp keeps flickering": it tells of somebody or something by everyday words, and takes nothing back. */
function isElsewhere(items: readonly Item[]): boolean {
  const said = saidIn(items).filter((word) => !JOINING.test(word));
  const isAbout =
    said.some((word) => SOMEBODY.test(word) || lexicon().isPerson(word)) ||
    /^(the|a|there|today|nobody|somebody)$/.test(said[0] ?? "");
  const isEveryday = wordsIn(items).some(
    ({ word, weight, senses }) =>
      weight === "content" &&
      senses.length === 0 &&
      !lexicon().isOf(word, "hedge", "left-open", "taking-off", "asking", "quality", "location"),
  );
  return isAbout && isEveryday && !speaksOfWork(items) && !said.some(isTakingBack);
}

/** A word by which somebody takes back what was said; "can", "not" and "tonight" in a sentence of its own do not. */
function isTakingBack(word: string): boolean {
  return (
    lexicon().isOf(word, "hedge") &&
    !lexicon().isOf(word, "not-yet") &&
    !/^(no|not|sure|soon|tonight|tomorrow|dream|dreamt)$/.test(word)
  );
}

const wordsIn = (items: readonly Item[]): readonly WordItem[] =>
  items.flatMap((item) => (item.kind === "word" ? [item] : []));

const saidIn = (items: readonly Item[]): readonly string[] =>
  wordsIn(items).flatMap(({ word }) => word.split(" "));

const isUnused = ({ word, weight }: WordItem): boolean => weight === "content" && !lexicon().isChatter(word);

const isNoOverseer = (word: string): boolean => !OVERSEERS.test(word);

/** Whether a clause is about somebody or says that something is so: "my dad is here", "coffee's ready". */
function isTold(words: readonly WordItem[], said: readonly string[]): boolean {
  return (
    said.some(isSpeaking) ||
    words.some(({ text }, n) => text.endsWith("'s") && BEING.test(words[n + 1]?.word ?? "")) ||
    words.every(({ weight }) => weight === "quiet")
  );
}

/** A sentence that begins so goes on about the question: "On the bracket." */
const HANGING_ON =
  /^(on|in|at|to|for|from|of|off|by|with|under|over|inside|outside|into|onto|along|about|regarding|concerning|as|per|these|those|all|some|both|more|less|same|or|not)$/;

/** "All five ribs" where there are seven: a number that is not that of the parts or holes it stands before. */
function counts(item: Item, next: Item | undefined): boolean {
  if (item.kind !== "word" || lexicon().number(item.word) === undefined) return false;
  return (
    next?.kind === "place" ||
    (next?.kind === "word" && next.senses.some(({ concept }) => concept === "hole" || concept === "row"))
  );
}

/** "Everything", "everywhere": no part by name. */
function isEverything(item: Item): boolean {
  return item.kind === "place" && item.place.kind === "known" && item.place.where.kind === "all";
}

/** Whom a clause is about is said among so many words. */
const SUBJECT = 4;
const SOMEBODY = /^(i|we|he|she|my|our|you|your)$/;

/** "The left side.", "the last two.": which of several is meant. */
function isChoosing(word: string, at: number, said: readonly string[]): boolean {
  if (TIME.test(said[at + 1] ?? "")) return false;
  return (
    lexicon().side(word) !== undefined ||
    lexicon().ordinal(word) !== undefined ||
    /^(left|right|last)$/.test(word)
  );
}

/** "How far are the ribs", "what did it change": a question of its own, no aside; "what a mess" is none. */
function asksItself(said: readonly string[], named: boolean): boolean {
  const [first = "", second = ""] = said.filter((word) => !JOINING.test(word));
  return ASKING.test(first) && (named || !/^(a|an)$/.test(second));
}

const ASKING =
  /^(what|which|why|where|how|who|can|could|may|is|are|does|do|did|will|would|should|must|has|shall)$/;
const JOINING = /^(so|but|and)$/;

/** Whether a word of a clause may bear on the question beside it. */
function mayBear(
  { word, senses }: WordItem,
  said: readonly string[],
  { awaited, named }: { readonly awaited: boolean; readonly named: boolean },
): boolean {
  if (lexicon().isOf(word, "binding")) return true;
  if (/\d/.test(word)) return !CLOCK.test(word);
  if (lexicon().isPerson(word)) return false;
  // "The inspector is coming on Friday"; what goes on, in or off is work.
  const isGoing = !named && !said.some((one) => GOING_WHERE.test(one));
  return senses.some(
    ({ concept }) =>
      !HARMLESS.has(concept) &&
      !(!named && TACKLE.has(concept)) &&
      !(concept === "go" && isGoing) &&
      !(awaited && named && AWAITED.has(concept)),
  );
}

const GOING_WHERE = /^(on|in|off|out|through|down|up|back|it|they|one)$/;

/** "Before I go home", "so while I wait": when somebody asks, not when something is done; so many words say so. */
function ownTimeTo(said: readonly string[]): number {
  const at = said.findIndex((word) => !JOINING.test(word));
  return OWN_TIME.test(said.slice(at, at + 2).join(" ")) ? at + 1 : 0;
}

const OWN_TIME = /^(before|while|when|after|since|because|until|till) (i|we)$/;

/** A time of the day. */
const CLOCK = /^\d{1,2}([:.]\d\d)?(am|pm)$|^\d{1,2}:\d\d$/;

/** A fragment that begins so hangs on the question: "on the bracket, …", "the bracket: …". */
const LINKING =
  /^(on|in|at|to|for|from|of|off|by|with|under|over|inside|outside|into|onto|along|about|regarding|concerning|as|per|the|a|an|this|that|these|those|every|each|any|all|some|both|more|less|same|and|or|but|not|no)$/;

/** After a statement these ask: "root skin on now, ok?" */
function isJudging(word: string): boolean {
  return lexicon().isOf(word, "agreeing", "yes") || JUDGING.test(word);
}

const JUDGING = /^(right|fine|good|fair|sure|no|nope|nah|is|it|that|not|eh|huh)$/;

/** "Blimey", "right", "oh dear me": a clause of interjections and of names for a friend says nothing. */
export function isChatter(words: readonly string[]): boolean {
  if (isSaying(words)) return true;
  const chatter = words.filter((word) => lexicon().isChatter(word));
  return (
    chatter.length > 0 &&
    words.every(
      (word) => lexicon().isChatter(word) || lexicon().weight(word) === "quiet" || BESIDE_CHATTER.test(word),
    )
  );
}

/** A fixed saying, with small words round it or without: "hold on a minute", "please hold on a minute". */
function isSaying(words: readonly string[]): boolean {
  const isSmall = (word: string): boolean => lexicon().weight(word) === "quiet";
  const lead = words.findIndex((word) => !isSmall(word));
  if (lead < 0) return false;
  const end = words.findLastIndex((word) => !isSmall(word)) + 1;
  for (let from = 0; from <= lead; from++)
    for (let to = words.length; to >= end; to--)
      if (to - from > 1 && lexicon().isChatter(words.slice(from, to).join(" "))) return true;
  return false;
}

/** What may stand among such words: "that is great", "you old fool". */
const BESIDE_CHATTER =
  /^(i|am|is|it|that|you|me|my|and|we|this|be|was|not|no|now|must|being|feel|job|work|box|thing|idea|stuff|luck)$/;

/** Those who look over the builder's shoulder may be spoken of; what they decide may not be asked. */
const OVERSEERS = /^(inspector|inspectors|inspection|paperwork)$/;

/** Whether a clause with this word may bear on what stands beside it, take it back, or tell that it went wrong. */
export function isDoubtful(word: string): boolean {
  return lexicon().isOf(word, "binding", "mishap", "hedge") || lexicon().senses(word).some(isNegation);
}

/** Words that a clause about the builder or the bench has: somebody, or a form of "be" or "have". */
function isSpeaking(word: string): boolean {
  return lexicon().isPerson(word) || SPEAKING.test(word);
}

const SPEAKING = /^(i|we|me|my|us|our|you|he|she|they|am|is|are|was|were|be|been|have|has|had|it|that)$/;

/** "Coffee's finished", "the gun's ready": after these a name's 's is "is". */
const BEING =
  /^[a-z]+(ed|ing|en)$|^(ready|drunk|out|gone|here|empty|full|cold|hot|late|over|asleep|awake|great|lovely)$/;

/** What such a clause may say beside words that mean nothing here. */
const HARMLESS: ReadonlySet<string> = new Set(
  "hole row what now not no may intend want still already yet manual and how who preamble quiet-time soon-time job".split(
    " ",
  ),
);

/** The builder's tools and papers, where no part is named beside them. */
const TACKLE: ReadonlySet<string> = new Set(
  "cutter drill die tools temporary same end note mark notice".split(" "),
);

/** What is going to be done with a part, as the question beside it takes it up. */
const AWAITED: ReadonlySet<string> = new Set("close put go".split(" "));
