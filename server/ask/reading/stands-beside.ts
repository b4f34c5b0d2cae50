import { lexicon } from "../lexicon.js";
import type { WordItem } from "./items.js";
import { isNegation } from "./meaning.js";

/**
 * Whether a clause beside a question says how the work stands: "the primer is wet", "something rattles inside", "nobody checked
 * it", "my arm doesn't fit". Whether something may be done now can hang on it, whatever the words mean.
 */
export function saysHowItStands(words: readonly WordItem[]): boolean {
  const said = words.flatMap(({ word }) => word.split(" "));
  const telling = said.filter((word) => !JOINING.test(word));
  const [first = ""] = telling;
  if (said.some((word) => lexicon().isOf(word, "unfit"))) return true;
  if (said.some((word) => TIME.test(word) || /^(us|we)$/.test(word)) || PLEASED.test(said.join(" ")))
    return false;
  if (said.some((word) => AHEAD.test(word)) || / goes in /.test(` ${said.join(" ")} `)) return true;
  if ((THING.test(first) || ONE.test(telling.join(" "))) && words.some(({ weight }) => weight === "content"))
    return true;
  const isRefused = said.includes("not") || words.some(({ senses }) => senses.some(isNegation));
  if (isRefused && said.some((word) => AT_WORK.test(word))) return true;
  return said.some((word) => LOOKED_AT.test(word)) && said.some((word) => THERE.test(word));
}

/** "Half of them are in", "he set some already", "two are done": part of the work, counted. */
export function talliesWork(words: readonly WordItem[]): boolean {
  const said = words.flatMap(({ word }) => word.split(" "));
  const counts = said.some(
    (word, at) => SOME.test(word) || (lexicon().number(word) !== undefined && !isOClock(said, at)),
  );
  if (!counts || said.some((word) => TIME.test(word))) return false;
  const end = said.findLastIndex((word) => !CLOSING.test(word));
  return (
    IN_PLACE.test(said[end] ?? "") ||
    said.some((word) => DID.test(word)) ||
    words.some(({ senses }) => senses.some(({ concept }) => concept === "set" || concept === "done"))
  );
}

/** "By nine", "ten past eleven": no number of anything. */
function isOClock(said: readonly string[], at: number): boolean {
  return /^(by|until|till|at|past|before|around|about)$/.test(said[at - 1] ?? "") || said[at + 1] === "past";
}

const JOINING = /^(so|but|and|well|now|still|also|just|only|the|all|most|of)$/;
/** What is spoken of is at hand, and not named. */
const THING =
  /^(it|this|that|these|those|they|some|something|somebody|nobody|nothing|everything|there|there's|bit|half|both|none|few|a)$/;
/** "One is stuck"; "one on the gun" is somebody. */
const ONE = /^one (is|was|got|needs|looks|came|fell|went|will)\b/;
/** What is still to come, or stands inside: "I plan to paint inside first". */
const AHEAD = /^(inside|first|later|beforehand)$/;
const TIME =
  /^(day|days|evening|morning|afternoon|night|tonight|today|weekend|week|month|year|summer|winter|spring|autumn|hour|hours|minute|minutes|rain|raining|rains|snow|snowing|sunny|weather|oclock|late|early|dark|hot|cold)$/;
/** "Everything inside looks finished to me", "it all went well". */
const PLEASED =
  /\b(looks?|is|are|was|went|feels?|seems?) (all |very |really |quite |so )?(good|nice|fine|great|well|ready|finished|perfect|clean|tidy|ok|okay|done)\b/;
/** What keeps somebody from the work. */
const AT_WORK = /^(fit|fits|reach|reaches|see|seen|get|gets|find|check|checked|look|looked|finished|sure)$/;
const LOOKED_AT =
  /^(seen|see|look|looks|check|checks|checked|inspect|inspected|approve|approved|pass|passed)$/;
const THERE = /^(it|them|inside|this|that|everything)$/;

const SOME = /^(half|some|most|few|several|couple|third|quarter|rest|others|many)$/;
const IN_PLACE = /^(in|on|out|done|gone|there|off|left|missing)$/;
const CLOSING = /^(already|now|yet|so|far|though|by)$/;
const DID = /^(did|done)$/;
