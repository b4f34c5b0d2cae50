import { lexicon } from "../lexicon.js";
import { type NameIndex, nameWords, stemOf } from "./names.js";
import { matchName } from "./part-words.js";
import type { Found } from "./piece.js";
import type { Token } from "./tokens.js";
import { isLink } from "./words.js";

/**
 * A milestone however it is put: all telling words of its name in any order and form ("once the twist has been
 * checked"), or one noun of it that no other name has ("until the fairing").
 */
export function milestoneAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  let best: Found | null = null;
  for (const { id, name, nicknames } of names.assembly.milestones) {
    for (const saying of [name, ...nicknames, id]) {
      const said = saidBy(tokens, at, saying);
      if (said !== null && (best === null || said.end > best.end))
        best = {
          piece: { kind: "milestone", id, not: said.not },
          end: isTimed(tokens, at) ? overAt(tokens, said.end) : said.end,
        };
    }
  }
  return best;
}

/** Whether a time is asked for by it: "until the rigging …", "once it …". */
function isTimed(tokens: readonly Token[], at: number): boolean {
  let before = at - 1;
  while (isLink(tokens[before])) before--;
  return /^(until|till|til|after|once|when|before)$/.test(tokens[before]?.word ?? "");
}

/** "Until rigging is done": where words end that say no more than that the milestone is reached. */
function overAt(tokens: readonly Token[], end: number): number {
  let at = end;
  if (tokens[end - 1]?.after !== "" || !/^(is|are|was|were|has|have|gets)$/.test(tokens[at]?.word ?? ""))
    return end;
  at++;
  while (/^(been|all|finally|properly)$/.test(tokens[at]?.word ?? "")) at++;
  return /^(done|finished|complete|completed|over|sorted|right|good|true|fine|ok|okay)$/.test(
    tokens[at]?.word ?? "",
  )
    ? at + 1
    : end;
}

/**
 * Where the words of the saying end when they all stand from `at` on, in any order; light words between are passed,
 * and a "not" among them is told.
 */
function saidBy(
  tokens: readonly Token[],
  at: number,
  saying: string,
): { readonly end: number; readonly not: boolean } | null {
  const wanted = stemsOf(saying);
  const open = [...wanted];
  let position = at;
  let not = false;
  while (open.length > 0) {
    const token = tokens[position];
    if (!token || token.size || token.unknownId) return null;
    if (token.word === "not" && position > at) {
      if (not) return null;
      not = true;
      position++;
      continue;
    }
    const place = open.indexOf(stemOf(token.word));
    if (isAligned(tokens, position) && open.includes("lin") && open.includes("up"))
      open.splice(0, open.length, ...open.filter((word) => word !== "lin" && word !== "up"));
    else if (place >= 0) open.splice(place, 1);
    else if (position === at || (lexicon().weight(token.word) === "content" && !BETWEEN.test(token.word)))
      return null;
    position++;
  }
  return wanted.length > 0 ? { end: position, not } : null;
}

const stems = new Map<string, readonly string[]>();
/** More sayings than any kits that are open have. */
const MOST_STEMS = 2000;

/** The telling words of a saying, in stems; kept, for every text is held against every milestone. */
function stemsOf(saying: string): readonly string[] {
  const kept = stems.get(saying);
  if (kept) return kept;
  if (stems.size >= MOST_STEMS) stems.clear();
  const made = saying
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== "" && lexicon().weight(word) === "content" && !/^(is|are|on|the)$/.test(word))
    .map(stemOf);
  stems.set(saying, made);
  return made;
}

/** "In line", "aligned": lined up. */
export function isAligned(tokens: readonly Token[], at: number): boolean {
  const word = tokens[at]?.word ?? "";
  return word === "aligned" || (word === "line" && tokens[at - 1]?.word === "in");
}

/** "The flap still isn't rigged". */
const BETWEEN = /^(still|yet|now|already)$/;

/** "the root fairing" of "the root fairing is matched": what a milestone is about. */
function subjectOf(name: string): string | null {
  return /^(.+?) (?:is|are|has|have) /.exec(name.toLowerCase())?.[1] ?? null;
}

const TIMES = new Set([
  "until",
  "till",
  "til",
  "after",
  "once",
  "when",
  "before",
  "at",
  "for",
  "by",
  "hold",
  "holds",
]);

/** "until the fairing": the milestone's subject alone, where a time is asked for and nothing else is called so. */
export function subjectAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  let time = at - 1;
  while (time >= 0 && isLink(tokens[time])) time--;
  if (!TIMES.has(tokens[time]?.word ?? "")) return null;
  const found = names.assembly.milestones.flatMap(({ id, name }) => {
    const subject = subjectOf(name);
    const words = subject ? nameWords(subject) : [];
    return [words, words.slice(-1)].flatMap((saying) => {
      if (
        saying.length === 0 ||
        names
          .aliases(saying[0] ?? "")
          .some(({ words }) => words.length <= saying.length && words.every((word, n) => word === saying[n]))
      )
        return [];
      const end = matchName(tokens, at, saying, false);
      return end === null ? [] : [{ id, end }];
    });
  });
  const end = Math.max(...found.map((one) => one.end));
  const ids = new Set(found.filter((one) => one.end === end).map(({ id }) => id));
  const [only] = ids;
  return ids.size === 1 && only !== undefined
    ? { piece: { kind: "milestone", id: only, not: false }, end }
    : null;
}
