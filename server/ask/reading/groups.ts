import { lexicon } from "../lexicon.js";
import { fastenedTo } from "./fastened-to.js";
import type { NameIndex } from "./names.js";
import type { Piece } from "./piece.js";
import { NOWHERE, placeOf, type Spot } from "./place.js";
import type { Run } from "./runs.js";
import type { Token } from "./tokens.js";
import { holesAt } from "./where.js";

const LINKS = new Set([
  "of",
  "on",
  "in",
  "at",
  "along",
  "for",
  "the",
  "a",
  "its",
  "my",
  "this",
  "that",
  "from",
  "all",
  "every",
]);

const NOTHING: Piece = { kind: "unknown", parts: [] };

/** Neighbouring pieces that say one place together. */
export interface Group {
  spot: Spot;
  from: number;
  to: number;
}

/** The runs with neighbouring pieces put together: "hole 3" "on" "rib 4" "'s top row" is one place. */
export function grouped(
  runs: readonly Run[],
  tokens: readonly Token[],
  names: NameIndex,
): readonly (Group | Run)[] {
  const bareDropped = dropLoneNumbers(runs, tokens);
  const slots: (Group | Run)[] = [];
  for (let at = 0; at < bareDropped.length; at++) {
    const run = bareDropped[at];
    if (!run) continue;
    const start = run.piece && addPiece(NOWHERE, run.piece);
    if (!start) {
      slots.push(run);
      continue;
    }
    const group: Group = { spot: start, from: run.from, to: run.to };
    for (;;) {
      const next = nextPiece(bareDropped, at + 1, tokens);
      const more = next && addPiece(group.spot, next.run.piece ?? NOTHING);
      // "Except for hole 3, the top row is in": what is left out ends at the comma.
      const ends = /,/.test(tokens[group.to - 1]?.after ?? "") && isLeftOut(tokens, group.from);
      if (!next || !more || ends) break;
      group.spot = more;
      group.to = next.run.to;
      at = next.at;
    }
    slots.push(group);
  }
  return mergePartial(united(slots, tokens, names), tokens);
}

/** A number that stands by itself is a number, not a hole: it must belong to a row, a part or "of …". */
function dropLoneNumbers(runs: readonly Run[], tokens: readonly Token[]): Run[] {
  return runs.flatMap((run, at): Run[] => {
    if (run.piece?.kind !== "pick" || !run.piece.bare) return [run];
    const before = runs[at - 1];
    const joined = (tokens[run.from - 1]?.after ?? "").replace(/[.:]/g, "") === "";
    const rowBefore = joined && (before?.piece?.kind === "row" || before?.piece?.kind === "row-ids");
    const link = runs[at + 1];
    const next = nextPiece(runs, at + 1, tokens);
    const after =
      next !== null &&
      ((link?.piece !== null && link?.piece !== undefined) ||
        /^(of|on|in|at|along)$/.test(tokens[link?.from ?? 0]?.word ?? "")) &&
      isPlaceBase(next.run.piece);
    if (rowBefore || after) return [run];
    return Array.from({ length: run.to - run.from }, (_, n) => ({
      from: run.from + n,
      to: run.from + n + 1,
      piece: null,
      phrase: null,
    }));
  });
}

function isPlaceBase(piece: Piece | null): boolean {
  return piece !== null && ["parts", "row", "row-ids", "family", "which-part"].includes(piece.kind);
}

/** The next named piece, when only links ("of the", "on its") lie between. */
function nextPiece(
  runs: readonly Run[],
  from: number,
  tokens: readonly Token[],
): { readonly run: Run; readonly at: number } | null {
  for (let at = from; at < runs.length; at++) {
    const run = runs[at];
    if (!run || (tokens[run.from - 1]?.after ?? "").match(/[?;!]/)) return null;
    if (run.piece) return { run, at };
    if (run.phrase || !LINKS.has(tokens[run.from]?.word ?? "")) return null;
  }
  return null;
}

/** The spot with one more piece; null when that piece says something the spot already says. */
function addPiece(spot: Spot, piece: Piece): Spot | null {
  const based = spot.parts ?? spot.family ?? spot.whichPart ?? spot.rows ?? spot.holes;
  const hasBase = based !== null || spot.everything;
  switch (piece.kind) {
    case "parts":
      return based ? null : { ...spot, everything: false, parts: piece.parts };
    case "which-part":
      return based ? null : { ...spot, everything: false, whichPart: piece.parts };
    case "family":
      return based ? null : { ...spot, everything: false, family: piece.family };
    case "row":
      return spot.sayings || spot.rows || spot.holes || spot.everything
        ? null
        : { ...spot, sayings: piece.sayings, asRow: piece.asRow };
    case "row-ids":
      return based || spot.sayings ? null : { ...spot, everything: false, rows: piece.rows };
    case "hole-ids":
      return hasBase || spot.sayings || spot.pick ? null : { ...spot, holes: piece.holes };
    case "pick":
      return spot.pick || spot.holes || spot.everything ? null : { ...spot, pick: piece.pick };
    case "everything":
      return hasBase || spot.sayings || spot.pick ? null : { ...spot, everything: true };
    case "unknown":
      return {
        ...spot,
        unknown: true,
        whichPart: spot.whichPart ?? (piece.parts.length > 0 ? piece.parts : null),
        steps: piece.steps ? { kind: "steps", steps: piece.steps, all: false, or: null } : spot.steps,
      };
    case "steps":
      return spot.steps || spot.everything ? null : { ...spot, steps: piece };
    case "milestone":
    case "notice":
    case "neighbour":
      return null;
  }
}

/** Whether a run has been put together with others into a place. */
export function isGroup(slot: Group | Run): slot is Group {
  return "spot" in slot;
}

/** "rib 2 and rib 5", "rib 2 to rib 5", "FR-3.crest and FR-4.crest": like things joined are one place. */
function united(
  slots: readonly (Group | Run)[],
  tokens: readonly Token[],
  names: NameIndex,
): (Group | Run)[] {
  const out: (Group | Run)[] = [];
  for (let at = 0; at < slots.length; at++) {
    const slot = slots[at];
    const last = out.at(-1);
    const before = out.at(-2);
    if (slot && isGroup(slot) && last) {
      const to = joinedBy(out, tokens);
      const fastened = to && fastenedTo(to.first.spot, slot.spot, names);
      if (to && fastened) {
        out.splice(-1 - to.length, 1 + to.length, { spot: fastened, from: to.first.from, to: slot.to });
        continue;
      }
      if (isGroup(last) && /^[,]$/.test(tokens[last.to - 1]?.after ?? "") && lastsAsList(slots, at, tokens)) {
        const spot = union(last.spot, slot.spot, names);
        if (spot) {
          out.splice(-1, 1, { spot, from: last.from, to: slot.to });
          continue;
        }
      }
      const joint = isGroup(last) ? "" : (tokens[last.from]?.word ?? "");
      if (before && isGroup(before) && !isGroup(last) && last.to - last.from === 1) {
        const spot =
          joint === "and"
            ? union(before.spot, slot.spot, names)
            : joint === "to" || joint === "through"
              ? span(before.spot, slot.spot, names)
              : null;
        if (spot) {
          out.splice(-2, 2, { spot, from: before.from, to: slot.to });
          continue;
        }
      }
    }
    if (slot) out.push(slot);
  }
  return out;
}

/** "Rivet rib 3 to the …": what is fastened, where riveting or rivets are spoken of before; `length` counts the words after it. */
function joinedBy(
  out: readonly (Group | Run)[],
  tokens: readonly Token[],
): { readonly first: Group; readonly length: number } | null {
  const article = /^(the|my|its)$/.test(wordOf(out.at(-1), tokens)) ? 1 : 0;
  const first = out.at(-2 - article);
  if (wordOf(out.at(-1 - article), tokens) !== "to" || !first || !isGroup(first)) return null;
  const before = tokens.slice(0, first.from);
  const fastens = before.some(({ word }) =>
    lexicon()
      .senses(word)
      .some(({ concept }) => FASTENING.has(concept)),
  );
  return fastens && !before.some(({ word }) => word === "from") ? { first, length: 1 + article } : null;
}

const FASTENING: ReadonlySet<string> = new Set(["set", "pin", "hole"]);

/** The word of a run of one word; "" for anything else. */
function wordOf(slot: Group | Run | undefined, tokens: readonly Token[]): string {
  return slot && !isGroup(slot) && slot.to - slot.from === 1 ? (tokens[slot.from]?.word ?? "") : "";
}

/** A comma joins two places only inside a list that ends in "and": "rib 2, rib 4 and rib 6". */
function lastsAsList(slots: readonly (Group | Run)[], at: number, tokens: readonly Token[]): boolean {
  for (let next = at + 1; next < slots.length; next++) {
    const slot = slots[next];
    if (!slot) return false;
    if (!isGroup(slot)) return tokens[slot.from]?.word === "and" && isGroup(slots[next + 1] ?? slot);
  }
  return false;
}

function isPlain(spot: Spot): boolean {
  return !spot.sayings && !spot.pick && !spot.unknown && !spot.steps;
}

function union(a: Spot, b: Spot, names: NameIndex): Spot | null {
  if (a.unknown || b.unknown) return { ...a, unknown: true };
  if (a.parts && b.parts && isPlain(a) && isPlain(b))
    return { ...a, parts: [...new Set([...a.parts, ...b.parts])] };
  if (a.rows && b.rows && isPlain(a) && isPlain(b)) return { ...a, rows: [...a.rows, ...b.rows] };
  if (a.parts && isPlain(a) && b.parts && b.sayings && !b.pick) return null;
  const [one, two] = [placeOf(a, names), placeOf(b, names)];
  if (one.kind !== "known" || two.kind !== "known") return null;
  if (one.where.kind === "all" || two.where.kind === "all") return null;
  if (isRows(one.where) && isRows(two.where))
    return { ...NOWHERE, rows: [...rowIds(one.where), ...rowIds(two.where)] };
  if (isWide(one.where) || isWide(two.where)) return null;
  return { ...NOWHERE, holes: [...holesAt(one.where, names), ...holesAt(two.where, names)] };
}

function isRows(where: { readonly kind: string }): boolean {
  return where.kind === "row" || where.kind === "rows";
}

function rowIds(where: Parameters<typeof holesAt>[0]): readonly string[] {
  if (where.kind === "row") return [where.id];
  return where.kind === "rows" ? where.ids : [];
}

function isWide(where: { readonly kind: string }): boolean {
  return ["part", "parts", "family", "step"].includes(where.kind);
}

function span(a: Spot, b: Spot, names: NameIndex): Spot | null {
  const [from] = a.parts ?? [];
  const [to] = b.parts ?? [];
  if (!from || !to || a.parts?.length !== 1 || b.parts?.length !== 1 || !isPlain(a) || !isPlain(b))
    return null;
  const family = names.assembly.families.find(
    ({ members }) => members.includes(from) && members.includes(to),
  );
  const [start, end] = [family?.members.indexOf(from) ?? -1, family?.members.indexOf(to) ?? -1];
  return family && start >= 0 && end > start ? { ...a, parts: family.members.slice(start, end + 1) } : null;
}

/** "Except for the first hole", "but not hole 3": what is left out belongs to nothing else. */
function isLeftOut(tokens: readonly Token[], from: number): boolean {
  let at = from - 1;
  while (BEFORE_LEFT_OUT.test(tokens[at]?.word ?? "")) at--;
  const word = tokens[at]?.word ?? "";
  return isExcept(word) || (word === "than" && tokens[at - 1]?.word === "other");
}

const BEFORE_LEFT_OUT = /^(for|from|the|not|with|of|its|their)$/;

/** Whether a word leaves out what stands after it: "except", "but not", "bar". */
export function isExcept(word: string): boolean {
  return lexicon().isOf(word, "leaving-out", "taking-off") || word === "but";
}

/** "On rib 3, which of holes 2 to 5 …": a row or number said elsewhere belongs to the only part that is named. */
function mergePartial(slots: readonly (Group | Run)[], tokens: readonly Token[]): (Group | Run)[] {
  const groups = slots.filter(isGroup).filter(({ from }) => !isLeftOut(tokens, from));
  const placed = groups.filter(({ spot }) => spot.parts || spot.family || spot.whichPart || spot.rows);
  const based = placed.length > 0 ? placed : groups.filter(({ spot }) => spot.steps);
  const partial = groups.filter(
    (group) => !based.includes(group) && !group.spot.holes && !group.spot.everything,
  );
  const [base] = based;
  if (!base || based.length !== 1 || partial.length === 0 || groups.length !== based.length + partial.length)
    return [...slots];
  let spot: Spot | null = base.spot;
  for (const { spot: more } of partial) {
    if (
      !spot ||
      more.unknown ||
      (more.steps && spot.steps) ||
      (more.pick && spot.pick) ||
      (more.sayings && (spot.sayings || spot.rows))
    )
      spot = null;
    else
      spot = {
        ...spot,
        pick: spot.pick ?? more.pick,
        sayings: spot.sayings ?? more.sayings,
        steps: spot.steps ?? more.steps,
        asRow: spot.asRow || more.asRow,
      };
  }
  if (!spot) return [...slots];
  const merged: Group = { ...base, spot };
  return slots
    .filter((slot) => !isGroup(slot) || !partial.includes(slot))
    .map((slot) => (slot === base ? merged : slot));
}
