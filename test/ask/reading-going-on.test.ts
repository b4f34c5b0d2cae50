import { beforeAll, describe, expect, test } from "vitest";
import { readOn, type Shelf, shelfOf } from "../questions/phrasings.js";

let tail: Shelf;

beforeAll(() => {
  tail = shelfOf("sedge-two", "tailplane");
});

const RIB_3 = { form: "treatment", slots: { part: "RIB-3", treatment: "dimple" } };
const readAfter = (text: string, after: Parameters<typeof readOn>[2] = null) => {
  const outcome = readOn(tail, text, after);
  return outcome.kind === "read" ? outcome.asked : null;
};

describe("a question that goes on from the one before", () => {
  test.each(["and which are not flush?", "which are not dimpled?", "and which are countersunk?"])(
    "%s is asked of the same part",
    (text) => expect(readAfter(text, RIB_3)).toMatchObject({ form: "treatment", slots: { part: "RIB-3" } }),
  );

  test.each(["which holes are not dimpled?", "which of all the holes are not dimpled?", "what is next?"])(
    "%s is asked of everything",
    (text) => expect(readAfter(text, RIB_3)?.slots.part).toBeUndefined(),
  );

  test("a place that is named counts, not the one before", () =>
    expect(readAfter("and which are dimpled on rib 4?", RIB_3)?.slots).toMatchObject({ part: "RIB-4" }));

  test("may I go on, after a row that was set, is not asked of that row", () =>
    expect(
      readAfter("can I go on?", { form: "tell", slots: { row: "RIB-3.top", state: "set" } }),
    ).toBeNull());
});

describe("what was done, asked with a tag", () => {
  test.each([
    "I've set rib 3's top row, didn't I?",
    "I've set rib 3's top row, haven't I?",
    "we riveted rib 3's top row, right?",
    "I've already riveted rib 3's top row?",
  ])("%s asks whether it is done, not whether it may be", (text) =>
    expect(readAfter(text)).toEqual({ form: "progress", slots: { row: "RIB-3.top" } }),
  );

  test.each(["if I have riveted rib 3, can I close the top skin?", "I might have riveted rib 3, right?"])(
    "%s is not asked so",
    (text) => expect(readAfter(text)).toBeNull(),
  );
});
