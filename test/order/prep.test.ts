import { describe, expect, test } from "vitest";
import { mayClose } from "../../server/order/may-close.js";
import { maySet } from "../../server/order/may-set.js";
import { mayTreat } from "../../server/order/may-treat.js";
import { planOf } from "../../server/order/plan.js";
import { openGates, prepGates } from "../../server/order/prep.js";
import { type HoleInWords, standing } from "../support/in-words.js";

const PLAIN: HoleInWords = { through: ["skin", "rib"], approaches: { outside: [] } };
const DIMPLED: HoleInWords = {
  ...PLAIN,
  ruling: { settled: { treatment: "dimple", finalDiameterMm: 4, head: "flush" } },
};
const names = (gates: readonly { readonly gate: string }[]): string[] => gates.map(({ gate }) => gate);

describe("prep gates of a part", () => {
  test("a hole ruled dimple puts a dimple gate on every part of its stack", () => {
    const here = standing({ holes: { "skin.a.1": DIMPLED } });
    for (const part of ["skin", "rib"]) {
      expect(prepGates(here, part)).toContainEqual({
        part,
        gate: "dimple",
        from: "ruling",
        needed: "true",
        holes: ["skin.a.1"],
        done: false,
      });
    }
  });

  test("a hole whose finished size is larger than punched puts an enlarge gate there too", () => {
    expect(names(prepGates(standing({ holes: { "skin.a.1": DIMPLED } }), "rib"))).toEqual([
      "enlarge",
      "dimple",
    ]);
    expect(names(prepGates(standing({ holes: { "skin.a.1": PLAIN } }), "rib"))).toEqual([]);
  });

  test("what the kit lists and a ruling calls for is one gate, in the kit's order", () => {
    const here = standing({ holes: { "skin.a.1": DIMPLED }, prep: { skin: ["deburr", "dimple", "prime"] } });
    const gates = prepGates(here, "skin");
    expect(gates.map(({ gate, from }) => `${gate} ${from}`)).toEqual([
      "deburr kit",
      "dimple kit",
      "prime kit",
      "enlarge ruling",
    ]);
    expect(gates[1]?.holes).toEqual(["skin.a.1"]);
  });

  test("a treatment that is not settled leaves it unknown whether the gate is needed", () => {
    const open: HoleInWords = { ...PLAIN, ruling: { open: { treatment: "undecided" } } };
    expect(prepGates(standing({ holes: { "skin.a.1": open } }), "skin")).toMatchObject([
      { gate: "dimple", needed: "unknown", holes: ["skin.a.1"] },
    ]);
  });

  test("one hole that needs it for certain settles it, whatever is unknown elsewhere", () => {
    const open: HoleInWords = { ...PLAIN, ruling: { open: { treatment: "undecided" } } };
    const here = standing({ holes: { "skin.a.1": open, "skin.a.2": DIMPLED } });
    expect(prepGates(here, "skin").find(({ gate }) => gate === "dimple")).toMatchObject({
      needed: "true",
      holes: ["skin.a.2"],
    });
  });

  test("a hole ruled countersink puts its gate on the sheet under the head alone", () => {
    const sunk: HoleInWords = {
      ...PLAIN,
      ruling: { settled: { treatment: "countersink", finalDiameterMm: 3.2, head: "flush" } },
    };
    const here = standing({ holes: { "skin.a.1": sunk } });
    expect(names(prepGates(here, "skin"))).toEqual(["countersink"]);
    expect(prepGates(here, "rib")).toEqual([]);
    expect(maySet(here, "skin.a.1").reasons).toContainEqual(
      expect.objectContaining({ code: "prep-open", weight: "no" }),
    );
    expect(mayClose(here, "skin").verdict).toBe("no");
    expect(planOf(here).steps.filter(({ kind }) => kind === "prep")).toMatchObject([{ part: "skin" }]);
  });

  test("a dimple that was forgotten on one closed layer is pressed in place while the other layer is off", () => {
    const here = standing({
      holes: {
        "skin.a.1": DIMPLED,
        "rib.b.1": { through: ["rib", "spar"], approaches: { outside: [] }, state: "set" },
      },
      marks: ["skin", "rib"].map((part) => ({ kind: "prep", part, gate: "enlarge", done: true }) as const),
    });
    expect(mayTreat(here, "skin.a.1", "dimple").verdict).toBe("yes");
    const plan = planOf(here);
    expect(plan.steps.filter(({ kind }) => kind === "prep")).toMatchObject([
      { part: "rib" },
      { part: "skin" },
    ]);
    expect(plan.leftOpen).toEqual([]);
  });

  test("a hole that is riveted calls for nothing any more", () => {
    expect(prepGates(standing({ holes: { "skin.a.1": { ...DIMPLED, state: "set" } } }), "skin")).toEqual([]);
  });

  test("a gate marked as done is open no longer, on that part alone", () => {
    const here = standing({
      holes: { "skin.a.1": DIMPLED },
      marks: [{ kind: "prep", part: "skin", gate: "dimple", done: true }],
    });
    expect(names(openGates(here, "skin"))).toEqual(["enlarge"]);
    expect(names(openGates(here, "rib"))).toEqual(["enlarge", "dimple"]);
  });
});
