import { lexicon } from "../lexicon.js";
import { chosen, countedAt, fromAt, inOrder } from "./counting.js";
import { type NameIndex, sideWord, singular, stemOf } from "./names.js";
import { numberAt, numberRun } from "./numbers.js";
import type { Found } from "./piece.js";
import type { Token } from "./tokens.js";
import { isLink, isNumberSign } from "./words.js";

/** "rib 3", "ribs 2 to 5", "the third rib", "tip rib", "top skin", "the ribs", "front and rear spar". */
export function partsAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const found = [
    aliasAt(tokens, at, names),
    numberedAt(tokens, at, names),
    ordinalAt(tokens, at, names),
    endAt(tokens, at, names),
    pairAt(tokens, at, names),
    pluralAt(tokens, at, names),
  ].filter((one) => one !== null);
  const longest = Math.max(...found.map(({ end }) => end));
  // What follows a whole name is not part of it: "the doubler, aft row".
  return found.find(({ end }) => end === longest) ?? looseAt(tokens, at, names);
}

/** Words from `at` on that equal the name's, linking words passed over; where they end. No name goes on after a comma. */
export function matchName(
  tokens: readonly Token[],
  at: number,
  words: readonly string[],
  stems: boolean,
): number | null {
  let position = at;
  for (const [n, word] of words.entries()) {
    if (n > 0 && tokens[position - 1]?.after.includes(",")) return null;
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
    if (target.kind === "milestone") return { piece: { kind: "milestone", id: target.id, not: false }, end };
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
    const family = names.familyNoun(noun.join(" "));
    // "Hats 1 to 5" where there are five.
    if (family && known.length > 1 && family.members.every((member) => known.includes(member)))
      return { piece: { kind: "family", family: family.id }, end: run.end };
    return { piece: { kind: "parts", parts: known, many: known.length > 1 }, end: run.end };
  }
  return null;
}

/** "third rib", "last rib", "first two ribs", "second rib from the tip". */
function ordinalAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const ordinal = countedAt(tokens, at);
  if (!ordinal) return null;
  const noun = familyNounAt(tokens, ordinal.end, names);
  if (!noun) return null;
  const from = fromAt(tokens, noun.end);
  // "The last ribs" does not say how many.
  if (noun.plural && ordinal.end - at === 1) return null;
  const { members, numbered } = noun.family;
  const ordered = inOrder(members, numbered, from?.side ?? null);
  if (!ordered) return null;
  const end = from?.end ?? noun.end;
  const parts = chosen(ordered, ordinal);
  if (!parts) return { piece: { kind: "unknown", parts: members }, end };
  return { piece: { kind: "parts", parts, many: parts.length > 1 }, end };
}

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

/** "The doubler's": what it owns comes next, and is no part of its name. */
function isOwner(token: Token | undefined): boolean {
  return /['\u2019]s$/i.test(token?.text ?? "");
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
    if (tokens[end - 1]?.after !== "" || isOwner(tokens[end - 1])) break;
  }
  if (!parts || !names.isHeadWord(sideWord(tokens[end - 1]?.word ?? ""))) return null;
  const [only] = parts;
  if (parts.size === 1 && only !== undefined)
    return { piece: { kind: "parts", parts: [only], many: false }, end };
  return { piece: { kind: "which-part", parts: [...parts] }, end };
}
