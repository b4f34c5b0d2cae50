import { wordMeans } from "./meaning.js";
import { milestoneAt, subjectAt } from "./milestone-words.js";
import { type NameIndex, singular } from "./names.js";
import { neighbourAt } from "./neighbour-words.js";
import { numberAt } from "./numbers.js";
import { partsAt } from "./part-words.js";
import { pickAt } from "./picks.js";
import type { Found } from "./piece.js";
import { rowAt } from "./row-words.js";
import { stepAt } from "./step-words.js";
import type { Token } from "./tokens.js";
import { isNumberSign } from "./words.js";

/** The piece that starts at a token, the longest one; null when nothing is named there. */
export function pieceAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const token = tokens[at];
  if (!token || token.size) return null;
  if (token.unknownId) return { piece: { kind: "unknown", parts: [] }, end: at + 1 };
  const candidates = [
    idAt(tokens, at, names),
    stepAt(tokens, at, names),
    neighbourAt(tokens, at, names),
    partsAt(tokens, at, names),
    noticeAt(tokens, at, names),
    milestoneAt(tokens, at, names),
    subjectAt(tokens, at, names),
    pickAt(tokens, at, names),
    rowAt(tokens, at, names),
    everythingAt(tokens, at),
  ].filter((found) => found !== null);
  const reach = ({ core, end }: Found): number => core ?? end;
  const longest = Math.max(...candidates.map(reach));
  const far = candidates.filter((found) => reach(found) === longest);
  // "The bottom row" is a row, even where one part is loosely called the bottom one.
  return far.find(({ piece }) => piece.kind === "row" && piece.asRow) ?? far[0] ?? null;
}

function idAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const token = tokens[at];
  const id = token?.id;
  if (!token || !id) return null;
  switch (id.kind) {
    case "part":
      return { piece: { kind: "parts", parts: [id.id], many: false }, end: at + 1 };
    case "family":
      return { piece: { kind: "family", family: id.id }, end: at + 1 };
    case "milestone":
      return { piece: { kind: "milestone", id: id.id, not: false }, end: at + 1 };
    case "notice":
      return { piece: { kind: "notice", id: id.id }, end: at + 1 };
    case "row":
      return { piece: { kind: "row-ids", rows: [id.id] }, end: at + 1 };
    case "hole":
      return holeIdsAt(tokens, at, id.id, names);
    case "assembly":
      return { piece: { kind: "everything" }, end: at + 1 };
    case "rivet":
      return null;
  }
}

/** One hole by id, or a run "FR-3.crest.2 to 6", "FR-3.crest.2 to FR-3.crest.6". */
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

/** "notice 2", "notice SN-1", "the second notice"; the notices count by date. */
function noticeAt(tokens: readonly Token[], at: number, names: NameIndex): Found | null {
  const isNotice = (token: Token | undefined): boolean =>
    token !== undefined && wordMeans(singular(token.word), "notice");
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
