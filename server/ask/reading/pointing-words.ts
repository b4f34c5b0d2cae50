import { lexicon } from "../lexicon.js";
import type { Item } from "./items.js";
import { TIME } from "./times.js";

/**
 * Where a clause points at something that is named elsewhere: "them", "it", "those ones". Not where "it" stands for the hour
 * or the weather, "that" joins, or what is meant follows at once: "that coffee", "these days", "the one box", "new at this".
 */
export function pointsIn(clause: readonly Item[]): readonly number[] {
  if (isOfTheHour(clause)) return [];
  return clause.flatMap((_, at) => (pointsAt(clause, at) ? [at] : []));
}

function pointsAt(clause: readonly Item[], at: number): boolean {
  const word = wordAt(clause, at);
  if (/^(one|ones)$/.test(word))
    return (
      !isThing(clause[at + 1]) && !clause.some((_, n) => /^(questions?|ask|asking)$/.test(wordAt(clause, n)))
    );
  if (/^(this|that|these|those)$/.test(word)) {
    if (word === "that" && /^(swore|swear|says?|said|think|know|so)$/.test(wordAt(clause, at - 1)))
      return false;
    const isVague = at === clause.length - 1 && /^(at|to|of|with|in|about|all)$/.test(wordAt(clause, at - 1));
    const joins = word === "that" && /^(it|i|he|she|we|they|you|the|my)$/.test(wordAt(clause, at + 1));
    return !isVague && !joins && !isThing(clause[at + 1]);
  }
  // "I was up all night thinking about it", "people walking their dogs".
  const about = `${wordAt(clause, at - 2)} ${wordAt(clause, at - 1)}`;
  if (
    /^(it|this|that)$/.test(word) &&
    /^(think|thinking|thought|dreaming|dreamt|worrying|heard) (of|about)$/.test(about)
  )
    return false;
  if (/^(its|their)$/.test(word) && isThing(clause[at + 1]) && clause.slice(0, at).some(isThing))
    return false;
  if (word === "it" && at === clause.length - 1 && wordAt(clause, at - 1) === "of")
    return wordAt(clause, at - 2) !== "all";
  return POINTING.test(word);
}

const POINTING = /^(them|they|it|its|their|mine|ours)$/;

/** A word for an everyday thing or a time: it means nothing of the work. */
function isThing(item: Item | undefined): boolean {
  if (item?.kind !== "word") return false;
  return (
    TIME.test(item.word) || (item.weight === "content" && item.senses.length === 0 && !isOfGroup(item.word))
  );
}

const isOfGroup = (word: string): boolean =>
  lexicon().isOf(word, "quality", "work-thing", "whereabouts", "location", "mishap", "left-open");

/** "It is pouring", "this may sound daft", "it took all evening": "it" stands for nothing. */
function isOfTheHour(clause: readonly Item[]): boolean {
  const words = clause.map((_, at) => wordAt(clause, at));
  const at = words.findIndex((word) => /^(it|this|that)$/.test(word));
  if (at < 0 || clause.some(({ kind }) => kind !== "word")) return false;
  const rest = words.slice(at + 1);
  if (rest.some((word) => /^(they|them|it|its|their|ones?)$/.test(word))) return false;
  const [first = "", second = ""] = rest.filter((word) => !/^(has|have|was|really|already|just)$/.test(word));
  if (/^(took|taken|takes|keeps|kept|drives|driving|makes|made|making)$/.test(first))
    return /^(me|us|ages|all|hours|days|the|a|my)$/.test(second);
  // "This is my first aeroplane."
  if (/^(is|will be) (only )?(my|our) (very )?first/.test(rest.join(" "))) return true;
  // "This is all new to me."
  if (rest.slice(-2).join(" ") === "to me") return rest.includes("new");
  const said = rest.findIndex((word) => !SAYING_SO.test(word));
  return isHour(rest[said] ?? "");
}

function isHour(word: string): boolean {
  return (
    lexicon().isOf(word, "of-the-hour") ||
    lexicon().number(word) !== undefined ||
    TIME.test(word) ||
    /\d[:.]\d\d|^\d{1,2}(am|pm)$/.test(word)
  );
}

/** What stands between "it" and the hour: "it is only", "it has been a". */
const SAYING_SO =
  /^(is|was|has|have|been|be|may|might|must|will|would|sounds?|feels?|getting|gets|got|a|an|the|so|too|very|all|my|our|half|just|not|quite|rather|only|bit|to|really|long|already|still|pretty|awfully|past)$/;

function wordAt(clause: readonly Item[], at: number): string {
  const item = clause[at];
  return item?.kind === "word" ? item.word : "";
}
