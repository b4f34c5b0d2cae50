import { expect, test } from "vitest";
import { sayMarks, stands } from "../../web/marks.js";
import { counted, sayFact, sayNumbers, sayOperator, sayValue, theNamed } from "../../web/words.js";

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
  expect(sayFact("neighbourGapMm")).toBe("neighbour gap (mm)");
  expect(sayValue(null)).toBe("not known");
  expect(sayValue(false)).toBe("no");
  expect(sayValue([])).toBe("none");
  expect(sayValue(["rib", "spar"])).toBe("rib, spar");
  expect(sayOperator("lessThanInclusive")).toBe("is at most");
});

test("a part takes the article that a builder would give it", () => {
  expect(theNamed("top skin")).toBe("the top skin");
  expect(theNamed("rib 3")).toBe("rib 3");
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
