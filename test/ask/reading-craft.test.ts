import { beforeAll, describe, expect, test } from "vitest";
import { readOn, type Shelf, shelfOf } from "../questions/phrasings.js";

let tail: Shelf;

beforeAll(() => {
  tail = shelfOf("sedge-two", "tailplane");
});

const TREATED = { form: "treatment", slots: { part: "RIB-3" } };

describe("how something is done, asked of no part, is looked up in the notes", () => {
  test.each([
    ["how tight should temporary fasteners press before I rivet", ["press"]],
    ["the mandrel snapped and sticks out of the rivet head, what do I do", ["snapped", "sticks"]],
    ["a rivet just spins and won't tighten up, what then?", ["tighten"]],
    ["is it worth deburring both sides of a hole?", ["sides"]],
    ["what's the best way to get rid of swarf between two sheets", []],
    ["how do I get burrs off a hole without making it bigger", []],
  ])("%s: and what the notes have nothing on is named", (text, unused) => {
    const outcome = readOn(tail, text);
    expect(outcome).toMatchObject({ kind: "read", asked: { form: "notes" }, unused });
  });

  test.each([
    ["a part", "how do I dimple rib 3"],
    ["what is set", "how do I know which rivets are set"],
    ["a figure", "how deep should the countersink be"],
    ["a name that nobody knows", "how do I use a zorbex plier on a dimple"],
    ["strength", "how strong is a dimpled hole"],
    ["flying", "how fast can I fly with one rivet spinning"],
    ["what comes next", "back at the bench, what should I do next?"],
    ["what is not done", "how is deburring not done"],
    ["signatures", "how do I get the inspector to sign it off"],
    ["buying", "how do I buy a good dimple die"],
    ["too much that the notes do not know", "how do I keep the neighbours quiet when bucking at night"],
  ])("not where it asks for %s", (_, text) => {
    const outcome = readOn(tail, text);
    expect(outcome.kind === "read" ? outcome.asked.form : "asked back").not.toBe("notes");
  });

  test("what was named before is not left out", () =>
    expect(readOn(tail, "how hard do I press it when deburring", TREATED).kind).toBe("doubt"));
});
