import { describe, expect, test } from "vitest";
import { readOn, shelfOf } from "../questions/phrasings.js";

const tailplane = shelfOf("sedge-two", "tailplane");

const on = (text: string) => {
  const outcome = readOn(tailplane, text);
  return outcome.kind === "read" ? outcome.asked : null;
};

describe("what is left out of everything is never told as the thing that was done", () => {
  test.each([
    "all but rib 4 are primed",
    "all but rib 4 are set",
    "all but the top row of rib 3 is set",
    "all but hinge 1 are deburred",
    "everything but rib 4 is primed",
  ])("%s", (text) => {
    expect(on(text)).toBeNull();
  });

  test("a but that only opens what is said is passed over", () => {
    expect(on("but rib 4 is primed")).toEqual({
      form: "tell",
      slots: { part: "RIB-4", gate: "prime", done: "yes" },
    });
  });
});

describe("both is two of them", () => {
  test.each(["both hinges are set", "both ribs are primed"])(
    "where there are more it is asked back: %s",
    (text) => {
      expect(on(text)).toBeNull();
    },
  );

  test("two that are named are both", () => {
    expect(on("both rib 2 and rib 3 are pinned")?.form).toBe("tell");
  });
});

describe("a distance from an edge or between holes is no size of a rivet", () => {
  test.each([
    "is 9 mm edge distance enough on the rear spar",
    "is 12 mm pitch enough on the rear spar",
    "is 6 mm from the edge ok on rib 3",
    "is 10 mm enough edge for rib 3",
  ])("%s", (text) => {
    expect(on(text)?.slots.size).toBeUndefined();
  });

  test("the size of the rivet beside it is", () => {
    expect(on("is there enough edge for a 4.8 mm rivet on rib 3")?.slots).toEqual({
      part: "RIB-3",
      size: "4.8 mm",
    });
  });
});

test("when a part is not set is not what is to be set before it closes", () => {
  expect(on("when is rib 3 not set")?.form).not.toBe("before-closing");
});

describe("what is walled in now is asked of the work, and what the words mean of the notes", () => {
  test.each(["what is walled in", "which rivets are walled in", "which holes are walled in?"])(
    "%s",
    (text) => {
      expect(on(text)).toEqual({ form: "rework", slots: {} });
    },
  );

  test("what a walled in rivet is", () => {
    expect(on("what does walled in mean")?.form).toBe("notes");
  });

  test.each(["way back from the servo mount", "what's the way back from the mount"])(
    "the way back from a part is not read as one to it: %s",
    (text) => {
      expect(on(text)?.slots.part).toBeUndefined();
    },
  );

  test.each(["is the web doubler walled in", "is the web doubler walled in now"])(
    "whether a part is walled in is not what it walls in: %s",
    (text) => {
      expect(on(text)).toEqual({ form: "rework", slots: { part: "WEB-DOUBLER" } });
    },
  );

  test("what a part walls in is told before it closes", () => {
    expect(on("what gets walled in by the servo mount")?.form).toBe("before-closing");
  });
});

test("a part that is there is never said not to be, where it only does not go with the row before it", () => {
  const outcome = readOn(tailplane, "must I set the ledge row before the top skin");
  expect(outcome).toMatchObject({ kind: "doubt", doubt: { code: "unread" }, unread: ["top skin"] });
});
