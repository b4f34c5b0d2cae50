import type { Asked } from "./clipped.js";
import type { Token } from "./tokens.js";

/**
 * Words of a statement by which it may say less than it seems to, or nothing yet: "far from riveted", "not all deburred",
 * "… no wait", "have to drill out", "a rivet in the row". Empty where it can be taken as it stands. They are looked for in the
 * text as typed, because some are small words, or chatter beside a question.
 */
export function takenBack(tokens: readonly Token[], { slots }: Asked): readonly string[] {
  const text = ` ${tokens.map(({ word, after }) => word + (/[,.;:!?]/.test(after) ? " ," : "")).join(" ")} `;
  const own = [
    ...ALWAYS,
    ...(slots.hole === undefined && slots.gate !== "unwrap" ? [ONE_OF] : []),
    ...(isDenial(slots) ? [NOT_ALL] : []),
    ...(slots.state === "unset" ? [CAME_OUT, ...(MENDED.test(text) ? [MENDED] : [])] : []),
    ...(slots.state !== undefined ? [EITHER, ELSEWHERE_NOT] : []),
    ...(BEEN.test(text) ? [] : [BARE]),
    ...(SOLVENT.test(text) ? [] : [WIPED]),
  ];
  return own.flatMap((words) => words.exec(text)?.[0].replaceAll(" ,", "").trim() ?? []);
}

function isDenial({ state, done, reached }: Asked["slots"]): boolean {
  return state === "unset" || done === "no" || reached === "no";
}

/** Taken back, hedged, or not done yet. */
const ALWAYS: readonly RegExp[] = [
  / (no wait|wait no|oops no|nope|nah|never mind|false alarm|in my dreams|i lied|fingers crossed|that is the plan) /,
  / (is false|a joke|joking|kidding|mistaken|made that up|halfway|half way|lacks?|came undone|\w+ to go) /,
  / (seems?|seemed|appears?|appeared|looks like|usually|normally|iirc|not sure|(?<!done |finished )being|heard|was told|were told) /,
  / (far from|as far as|not far|up to|about(?! time)) /,
  / (from (hole |number |rivet |no )?\w+ (on|onwards?|up)|to (hole|rivet|number|no) ) ?/,
  / (have|has|need|needs|must|going|want|wants|ought|about|meant|due|ready|time) to (be )?(drill|take|knock|pull|remove|get|set|rivet|buck|shoot|drive|pin|prime|deburr|debur|clean|dimple|open|drilled|taken|set|riveted|pinned|primed|deburred|cleaned|dimpled) /,
  /^ (please |just |now )*(get|take|knock|file|scrape|wipe|put (some |the |a )*(coat of )?primer|say|suppose|imagine|what about|how about|and what about|and how about) /,
];

/** "A rivet in the row": which one is not said. */
const ONE_OF =
  /(?<! with) (a|an|one|another|some) (rivet|pin|hole|fastener|pop|rib|gusset|stiffener|skin|part)s? /;

/** "Not all deburred": some are. */
const NOT_ALL = / (not|never|no) (\w+ ){0,4}((?<!at )all|every|both|each) (?!$)(?!, )/;

/** "Came out well" praises; "is out" may be out of place. */
const CAME_OUT = / (came|comes|is|are) out (?!again)/;

/** "… and put a new one in": mended in the meantime. */
const MENDED = / (put|back in|new one|in again|replaced|redid|redone|another one|so i did|so we did) /;

/** "Not pinned and riveted" may be neither, or riveted after all. */
const EITHER = / not (been )?\w+ and \w+ /;

/** "Rib 3's top row pinned, hole 3 not riveted": something else is said of another place. */
const ELSEWHERE_NOT = / , .* (hole|holes|row|rib|the rest|rest|others?) (\w+ )*(not|never) /;

/** "Rivets in rib 3", "primer on the sill": a thing named, or an order; nothing is said to be so. */
const BARE = /^ (the |a |some )?(rivets?|pins?|primer|burrs) /;
const BEEN = / (is|are|has|have|had|was|were|been|gone|got|i|we) /;

/** Wiped or washed with what? */
const WIPED = / (wiped|washed) /;
const SOLVENT = / (solvent|acetone|alcohol|mek|degreas\w*|clean\w*|primed?|deburr\w*) /;
