import { idPieces, type NameIndex, type StepNames, singular, stemOf } from "./names.js";
import { numberRun } from "./numbers.js";
import { matchName } from "./part-words.js";
import type { Found, Piece } from "./piece.js";
import type { Token } from "./tokens.js";
import { isLink, isNumberSign } from "./words.js";

/** "step 6-5", "steps 6-2 and 6-3", "the doublers step", "step doublers": steps of the kit's manual. */
export function stepAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  if (names.steps.length === 0) return null;
  return numberedStep(tokens, at, names) ?? titledStep(tokens, at, names) ?? bareStep(tokens, at, names);
}

function isStepNoun(token: Token | undefined): boolean {
  return token !== undefined && /^steps?$/.test(token.word);
}

/** By its id after "step", or by its whole title. A number that no step has is unknown, never another. */
function numberedStep(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  if (!isStepNoun(tokens[at]) || /[?;!,]/.test(tokens[at]?.after ?? "")) return null;
  const start = isNumberSign(tokens[at + 1]) ? at + 2 : at + 1;
  const run = idRun(tokens, start);
  if (run) {
    const first = stepOf(run.pieces, names);
    if (!first) return { piece: unknownStep(names), end: run.end };
    return tokens[at]?.word === "steps"
      ? severalSteps(tokens, first, run.end, names)
      : { piece: stepPiece([first]), end: run.end };
  }
  const titled = names.steps.flatMap((step) => {
    const end = step.title.length > 0 ? matchName(tokens, start, step.title, true) : null;
    return end === null ? [] : [{ step, end }];
  });
  const end = Math.max(...titled.map((one) => one.end));
  const found = titled.filter((one) => one.end === end).map(({ step }) => step);
  return found.length > 0 ? { piece: stepPiece(found), end } : null;
}

/** What follows "steps 6-2": ", 6-3 and 6-5" one by one, "to 6-5" all between in the manual's order. */
function severalSteps(tokens: readonly Token[], first: StepNames, from: number, names: NameIndex): Found {
  const found = [first];
  let end = from;
  for (;;) {
    const joint = tokens[end]?.word ?? "";
    const isList = joint === "and" || joint === "or";
    const isSpan = joint === "to" || joint === "through";
    const comma = (tokens[end - 1]?.after ?? "").includes(",");
    if (!isList && !isSpan && !comma) break;
    const start = isList || isSpan ? end + 1 : end;
    const run = idRun(tokens, isStepNoun(tokens[start]) ? start + 1 : start);
    if (!run) break;
    const next = stepOf(run.pieces, names);
    if (!next) return { piece: unknownStep(names), end: run.end };
    if (isSpan) {
      const [low, high] = [names.steps.indexOf(found.at(-1) ?? next), names.steps.indexOf(next)];
      if (high <= low) return { piece: unknownStep(names), end: run.end };
      found.push(...names.steps.slice(low + 1, high + 1));
    } else found.push(next);
    end = run.end;
  }
  const ids = [...new Set(found)].map(({ step }) => step.id);
  return { piece: { kind: "steps", steps: ids, all: true, or: null }, end };
}

/** "the doublers step": words of one title before "step"; of several titles, asked back. */
function titledStep(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const words: string[] = [];
  for (let end = at; end < tokens.length && words.length <= MOST_TITLE_WORDS; end++) {
    const token = tokens[end];
    if (!token || token.size || token.unknownId) return null;
    if (token.word === "step" && words.length > 0) {
      const found = names.steps.filter(({ stems }) => words.every((word) => stems.has(word)));
      return found.length > 0 ? { piece: stepPiece(found), end: end + 1 } : null;
    }
    if (words.length > 0 && (isLink(token) || token.word === "and")) continue;
    const stem = stemOf(singular(token.word));
    if (!names.steps.some(({ stems }) => stems.has(stem))) return null;
    words.push(stem);
    if (/[,?;!.]/.test(token.after) && !isStepNoun(tokens[end + 1])) return null;
  }
  return null;
}

const MOST_TITLE_WORDS = 8;

/** "for 6-5", the id alone; numbers that could be holes of what was asked before are kept beside it. */
function bareStep(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const [before, here] = [tokens[at - 1], tokens[at]];
  if (!here || here.size || here.id) return null;
  if (at > 0 && !/^(for|in|of|on|is|does)$/.test(before?.word ?? "")) return null;
  const run = idRun(tokens, at);
  const step = run && names.steps.find(({ step }) => step.id.toLowerCase() === here.text.toLowerCase());
  if (!run || !step || /^\d+$/.test(here.text)) return null;
  const next = tokens[run.end]?.word ?? "";
  if (/^(of|on|in|at|along|from|to|and|or|through|row|hole|holes|rivets?)$/.test(next)) return null;
  const holes = numberRun(tokens, at, true);
  return {
    piece: {
      kind: "steps",
      steps: [step.step.id],
      all: true,
      or: holes?.end !== run.end ? null : { kind: "numbers", numbers: holes.numbers, from: null },
    },
    end: run.end,
  };
}

/** The pieces of an id as it was cut into tokens: "6-5" is two of them, "6.5" and "12a" are one. */
function idRun(tokens: readonly Token[], at: number): { pieces: readonly string[]; end: number } | null {
  const first = tokens[at];
  if (!first || !/\d/.test(first.word)) return null;
  let end = at + 1;
  while (
    end < tokens.length &&
    tokens[end]?.text === first.text &&
    /^[-.]/.test(tokens[end - 1]?.after ?? "")
  )
    end++;
  return { pieces: tokens.slice(at, end).flatMap(({ word }) => idPieces(word)), end };
}

function stepOf(pieces: readonly string[], names: NameIndex): StepNames | null {
  const found = names.steps.filter(
    ({ pieces: own }) => own.length === pieces.length && own.every((piece, n) => piece === pieces[n]),
  );
  const [only] = found;
  return found.length === 1 && only ? only : null;
}

function stepPiece(found: readonly StepNames[]): Piece {
  return { kind: "steps", steps: found.map(({ step }) => step.id), all: false, or: null };
}

function unknownStep(names: NameIndex): Piece {
  return { kind: "unknown", parts: [], steps: names.steps.map(({ step }) => step.id) };
}
