import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { chamferLimit } from "../../server/fastener/deburr.js";
import { tableDrills } from "../../server/fastener/drill.js";
import { flushChoice, withinDimpleLimit } from "../../server/fastener/flush.js";
import { flushWay } from "../../server/fastener/flush-tool.js";
import { gripOf } from "../../server/fastener/grip.js";
import { leastRoom } from "../../server/fastener/headroom.js";
import { holeFit } from "../../server/fastener/hole.js";
import { inchOfMm, mmOfInch } from "../../server/fastener/input.js";
import { layoutMinimum } from "../../server/fastener/layout.js";
import {
  pulledInchNumber,
  pulledLeastLength,
  pulledMetricLengths,
  solidLength,
} from "../../server/fastener/length.js";
import { oversizeRepair, repairLimit } from "../../server/fastener/oversize.js";
import { shopHead } from "../../server/fastener/shop-head.js";
import { tables } from "../../server/fastener/tables.js";
import { Problem } from "../../server/problem.js";

function problemOf(act: () => unknown): Problem {
  try {
    act();
  } catch (error) {
    if (error instanceof Problem) return error;
    throw error;
  }
  throw new Error("nothing was refused");
}

/** Every size that a computation takes, one at a time; the others are sound. */
const TAKES: readonly [what: string, act: (size: number) => unknown][] = [
  ["a layer's thickness", (mm) => gripOf([{ name: "sheet", thicknessMm: mm }])],
  ["a flush head's height", (mm) => gripOf([{ name: "sheet", thicknessMm: 1 }], mm)],
  ["a rivet's diameter for its drill", tableDrills],
  ["a pulled rivet's diameter for its length", (mm) => pulledMetricLengths(mm, 3)],
  ["a stack for a metric pulled rivet", (mm) => pulledMetricLengths(4, mm)],
  ["a stack for an inch pulled rivet", (mm) => pulledInchNumber("1/8", mm)],
  ["a stack for a solid rivet", (mm) => solidLength("1/8", mm)],
  ["a stack for the rule of thumb", (mm) => pulledLeastLength(4, mm)],
  ["a diameter for the rule of thumb", (mm) => pulledLeastLength(mm, 4)],
  ["a measured hole", (mm) => holeFit(mm, { minMm: 3.3, maxMm: 3.4 })],
  ["a layer for a flush head", (mm) => flushChoice("1/8", mm)],
  ["one layer of a stack for a flush head", (mm) => flushWay(3.2, [{ part: "sheet", thicknessMm: mm }])],
  ["a rivet for its layout", (mm) => layoutMinimum(mm, "protruding")],
  ["a rivet for its shop head", shopHead],
  ["a rivet to repair", (mm) => oversizeRepair(mm, "protruding", 10, 20)],
  ["an edge distance to repair at", (mm) => oversizeRepair(3.2, "protruding", mm, 20)],
  ["a pitch to repair at", (mm) => oversizeRepair(3.2, "protruding", 10, mm)],
  ["a count of rivets", repairLimit],
  ["a sheet to deburr", chamferLimit],
  ["a layer to dimple", withinDimpleLimit],
];

describe("a size that cannot be one is refused, naming the field and the way out", () => {
  const junk: readonly [string, unknown][] = [
    ["zero", 0],
    ["a negative size", -3.2],
    ["no number", Number.NaN],
    ["an endless size", Number.POSITIVE_INFINITY],
    ["text", "3.2"],
  ];
  it.each(TAKES)("%s", (_, act) => {
    for (const [what, size] of junk) {
      const problem = problemOf(() => act(size as number));
      expect(problem.code, what).toBe("FASTENER_INPUT");
      expect(problem.where.pointer, what).toMatch(/^\/[a-zA-Z]/);
      expect(problem.fix, what).toMatch(/^Give /);
    }
  });

  it("a gap, its tolerance and a head may be nothing, but never less", () => {
    const room = (gapMm: number, toleranceMm: number, headMm: number) =>
      leastRoom([{ position: null, gapMm, toleranceMm }], headMm);
    expect(room(0, 0, 0).leaves.value).toBe(0);
    expect(room(0, 0.1, 1).leaves.value).toBeCloseTo(-1.1, 9);
    for (const bad of [-0.1, Number.NaN, "1" as unknown as number]) {
      expect(problemOf(() => room(bad, 0, 1)).code).toBe("FASTENER_INPUT");
      expect(problemOf(() => room(1, bad, 1)).code).toBe("FASTENER_INPUT");
      expect(problemOf(() => room(1, 0, bad)).code).toBe("FASTENER_INPUT");
    }
    expect(problemOf(() => leastRoom([], 1)).code).toBe("FASTENER_INPUT");
  });
});

describe("what lies outside a table is refused or has no entry; no table is extended", () => {
  const outside: readonly [string, () => unknown][] = [
    ["a 7 mm pulled rivet's hole", () => tableDrills(7)],
    ["a 7 mm pulled rivet's length", () => pulledMetricLengths(7, 3)],
    ["a solid rivet through 13 mm", () => solidLength("1/8", 13)],
    ["a flush head in a 7/32 rivet", () => flushChoice("7/32", 1)],
  ];
  it.each(outside)("%s", (_, act) => {
    const problem = problemOf(act);
    expect(problem.code).toBe("FASTENER_OUT_OF_TABLE");
    expect(problem.where.file).toMatch(/^kb\/tables\/.+\.json$/);
    expect(problem.fix).toContain("ask the designer");
  });

  it("a 9 mm stack is within the 1/8 inch chart and a 13 mm one is not; a 0.3 mm stack has no metric rivet", () => {
    expect(pulledInchNumber("1/8", 9)).not.toBeNull();
    expect(pulledInchNumber("1/8", 13)).toBeNull();
    for (const rivet of [2.4, 3, 3.2, 4, 4.8, 5, 6.4]) expect(pulledMetricLengths(rivet, 0.3)).toEqual([]);
    expect(pulledMetricLengths(2.4, 9.1)).toEqual([]);
  });

  it("beyond the least and the greatest grip of a diameter there is no length, whatever the stack", () => {
    const rivets = [...new Set(tables.pulledMetricGrips.rows.map(({ rivet }) => rivet))];
    fc.assert(
      fc.property(
        fc.constantFrom(...rivets),
        fc.double({ min: 0.001, max: 100, noNaN: true }),
        (rivet, mm) => {
          const ranges = tables.pulledMetricGrips.rows.filter((row) => row.rivet === rivet);
          const holds = ranges.some(({ min, max }) => mm >= min && mm <= max);
          expect(pulledMetricLengths(rivet, mm).length > 0).toBe(holds);
        },
      ),
    );
  });
});

describe("units", () => {
  it("a size written in inches and read back is within a thousandth of a millimetre, in decimals too", () => {
    fc.assert(
      fc.property(fc.double({ min: 0.05, max: 1000, noNaN: true }), (mm) => {
        expect(Math.abs(mmOfInch(inchOfMm(mm)) - mm)).toBeLessThan(0.001);
        const decimals = inchOfMm(mm).toFixed(5);
        expect(Math.abs(mmOfInch(Number(decimals)) - mm)).toBeLessThan(0.001);
      }),
    );
  });
});
