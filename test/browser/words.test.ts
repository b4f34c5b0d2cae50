import { expect, test } from "vitest";
import { traceWords } from "../../server/ask/wording/trace-words.js";
import type { Mark } from "../../server/kit/work.js";
import { listMarks, sayMarks, stands } from "../../web/marks.js";
import { Names } from "../../web/names.js";
import type { AssemblyShown } from "../../web/wire.js";
import { counted, sayNumbers, sayValue } from "../../web/words.js";
import { library } from "../support/library.js";

/** An assembly with nothing in it. */
const BARE: AssemblyShown = {
  id: "tailplane",
  name: "tailplane",
  kit: { id: "kit", name: "kit", units: "mm" },
  parts: [],
  rows: [],
  families: [],
  milestones: [],
  prepGates: [{ id: "dimple", name: "holes dimpled" }],
  approaches: [],
  neighbours: [{ id: "SEAL", name: "the gap seal" }],
  steps: [],
  closings: [],
  map: { views: [], unseen: [] },
  words: traceWords(library.dictionary),
};
const NAMES = new Names(BARE);
const RIB = {
  nicknames: [],
  kind: "rib",
  family: null,
  member: null,
  material: "2024-T3",
  thicknessMm: 0.8,
  prep: ["dimple"],
} as const;
const RIB_ROW = { part: "RIB-1", nicknames: [], numbered: "from the front" } as const;
const ROWS = new Names({
  ...BARE,
  parts: [1, 2, 3].map((i) => ({ ...RIB, id: `RIB-${i}`, name: `rib ${i}` })),
  rows: ["top", "bottom"].map((row) => ({
    ...RIB_ROW,
    id: `RIB-1.${row}`,
    row,
    name: `${row} row`,
    holes: [1, 2, 3, 4, 5, 6].map((i) => `RIB-1.${row}.${i}`),
  })),
  milestones: [{ id: "TWIST", name: "the twist is checked", nicknames: [] }],
});

test("hole numbers are said as runs", () => {
  expect(sayNumbers([4, 2, 3, 9])).toBe("2–4, 9");
  expect(sayNumbers([1, 2])).toBe("1, 2");
  expect(sayNumbers([7])).toBe("7");
  expect(sayNumbers([])).toBe("");
});

test("one is singular, all else plural", () => {
  expect(counted(1, "hole")).toBe("1 hole");
  expect(counted(0, "hole")).toBe("0 holes");
  expect(counted(2, "hole is", "holes are")).toBe("2 holes are");
});

test("a fact is said with its unit, a missing value as not known", () => {
  expect(NAMES.fact("gapMm")).toBe("gap (mm)");
  expect(NAMES.fact("edgeRatio")).toMatch(/ \(diameters\)$/);
  expect(NAMES.fact("fromAnotherKit")).toBe("from another kit");
  expect(NAMES.operator("lessThanInclusive")).toBe("is at most");
  expect(sayValue(null, NAMES)).toBe("not known");
  expect(sayValue(false, NAMES)).toBe("no");
  expect(sayValue([], NAMES)).toBe("none");
  expect(sayValue(["rib", "spar"], NAMES)).toBe("rib, spar");
  expect(sayValue({ fact: "gapMm" }, NAMES)).toBe("gap (mm)");
});

test("a fact's text is said by the name of what it is the id of, a treatment never as the prep of that name", () => {
  expect(sayValue("SEAL", NAMES)).toBe("the gap seal");
  expect(sayValue(["SEAL", "none"], NAMES)).toBe("the gap seal, none");
  expect(sayValue("dimple", NAMES)).toBe("dimple");
  expect(NAMES.thing("dimple")).toBe("holes dimpled");
});

test("marks are summed up by what they say", () => {
  expect(
    sayMarks([
      { kind: "hole", hole: "R.top.1", state: "set" },
      { kind: "hole", hole: "R.top.2", state: "set" },
      { kind: "hole", hole: "R.top.3", state: "pinned" },
      { kind: "prep", part: "R", gate: "deburr", done: true },
    ]),
  ).toBe("2 holes set, 1 hole pinned, 1 prep step done");
});

test("marks are listed by row and by prep, holes in a run", () => {
  const set = (...numbers: readonly number[]): readonly Mark[] =>
    numbers.map((number) => ({ kind: "hole", hole: `RIB-1.top.${number}`, state: "set" }));
  expect(
    listMarks(
      [
        ...set(2, 3, 4, 5, 6),
        { kind: "hole", hole: "RIB-1.bottom.1", state: "set" },
        { kind: "hole", hole: "RIB-1.bottom.2", state: "pinned" },
        { kind: "prep", part: "RIB-1", gate: "dimple", done: true },
        { kind: "prep", part: "RIB-2", gate: "dimple", done: true },
        { kind: "prep", part: "RIB-3", gate: "dimple", done: false },
        { kind: "milestone", milestone: "TWIST", reached: true },
      ],
      ROWS,
    ),
  ).toEqual([
    "rib 1, top row, holes 2–6: set",
    "rib 1, bottom row, hole 1: set",
    "rib 1, bottom row, hole 2: pinned",
    "rib 1, rib 2: “holes dimpled” done",
    "rib 3: “holes dimpled” not done",
    "the twist is checked: reached",
  ]);
  expect(listMarks([], ROWS)).toEqual([]);
});

test("a mark stands when the work is as it says, a hole that was never marked being unset", () => {
  const work = {
    version: 1,
    holes: { "R.top.1": "set" },
    prep: { R: ["deburr"] },
    milestones: ["twist"],
  } as const;
  expect(stands(work, { kind: "hole", hole: "R.top.1", state: "set" })).toBe(true);
  expect(stands(work, { kind: "hole", hole: "R.top.2", state: "unset" })).toBe(true);
  expect(stands(work, { kind: "hole", hole: "R.top.2", state: "set" })).toBe(false);
  expect(stands(work, { kind: "prep", part: "R", gate: "deburr", done: true })).toBe(true);
  expect(stands(work, { kind: "prep", part: "S", gate: "deburr", done: true })).toBe(false);
  expect(stands(work, { kind: "milestone", milestone: "twist", reached: false })).toBe(false);
});
