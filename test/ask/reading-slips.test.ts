import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { apartOf } from "../../server/ask/reading/joined-words.js";
import { isThumbSlip, thumbSlips } from "../../server/ask/reading/thumb-slips.js";
import { readCase, shelfOf } from "../questions/phrasings.js";

const tailplane = shelfOf("sedge-two", "tailplane");
const door = shelfOf("vetch-six", "cargo-door-frame");
const flap = shelfOf("marram-four", "flap");

function ask(text: string, shelf = tailplane) {
  return readCase({ phrasing: { ask: text, read: "ask back" }, shelf });
}

describe("slips of the thumb", () => {
  it("are a letter missing, typed twice or beside the right one, two swapped, a vowel for a vowel", () => {
    for (const [typed, meant] of [
      ["wil", "will"],
      ["rrib", "rib"],
      ["roq", "row"],
      ["crakced", "cracked"],
      ["clearence", "clearance"],
    ] as const)
      expect(isThumbSlip(typed, meant), typed).toBe(true);
    expect(isThumbSlip("rivet", "rivets")).toBe(true);
    expect(isThumbSlip("zow", "row")).toBe(false);
    expect(isThumbSlip("row", "row")).toBe(false);
  });

  it("are never mended where a negation is as near, and never into a number", () => {
    expect(thumbSlips("nto", [new Set(["nut", "to"])])).toEqual([]);
    expect(thumbSlips("tne", [new Set(["the", "ten"])])).toEqual([]);
  });

  it("are no word that is two edits away", () => {
    const word = fc.stringMatching(/^[a-z]{4,8}$/);
    fc.assert(
      fc.property(word, (meant) => {
        expect(isThumbSlip(`${meant}qz`, meant)).toBe(false);
        expect(isThumbSlip(meant.slice(2), meant)).toBe(false);
      }),
    );
  });

  it("of three or four letters are put right, and told, where that makes the question readable", () => {
    const will = ask("nose skin wil go on now?", flap);
    expect(will).toMatchObject({
      kind: "read",
      asked: { form: "may-i", slots: { part: "NOSE-SKIN" } },
      corrected: [{ from: "wil", to: "will" }],
    });
    expect(ask("PR-32-5 how many stil needed")).toMatchObject({ kind: "read", asked: { form: "count" } });
  });

  it("put no small word in the place of a thing that is not known", () => {
    expect(ask("Is the fin dimpled?")).toMatchObject({ kind: "doubt" });
  });

  it("do not make a statement of work out of words that were not said", () => {
    expect(ask("rib 3 top row stil set")).toMatchObject({ kind: "doubt" });
    expect(ask("rib 3 top row stil nto set")).toMatchObject({ kind: "doubt" });
  });
});

describe("words typed without a space", () => {
  it("are two where one is of a name and the other of a name or of the bench", () => {
    expect(apartOf("topskin", new Set(["top", "skin"]), new Set())).toEqual(["top", "skin"]);
    expect(apartOf("garage", new Set(["top", "skin"]), new Set(["gar", "age"]))).toBeUndefined();
    expect(ask("can the topskin go on now")).toMatchObject({
      kind: "read",
      asked: { slots: { part: "TOP-SKIN" } },
      corrected: [{ from: "topskin", to: "top skin" }],
    });
  });
});

describe("a name that begins like an id", () => {
  it("is the longer name where its next word follows", () => {
    expect(ask("can the drive-horn bracket go on now", flap)).toMatchObject({
      kind: "read",
      asked: { slots: { part: "DRIVE-HORN" } },
    });
    expect(ask("which rivets for the rear-spar doubler")).toMatchObject({
      kind: "read",
      asked: { form: "fastener", slots: { part: "SPAR-DOUBLER" } },
    });
  });
});

describe("what is said of several", () => {
  it("is said of the family where all its members are counted out", () => {
    expect(ask("are hats 1 to 5 the same", flap)).toMatchObject({
      kind: "read",
      asked: { slots: { family: "HATS" } },
    });
    expect(ask("are hats 1 to 4 the same", flap).kind).toBe("doubt");
  });

  it("takes a number beside all only where it is how many there are", () => {
    expect(ask("All four rivets of stiffener 2 have been driven.", door)).toMatchObject({
      kind: "read",
      asked: { form: "tell", slots: { state: "set" } },
    });
    expect(ask("All three rivets of stiffener 2 have been driven.", door).kind).toBe("doubt");
  });
});

describe("I mean", () => {
  it("puts another place in the first one's stead, and both are offered", () => {
    const outcome = ask("Is the sill's inner row dimpled? I mean the whole sill.", door);
    expect(outcome).toMatchObject({
      kind: "doubt",
      choices: [
        { form: "treatment", slots: { part: "FRAME-BOTTOM" } },
        { form: "treatment", slots: { row: "FRAME-BOTTOM.inner" } },
      ],
    });
  });
});

describe("a seal", () => {
  it("is a thing where clearance is asked about", () => {
    expect(ask("seal clearance rib 7 top row")).toMatchObject({
      kind: "read",
      asked: { form: "clearance", slots: { neighbour: "ELEVATOR-SEAL", row: "RIB-7.top" } },
    });
  });
});
