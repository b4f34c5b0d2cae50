import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { mmOfInch } from "../../server/fastener/input.js";
import { rowPatternAt } from "../../server/fastener/row-pattern.js";
import type { Assembly, Vec } from "../../server/kit/types.js";
import { assembly, hole, part } from "../support/by-hand.js";

interface RowAt {
  readonly id: string;
  readonly stack: readonly string[];
  readonly from: Vec;
  readonly step: Vec;
  readonly count?: number;
}

/** Rows of holes on a bench of sheets, heads up. */
function bench(...rows: readonly RowAt[]): Assembly {
  const holes = rows.flatMap(({ id, stack, from, step, count = 6 }) =>
    Array.from({ length: count }, (_, i) =>
      hole(`${id}.${i + 1}`, stack, {
        at: [from[0] + i * step[0], from[1] + i * step[1], from[2] + i * step[2]],
        pitchMm: Math.hypot(...step),
      }),
    ),
  );
  return assembly(
    [...new Set(rows.flatMap(({ stack }) => stack))].map((id) => part(id)),
    holes.map((one, index) => ({ ...one, index })),
  );
}

const LAP = ["UPPER", "LOWER"];
/** Along x, so many mm to the side. */
const row = (id: string, sideMm: number, more: Partial<RowAt> = {}): RowAt => ({
  id: `UPPER.${id}`,
  stack: LAP,
  from: [0, sideMm, 0],
  step: [15, 0, 0],
  ...more,
});
const at = (bench: Assembly, id = "UPPER.a.3", rivetMm = 3.2) =>
  rowPatternAt(
    bench,
    bench.holes.find((one) => one.id === id) as Assembly["holes"][number],
    rivetMm,
    "protruding",
  );

describe("rows of rivets side by side", () => {
  it("two want four diameters along each and two and a half between them (TM 9-2320-303-24-2; TM 10-5410-229-13&P par. 5-6)", () => {
    const two = at(bench(row("a", 0), row("b", 9)));
    expect(two).toMatchObject({ rows: "two", apartMm: 9 });
    expect(two?.pitchNeededMm).toBeCloseTo(4 * 3.2, 9);
    expect(two?.apartNeededMm).toBeCloseTo(2.5 * 3.2, 9);
    expect(two?.sources.map(({ id }) => id)).toEqual(["layout-double-row-min", "layout-army-row-gap"]);
  });

  it("1/8 in rivets in a double row stand half an inch apart: 40 in ten inches (AC 43.13-1B par. 4-58g)", () => {
    const inch = at(bench(row("a", 0), row("b", 9)), "UPPER.a.3", mmOfInch(1 / 8));
    expect((2 * mmOfInch(10)) / (inch?.pitchNeededMm ?? 0)).toBeCloseTo(40, 9);
  });

  it("three want three diameters between neighbours (TM 9-2320-303-24-2; which leg is which is inferred)", () => {
    const three = bench(row("a", 0), row("b", 9), row("c", 18));
    for (const id of ["UPPER.a.3", "UPPER.b.3", "UPPER.c.3"]) {
      expect(at(three, id)?.rows).toBe("three or more");
      expect(at(three, id)?.pitchNeededMm).toBeCloseTo(3 * 3.2, 9);
    }
  });

  it("staggered or not, in front or behind: it is the distance across the row that counts", () => {
    for (const from of [
      [0, 9, 0],
      [7.5, 9, 0],
      [-7.5, -9, 0],
    ] as const)
      expect(at(bench(row("a", 0), row("b", 0, { from })))).toMatchObject({ rows: "two", apartMm: 9 });
    expect(at(bench(row("a", 0), row("b", 0, { from: [75, 9, 0], step: [-15, 0, 0] })))?.rows).toBe("two");
  });

  it.each([
    ["one beyond four diameters is a row of its own", [row("a", 0), row("b", 12.9)]],
    [
      "one that shares a single sheet is another joint",
      [row("a", 0), row("b", 9, { stack: ["UPPER", "RIB"] })],
    ],
    ["one that runs across it is no second row", [row("a", 0), row("b", 9, { step: [0, 15, 0] })]],
    ["one that goes on in the same line is the same row", [row("a", 0), row("b", 0, { from: [90, 0, 0] })]],
    [
      "one that has ended before it does not lie beside it",
      [row("a", 0), row("b", 9, { from: [-120, 9, 0] })],
    ],
    ["a single hole is no row", [row("a", 0), row("b", 9, { count: 1 })]],
  ])("%s", (_, rows) => {
    expect(at(bench(...rows))).toBeNull();
  });

  it("a larger rivet makes rows one pattern that a smaller one does not", () => {
    const rows = bench(row("a", 0), row("b", 14));
    expect(at(rows)).toBeNull();
    expect(at(rows, "UPPER.a.3", 4)?.rows).toBe("two");
  });

  it("does not hang on the order of the rows, nor on where the bench stands", () => {
    const sides = fc.uniqueArray(fc.integer({ min: 1, max: 40 }), { minLength: 1, maxLength: 5 });
    fc.assert(
      fc.property(sides, fc.integer({ min: -500, max: 500 }), fc.nat(), (mm, away, turn) => {
        const rows = [0, ...mm].map((side, i) => row(i === 0 ? "a" : `r${i}`, side));
        const known = at(bench(...rows));
        const moved = rows.map((one) => ({
          ...one,
          from: [one.from[0] + away, one.from[1] - away, away] as Vec,
        }));
        const turned = [...moved.slice(turn % moved.length), ...moved.slice(0, turn % moved.length)];
        const found = at(bench(...turned));
        expect(found?.rows).toBe(known?.rows);
        if (known) expect(found?.apartMm).toBeCloseTo(known.apartMm, 6);
        // The nearest row decides whether there is a pattern at all.
        expect(known !== null).toBe(Math.min(...mm) <= 4 * 3.2);
      }),
    );
  });
});
