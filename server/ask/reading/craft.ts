import { lexicon } from "../lexicon.js";
import type { Asked } from "./clipped.js";
import type { Item, WordItem } from "./items.js";
import { isChatter } from "./lead-in.js";
import { type Setting, wordsIn } from "./match.js";
import { concepts, isWordItem } from "./meaning.js";
import { stemOf } from "./names.js";

/** A question of the craft in general, for the notes; `unused` are its words that the notes have nothing on. */
export interface Craft {
  readonly asked: Asked;
  readonly unused: readonly string[];
}

/**
 * "How tight should temporary fasteners sit", "the stem snapped, what do I do": how something is done or mended, asked of no
 * part and no hole. The notes are looked up by the words that they have something on, and at most two everyday words are
 * named as not found. Null where anything is named, where the question is another one, or where it is none of this trade.
 */
export function craftOf(items: readonly Item[], setting: Setting): Craft | null {
  const form = setting.grammar.forms.find(({ slots }) => slots.some(({ type }) => type === "topic"));
  const slot = form?.slots.find(({ type }) => type === "topic")?.name;
  const words = items.filter(isWordItem);
  if (!form || slot === undefined || words.length < items.length) return null;
  const topic = topicIn(words);
  if (!topic || topic.some(isOther) || pointsBack(topic) || isDenied(topic)) return null;
  if (lexicon().elsewhere(words.filter((item) => !isFault(item, topic)).flatMap(wordsIn)) !== undefined)
    return null;
  const said = topic.flatMap(({ word }) => word.split(" "));
  const { topic: text, found, unfound } = lookedUp(said, setting);
  if (found === 0 || unfound.length > Math.min(MOST_UNFOUND, found + 1) || !unfound.every(isEveryday))
    return null;
  // "How deep should the countersink be" asks for one figure, which the notes may not have.
  if (HOW_MUCH.test(said.slice(0, 2).join(" ")) && unfound.includes(said[0] ?? "") && found < 2) return null;
  return { asked: { form: form.id, slots: { [slot]: text } }, unused: [...new Set(unfound)] };
}

const MOST_UNFOUND = 2;
const HOW_MUCH = /^[a-z]+ (should|must|do|does|can|may|is|are|ought|need)$/;

/** The words between what asks for a way to do something, before them or after them. */
function topicIn(words: readonly WordItem[]): readonly WordItem[] | null {
  const start = words.findIndex(({ word, weight }) => weight !== "quiet" && !isChatter([word]));
  // "Please" at the end asks nothing; "what then" does.
  const end = words.findLastIndex(({ word, weight }) => weight !== "quiet" || word === "then") + 1;
  const own = words.slice(Math.max(start, 0), end);
  const [first, second] = own;
  if (first && concepts(first).some((concept) => concept === "how-to" || concept === "note"))
    return own.slice(1);
  if (/^any$/.test(first?.word ?? "") && second && concepts(second).includes("note")) return own.slice(2);
  const said = (item: WordItem): string => item.word;
  const text = own.map(said).join(" ");
  const lead = LEADS.map((pattern) => pattern.exec(text)?.[0].trim().split(" ").length ?? 0);
  const trail = TRAILS.map((pattern) => pattern.exec(text)?.[0].trim().split(" ").length ?? 0);
  const [from, to] = [Math.max(...lead), Math.max(...trail)];
  if (from === 0 && to === 0) return null;
  if (to > 0 && from === 0 && LOOK_LIKE.test(text)) return null;
  return dropped(dropped(own, from).toReversed(), to).toReversed();
}

/** Items without the first so many words; phrases count as the words that they have. */
function dropped(items: readonly WordItem[], count: number): readonly WordItem[] {
  let left = count;
  return items.filter(({ word }) => {
    const own = left > 0;
    left -= own ? word.split(" ").length : 0;
    return !own;
  });
}

const WHO = "(?:i|we|you|one|you all|a beginner)";
const LEADS: readonly RegExp[] = [
  new RegExp(
    `^(?:what|how) (?:do|should|can|must|would|could|to) (?:${WHO} )?(?:best )?do (?:when|if|about|against)\\b`,
  ),
  /^(?:what to do|what (?:happens|helps)|how come|anything i can do) (?:when|if|about|against)\b/,
  /^(?:is|are) (?:it|there) (?:really )?(?:worth|any point|any point in|any sense in)\b/,
  // "How tight should …": how much of what is no number of the kit's.
  /^how (?=(?!many|much|far|close|near|soon|often|come|big|large|small|long|high|thick|wide|few)[a-z]+ (?:should|must|do|does|can|may|is|are|ought|need)\b)/,
  /^how long (?:should|must|does|do) (?:a|the) (?:[a-z]+ )?(?:rivet|rivets|tail|stem|mandrel|shank)\b/,
  /^what (?:do|should|can|must) (?:i|we|you|one) do so(?: that)?\b/,
  /^what (?:do|does) (?=.*\bmeans?\b)/,
  /^what (?:should|must|do) (?:i|we|you|one) (?=wear\b)/,
  /^what (?:is|are) (?=.*\b(?:supposed|meant) to look like$)/,
  /^how (?:is|are|was|do|does|can|should|would|to)\b/,
  /^what (?:do|does|should|would|must) (?=.*\blooks? like$)/,
];
const TRAILS: readonly RegExp[] = [
  new RegExp(
    `\\b(?:what|how) (?:do|should|can|must|would|could) ${WHO} do(?: about (?:it|that|this))?(?: now| then)?$`,
  ),
  /\bwhat (?:now|then|to do|happened|went wrong|can be done|is wrong)$/,
  new RegExp(`\\bwhat (?:did|am|are|have) ${WHO} (?:do|doing|done|got) wrong$`),
  /\b(?:any|some) (?:advice|tips|ideas|help|thoughts|hints)$/,
  /\b(?:(?:supposed|meant) to )?looks? like$/,
];
const LOOK_LIKE = /\blooks? like$/;

/** What is asked of the data, not of the notes: "how do I know which are set", "how do I get back". */
const OTHERS: ReadonlySet<string> = new Set(
  (
    "where who odd other notice change latest news manual trap hold stay hold-back later return picking-list fetch count-up quantity " +
    "turn-over sequence-of-work premature what-about same-for notice affect yet still already intend undo spare"
  ).split(" "),
);

function isOther(item: WordItem): boolean {
  return (
    item.word === "which" ||
    (!/^keep/.test(item.word) && concepts(item).some((concept) => OTHERS.has(concept)))
  );
}

/** "How do I dimple it": something named before; "burrs off a hole without making it bigger" names its own. */
function pointsBack(topic: readonly WordItem[]): boolean {
  const at = topic.findIndex(({ points }) => points);
  const own = topic.slice(0, Math.max(at, 0)).findLastIndex(({ word }) => NEW_CLAUSE.test(word));
  return at >= 0 && own < 1;
}

/** "How is deburring not done" asks for what is not so; "so that it does not tip over" says what for. */
function isDenied(topic: readonly WordItem[]): boolean {
  const at = topic.findIndex((item) =>
    concepts(item).some((concept) => concept === "not" || concept === "no"),
  );
  return at >= 0 && !topic.slice(0, at).some(({ word }) => NEW_CLAUSE.test(word));
}

const NEW_CLAUSE = /^(without|so|before|after|when|if|and|once|until)\b/;

/** "The stem broke off", "the rivet spins", "so that the dimple does not crack": faults of a rivet or a dimple, not of the aircraft. */
function isFault(item: WordItem, topic: readonly WordItem[]): boolean {
  const of = FAULTS.find(([fault]) => fault.test(item.word))?.[1];
  return of !== undefined && topic.some(({ word }) => of.test(word));
}

const FAULTS: readonly (readonly [RegExp, RegExp])[] = [
  [
    /^(spins?|spinning|broke|broken|breaks?|breaking|break off|bent|bends?|bending)$/,
    /^(mandrels?|stems?|rivets?)$/,
  ],
  [/^(cracks?|cracked|cracking)$/, /^(dimples?|dimpled|dimpling)$/],
  [/^(inspectors?|inspection)$/, /^(log|logbook|records?|photos?|photographs?)$/],
];

/** Small everyday words that say nothing of a topic. */
const BESIDE =
  /^(my|our|your|their|one|does|way|when|if|while|whether|because|out|off|up|down|over|keep|keeps|kept|keeping|get|go|goes|going|come|comes|came|start|starts|first|before|after|during|between|make|makes|making|take|takes|use|using|doing|done|work|works|working|best|better|well|too|so|than|more|most|less|much|many|very|bit|little|small|tiny|big|bigger|large|larger|two|both|other|really|always|never|ever|just|only|right|properly|avoid|prevent|stop|stops|without|ruining|spoiling|damaging|wrecking|know|tell|see|check|sure|need|needed|want|try|trying|happens|happen|would|will|must|should|may|might|can|could|not|no|and|or|but|by|with|for|from|of|in|on|at|to|the|a|an|nothing|something|anything|advice|tips|mean)$/;

/** What to look the notes up by: the words that they have something on, alone or with their neighbours, and those between. */
function lookedUp(
  words: readonly string[],
  { inNotes }: Setting,
): { readonly topic: string; readonly found: number; readonly unfound: readonly string[] } {
  const single = words.map((word) => inNotes([word]));
  const isFound = [...single];
  for (let length = 3; length >= 2; length--)
    for (let at = 0; at + length <= words.length; at++)
      if (inNotes(words.slice(at, at + length))) isFound.fill(true, at, at + length);
  const anchor = words.find((_, at) => single[at]);
  const telling = words.map((word) => isContent(word) && !(anchor !== undefined && inNotes([anchor, word])));
  const isUnfound = (at: number): boolean => telling[at] === true && isFound[at] !== true;
  const kept = words.filter((word, at) => isFound[at] && lexicon().weight(word) !== "quiet");
  const topic = kept.length > 0 ? kept : words;
  return {
    topic: topic.join(" "),
    found: words.filter((word, at) => isFound[at] && (single[at] || isContent(word))).length,
    unfound: words.filter((_, at) => isUnfound(at)),
  };
}

function isContent(word: string): boolean {
  return lexicon().weight(word) === "content" && !BESIDE.test(word);
}

/** A common word, in any of its forms; what nobody knows may be a name. */
function isEveryday(word: string): boolean {
  return (
    /^[a-z]+$/.test(word) && [word, stemOf(word), `${stemOf(word)}e`].some((form) => lexicon().knows(form))
  );
}
