import { beforeAll, describe, expect, test } from "vitest";
import { readOn, type Shelf, shelfOf } from "../questions/phrasings.js";

let tail: Shelf;
let flap: Shelf;

beforeAll(() => {
  tail = shelfOf("sedge-two", "tailplane");
  flap = shelfOf("marram-four", "flap");
});

type Asked = NonNullable<Parameters<typeof readOn>[2]>;
const asked = (shelf: Shelf, text: string, after: Asked | null) => {
  const outcome = readOn(shelf, text, after);
  return outcome.kind === "read" ? outcome.asked : null;
};

const DIMPLED: Asked = { form: "treatment", slots: { family: "RIBS", treatment: "dimple" } };
const RIVETS: Asked = { form: "fastener", slots: { part: "HINGE-2" } };
const HALF_SET: Asked = {
  form: "tell",
  slots: { state: "set", holes: ["RIB-4.bottom.1", "RIB-4.bottom.2"] },
};
const IN_A_ROW: Asked = { form: "treatment", slots: { row: "RIB-2.top" } };

describe("a clipped question goes on from the one before", () => {
  test.each(["and which are not?", "any that aren't?", "and the ones that don't get that?"])(
    "%s asks for the rest",
    (text) => expect(asked(tail, text, DIMPLED)?.slots).toEqual({ ...DIMPLED.slots, not: "yes" }),
  );

  test("what has no rest is asked back", () => {
    expect(asked(tail, "and which are not?", { form: "stay-open", slots: { part: "RIB-3" } })).toBeNull();
    expect(
      asked(tail, "and which are not?", { ...DIMPLED, slots: { ...DIMPLED.slots, not: "yes" } }),
    ).toBeNull();
  });

  test.each([
    ["and how many of them?", { part: "HINGE-2" }],
    ["how many more do I need?", { part: "HINGE-2", left: "yes" }],
  ])("%s counts the rivets that were asked for", (text, slots) =>
    expect(asked(tail, text, RIVETS)).toEqual({ form: "count", slots }),
  );

  test("how many of them are set is asked of the work", () =>
    expect(asked(tail, "how many of them are set?", RIVETS)?.form).not.toBe("count"));

  test("how many of them are dimpled is no number of rivets", () =>
    expect(asked(tail, "how many of them?", DIMPLED)).toBeNull());

  test.each(["can I go on with 6 to 8?", "may I carry on with 6-8 then"])(
    "%s: the next holes of the row that was being set",
    (text) =>
      expect(asked(tail, text, HALF_SET)).toEqual({
        form: "may-i",
        slots: { act: "set", holes: ["RIB-4.bottom.6", "RIB-4.bottom.7", "RIB-4.bottom.8"] },
      }),
  );

  test.each([
    ["and 4?", { hole: "RIB-2.top.4" }],
    ["what about 3 and 4", { holes: ["RIB-2.top.3", "RIB-2.top.4"] }],
    ["and 6-8?", { holes: ["RIB-2.top.6", "RIB-2.top.7", "RIB-2.top.8"] }],
  ])("%s: holes of the row by number", (text, slots) =>
    expect(asked(tail, text, IN_A_ROW)).toEqual({ form: "treatment", slots }),
  );

  test.each(["and 9?", "what about 3,8?", "and with 4?", "4 rivets?", "and 8 to 6?"])(
    "%s may be anything, or is no hole of the row",
    (text) => expect(asked(tail, text, IN_A_ROW)).toBeNull(),
  );

  test.each([
    ["and until it's rigged?", "flap-rigged"],
    ["what about until it is trimmed", "end-gap-trimmed"],
  ])("%s: the one milestone that is said so", (text, milestone) =>
    expect(asked(flap, text, { form: "stay-open", slots: { part: "SPAR" } })).toEqual({
      form: "stay-open",
      slots: { part: "SPAR", milestone },
    }),
  );

  test("and only one of them", () =>
    expect(asked(flap, "and only hat 4?", { form: "progress", slots: { family: "HATS" } })).toEqual({
      form: "progress",
      slots: { part: "HAT-4" },
    }));

  test("another size for the same edge", () =>
    expect(
      asked(flap, "would that also do for a 4 mm rivet?", { form: "edge", slots: { row: "SPAR.cap" } }),
    ).toEqual({ form: "edge", slots: { row: "SPAR.cap", size: "4 mm" } }));

  test("where the damage is, said afterwards", () =>
    expect(
      asked(flap, "it's hole 2 on nose rib 1's upper row", {
        form: "repair",
        slots: { damage: "oversize" },
      }),
    ).toEqual({ form: "repair", slots: { damage: "oversize", hole: "NOSE-RIB-1.upper.2" } }));

  test("what about the upper skin, can that go on?", () =>
    expect(asked(flap, "what about the upper skin, can that go on?", null)).toEqual({
      form: "may-i",
      slots: { act: "close", part: "UPPER-SKIN" },
    }));
});
