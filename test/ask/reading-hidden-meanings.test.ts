import { beforeAll, describe, expect, test } from "vitest";
import type { Asked } from "../../server/ask/reading/clipped.js";
import { readOn, type Shelf, shelfOf } from "../questions/phrasings.js";

let tail: Shelf;
let door: Shelf;
let flap: Shelf;

beforeAll(() => {
  tail = shelfOf("sedge-two", "tailplane");
  door = shelfOf("vetch-six", "cargo-door-frame");
  flap = shelfOf("marram-four", "flap");
});

/** The choices that a text is asked back with; a test fails where it is read. */
function choicesOf(shelf: Shelf, text: string, after: Asked | null = null): readonly Asked[] {
  const outcome = readOn(shelf, text, after);
  expect(outcome.kind, JSON.stringify(outcome)).toBe("doubt");
  return outcome.kind === "doubt" ? outcome.choices : [];
}

function askedIn(shelf: Shelf, text: string, after: Asked | null = null): Asked | null {
  const outcome = readOn(shelf, text, after);
  return outcome.kind === "read" ? outcome.asked : null;
}

describe("waiting with a row may be for a hold, or because it would wall in others", () => {
  test.each([
    "must I wait with rib 3's top row?",
    "do I have to wait with rib 3's top row",
    "should I hold off on rib 3's top row",
    "do I hold off setting rib 3's top row",
    "should I postpone rib 3's top row?",
  ])("%s: both are offered", (text) => {
    expect(choicesOf(tail, text)).toEqual([
      { form: "may-i", slots: { act: "set", row: "RIB-3.top", sense: "against" } },
      { form: "stay-open", slots: { row: "RIB-3.top" } },
    ]);
  });

  test("a skin that may have to wait is one that may not be closed yet", () => {
    expect(choicesOf(tail, "must I wait with the top skin")).toEqual([
      { form: "may-i", slots: { act: "close", part: "TOP-SKIN", sense: "against" } },
      { form: "stay-open", slots: { part: "TOP-SKIN" } },
    ]);
  });

  test("which hats can't be riveted now: held, or not yet in order", () => {
    expect(choicesOf(flap, "which hats can't be riveted now").map(({ form }) => form)).toEqual([
      "progress",
      "stay-open",
    ]);
  });

  test("until when, for how long and until a milestone ask about the hold alone", () => {
    expect(askedIn(tail, "until when must rib 1's bottom row wait")?.form).toBe("stay-open");
    expect(askedIn(tail, "must rib 3's top row wait for the twist check")?.form).toBe("stay-open");
    expect(askedIn(tail, "do I skip hole 4 of rib 3's top row?")?.form).toBe("stay-open");
  });
});

describe("a hole where a run of its row ends or begins is not the one that is asked about", () => {
  test.each<[string, string, readonly number[]]>([
    ["may I set rib 3's top row up to hole 4", "may-i", [1, 2, 3, 4]],
    ["may I set rib 3's top row starting at hole 4", "may-i", [4, 5, 6, 7, 8]],
    ["rib 3's top row set from hole 4", "tell", [4, 5, 6, 7, 8]],
    ["is rib 3's top row dimpled from hole 4 on", "treatment", [4, 5, 6, 7, 8]],
  ])("%s", (text, form, numbers) => {
    const [run, one] = choicesOf(tail, text);
    expect(run).toMatchObject({ form, slots: { holes: numbers.map((number) => `RIB-3.top.${number}`) } });
    expect(one).toMatchObject({ form, slots: { hole: "RIB-3.top.4" } });
  });

  test("hole 4 from the rear is one hole", () => {
    expect(askedIn(tail, "is hole 2 from the rear on rib 3's top row dimpled")?.slots.hole).toBe(
      "RIB-3.top.7",
    );
  });
});

describe("too early for a part asks whether it may close, and which part walls it in is no question of its own closing", () => {
  test.each(["is it too soon for the bottom skin", "is it still too early for the bottom skin?"])(
    "%s",
    (text) => {
      expect(askedIn(tail, text)).toEqual({
        form: "may-i",
        slots: { act: "close", part: "BOTTOM-SKIN", sense: "against" },
      });
    },
  );

  test("a part that was closed too early is still a way back", () => {
    expect(askedIn(tail, "I closed the bottom skin too early")).toEqual({
      form: "rework",
      slots: { early: "BOTTOM-SKIN" },
    });
  });

  test("which part walls in a hat", () => {
    expect(askedIn(flap, "which part walls in hat 3")).toBeNull();
    expect(askedIn(flap, "what does the upper skin wall in")).toEqual({
      form: "before-closing",
      slots: { part: "UPPER-SKIN" },
    });
  });
});

describe("whether something may be done now hangs on how the work stands", () => {
  test.each([
    "The primer is still wet. can the top skin go on?",
    "Something is loose. can the top skin go on",
    "There's swarf in there. can the top skin go on",
    "Burrs everywhere. can the top skin go on",
    "It got wet. can the top skin go on?",
    "Something rattles inside. may the top skin go on",
    "Nobody checked it. can the top skin go on",
    "It is twisted. may the top skin go on",
    "My arm doesn't fit. can the top skin go on",
  ])("%s: asked back, the question first", (text) => {
    expect(choicesOf(tail, text)[0]).toEqual({ form: "may-i", slots: { act: "close", part: "TOP-SKIN" } });
  });

  test.each([
    "I've got my glasses on now. can the top skin go on?",
    "Both of us are here, one on the gun and one on the bar. Can the top skin go on?",
  ])("%s: nothing of the work is said, or nothing against it", (text) => {
    expect(askedIn(tail, text)).toEqual({ form: "may-i", slots: { act: "close", part: "TOP-SKIN" } });
  });

  test.each([
    "He set some already. may I rivet rib 3's top row",
    "Half of them are in. how many rivets for rib 3's top row",
    "Two are in already. how many rivets do I still need for rib 3's top row",
  ])("%s: part of the work is told, and no answer leaves it out", (text) => {
    expect(choicesOf(tail, text).length).toBeGreaterThan(0);
  });
});

describe("a part after before, after or with … on says when, not what", () => {
  test.each([
    "what must not be set before the servo mount",
    "with the top skin on, what stays open",
    "with the bottom skin on, what stays open",
  ])("%s: the holes of that part are not the answer", (text) => {
    expect(askedIn(tail, text)).toBeNull();
  });

  test("before a part closes is asked of that part all the same", () => {
    expect(askedIn(tail, "what must be set before the servo mount")).toEqual({
      form: "before-closing",
      slots: { part: "SERVO-MOUNT" },
    });
  });
});

describe("a place that is named is not asked for, nor another offered in its stead", () => {
  test.each([
    "rib 3 is unfinished",
    "rib 3 isn't finished",
    "I haven't set rib 3's top row",
    "does no rib get dimpled",
  ])("%s", (text) => {
    for (const { slots } of choicesOf(tail, text)) {
      const places = [slots.row, slots.part, slots.family].filter((place) => place !== undefined);
      expect(places.length).toBeLessThanOrEqual(1);
      for (const place of places) expect(["RIB-3", "RIB-3.top", "RIBS"]).toContain(place);
    }
  });
});

describe("strength and what is past are no question of the work now", () => {
  test.each(["will gusset 1 hold", "does gusset 1 hold"])("%s: not answered with what stays open", (text) => {
    expect(askedIn(door, text)).toBeNull();
  });

  test.each([
    "should I have put the inner skin on",
    "gusset 1's level row may already have been set",
    "gusset 1's level row could have been set",
  ])("%s: not whether it may be done now", (text) => {
    expect(askedIn(door, text)?.form).not.toBe("may-i");
  });

  test("who inhaled primer is sent to a doctor", () => {
    const outcome = readOn(door, "I inhaled primer, what now");
    expect(outcome.kind === "doubt" && outcome.doubt.code).toBe("elsewhere");
  });
});

describe("a question of an edge, a crack or a rivet may be asked of the drawing or of the work", () => {
  test("too near the edge: as drawn, or as drilled", () => {
    expect(choicesOf(tail, "is RIB-3.top.4 too near the edge?")).toEqual([
      { form: "edge", slots: { hole: "RIB-3.top.4", sense: "open" } },
      { form: "repair", slots: { hole: "RIB-3.top.4", damage: "edge" } },
    ]);
    expect(askedIn(tail, "RIB-3.top.4 is too near the edge")?.form).toBe("repair");
  });

  test("a cracked rivet comes out; a crack in the sheet is another thing", () => {
    const choices = choicesOf(door, "the rivet in gusset 1 level 2 is cracked");
    expect(choices[0]).toEqual({ form: "tell", slots: { hole: "GUSSET-1.level.2", state: "unset" } });
    expect(choices.at(-1)).toEqual({
      form: "repair",
      slots: { hole: "GUSSET-1.level.2", damage: "cracked" },
    });
    expect(askedIn(door, "gusset 1 level 2 is cracked")?.form).toBe("repair");
  });

  test("a wish before the question is not the question", () => {
    expect(choicesOf(tail, "I want it flush. what rivet goes in RIB-3.top.2?")).toEqual([
      { form: "fastener", slots: { hole: "RIB-3.top.2" } },
      { form: "treatment", slots: { hole: "RIB-3.top.2", head: "flush" } },
    ]);
    expect(askedIn(tail, "Skip the top. what rivets do I need for rib 3?")?.form).not.toBe("stay-open");
  });

  test("rivets that have been used are no picking list", () => {
    expect(askedIn(flap, "how many BD-32-6 have I used")).toBeNull();
    expect(askedIn(flap, "how many BD-32-6 do I need")?.form).toBe("count");
  });
});

describe("a clipped question goes on from the one before", () => {
  const clear: Asked = { form: "clearance", slots: { hole: "FRAME-TOP.inner.3" } };
  const rivets: Asked = { form: "count", slots: { part: "GUSSET-1" } };

  test("by how much does it clear", () => {
    for (const text of ["by how much", "by how much?", "how close?", "and how much to spare"])
      expect(askedIn(door, text, clear), text).toEqual({
        form: "clearance",
        slots: { hole: "FRAME-TOP.inner.3", sense: "open" },
      });
  });

  test("of which flush: of those rivets", () => {
    expect(askedIn(door, "of which flush", rivets)).toEqual({
      form: "count",
      slots: { part: "GUSSET-1", head: "flush" },
    });
  });

  test("how many are in is no count of those that go in", () => {
    expect(askedIn(door, "how many are in", rivets)?.form).not.toBe("count");
  });

  test("it may be the rivet or the hole", () => {
    const long: Asked = {
      form: "fastener",
      slots: { rivet: "SC-5-6", part: "CORNER-DOUBLER", sense: "open" },
    };
    expect(askedIn(door, "is it long enough", long)?.form).not.toBe("tools");
    const large: Asked = { form: "repair", slots: { hole: "FRAME-FWD.inner.1", damage: "oversize" } };
    expect(askedIn(door, "can I still use it", large)?.form).not.toBe("tools");
  });

  test("only the sill narrows what must be set before a skin, and is not what goes on", () => {
    const before: Asked = { form: "before-closing", slots: { part: "INNER-SKIN" } };
    expect(askedIn(door, "only the sill", before)).toBeNull();
  });
});
