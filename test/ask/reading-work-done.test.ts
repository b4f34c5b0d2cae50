import { describe, expect, test } from "vitest";
import type { Asked } from "../../server/ask/reading/clipped.js";
import { readOn, shelfOf } from "../questions/phrasings.js";

const tailplane = shelfOf("sedge-two", "tailplane");
const door = shelfOf("vetch-six", "cargo-door-frame");

const onDoor = (text: string) => {
  const outcome = readOn(door, text);
  return outcome.kind === "read" ? outcome.asked : null;
};

describe("what has been done is asked of the work, not of the rulings", () => {
  test.each([
    ["has the hinge strip been countersunk", { part: "HINGE-STRIP", gate: "countersink" }],
    ["have the stiffeners been dimpled?", { family: "STIFFENERS", gate: "dimple" }],
    ["which parts haven't been primed", { gate: "prime" }],
    ["is the corner doubler riveted", { part: "CORNER-DOUBLER" }],
    ["is the corner doubler now riveted", { part: "CORNER-DOUBLER" }],
    ["is the bottom row of the corner doubler set?", { row: "CORNER-DOUBLER.bottom" }],
  ])("%s", (text, slots) => {
    expect(onDoor(text)).toEqual({ form: "progress", slots });
  });

  test("whether it is to be done stays a question of the rulings", () => {
    expect(onDoor("is the hinge strip countersunk")).toEqual({
      form: "treatment",
      slots: { part: "HINGE-STRIP", treatment: "countersink" },
    });
  });
});

test.each([
  "both rows of the corner doubler are now riveted.",
  "the corner doubler is now riveted.",
  "is the corner doubler now riveted",
])("what was done is never taken for a wish to do it: %s", (text) => {
  expect(onDoor(text)?.form).not.toBe("may-i");
});

test.each([
  "stiffener 2 is deburred now, did it myself",
  "stiffener 2's deburred, I did it",
  "stiffener 2's deburred now, did it myself",
])("who says that he did it asks nothing: %s", (text) => {
  expect(["tell", undefined]).toContain(onDoor(text)?.form);
});

test("what is not so is no topic of the notes", () => {
  expect(onDoor("how is deburring not done")?.form).not.toBe("notes");
});

describe("one that is called the same but for its side", () => {
  const after = (text: string, before: Asked) => {
    const outcome = readOn(tailplane, text, before);
    return outcome.kind === "read" ? outcome.asked.slots : null;
  };
  test.each([
    ["and on the bottom one?", { part: "TOP-SKIN" }, { part: "BOTTOM-SKIN" }],
    ["and the rear one?", { part: "FRONT-SPAR" }, { part: "REAR-SPAR" }],
    ["no, the lower one", { row: "RIB-3.top" }, { row: "RIB-3.bottom" }],
    ["and the bottom?", { part: "RIB-3" }, { row: "RIB-3.bottom" }],
  ])("%s", (text, before, wanted) => {
    expect(after(text, { form: "stay-open", slots: before })).toEqual(wanted);
  });
});

describe("work told before a question that asks by itself is not left out of it", () => {
  test.each([
    "I set stiffener 1, what's left?",
    "Set gusset 1, what's left?",
    "stiffener 1 is set, how many rivets are left?",
  ])("%s", (text) => {
    const outcome = readOn(door, text);
    expect(outcome).toMatchObject({ kind: "doubt", doubt: { code: "two-things" } });
    expect(outcome.kind === "doubt" ? outcome.choices.map(({ form }) => form) : []).toEqual([
      "tell",
      "progress",
    ]);
  });

  test("where the question says of what, it is read", () => {
    expect(onDoor("what's left on stiffener 1?")).toEqual({
      form: "progress",
      slots: { part: "STIFFENER-1" },
    });
  });
});

test.each([
  "is the rivet right for stiffener 3?",
  "is the rivet long enough for stiffener 3?",
  "are the rivets too long for stiffener 3?",
  "does the rivet suit stiffener 3?",
])("whether the rivet is right is asked of the rivet, not of the hole's size: %s", (text) => {
  expect(onDoor(text)).toMatchObject({ form: "fastener", slots: { part: "STIFFENER-3" } });
});
