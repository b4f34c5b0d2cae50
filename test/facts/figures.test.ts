import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { factsOf } from "../../server/facts/derive.js";
import { type FactFigure, figureOf, servingOf } from "../../server/facts/figures.js";
import type { Hole, Neighbour, Rivet } from "../../server/kit/types.js";
import { NO_WORK } from "../../server/kit/work.js";
import { hole } from "../support/by-hand.js";
import { kitFromDisk } from "../support/job.js";

const DOMED: Rivet = {
  code: "D-32",
  name: "domed",
  kind: "pulled",
  head: "protruding",
  diameterMm: 3.2,
  headHeightMm: 1,
  headDiameterMm: null,
  sunkHeightMm: null,
  hole: { minMm: 3.3, maxMm: 3.4 },
  grip: { minMm: 1, maxMm: 3 },
  source: "made up",
};
const SUNK: Rivet = { ...DOMED, code: "S-32", head: "flush", headHeightMm: 0 };

const SEAL: Neighbour = {
  id: "SEAL",
  name: "the seal",
  gapMm: 1.9,
  toleranceMm: 0,
  headMarginMm: 1,
  positions: [],
};

function under(more: Partial<Neighbour>, rivet = DOMED): Hole {
  return hole("A.r.1", ["A", "B"], { rivet, punchedMm: 3.3, neighbour: { ...SEAL, ...more } });
}

function travel(...gaps: readonly (number | null)[]): Partial<Neighbour> {
  return {
    gapMm: gaps.includes(null) ? null : Math.min(...(gaps as number[])),
    positions: gaps.map((gapMm, i) => ({ name: `place ${i + 1}`, gapMm })),
  };
}

/** The figure's own sum. */
function sum({ figure, per }: FactFigure): number {
  const total = figure.terms.reduce((mm, { sign, value }) => mm + sign * value, 0);
  return per ? total / per.value : total;
}

describe("whether a head clears", () => {
  it("gap 1.9 mm less head 1.0 mm leaves 0.9 mm, margin wanted 1.0 mm: it does not", () => {
    const near = under({});
    expect(servingOf(near).clears).toBe(false);
    const figure = figureOf(near, "clears");
    expect(figure?.figure.terms.map(({ what, sign, value }) => [what, sign, value])).toEqual([
      ["gap", 1, 1.9],
      ["head", -1, 1],
    ]);
    expect(figure?.figure.value).toBeCloseTo(0.9, 9);
    expect(figure?.wanted).toEqual({ what: "margin", minMm: 1, maxMm: null });
  });

  it("exactly the margin is enough, in the worst case and not on paper alone", () => {
    expect(servingOf(under({ gapMm: 2 })).clears).toBe(true);
    expect(servingOf(under({ gapMm: 2, toleranceMm: 0.1 })).clears).toBe(false);
    expect(servingOf(under({ gapMm: 2.1, toleranceMm: 0.1 })).clears).toBe(true);
  });

  it("is judged where the travel comes nearest", () => {
    const near = under(travel(4, 1.5, 3));
    expect(servingOf(near).clears).toBe(false);
    expect(figureOf(near, "clears")?.position).toBe("place 2");
    expect(figureOf(near, "worstHeadroomMm")?.figure.value).toBeCloseTo(0.5, 9);
  });

  it("is not known without the gap, the tolerance, the margin or one position of the travel", () => {
    for (const lack of [
      { gapMm: null },
      { gapMm: 5, toleranceMm: null },
      { gapMm: 5, headMarginMm: null },
      travel(5, null),
    ]) {
      expect(servingOf(under(lack)).clears, JSON.stringify(lack)).toBeNull();
      expect(figureOf(under(lack), "clears")).toBeNull();
    }
  });

  it("is no all the same where what is known is too little already", () => {
    expect(servingOf(under({ gapMm: 1.9, toleranceMm: null })).clears).toBe(false);
    expect(servingOf(under(travel(1.9, null))).clears).toBe(false);
    // Its margin is short, but how far the worst case goes is not known.
    expect(figureOf(under(travel(1.9, null)), "worstHeadroomMm")).toBeNull();
    expect(figureOf(under({ gapMm: 1.9, toleranceMm: null }), "worstHeadroomMm")).toBeNull();
  });

  it("is yes where nothing comes near, and then there is no sum to show", () => {
    const free = hole("A.r.1", ["A"], { rivet: DOMED });
    expect(servingOf(free).clears).toBe(true);
    expect(figureOf(free, "clears")).toBeNull();
  });

  it("learning a gap, a tolerance or a margin never turns a known answer round", () => {
    const sizes = fc.integer({ min: 0, max: 50 }).map((tenths) => tenths / 10);
    const maybe = fc.option(sizes);
    fc.assert(
      fc.property(
        fc.array(fc.tuple(sizes, fc.boolean()), { minLength: 1, maxLength: 4 }),
        fc.tuple(sizes, fc.boolean()),
        maybe.map((mm) => (mm === 0 ? null : mm)),
        (gaps, [toleranceMm, isStated], headMarginMm) => {
          const half = under({
            ...travel(...gaps.map(([mm, isKnown]) => (isKnown ? mm : null))),
            toleranceMm: isStated ? toleranceMm : null,
            headMarginMm,
          });
          const whole = under({
            ...travel(...gaps.map(([mm]) => mm)),
            toleranceMm,
            headMarginMm: headMarginMm ?? 1,
          });
          const { clears } = servingOf(half);
          fc.pre(clears !== null);
          expect(servingOf(whole).clears).toBe(clears);
        },
      ),
    );
  });
});

describe("whether the grip holds", () => {
  it("a domed rivet's range must hold the stack, both ends included", () => {
    const at = (gripMm: number) => servingOf(hole("A.r.1", ["A"], { rivet: DOMED, gripMm })).gripFits;
    expect([0.9, 1, 2, 3, 3.1].map(at)).toEqual([false, true, true, true, false]);
  });

  it("a flush rivet's is known only where the stack is too thick: dimples would add the sunk head", () => {
    const at = (gripMm: number) => servingOf(hole("A.r.1", ["A"], { rivet: SUNK, gripMm })).gripFits;
    expect([0.9, 2, 3, 3.1].map(at)).toEqual([null, null, null, false]);
    expect(figureOf(hole("A.r.1", ["A"], { rivet: SUNK, gripMm: 2 }), "gripFits")).toBeNull();
  });

  it("is not known for a rivet whose range the kit does not state", () => {
    const rivet = { ...DOMED, grip: null };
    expect(servingOf(hole("A.r.1", ["A"], { rivet })).gripFits).toBeNull();
  });
});

describe("whether edge and pitch serve", () => {
  it("two diameters to the edge for a protruding head, two and a half for a flush one", () => {
    // layout-single-row-min (AC 43.13-1B par. 4-57c, quoted), layout-army-spacing (AL0992, flush heads).
    const at = (edgeMm: number, rivet: Rivet) => {
      const made = hole("A.r.1", ["A"], { rivet });
      return servingOf({ ...made, layers: made.layers.map((layer) => ({ ...layer, edgeMm })) }).edgeServes;
    };
    expect([6.3, 6.4, 8].map((mm) => at(mm, DOMED))).toEqual([false, true, true]);
    expect([6.4, 7.9, 8].map((mm) => at(mm, SUNK))).toEqual([false, false, true]);
  });

  it("is judged in the layer that has least, and the trace names it", () => {
    const made = hole("A.r.1", ["A", "B"], { rivet: DOMED });
    const layers = made.layers.map((layer) => ({ ...layer, edgeMm: layer.part === "B" ? 5 : 20 }));
    expect(servingOf({ ...made, layers }).edgeServes).toBe(false);
    expect(figureOf({ ...made, layers }, "edgeServes")?.figure.terms).toEqual([
      { what: "edge distance", part: "B", sign: 1, value: 5 },
    ]);
  });

  it("three diameters to the nearest hole of any row; a hole alone in its sheets has no pitch to keep", () => {
    const at = (nearestMm: number | null) =>
      servingOf(hole("A.r.1", ["A"], { rivet: DOMED, pitchMm: 30, nearestMm })).pitchServes;
    expect([9.5, 9.6, 30, null].map(at)).toEqual([false, true, true, true]);
  });

  it("a hole punched under its rivet's limits does not fit yet", () => {
    const at = (punchedMm: number) => servingOf(hole("A.r.1", ["A"], { rivet: DOMED, punchedMm })).holeFits;
    expect([2.5, 3.29, 3.3, 3.4, 3.41].map(at)).toEqual([false, false, true, true, false]);
  });
});

describe("the sum behind a fact", () => {
  const NUMBERS = [
    "headroomMm",
    "worstHeadroomMm",
    "gripMm",
    "edgeMm",
    "edgeRatio",
    "nearestRatio",
    "pitchRatio",
  ];
  const FLAGS = ["clears", "gripFits", "holeFits", "edgeServes", "pitchServes"] as const;

  for (const kit of ["sedge-two", "vetch-six"]) {
    it(`comes to the fact itself at every hole of ${kit}, and is there just when the fact is known`, () => {
      let shown = 0;
      for (const assembly of kitFromDisk(kit).assemblies) {
        const facts = factsOf(assembly, NO_WORK);
        for (const one of assembly.holes) {
          const record = facts[one.index] ?? {};
          for (const fact of NUMBERS) {
            const figure = figureOf(one, fact);
            expect(figure !== null, `${one.id} ${fact}`).toBe(fact in record);
            if (!figure) continue;
            shown += 1;
            expect(Math.abs(sum(figure) - Number(record[fact])), `${one.id} ${fact}`).toBeLessThan(0.000501);
          }
          for (const fact of FLAGS) {
            const figure = figureOf(one, fact);
            if (!figure) continue;
            shown += 1;
            const { minMm, maxMm } = figure.wanted ?? { minMm: null, maxMm: null };
            expect(minMm !== null || maxMm !== null).toBe(true);
            const serves =
              (minMm === null || sum(figure) >= minMm - 1e-6) &&
              (maxMm === null || sum(figure) <= maxMm + 1e-6);
            expect(record[fact], `${one.id} ${fact}`).toBe(serves);
          }
        }
      }
      expect(shown).toBeGreaterThan(1000);
    });
  }

  it("a fact that is no sum has none", () => {
    expect(figureOf(under({}), "kind")).toBeNull();
    expect(figureOf(under({}), "no such fact")).toBeNull();
  });
});
