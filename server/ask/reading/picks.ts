import { lexicon } from "../lexicon.js";
import { countedAt, fromAt } from "./counting.js";
import { isAct } from "./meaning.js";
import { type NameIndex, singular } from "./names.js";
import { numberAt, numberRun } from "./numbers.js";
import type { Found, Pick } from "./piece.js";
import type { Token } from "./tokens.js";
import { isHoleNoun, isNumberSign, isPlural, leadsVerb } from "./words.js";

/** "hole 3", "holes 2 to 6", "third hole", "the first three", "last hole", "all but the last", "every hole but 3". */
export function pickAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const but = allButAt(tokens, at);
  if (but) return but;
  const outermost = outermostAt(tokens, at);
  if (outermost) return outermost;
  const simple = simplePickAt(tokens, at) ?? nthOfRowAt(tokens, at, names);
  if (!simple) return null;
  const from = simple.bare ? null : fromAt(tokens, simple.end);
  if (!from || simple.pick.kind === "but")
    return { piece: { kind: "pick", pick: simple.pick, bare: simple.bare }, end: simple.end };
  return { piece: { kind: "pick", pick: { ...simple.pick, from: from.side }, bare: false }, end: from.end };
}

/** "The rearmost hole", "the rearmost two holes", "the front three holes": counted from that side. */
function outermostAt(tokens: readonly Token[], at: number): Found | null {
  const token = tokens[at];
  const side = token && token.after === "" ? lexicon().side(token.word) : undefined;
  if (!token || side === undefined) return null;
  const count = numberAt(tokens, at + 1);
  const noun = at + (count === undefined ? 1 : 2);
  if (!isHoleNoun(tokens[noun]) || (count === undefined && !token.word.endsWith("most"))) return null;
  // "Top 3 hole" is the third one, and "rearmost holes" does not say how many.
  if (isPlural(tokens[noun]) !== (count ?? 1) > 1) return null;
  return {
    piece: { kind: "pick", pick: { kind: "first", count: count ?? 1, from: side }, bare: false },
    end: noun + 1,
  };
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
      tokens[at]?.after === "" || tokens[at]?.after === ":"
        ? ((plural ? null : listOf(tokens, start)) ?? numberRun(tokens, start, plural))
        : null;
    return run && { pick: { kind: "numbers", numbers: run.numbers, from: null }, end: run.end, bare: false };
  }
  // "Number 7 in the keel row".
  const [digits, link] = [tokens[at + 1], tokens[at + 2]];
  if (
    digits !== undefined &&
    !digits.size &&
    /^(number|no|nr)$/.test(tokens[at]?.word ?? "") &&
    /^\d{1,3}$/.test(digits.word)
  ) {
    const isPlaced = /^(in|of|on|from|along)$/.test(link?.word ?? "") && digits.after === "";
    const isLeftOut = /^(except|but|bar|for|not)$/.test(tokens[at - 1]?.word ?? "") && link === undefined;
    if (isPlaced || isLeftOut)
      return {
        pick: { kind: "numbers", numbers: [Number(digits.word)], from: null },
        end: at + 2,
        bare: false,
      };
  }
  const counted = countedAt(tokens, at);
  if (counted) {
    const noun = isHoleNoun(tokens[counted.end]) || /^(one|ones)$/.test(tokens[counted.end]?.word ?? "");
    const the = tokens[at - 1]?.word === "the";
    const placed = /^(on|of|in)$/.test(tokens[counted.end]?.word ?? "");
    const many = counted.kind !== "nth" && counted.end - at === 2;
    if (noun && !many && isPlural(tokens[counted.end])) return null;
    if (!noun && !(the && placed) && !many) return null;
    const pick: Pick =
      counted.kind === "nth"
        ? { kind: "numbers", numbers: [counted.n], from: null }
        : { kind: counted.kind, count: counted.n, from: null };
    return { pick, end: noun ? counted.end + 1 : counted.end, bare: false };
  }
  if (!/^\d/.test(tokens[at]?.word ?? "") && !isSpokenNumber(tokens, at)) return null;
  const run = numberRun(tokens, at, true);
  return run && { pick: { kind: "numbers", numbers: run.numbers, from: null }, end: run.end, bare: true };
}

/** "Gusset 2's first upright hole", "the last top hole": the row's word stands before the hole. */
function nthOfRowAt(
  tokens: readonly Token[],
  at: number,
  names: NameIndex,
): { pick: Pick; end: number; bare: boolean } | null {
  const counted = countedAt(tokens, at);
  const row = counted && tokens[counted.end];
  const noun = counted && tokens[counted.end + 1];
  if (!counted || !row || !noun || counted.end - at > 1 || row.after !== "" || tokens[at]?.after !== "")
    return null;
  const isRow = lexicon().side(row.word) !== undefined || names.isRowWord(row.word);
  if (!isRow || !isHoleNoun(noun) || isPlural(noun)) return null;
  const pick: Pick =
    counted.kind === "nth"
      ? { kind: "numbers", numbers: [counted.n], from: null }
      : { kind: counted.kind, count: counted.n, from: null };
  return { pick, end: counted.end, bare: false };
}

/** "Hole 5, 6 and 7 of …": three or more by number, though only one is spoken of, where what they are of follows. */
function listOf(tokens: readonly Token[], start: number): ReturnType<typeof numberRun> {
  const run = numberRun(tokens, start, true);
  const isOf = run !== null && /^(of|on|in|along)$/.test(tokens[run.end]?.word ?? "");
  return run && run.numbers.length > 2 && isOf && tokens[run.end - 1]?.after === "" ? run : null;
}

/** "Rib three top seven", as spoken: a number after a side's word, where no article makes it a count ("the top seven"). */
function isSpokenNumber(tokens: readonly Token[], at: number): boolean {
  const token = tokens[at];
  const [side, owner] = [tokens[at - 1], tokens[at - 2]];
  if (!token || token.word === "one" || numberAt(tokens, at) === undefined) return false;
  if (side === undefined || side.after !== "" || isHoleNoun(tokens[at + 1])) return false;
  const isRow = lexicon().side(side.word) !== undefined || /^(row|column|flange)$/.test(side.word);
  return isRow && owner !== undefined && !/^(the|its|a|my|all|both|these|those)$/.test(owner.word);
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

/** "may I rivet 2 to 6": a verb, where "rivet 2" elsewhere is a hole. */
function isVerb(tokens: readonly Token[], at: number): boolean {
  const word = tokens[at]?.word ?? "";
  return lexicon().senses(word).some(isAct) && leadsVerb(tokens[at - 1]);
}
