import { beforeAll, describe, expect, test } from "vitest";
import { readOn, type Shelf, shelfOf } from "../questions/phrasings.js";

let tail: Shelf;

beforeAll(() => {
  tail = shelfOf("sedge-two", "tailplane");
});

type Asked = NonNullable<Parameters<typeof readOn>[2]>;
const asked = (text: string, after: Asked | null = null) => {
  const outcome = readOn(tail, text, after);
  return outcome.kind === "read" ? outcome.asked : null;
};

const TREATED: Asked = { form: "treatment", slots: { row: "RIB-6.top", treatment: "dimple" } };
const BARRED: Asked = { form: "may-i", slots: { act: "close", part: "NOSE-SKIN" } };

describe("what points back takes the rest from the question before", () => {
  test.each([
    ["and hole 3 of it?", { form: "treatment", slots: { hole: "RIB-6.top.3", treatment: "dimple" } }],
    ["why is hole 8 of that row flush?", { form: "why", slots: { hole: "RIB-6.top.8", head: "flush" } }],
    ["which drill for its bottom row?", { form: "tools", slots: { tool: "drill", row: "RIB-6.bottom" } }],
    ["drill for same", { form: "tools", slots: { tool: "drill", row: "RIB-6.top" } }],
    ["any reason?", { form: "why", slots: { row: "RIB-6.top", treatment: "dimple" } }],
    ["how no?", { form: "why-not", slots: { row: "RIB-6.top", treatment: "dimple" } }],
  ])("%s", (text, wanted) => expect(asked(text, TREATED)).toEqual(wanted));

  test.each(["hole 3 of it", "why is hole 8 of that row flush?", "hole 12 of it?"])(
    "%s: not without a row before it that has such a hole",
    (text) => expect(asked(text, text.includes("12") ? TREATED : null)).toBeNull(),
  );

  test.each(["what's stopping me?", "aw why not", "reason it's barred?", "what's the snag?"])(
    "%s, where something may not be done yet",
    (text) =>
      expect(asked(text, BARRED)).toEqual({ form: "why-not", slots: { act: "close", part: "NOSE-SKIN" } }),
  );

  test("when, where something may not be done yet, asks for its place in the order", () =>
    expect(asked("when then?", BARRED)).toEqual({ form: "plan", slots: { part: "NOSE-SKIN" } }));

  test.each(["till when", "for how long?"])("%s, where something stays open", (text) => {
    const open = { form: "stay-open", slots: { row: "RIB-1.bottom" } };
    expect(asked(text, open)).toEqual(open);
  });

  test.each([
    "with 15 percent spare",
    "throw in 15 percent extra on that",
    "15 % on top of that",
    "plus 15 %",
  ])("%s, after a count", (text) =>
    expect(asked(text, { form: "count", slots: { part: "TOP-SKIN" } })).toEqual({
      form: "count",
      slots: { part: "TOP-SKIN", spares: "15" },
    }),
  );

  test("a share means nothing to a question that counts nothing", () =>
    expect(asked("with 15 percent spare", TREATED)).toBeNull());

  test("the same done elsewhere", () =>
    expect(
      asked("and I did rib 6 as well", {
        form: "tell",
        slots: { part: "RIB-5", gate: "deburr", done: "yes" },
      }),
    ).toEqual({ form: "tell", slots: { part: "RIB-6", gate: "deburr", done: "yes" } }));
});

describe("a clause that says a statement again, or how it came about", () => {
  const LEDGE = { form: "tell", slots: { row: "SERVO-TRAY.ledge", state: "set" } };
  test.each([
    ["ledge row on the tray is in, all four pulled", LEDGE],
    [
      "hinges are lined up, the rod slid through all three",
      { form: "tell", slots: { milestone: "hinges-lined-up", reached: "yes" } },
    ],
    [
      "rib 5's deburred now, did it with a file",
      { form: "tell", slots: { part: "RIB-5", gate: "deburr", done: "yes" } },
    ],
    [
      "all the ribs are primed, two coats",
      { form: "tell", slots: { family: "RIBS", gate: "prime", done: "yes" } },
    ],
  ])("%s", (text, wanted) => expect(asked(text)).toEqual(wanted));

  test.each([
    "ledge row on the tray is in, three pulled",
    "ledge row on the tray is in, bar the last",
    "ledge row on the tray is in, two are loose",
    "ledge row on the tray is in, I suppose",
    "ledge row on the tray is in, all four dimpled",
    "ledge row on the tray is in, is it",
    "twist checked, it's off by a degree",
    "rib 5 is deburred, all but the tip",
  ])("%s: the clause says something else, so nothing is marked", (text) => expect(asked(text)).toBeNull());

  test("a number after “all” must be how many there are", () => {
    expect(asked("pulled all eight of rib 3's top row")).toEqual({
      form: "tell",
      slots: { row: "RIB-3.top", state: "set" },
    });
    expect(asked("pulled all seven of rib 3's top row")).toBeNull();
  });
});
