import { describe, expect, test } from "vitest";
import { readOn, shelfOf } from "../questions/phrasings.js";

const tailplane = shelfOf("sedge-two", "tailplane");
const door = shelfOf("vetch-six", "cargo-door-frame");

const on = (text: string, shelf = tailplane) => {
  const outcome = readOn(shelf, text);
  return outcome.kind === "read" ? outcome.asked : null;
};

describe("a verb turned round with not asks whether it is so", () => {
  test.each([
    ["isn't rib 3 dimpled?", "is rib 3 dimpled?"],
    ["hang on, doesn't rib 7 get flush rivets?", "does rib 7 get flush rivets?"],
    ["wouldn't domed heads foul the gap seal on rib 7?", "would domed heads foul the gap seal on rib 7?"],
    ["isn't rib 3 different from the others?", "is rib 3 different from the others?"],
    ["won't PR-32-5 fit rib 1's top row?", "will PR-32-5 fit rib 1's top row?"],
  ])("%s", (negative, plain) => {
    expect(on(negative)).not.toBeNull();
    expect(on(negative)).toEqual(on(plain));
  });

  test.each([
    "don't dimple rib 3",
    "don't rivet rib 3's top row",
    "haven't set rib 3's top row",
    "can't I close the top skin?",
    "isn't it ok to rivet rib 3's top row?",
    "isn't rib 3 not dimpled?",
  ])("what forbids, denies or asks for leave is not turned: %s", (text) => {
    expect(on(text)).toBeNull();
  });

  test("why not stays why not", () => {
    expect(on("why isn't rib 3's top row dimpled?")?.form).toBe("why-not");
    expect(on("shouldn't rib 2's top row be flush? why isn't it")?.form).toBe("why-not");
  });
});

describe("what is so may come first, and the asking why last", () => {
  test.each([
    "rib 2's top row isn't dimpled and I want to know why",
    "I see rib 2's top row isn't dimpled, any idea why?",
    "my drawing shows rib 2's top row not dimpled, what's the reason?",
  ])("%s", (text) => {
    expect(on(text)).toEqual({ form: "why-not", slots: { row: "RIB-2.top", treatment: "dimple" } });
  });

  test("a fact with its reason asked for", () => {
    const why = {
      form: "why",
      slots: { head: "flush", holes: ["RIB-3.top.7", "RIB-3.top.8"] },
    };
    expect(
      on("The last two holes of rib 3's top row are flush and I would love to know the reason."),
    ).toEqual(why);
    expect(on("I see the last two holes of rib 3's top row are flush. Why was that?")).toEqual(why);
  });

  test.each([
    "rib 3's top row is set and I want to know why",
    "if rib 3 is dimpled, do you know why",
    "rib 3's top row is dimpled and I want to know when",
  ])("what no rule says is not explained: %s", (text) => {
    expect(on(text)).toBeNull();
  });
});

describe("places by their outermost holes and by rows that sound like work", () => {
  test("the rearmost holes are counted from the rear", () => {
    expect(on("what happens to the rearmost hole in rib 6's top flange")?.slots).toEqual({
      hole: "RIB-6.top.8",
    });
    expect(on("are the front two holes of rib 2's top row dimpled")?.slots.holes).toEqual([
      "RIB-2.top.1",
      "RIB-2.top.2",
    ]);
  });

  test("along a row that does not run that way there is no such hole", () => {
    expect(on("what happens to the outermost hole in rib 6's top flange")).toBeNull();
  });

  test("a skin row is a row", () => {
    expect(on("can I use a 3.3 mm bit for the skin row of stiffener 2?", door)?.slots).toEqual({
      drill: "3.3 mm",
      row: "STIFFENER-2.skin",
    });
  });

  test("what a row is riveted with is no question of what was riveted", () => {
    expect(on("what do I rivet the hinge strip with", door)?.form).toBe("fastener");
  });

  test("the torque in a part's name is no question of strength", () => {
    const flap = shelfOf("marram-four", "flap");
    const outcome = readOn(flap, "do the gremlins like the torque-tube fitting");
    expect(outcome.kind === "doubt" && outcome.doubt.code).toBe("unread");
  });
});

describe("a rivet, a notice or a seal named beside the question is what it points at", () => {
  test.each([
    ["I've found some SC-5-6 in the box, what are they for?", "fastener", { rivet: "SC-5-6" }],
    [
      "I have a few SC-5-6 left over, could I use them in the sill?",
      "fastener",
      { rivet: "SC-5-6", part: "FRAME-BOTTOM" },
    ],
    ["VN-1 came in the post, what does it want?", "changed", { notice: "VN-1" }],
    [
      "I'm worried about the door seal, do any heads foul it?",
      "clearance",
      { neighbour: "DOOR-SEAL", sense: "against" },
    ],
  ])("%s", (text, form, slots) => {
    expect(on(text, door)).toEqual({ form, slots });
  });

  test.each([
    "SC-5-6 snapped, where do they go?",
    "without SC-5-6, can I use these in the sill?",
    "SC-4-5 and SC-5-6, what are they for?",
    "if VN-1 is wrong, what does it say?",
  ])("not where what stands beside it may bear on it: %s", (text) => {
    expect(on(text, door)).toBeNull();
  });
});

describe("of two readings of one form the one that uses more words is meant", () => {
  test("the rivets of a family", () => {
    expect(on("Which rib takes a different rivet than the rest?")).toEqual({
      form: "odd-ones",
      slots: { family: "RIBS", attribute: "rivet" },
    });
  });
});
