import { lexicon } from "../lexicon.js";
import { GENERIC, type NameIndex, nameWords, sideWord, singular, stemOf } from "./names.js";
import { numberAt, numberRun } from "./numbers.js";
import type { Token } from "./tokens.js";

/** Which holes of a row: given by number, counted from an end, or all but some. */
export type Pick =
  | { readonly kind: "numbers"; readonly numbers: readonly number[]; readonly from: string | null }
  | { readonly kind: "first" | "last"; readonly count: number; readonly from: string | null }
  | { readonly kind: "but"; readonly left: Pick };

/** What a run of words names by itself, before it is put together with its neighbours. */
export type Piece =
  | { readonly kind: "parts"; readonly parts: readonly string[]; readonly many: boolean }
  | { readonly kind: "which-part"; readonly parts: readonly string[] }
  | { readonly kind: "family"; readonly family: string }
  | { readonly kind: "row"; readonly sayings: readonly (readonly string[])[] }
  | { readonly kind: "row-ids"; readonly rows: readonly string[] }
  | { readonly kind: "hole-ids"; readonly holes: readonly string[] }
  | { readonly kind: "pick"; readonly pick: Pick; readonly bare: boolean }
  | { readonly kind: "everything" }
  | { readonly kind: "milestone"; readonly id: string }
  | { readonly kind: "notice"; readonly id: string }
  /** A name or number that does not exist; `parts` of that sort do. */
  | { readonly kind: "unknown"; readonly parts: readonly string[] };

export interface Found {
  readonly piece: Piece;
  readonly end: number;
  /** Where its telling words end, when words such as "row" or "holes" follow them. */
  readonly core?: number;
}

/** The piece that starts at a token, the longest one; null when nothing is named there. */
export function pieceAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const token = tokens[at];
  if (!token || token.size) return null;
  if (token.unknownId) return { piece: { kind: "unknown", parts: [] }, end: at + 1 };
  const candidates = [
    idAt(tokens, at, names),
    partsAt(tokens, at, names),
    noticeAt(tokens, at, names),
    milestoneAt(tokens, at, names),
    subjectAt(tokens, at, names),
    pickAt(tokens, at),
    rowAt(tokens, at, names),
    everythingAt(tokens, at),
  ].filter((found) => found !== null);
  const reach = ({ core, end }: Found): number => core ?? end;
  const longest = Math.max(...candidates.map(reach));
  return candidates.find((found) => reach(found) === longest) ?? null;
}

function idAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const token = tokens[at];
  const id = token?.id;
  if (!token || !id) return null;
  switch (id.kind) {
    case "part":
      return { piece: { kind: "parts", parts: [id.id], many: false }, end: at + 1 };
    case "family":
    case "milestone":
    case "notice":
      return {
        piece: id.kind === "family" ? { kind: "family", family: id.id } : { kind: id.kind, id: id.id },
        end: at + 1,
      };
    case "row":
      return { piece: { kind: "row-ids", rows: [id.id] }, end: at + 1 };
    case "hole":
      return holeIdsAt(tokens, at, id.id, names);
    case "assembly":
      return { piece: { kind: "everything" }, end: at + 1 };
  }
}

/** One hole by id, or a run "RIB-3.top.2 to 6", "RIB-3.top.2 to RIB-3.top.6". */
function holeIdsAt(tokens: readonly Token[], at: number, first: string, names: NameIndex): Found {
  const to = tokens[at]?.after === "-" ? at + 1 : tokens[at + 1]?.word === "to" ? at + 2 : null;
  const row = first.slice(0, first.lastIndexOf("."));
  const from = Number(first.slice(first.lastIndexOf(".") + 1));
  if (to !== null) {
    const last = tokens[to]?.id;
    const number =
      last?.kind === "hole" && last.id.startsWith(`${row}.`)
        ? Number(last.id.slice(row.length + 1))
        : numberAt(tokens, to);
    if (number !== undefined && number > from) {
      const holes = Array.from({ length: number - from + 1 }, (_, n) => `${row}.${from + n}`);
      const known = holes.every((hole) => names.id(hole.toLowerCase())?.kind === "hole");
      return { piece: known ? { kind: "hole-ids", holes } : { kind: "unknown", parts: [] }, end: to + 1 };
    }
  }
  return { piece: { kind: "hole-ids", holes: [first] }, end: at + 1 };
}

/** "rib 3", "ribs 2 to 5", "the third rib", "tip rib", "top skin", "the ribs", "front and rear spar". */
function partsAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const found = [
    aliasAt(tokens, at, names),
    numberedAt(tokens, at, names),
    ordinalAt(tokens, at, names),
    endAt(tokens, at, names),
    pairAt(tokens, at, names),
    pluralAt(tokens, at, names),
    looseAt(tokens, at, names),
  ].filter((one) => one !== null);
  const longest = Math.max(...found.map(({ end }) => end));
  return found.find(({ end }) => end === longest) ?? null;
}

/** Words from `at` on that equal the name's, linking words passed over; where they end. */
function matchName(
  tokens: readonly Token[],
  at: number,
  words: readonly string[],
  stems: boolean,
): number | null {
  let position = at;
  for (const [n, word] of words.entries()) {
    while (n > 0 && isLink(tokens[position])) position++;
    const token = tokens[position];
    if (!token || token.size || token.unknownId) return null;
    const own = sideWord(token.word);
    const last = n === words.length - 1;
    const same =
      own === word ||
      (last && singular(own) === word && !/\d/.test(own)) ||
      (stems && stemOf(own) === stemOf(word)) ||
      numberWord(token.word) === word;
    if (!same) return null;
    position++;
  }
  return position;
}

function numberWord(word: string): string {
  const number = lexicon().number(word);
  return number === undefined ? word : String(number);
}

function isLink(token: Token | undefined): boolean {
  return (
    token !== undefined && !token.id && (token.word === "the" || token.word === "of" || token.word === "a")
  );
}

function aliasAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const first = sideWord(tokens[at]?.word ?? "");
  for (const alias of [
    ...names.aliases(first),
    ...(singular(first) === first ? [] : names.aliases(singular(first))),
  ]) {
    const end = matchName(tokens, at, alias.words, false);
    if (end === null) continue;
    const plural = singular(tokens[end - 1]?.word ?? "") !== (tokens[end - 1]?.word ?? "");
    const [target] = alias.targets;
    if (!target) continue;
    const parts = alias.targets.filter(({ kind }) => kind === "part").map(({ id }) => id);
    if (parts.length > 1)
      return { piece: plural ? { kind: "parts", parts, many: true } : { kind: "which-part", parts }, end };
    if (target.kind === "part") return { piece: { kind: "parts", parts, many: false }, end };
    if (target.kind === "family") return { piece: { kind: "family", family: target.id }, end };
    if (target.kind === "assembly") return { piece: { kind: "everything" }, end };
    return { piece: { kind: target.kind, id: target.id }, end };
  }
  return null;
}

/** "rib 3", "rib no. 3", "ribs 2 to 5", "hinge bracket 2". A number that no member has is unknown, never another. */
function numberedAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const first = tokens[at]?.word ?? "";
  for (const { noun, byNumber } of [...names.numbered(first), ...names.numbered(singular(first))]) {
    const after = matchName(tokens, at, noun, false);
    if (after === null) continue;
    const plural = singular(tokens[after - 1]?.word ?? "") !== (tokens[after - 1]?.word ?? "");
    const start = isNumberSign(tokens[after]) ? after + 1 : after;
    if ((tokens[after - 1]?.after ?? "").includes(",")) continue;
    const run = numberRun(tokens, start, plural);
    if (!run) continue;
    const parts = run.numbers.map((number) => byNumber.get(number));
    if (parts.some((part) => part === undefined))
      return { piece: { kind: "unknown", parts: [...byNumber.values()] }, end: run.end };
    const known = parts.filter((part) => part !== undefined);
    return { piece: { kind: "parts", parts: known, many: known.length > 1 }, end: run.end };
  }
  return null;
}

function isNumberSign(token: Token | undefined): boolean {
  return token !== undefined && /^(no|nr|number|num|nos|numbers)$/.test(token.word);
}

/** "third rib", "last rib", "first two ribs", "second rib from the tip". */
function ordinalAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const ordinal = countedAt(tokens, at);
  if (!ordinal) return null;
  const noun = familyNounAt(tokens, ordinal.end, names);
  if (!noun) return null;
  const from = fromAt(tokens, noun.end);
  const { members, numbered } = noun.family;
  const ordered = inOrder(members, numbered, from?.side ?? null);
  if (!ordered) return null;
  const end = from?.end ?? noun.end;
  const parts = chosen(ordered, ordinal);
  if (!parts) return { piece: { kind: "unknown", parts: members }, end };
  return { piece: { kind: "parts", parts, many: parts.length > 1 }, end };
}

interface Counted {
  readonly kind: "nth" | "first" | "last";
  readonly n: number;
  readonly end: number;
}

/** "third", "last", "second to last", "first two", "last three". */
function countedAt(tokens: readonly Token[], at: number): Counted | null {
  const word = tokens[at]?.word ?? "";
  if (tokens[at - 1]?.word === "every" || tokens[at - 1]?.word === "each") return null;
  if (word === "last" || word === "first") {
    const count = numberAt(tokens, at + 1);
    if (count !== undefined && count > 0) return { kind: word, n: count, end: at + 2 };
    if (word === "last") return { kind: "last", n: 1, end: at + 1 };
  }
  const nth = lexicon().ordinal(word);
  return nth === undefined ? null : { kind: "nth", n: nth, end: at + 1 };
}

function chosen<T>(ordered: readonly T[], { kind, n }: Counted): readonly T[] | null {
  if (n > ordered.length || n < 1) return null;
  if (kind === "first") return ordered.slice(0, n);
  if (kind === "last") return ordered.slice(ordered.length - n);
  const one = ordered[n - 1];
  return one === undefined ? null : [one];
}

/** "from the front", "counted from the tip": the side that counting starts at. */
function fromAt(tokens: readonly Token[], at: number): { side: string; end: number } | null {
  let position = at;
  if (/^(counted|counting|numbered)$/.test(tokens[position]?.word ?? "")) position++;
  if (tokens[position]?.word !== "from") return null;
  position++;
  if (tokens[position]?.word === "the") position++;
  const word = tokens[position]?.word ?? "";
  const side = lexicon().side(word) ?? (lexicon().opposite(word) && word);
  if (side === undefined) return null;
  position++;
  if (/^(end|edge|side)$/.test(tokens[position]?.word ?? "")) position++;
  return { side, end: position };
}

/** Things counted from the asked side; null when the list does not run that way. */
export function inOrder<T>(list: readonly T[], numbered: string, side: string | null): readonly T[] | null {
  if (side === null) return list;
  const sides = numbered
    .toLowerCase()
    .split(/[^a-z]+/)
    .map((word) => lexicon().side(word) ?? (lexicon().opposite(word) && word))
    .filter((word) => word !== undefined);
  const start = ALONG[sides[0] ?? ""] ?? sides[0];
  const asked = ALONG[side] ?? side;
  if (start === asked) return list;
  return start !== undefined && lexicon().opposite(start) === asked ? [...list].reverse() : null;
}

/** Along a surface, the root is the inboard end. */
const ALONG: Readonly<Record<string, string>> = { root: "inboard", tip: "outboard" };

/** A noun for the members of a family: "rib", "hinge bracket", in singular or plural. */
function familyNounAt(tokens: readonly Token[], at: number, names: NameIndex) {
  for (let length = 3; length >= 1; length--) {
    const words = tokens.slice(at, at + length);
    if (words.length < length || words.some(({ size, unknownId }) => size || unknownId)) continue;
    const said = words.map(({ word }) => sideWord(word));
    const noun = [...said.slice(0, -1), singular(said.at(-1) ?? "")].join(" ");
    const family = names.familyNoun(noun);
    if (family) return { family, end: at + length, plural: !noun.endsWith(said.at(-1) ?? "") };
  }
  return null;
}

/** "tip rib", "root rib", "outboard hinge": the end member of a family. */
function endAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const side = lexicon().side(tokens[at]?.word ?? "");
  if (side === undefined || tokens[at]?.after !== "") return null;
  const noun = familyNounAt(tokens, at + 1, names);
  if (!noun || noun.plural) return null;
  const first = inOrder(noun.family.members, noun.family.numbered, side)?.[0];
  return first === undefined
    ? null
    : { piece: { kind: "parts", parts: [first], many: false }, end: noun.end };
}

/** "front and rear spar", "top and bottom skins". */
function pairAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const [one, joint, two] = [tokens[at], tokens[at + 1], tokens[at + 2]];
  if (!one || !two || joint?.word !== "and" || tokens[at + 3] === undefined) return null;
  const start = isLink(two) ? at + 3 : at + 2;
  const second = aliasAt(tokens, start, names);
  if (second?.piece.kind !== "parts" || second.end - start !== 2) return null;
  const noun = singular(tokens[second.end - 1]?.word ?? "");
  const [alias] = names
    .aliases(sideWord(one.word))
    .filter(({ words }) => words.length === 2 && words[0] === sideWord(one.word) && words[1] === noun);
  const first = alias?.targets.filter(({ kind }) => kind === "part") ?? [];
  if (first.length !== 1 || second.piece.parts.length !== 1) return null;
  return {
    piece: { kind: "parts", parts: [...first.map(({ id }) => id), ...second.piece.parts], many: true },
    end: second.end,
  };
}

const ONE_OF = new Set([
  "a",
  "an",
  "any",
  "every",
  "each",
  "which",
  "one",
  "odd",
  "what",
  "all",
  "no",
  "another",
]);

/** "ribs", "any rib", "skins"; "the rib" alone could be any of them, so it is asked back. */
function pluralAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const counted = numberAt(tokens, at);
  const all = counted === undefined ? null : familyNounAt(tokens, at + 1, names);
  if (all?.plural && all.family.members.length === counted)
    return { piece: { kind: "family", family: all.family.id }, end: all.end };
  const noun = familyNounAt(tokens, at, names);
  if (noun) {
    if (noun.plural || ONE_OF.has(tokens[at - 1]?.word ?? "") || tokens[noun.end]?.word === "family")
      return {
        piece: { kind: "family", family: noun.family.id },
        end: tokens[noun.end]?.word === "family" ? noun.end + 1 : noun.end,
      };
    return { piece: { kind: "which-part", parts: noun.family.members }, end: noun.end };
  }
  const word = tokens[at]?.word ?? "";
  const parts = names.partsOfKind(singular(word));
  if (parts.length === 0 || singular(word) === word) return null;
  return { piece: { kind: "parts", parts, many: parts.length > 1 }, end: at + 1 };
}

/** "the mount", "my servo tray": part of a name after an article, when only one part is called so. */
function looseAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  if (!/^(the|my|this|that|our|its)$/.test(tokens[at - 1]?.word ?? "")) return null;
  let end = at;
  let parts: Set<string> | null = null;
  while (end < tokens.length && tokens[end]?.size !== true) {
    const word = sideWord(tokens[end]?.word ?? "");
    const named: ReadonlySet<string> = new Set([...names.partsWithWord(word), ...names.partsOfKind(word)]);
    const both: ReadonlySet<string> = parts ? new Set([...parts].filter((part) => named.has(part))) : named;
    if (both.size === 0) break;
    parts = new Set(both);
    end++;
    if (tokens[end - 1]?.after !== "") break;
  }
  if (!parts || !names.isHeadWord(sideWord(tokens[end - 1]?.word ?? ""))) return null;
  const [only] = parts;
  if (parts.size === 1 && only !== undefined)
    return { piece: { kind: "parts", parts: [only], many: false }, end };
  return { piece: { kind: "which-part", parts: [...parts] }, end };
}

/** "notice 2", "notice SN-1", "the second notice"; the notices count by date. */
function noticeAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const isNotice = (token: Token | undefined): boolean =>
    token !== undefined &&
    lexicon()
      .senses(singular(token.word))
      .some(({ concept }) => concept === "notice");
  if (!isNotice(tokens[at])) return null;
  const start = isNumberSign(tokens[at + 1]) ? at + 2 : at + 1;
  const id = tokens[start]?.id;
  if (id?.kind === "notice") return { piece: { kind: "notice", id: id.id }, end: start + 1 };
  if (tokens[start]?.unknownId) return { piece: { kind: "unknown", parts: [] }, end: start + 1 };
  const number = numberAt(tokens, start);
  if (number === undefined || tokens[at]?.after !== "") return null;
  const found = names.kit.notices.filter((notice) => Number(/(\d+)$/.exec(notice.id)?.[1] ?? "0") === number);
  const [only] = found;
  if (found.length !== 1 || !only) return { piece: { kind: "unknown", parts: [] }, end: start + 1 };
  return { piece: { kind: "notice", id: only.id }, end: start + 1 };
}

/**
 * A milestone however it is put: all telling words of its name in any order and form ("once the twist has been
 * checked"), or one noun of it that no other name has ("until the fairing").
 */
function milestoneAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  let best: Found | null = null;
  for (const { id, name, nicknames } of names.assembly.milestones) {
    for (const saying of [name, ...nicknames, id]) {
      const end = saidBy(tokens, at, saying);
      if (end !== null && (best === null || end > best.end)) best = { piece: { kind: "milestone", id }, end };
    }
  }
  return best;
}

/** Where the words of the saying end when they all stand from `at` on, in any order; light words between are passed. */
function saidBy(tokens: readonly Token[], at: number, saying: string): number | null {
  const wanted = saying
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== "" && lexicon().weight(word) === "content" && !/^(is|are|on|the)$/.test(word))
    .map(stemOf);
  const open = [...wanted];
  let position = at;
  while (open.length > 0) {
    const token = tokens[position];
    if (!token || token.size || token.unknownId) return null;
    const place = open.indexOf(stemOf(token.word));
    if (place >= 0) open.splice(place, 1);
    else if (position === at || lexicon().weight(token.word) === "content") return null;
    position++;
  }
  return wanted.length > 0 ? position : null;
}

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
function subjectAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
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
  return ids.size === 1 && only !== undefined ? { piece: { kind: "milestone", id: only }, end } : null;
}

/** "hole 3", "holes 2 to 6", "third hole", "the first three", "last hole", "all but the last", "every hole but 3". */
function pickAt(tokens: readonly Token[], at: number): Found | null {
  const but = allButAt(tokens, at);
  if (but) return but;
  const simple = simplePickAt(tokens, at);
  if (!simple) return null;
  const from = simple.bare ? null : fromAt(tokens, simple.end);
  if (!from || simple.pick.kind === "but")
    return { piece: { kind: "pick", pick: simple.pick, bare: simple.bare }, end: simple.end };
  return { piece: { kind: "pick", pick: { ...simple.pick, from: from.side }, bare: false }, end: from.end };
}

function simplePickAt(
  tokens: readonly Token[],
  at: number,
): { pick: Pick; end: number; bare: boolean } | null {
  const next = tokens[at + 1];
  if (isHoleNoun(tokens[at]) && !isVerb(tokens, at)) {
    const start = isNumberSign(next) ? at + 2 : next?.word === "from" ? at + 2 : at + 1;
    const plural = singular(tokens[at]?.word ?? "") !== tokens[at]?.word;
    const run =
      tokens[at]?.after === "" || tokens[at]?.after === ":" ? numberRun(tokens, start, plural) : null;
    return run && { pick: { kind: "numbers", numbers: run.numbers, from: null }, end: run.end, bare: false };
  }
  const counted = countedAt(tokens, at);
  if (counted) {
    const noun = isHoleNoun(tokens[counted.end]) || /^(one|ones)$/.test(tokens[counted.end]?.word ?? "");
    const the = tokens[at - 1]?.word === "the";
    const placed = /^(on|of|in)$/.test(tokens[counted.end]?.word ?? "");
    const many = counted.kind !== "nth" && counted.end - at === 2;
    if (!noun && !(the && placed) && !many) return null;
    const pick: Pick =
      counted.kind === "nth"
        ? { kind: "numbers", numbers: [counted.n], from: null }
        : { kind: counted.kind, count: counted.n, from: null };
    return { pick, end: noun ? counted.end + 1 : counted.end, bare: false };
  }
  if (!/^\d/.test(tokens[at]?.word ?? "")) return null;
  const run = numberRun(tokens, at, true);
  return run && { pick: { kind: "numbers", numbers: run.numbers, from: null }, end: run.end, bare: true };
}

/** "all but the last two", "all holes except 2 and 3", "every hole but the first", "everything but hole 4". */
function allButAt(tokens: readonly Token[], at: number): Found | null {
  if (!/^(all|every|everything)$/.test(tokens[at]?.word ?? "")) return null;
  let position = at + 1;
  if (tokens[position]?.word === "the" || tokens[position]?.word === "of") position++;
  if (isHoleNoun(tokens[position])) position++;
  if (!/^(but|except|bar)$/.test(tokens[position]?.word ?? "")) {
    if (tokens[position]?.word !== "apart" || tokens[position + 1]?.word !== "from") return null;
    position++;
  }
  position++;
  if (tokens[position]?.word === "for" || tokens[position]?.word === "the") position++;
  if (tokens[position]?.word === "the") position++;
  const left = simplePickAt(tokens, position) ?? lastAlone(tokens, position);
  if (!left) return null;
  return { piece: { kind: "pick", pick: { kind: "but", left: left.pick }, bare: false }, end: left.end };
}

function lastAlone(tokens: readonly Token[], at: number): { pick: Pick; end: number } | null {
  const counted = countedAt(tokens, at);
  if (!counted) return null;
  return counted.kind === "nth"
    ? { pick: { kind: "numbers", numbers: [counted.n], from: null }, end: counted.end }
    : { pick: { kind: counted.kind, count: counted.n, from: null }, end: counted.end };
}

const BEFORE_VERB = new Set("i we you to not can may could should must do be and".split(" "));

/** Whether the next word is an act: "I rivet", "to rivet", "can rivet". */
export function leadsVerb(token: Token | undefined): boolean {
  return token !== undefined && BEFORE_VERB.has(token.word);
}

/** "may I rivet 2 to 6": a verb, where "rivet 2" elsewhere is a hole. */
function isVerb(tokens: readonly Token[], at: number): boolean {
  const word = tokens[at]?.word ?? "";
  return (
    lexicon()
      .senses(word)
      .some(({ concept }) => lexicon().concepts.get(concept)?.slots.act !== undefined) &&
    leadsVerb(tokens[at - 1])
  );
}

export function isHoleNoun(token: Token | undefined): boolean {
  return (
    token !== undefined &&
    lexicon()
      .senses(token.word)
      .some(({ concept }) => concept === "hole")
  );
}

/** "top", "upper flange", "top and bottom rows": which row of a part, by words of the rows' names. */
function rowAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const sayings: string[][] = [];
  let [end, core] = [at, at];
  for (;;) {
    const one = rowWordsAt(tokens, end, names);
    if (!one) break;
    sayings.push(one.words);
    ({ end, core } = one);
    if (tokens[end]?.word !== "and" || tokens[end - 1]?.after !== "") break;
    if (!rowWordsAt(tokens, end + 1, names)) break;
    end++;
  }
  const filled = spreadNoun(sayings);
  return filled.length > 0 ? { piece: { kind: "row", sayings: filled }, end, core } : null;
}

/** "top and bottom flange" → "top flange", "bottom flange". */
function spreadNoun(sayings: readonly string[][]): string[][] {
  const last = sayings.at(-1) ?? [];
  const noun = last.length > 1 ? last.slice(1) : [];
  return sayings.map((words) => (words.length === 1 && words !== last ? [...words, ...noun] : words));
}

/** "Get back", "look inside": no side of a part, unless an article or "row" says so. */
function isAdverb(tokens: readonly Token[], at: number): boolean {
  if (!/^(back|inside|outside|fore)$/.test(tokens[at]?.word ?? "")) return false;
  const next = singular(tokens[at + 1]?.word ?? "");
  return (
    !/^(the|its|on|at)$/.test(tokens[at - 1]?.word ?? "") &&
    !GENERIC.has(next) &&
    !SURFACE.has(next) &&
    next !== "flange"
  );
}

const SURFACE = new Set(["side", "surface", "face"]);

function rowWordsAt(
  tokens: readonly Token[],
  at: number,
  names: NameIndex,
): { words: string[]; end: number; core: number } | null {
  const words: string[] = [];
  let [end, core] = [at, at];
  for (; end < tokens.length; end++) {
    const token = tokens[end];
    if (!token || token.size || token.id || token.unknownId || /\d/.test(token.word)) break;
    const word = singular(sideWord(token.word));
    const isSide = lexicon().side(token.word) !== undefined && !isAdverb(tokens, end);
    // A verb of the bench ("attach") is a row's name only after a word that starts one.
    const starts = isSide || lexicon().senses(token.word).length === 0;
    if (GENERIC.has(word) || (words.length > 0 && SURFACE.has(word))) {
      if (words.length === 0 || (isHoleNoun(token) && numberAt(tokens, end + 1) !== undefined)) break;
    } else if ((names.isRowWord(word) && (words.length > 0 || starts)) || isSide) {
      words.push(word);
      core = end + 1;
    } else break;
    if (token.after !== "" && token.after !== "-") {
      end++;
      break;
    }
  }
  return words.length > 0 ? { words, end, core } : null;
}

function everythingAt(tokens: readonly Token[], at: number): Found | null {
  const word = tokens[at]?.word ?? "";
  if (/^(everything|everywhere|anywhere|overall)$/.test(word))
    return { piece: { kind: "everything" }, end: at + 1 };
  const [next, last] = [tokens[at + 1]?.word ?? "", tokens[at + 2]?.word ?? ""];
  if (word === "whole" && /^(thing|assembly|lot|job)$/.test(next))
    return { piece: { kind: "everything" }, end: at + 2 };
  if (word === "entire" && next === "assembly") return { piece: { kind: "everything" }, end: at + 2 };
  if (word === "all" && next === "of" && last === "it") return { piece: { kind: "everything" }, end: at + 3 };
  return null;
}
