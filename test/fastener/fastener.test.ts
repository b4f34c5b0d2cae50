import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { tableDrills } from "../../server/fastener/drill.js";
import { flushChoice } from "../../server/fastener/flush.js";
import { flushWay } from "../../server/fastener/flush-tool.js";
import { gripOf } from "../../server/fastener/grip.js";
import { leastRoom } from "../../server/fastener/headroom.js";
import { drillOfSize, drillsWithin, type HoleLimits, holeFit } from "../../server/fastener/hole.js";
import { inchOfFraction, inchOfMm, mmOfInch } from "../../server/fastener/input.js";
import { layerWork, type Under } from "../../server/fastener/layer-work.js";
import { layoutMinimum } from "../../server/fastener/layout.js";
import { pulledInchNumber, pulledMetricLengths, solidLength } from "../../server/fastener/length.js";
import { oversizeRepair } from "../../server/fastener/oversize.js";
import { shopHead } from "../../server/fastener/shop-head.js";
import { tables } from "../../server/fastener/tables.js";
import type { Treatment } from "../../server/kit/types.js";
import type { Problem } from "../../server/problem.js";

const layer = (thicknessMm: number) => ({ name: "sheet", thicknessMm });
const thickness = fc.double({ min: 0.3, max: 4, noNaN: true });
const codeOf = (act: () => unknown): string => {
  try {
    act();
  } catch (error) {
    return (error as Problem).code;
  }
  return "no problem";
};

/** Finished hole of a pulled rivet by the table that the program uses first. */
function pulledHole(mm: number): HoleLimits {
  const found = tableDrills(mm).find(({ kind }) => kind === "pulled")?.limits;
  if (!found) throw new Error(`no pulled rivet of ${mm} mm`);
  return found;
}

/** Largest body of a metric pulled rivet by its nominal size: a rivet maker's published dimension table, row d. */
const LARGEST_BODY_MM: Readonly<Record<number, number>> = {
  2.4: 2.48,
  3: 3.08,
  3.2: 3.28,
  4: 4.08,
  4.8: 4.88,
  5: 5.08,
  6.4: 6.48,
};

describe("grip", () => {
  it("is the sum of the layers, and grows with the head that sinks into dimples", () => {
    const flat = gripOf([layer(0.5), layer(0.8)]);
    const dimpled = gripOf([layer(0.5), layer(0.8)], 1.1);
    expect(flat.value).toBeCloseTo(1.3, 9);
    expect(dimpled.value).toBeCloseTo(2.4, 9);
    expect(dimpled.terms.map((term) => term.what)).toContain("flush head in the dimples");
  });

  it("never shrinks when a layer gets thicker", () => {
    fc.assert(
      fc.property(fc.array(thickness, { minLength: 1, maxLength: 5 }), thickness, (stack, more) => {
        const before = gripOf(stack.map(layer)).value;
        const after = gripOf(stack.map((mm, i) => layer(i === 0 ? mm + more : mm))).value;
        expect(after).toBeGreaterThan(before);
      }),
    );
  });
});

describe("rivet length", () => {
  it("a length offered always holds the stack within its grip range", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(2.4, 3, 3.2, 4, 4.8, 5, 6.4),
        fc.double({ min: 0.1, max: 30, noNaN: true }),
        (rivet, grip) => {
          for (const choice of pulledMetricLengths(rivet, grip)) {
            expect(grip).toBeGreaterThanOrEqual(choice.gripMinMm - 1e-6);
            expect(grip).toBeLessThanOrEqual(choice.gripMaxMm + 1e-6);
          }
        },
      ),
    );
  });

  it("at the limit between two lengths both are offered, the shorter first", () => {
    expect(pulledMetricLengths(4, 3).map((choice) => choice.lengthMm)).toEqual([6, 8]);
  });

  it("a stack thinner or thicker than the table gets no length, never an extended one", () => {
    expect(pulledMetricLengths(3.2, 0.3)).toEqual([]);
    expect(pulledMetricLengths(3.2, 23)).toEqual([]);
    expect(pulledInchNumber("1/8", mmOfInch(0.6))).toBeNull();
  });

  it("above half an inch of stack the sources disagree, so solid length is refused", () => {
    expect(codeOf(() => solidLength("1/8", 13))).toBe("FASTENER_OUT_OF_TABLE");
  });

  it("every inch pulled rivet's number is its diameter in 32nds and its greatest grip in 16ths", () => {
    for (const row of tables.pulledInchGrips.rows) {
      const thirtySeconds = Math.round(inchOfFraction(row.rivet) * 32);
      const sixteenths = Math.round(row.max * 16);
      expect(`${thirtySeconds}${sixteenths}`).toBe(row.number);
    }
  });
});

describe("holes and drills", () => {
  it("a metric hole is the rivet plus 0.1 to 0.2 mm", () => {
    for (const row of tables.pulledMetricHoles.rows) {
      expect(row.min - row.rivet).toBeCloseTo(0.1, 6);
      expect(row.max - row.rivet).toBeCloseTo(0.2, 6);
    }
  });

  it("a hole always clears the largest body of its rivet", () => {
    for (const row of tables.pulledMetricHoles.rows) {
      const bodyMm = LARGEST_BODY_MM[row.rivet];
      expect(bodyMm).toBeDefined();
      expect(row.min).toBeGreaterThan(bodyMm ?? Number.NaN);
    }
  });

  it("a 4.0 mm rivet's hole is drilled 4.1 mm, and a hole punched for 3.2 mm is undersize for it", () => {
    const limits = pulledHole(4);
    expect(drillsWithin(limits).map((drill) => drill.name)).toContain("4.1 mm");
    expect(holeFit(3.3, limits)).toBe("undersize");
    expect(holeFit(3.3, pulledHole(3.2))).toBe("fits");
  });

  it("every drill offered makes a hole within the limits", () => {
    for (const rivet of [2.4, 3, 3.2, 4, 4.8, 5, 6.4]) {
      const limits = pulledHole(rivet);
      const drills = drillsWithin(limits);
      expect(drills.length).toBeGreaterThan(0);
      for (const drill of drills) expect(holeFit(drill.mm, limits)).toBe("fits");
    }
  });

  it("the sources' hole limits for a 1/8 pulled rivet differ by a thousandth, and both are kept", () => {
    const rows = tables.pulledInchHoles.rows.filter((row) => row.rivet === "1/8");
    expect(rows.map((row) => [row.min, row.max])).toEqual([
      [0.128, 0.132],
      [0.129, 0.133],
    ]);
    expect(new Set(rows.map((row) => row.source.id)).size).toBe(2);
  });

  it("a number drill is found by its size", () => {
    expect(drillOfSize(mmOfInch(0.1285))?.name).toBe("#30");
  });
});

describe("dimple or countersink", () => {
  it("thin sheet is dimpled, thick sheet is countersunk, and in between the kit maker decides", () => {
    expect(flushChoice("1/8", mmOfInch(0.025)).treatment).toBe("dimple");
    expect(flushChoice("1/8", mmOfInch(0.063)).treatment).toBe("countersink");
    expect(flushChoice("1/8", mmOfInch(0.045))).toMatchObject({ treatment: null, disputed: true });
  });

  /** How the handbook would form a stack for a 1/8 in rivet, head side first. */
  const formed = (...thicknessesMm: readonly number[]) =>
    flushWay(
      mmOfInch(1 / 8),
      thicknessesMm.map((thicknessMm) => ({ part: "sheet", thicknessMm })),
    )?.layers.map(({ act }) => act) ?? null;

  it("thin skin on thin rib: both layers are dimpled", () => {
    expect(formed(0.6, 0.8)).toEqual(["dimple", "dimple"]);
  });

  it("thin skin on a thick spar cap: the dimple sits in a countersink (NAVEDTRA 14018, Flush Riveting)", () => {
    expect(formed(0.6, 2)).toEqual(["dimple", "countersink"]);
    expect(formed(0.6, 0.6, 2)).toEqual(["dimple", "dimple", "countersink"]);
  });

  it("what lies under a countersink stays flat", () => {
    expect(formed(0.6, 2, 0.6)).toEqual(["dimple", "countersink", null]);
    expect(formed(2, 0.6)).toEqual(["countersink", null]);
  });

  it("a layer that can be neither stops the whole stack, and so does a rivet that no gauge has", () => {
    expect(formed(0.6, mmOfInch(0.045))).toBeNull();
    expect(formed(mmOfInch(0.045), 2)).toBeNull();
    expect(flushWay(8, [{ part: "sheet", thicknessMm: 0.6 }])).toBeNull();
  });

  it("of several layers under the head the first thick one is countersunk; where none is thick, the first", () => {
    const acts = (...mm: readonly number[]) =>
      layerWork(
        mm.map((thicknessMm) => ({ part: "sheet", thicknessMm })),
        "dimple",
        "countersink",
      ).map(({ act }) => act);
    expect(acts(0.6, 0.6, 2)).toEqual(["dimple", "dimple", "countersink"]);
    expect(acts(0.6, 0.6, 0.6)).toEqual(["dimple", "countersink", null]);
    expect(acts(0.6)).toEqual(["dimple"]);
  });

  it("every layer at and above a countersink is formed, none below it, and never more than one is countersunk", () => {
    fc.assert(
      fc.property(
        fc.array(thickness, { minLength: 1, maxLength: 5 }),
        fc.constantFrom("as punched", "enlarge", "dimple", "countersink" as const),
        fc.constantFrom(null, "dimple", "countersink" as const),
        (mm, treatment, under) => {
          const acts = layerWork(
            mm.map((thicknessMm) => ({ part: "sheet", thicknessMm })),
            treatment as Treatment,
            under as Under | null,
          ).map(({ act }) => act);
          const sunk = acts.indexOf("countersink");
          expect(acts.filter((act) => act === "countersink").length).toBeLessThanOrEqual(1);
          if (treatment !== "dimple" && treatment !== "countersink")
            expect(acts).toEqual(acts.map(() => null));
          else if (sunk === -1) expect(acts).toEqual(acts.map(() => "dimple"));
          else
            expect(acts).toEqual(acts.map((_, i) => (i < sunk ? "dimple" : i > sunk ? null : "countersink")));
        },
      ),
    );
  });

  it("the two published dimple limits are both kept, and the smaller is used", () => {
    expect(tables.dimpleLimits.rows.map((row) => row.max).sort()).toEqual([0.04, 0.051]);
    expect(flushChoice("3/16", mmOfInch(0.051)).mayDimple).toBe(false);
  });
});

describe("headroom", () => {
  const gap = (gapMm: number, toleranceMm = 0, position: string | null = null) => ({
    gapMm,
    toleranceMm,
    position,
  });

  it("gap 1.9 mm less dome 1.0 mm leaves 0.9 mm, and a tolerance takes its share too", () => {
    expect(leastRoom([gap(1.9)], 1).leaves.value).toBeCloseTo(0.9, 9);
    expect(leastRoom([gap(2.2, 0.4)], 1).leaves.value).toBeCloseTo(0.8, 9);
  });

  it("is least at the worst place of the travel, in the worst case", () => {
    expect(leastRoom([gap(4, 0, "neutral"), gap(1.5, 0, "25° up")], 1).at.position).toBe("25° up");
    expect(leastRoom([gap(1.6, 0.5, "neutral"), gap(1.5, 0, "25° up")], 1).at.position).toBe("neutral");
  });
});

describe("edge, pitch and repair", () => {
  it("a flush rivet needs more edge than a protruding one", () => {
    expect(layoutMinimum(4, "flush").edgeMm).toBeGreaterThan(layoutMinimum(4, "protruding").edgeMm);
  });

  it("the next size up is refused where its pitch would be too small, and the shortfall is said", () => {
    const repair = oversizeRepair(mmOfInch(0.125), "protruding", 20, mmOfInch(0.4));
    expect(repair.verdict).toBe("refused");
    expect(inchOfMm(repair.pitchShortMm ?? 0)).toBeCloseTo(0.46875 - 0.4, 6);
  });

  it("a shop head is judged by the strictest least values that are printed", () => {
    const head = shopHead(10);
    expect(head.leastWidthMm).toBeCloseTo(14, 9);
    expect(head.leastHeightMm).toBeCloseTo(3.3, 9);
  });
});

describe("what no table covers is refused, never guessed", () => {
  const bad: readonly [string, () => unknown, string][] = [
    ["a 7 mm rivet", () => tableDrills(7), "FASTENER_OUT_OF_TABLE"],
    ["a 7 mm rivet's length", () => pulledMetricLengths(7, 3), "FASTENER_OUT_OF_TABLE"],
    [
      "a 3/16 inch pulled rivet, whose rows were cut off",
      () => pulledInchNumber("3/16", 2),
      "FASTENER_OUT_OF_TABLE",
    ],
    ["a 1/16 rivet's countersink", () => flushChoice("1/16", 1), "FASTENER_OUT_OF_TABLE"],
    ["zero thickness", () => gripOf([layer(0)]), "FASTENER_INPUT"],
    ["a negative thickness", () => gripOf([layer(-0.5)]), "FASTENER_INPUT"],
    ["a grip that is not a number", () => pulledMetricLengths(4, Number.NaN), "FASTENER_INPUT"],
    ["an endless grip", () => pulledMetricLengths(4, Number.POSITIVE_INFINITY), "FASTENER_INPUT"],
    ["text in place of a size", () => tableDrills("4" as unknown as number), "FASTENER_INPUT"],
    ["no layers at all", () => gripOf([]), "FASTENER_INPUT"],
    ["a word in place of an inch fraction", () => inchOfFraction("eighth"), "FASTENER_INPUT"],
  ];
  for (const [what, act, code] of bad) it(what, () => expect(codeOf(act)).toBe(code));
});

describe("units", () => {
  it("no round trip between inch and mm loses a thousandth of a millimetre", () => {
    fc.assert(
      fc.property(fc.double({ min: 0.001, max: 1000, noNaN: true }), (mm) => {
        expect(Math.abs(mmOfInch(inchOfMm(mm)) - mm)).toBeLessThan(0.001);
      }),
    );
  });
});
