import { describe, expect, it } from "vitest";
import { readOn, shelfOf } from "../questions/phrasings.js";

const tail = shelfOf("sedge-two", "tailplane");
const door = shelfOf("vetch-six", "cargo-door-frame");
const flap = shelfOf("marram-four", "flap");

function reading(shelf: typeof tail, text: string): unknown {
  const outcome = readOn(shelf, text);
  return outcome.kind === "read" ? outcome.asked : outcome.doubt.code;
}

describe("what follows a question that its answer tells anyway", () => {
  it("changes nothing", () => {
    expect(reading(door, "which holes stay open, and until when?")).toEqual({ form: "stay-open", slots: {} });
    expect(reading(tail, "can I close the top skin, and if not, why not?")).toEqual({
      form: "may-i",
      slots: { act: "close", part: "TOP-SKIN" },
    });
  });

  it("is asked back where the answer does not tell it", () => {
    expect(reading(tail, "which rivets go in rib 3's top row and when?")).toBe("unread");
    expect(reading(tail, "rib 3 is dimpled, and when?")).not.toMatchObject({ form: "tell" });
  });
});

describe("one part riveted to another", () => {
  it("is the row that holds the two together", () => {
    expect(reading(tail, "can I rivet rib 3 to the rear spar")).toMatchObject({
      slots: { row: "RIB-3.rear" },
    });
    expect(reading(flap, "may I rivet the lower skin to the spar")).toMatchObject({
      slots: { row: "SPAR.keel" },
    });
  });

  it("is the part where all its rows do", () => {
    expect(reading(flap, "may I rivet hat 3 to the lower skin")).toMatchObject({ slots: { part: "HAT-3" } });
  });

  it("is neither a comparison nor a stretch of the work", () => {
    expect(reading(tail, "compare rib 3 to the rear spar")).toMatchObject({ form: "odd-ones" });
    expect(reading(tail, "can I rivet from rib 3 to the rear spar")).not.toMatchObject({
      slots: { row: "RIB-3.rear" },
    });
  });
});

describe("several holes or rows in one breath", () => {
  it("are all of them, though one hole is spoken of", () => {
    expect(reading(door, "do hole 5, 6 and 7 on the sill's inner row stay open")).toMatchObject({
      slots: { holes: [5, 6, 7].map((n) => `FRAME-BOTTOM.inner.${n}`) },
    });
  });

  it("are both rows of a part that has two, and are asked back where it has four", () => {
    expect(reading(flap, "hat 3, both legs, ok to rivet?")).toMatchObject({ slots: { part: "HAT-3" } });
    expect(reading(tail, "can I rivet both rows of rib 3")).not.toMatchObject({ form: "may-i" });
  });
});

describe("a time told by a milestone", () => {
  it("is the milestone, reached however it is said", () => {
    for (const saying of ["rigging is done", "the rigging has been finished", "the rigging is over"])
      expect(reading(flap, `which holes stay open until ${saying}`)).toEqual({
        form: "stay-open",
        slots: { milestone: "flap-rigged" },
      });
  });

  it("still states that the milestone is reached where no time is asked for", () => {
    expect(reading(flap, "the rigging is done")).toMatchObject({ form: "tell", slots: { reached: "yes" } });
  });
});

it("a whole question after a turn to a place is that question", () => {
  expect(reading(flap, "and on hat 2, what would be the next thing?")).toEqual({
    form: "next",
    slots: { part: "HAT-2" },
  });
});

it("an assembly is turned over by a word that parts of it are called by too", () => {
  expect(reading(door, "will I have to roll the frame over")).toEqual({ form: "turn-over", slots: {} });
  expect(reading(door, "does the frame stay open")).toBe("which-place");
});
