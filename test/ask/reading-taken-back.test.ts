import { beforeAll, describe, expect, test } from "vitest";
import { readOn, type Shelf, shelfOf } from "../questions/phrasings.js";

let tail: Shelf;
let door: Shelf;

beforeAll(() => {
  tail = shelfOf("sedge-two", "tailplane");
  door = shelfOf("vetch-six", "cargo-door-frame");
});

const ROW = "rib 3's top row";

describe("a statement that may say less than it seems to is not taken as work done", () => {
  test.each([
    `${ROW} is riveted, but only hole 3`,
    `${ROW} is far from riveted`,
    "rib 3 is far from deburred",
    "the twist check is far from done",
    "rivets in rib 3",
    `the rivets in ${ROW}`,
    `${ROW} isn't all riveted`,
    `${ROW} has not all been set`,
    "the ribs aren't all deburred",
    "I haven't deburred all the ribs",
    `I drilled out hole 3 of ${ROW} because it sat crooked and put a new one in`,
    `${ROW} came out well`,
    `hole 3 of ${ROW} is out`,
    `${ROW} is riveted as far as hole 5`,
    `${ROW} is riveted up to hole 5`,
    `${ROW} is riveted from hole 4 on`,
    `I set a rivet in ${ROW}`,
    "I deburred a rib",
    `${ROW} is not pinned and riveted`,
    `say ${ROW} is riveted`,
    `I have to drill out hole 3 of ${ROW}`,
    "rib 3 is deburred, no wait",
    "rib 3 is deburred, nope",
    "rib 3 is deburred, in my dreams",
    "it seems rib 3 is deburred",
    "rib 3 is usually deburred",
    "rib 3 is being deburred",
    "I heard rib 3 is deburred",
    "please take the burrs off rib 3",
    "the twist is about checked",
  ])("%s", (text) => expect(readOn(tail, text)).toMatchObject({ kind: "doubt" }));

  test.each([
    "get the burrs off the sill",
    "put primer on gusset 1",
    "primer on the sill",
    "I wiped the sill",
  ])("%s", (text) => expect(readOn(door, text)).toMatchObject({ kind: "doubt" }));

  test("what about the bottom row, after a row was told, asks", () =>
    expect(
      readOn(tail, "what about the bottom row", { form: "tell", slots: { row: "RIB-3.top", state: "set" } }),
    ).toMatchObject({
      kind: "doubt",
    }));

  test("it is offered, with the words that it hangs on", () =>
    expect(readOn(tail, `${ROW} is far from riveted`)).toMatchObject({
      unread: ["far from"],
      choices: [{ form: "tell", slots: { row: "RIB-3.top", state: "set" } }],
    }));

  test.each([
    [`I had to drill out hole 3 of ${ROW} again`, { hole: "RIB-3.top.3", state: "unset" }],
    ["rib 3 isn't deburred yet", { part: "RIB-3", gate: "deburr", done: "no" }],
    ["all the ribs are deburred", { family: "RIBS", gate: "deburr", done: "yes" }],
    [`${ROW} is not riveted, only pinned`, { row: "RIB-3.top", state: "pinned" }],
  ])("taken as it stands: %s", (text, slots) =>
    expect(readOn(tail, text)).toMatchObject({ kind: "read", asked: { form: "tell", slots } }),
  );
});
