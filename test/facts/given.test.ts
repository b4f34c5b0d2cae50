import { describe, expect, it } from "vitest";
import { loadDictionary } from "../../server/facts/dictionary.js";
import { givenProblems } from "../../server/facts/given.js";
import { loadKit } from "../../server/kit/load.js";
import { filesOf, smallKit } from "../kit/small-kit.js";

const stated = (name: string, more: object) => ({ name, meaning: name, from: "kit", ...more });
const dictionary = loadDictionary({
  path: "rules/facts.json",
  text: JSON.stringify({
    format: "tailroom facts 1",
    facts: [
      stated("zone", { type: "text", values: ["none"] }),
      stated("side", { type: "text", values: ["left", "right"] }),
      stated("carrier", { type: "text", valuesFrom: "parts", values: ["none"] }),
      stated("torqueNm", { type: "number", unit: "Nm", above: 0, max: 40 }),
      stated("wet", { type: "flag" }),
      { name: "state", meaning: "state", from: "work", type: "text", values: ["unset"] },
    ],
    attributes: [{ name: "head", meaning: "head", family: "treatment", type: "text", required: true }],
  }),
});

function told(given: Record<string, string | number | boolean>): string[] {
  const small = smallKit();
  const [row] = small.assembly.rows;
  if (row) Object.assign(row, { given, except: [{ holes: [1], given }] });
  const files = filesOf(small);
  const problems = givenProblems(files, loadKit(files), dictionary);
  const places = problems.map(({ code, where }) => `${code} ${where.pointer}`);
  // What a row states and what an exception of it states are checked alike.
  const inRow = places.filter((place) => place.includes("/rows/0/given/"));
  expect(places.filter((place) => !inRow.includes(place))).toEqual(
    inRow.map((place) => place.replace("/rows/0/given/", "/rows/0/except/0/given/")),
  );
  return inRow;
}

describe("facts that a kit states", () => {
  it("are let pass when the dictionary has them, of their type and among their values", () => {
    expect(told({ zone: "root", side: "left", carrier: "SKIN", torqueNm: 2, wet: false })).toEqual([]);
    expect(told({ carrier: "none" })).toEqual([]);
  });

  it("are refused under another name, of another type or with another value, each at its place", () => {
    expect(told({ zoen: "root" })).toEqual(["GIVEN_UNKNOWN /rows/0/given/zoen"]);
    expect(told({ state: "unset" })).toEqual(["GIVEN_NOT_STATED /rows/0/given/state"]);
    expect(told({ torqueNm: 0 })).toEqual(["GIVEN_RANGE /rows/0/given/torqueNm"]);
    expect(told({ torqueNm: 40.5 })).toEqual(["GIVEN_RANGE /rows/0/given/torqueNm"]);
    expect(told({ torqueNm: "2", wet: "yes" })).toEqual([
      "GIVEN_TYPE /rows/0/given/torqueNm",
      "GIVEN_TYPE /rows/0/given/wet",
    ]);
    expect(told({ side: "lift", carrier: "SKINS" })).toEqual([
      "GIVEN_VALUE /rows/0/given/side",
      "GIVEN_VALUE /rows/0/given/carrier",
    ]);
  });
});
