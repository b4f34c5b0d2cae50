import { beforeAll, describe, expect, test } from "vitest";
import { readOn, type Shelf, shelfOf } from "../questions/phrasings.js";

let tail: Shelf;

beforeAll(() => {
  tail = shelfOf("sedge-two", "tailplane");
});

const told = (text: string) => {
  const outcome = readOn(tail, text);
  return outcome.kind === "read" ? outcome.asked : null;
};
const holes = (row: string, ...numbers: number[]) => numbers.map((number) => `${row}.${number}`);

describe("of two states the one that is denied is not so", () => {
  test.each([
    "rib 3's rear row isn't riveted, only pinned",
    "rib 3's rear row is only pinned so far, not riveted",
    "pinned but not set: rib 3's rear row",
    "I pinned rib 3's rear row rather than rivet it",
  ])("%s", (text) =>
    expect(told(text)).toEqual({ form: "tell", slots: { row: "RIB-3.rear", state: "pinned" } }),
  );

  test.each(["rib 3's rear row is pinned and riveted", "rib 3's rear row is not pinned and not riveted"])(
    "%s leaves it open which",
    (text) => expect(told(text)).toBeNull(),
  );
});

describe("what is left out of a place is not told of", () => {
  test.each([
    [
      "everything in rib 5's bottom row is in, except the first hole",
      holes("RIB-5.bottom", 2, 3, 4, 5, 6, 7, 8),
    ],
    ["except for holes 3 and 4, rib 5's bottom row is riveted", holes("RIB-5.bottom", 1, 2, 5, 6, 7, 8)],
    ["rib 5's bottom row is riveted but not the last one", holes("RIB-5.bottom", 1, 2, 3, 4, 5, 6, 7)],
  ])("%s", (text, ids) => expect(told(text)).toEqual({ form: "tell", slots: { state: "set", holes: ids } }));

  test.each([
    "rib 5's bottom row is riveted except hole 12",
    "rib 5's bottom row is riveted except rib 4's front row",
    "rib 5's bottom row is riveted but hole 4 is pinned",
    "rib 5 is riveted except the first hole",
    "rib 5's bottom row is deburred except hole 3",
  ])("%s: not where that is not in it, or more is said of it", (text) => expect(told(text)).toBeNull());
});

describe("why something is open again changes nothing of it", () => {
  test.each([
    ["I drilled out RIB-3.top.4 because it sat crooked", ["sat", "crooked"]],
    ["I drilled out RIB-3.top.4, it was loose", ["loose"]],
    ["bad rivet, so I took out RIB-3.top.4", ["bad"]],
  ])("%s", (text, unused) =>
    expect(readOn(tail, text)).toMatchObject({
      asked: { form: "tell", slots: { hole: "RIB-3.top.4", state: "unset" } },
      unused,
    }),
  );

  test.each([
    "I drilled out RIB-3.top.4 if it was loose",
    "I drilled out RIB-3.top.4 because RIB-3.top.5 was crooked",
    "I drilled out RIB-3.top.4 because I want to dimple it again",
    "I riveted RIB-3.top.4 because it sat crooked",
  ])("%s: not a condition, another place, more work, or a rivet that stays", (text) =>
    expect(told(text)).toBeNull(),
  );
});

test("temporary fasteners that are in are a state, not a question for tools", () => {
  expect(told("rib 3's top row is held with temporary fasteners")?.slots.state).toBe("pinned");
  expect(told("which temporary fasteners for rib 3's top row")?.form).toBe("tools");
  expect(told("temporary fasteners went into the rear spar")).toBeNull();
});

describe("a milestone is reached when it is said to be", () => {
  test.each([
    ["the hinges are in line now", "yes"],
    ["the hinges are aligned", "yes"],
    ["the twist is yet to be checked", "no"],
    ["the twist still has to be checked", "no"],
  ])("%s", (text, reached) => expect(told(text)?.slots.reached).toBe(reached));

  test.each(["the twist will be checked", "the twist has to be checked", "the twist is being checked"])(
    "%s says nothing of what is done",
    (text) => expect(told(text)).toBeNull(),
  );
});

describe("a hole by its place in a row", () => {
  test.each([
    ["is the second top hole of rib 3 dimpled", "RIB-3.top.2"],
    ["is number 5 on rib 4's top row dimpled", "RIB-4.top.5"],
  ])("%s", (text, hole) =>
    expect(told(text)).toEqual({ form: "treatment", slots: { hole, treatment: "dimple" } }),
  );
});

test("what was done yesterday cannot be asked: the time is not left out", () =>
  expect(told("what did I set yesterday")).toBeNull());
