import fc from "fast-check";
import { describe, expect, test, vi } from "vitest";
import type { Vec } from "../../server/kit/types.js";
import { cross, plus, times, unit } from "../../server/kit/vec.js";
import { type Cylinder, gapBesideMm, meets, TOUCHING_MM } from "../../server/reach/distance.js";
import { box } from "../support/by-hand.js";

// Thousands of cases: seconds on an idle machine, a minute on a busy one.
vi.setConfig({ testTimeout: 180_000 });

/** A puller's nose: 9.5 mm radius, 120 mm long, straight up from the origin. */
const NOSE: Cylinder = { start: [0, 0, 0], axis: [0, 0, 1], lengthMm: 120, radiusMm: 9.5 };

const corners = (min: Vec, max: Vec): readonly Vec[] => box(min, max).corners;

describe("a tool's room and a body", () => {
  test("a flange beside the tool is as far off as it stands from the rivet's axis", () => {
    expect(gapBesideMm(NOSE, corners([14, -50, 0], [14.8, 50, 30]))).toBeCloseTo(14, 9);
  });

  test("the nearest corner counts where no face looks at the tool", () => {
    expect(gapBesideMm(NOSE, corners([3, 4, 10], [20, 20, 20]))).toBeCloseTo(5, 9);
  });

  test("a body that the axis runs into leaves no gap at all", () => {
    expect(gapBesideMm(NOSE, corners([-5, -5, 40], [5, 5, 41]))).toBe(0);
  });

  test("a body beyond the tool's end, or behind its start, is not beside it", () => {
    expect(gapBesideMm(NOSE, corners([-50, -50, 120.1], [50, 50, 121]))).toBe(Number.POSITIVE_INFINITY);
    expect(gapBesideMm(NOSE, corners([-50, -50, -1], [50, 50, -0.05]))).toBe(Number.POSITIVE_INFINITY);
  });

  test("only the stretch beside the tool counts of a body that leans over it", () => {
    // Its foot stands 30 mm off at z = 0, and it leans to the axis at z = 300: at the tool's end it is 18 mm off.
    const leaning: Vec[] = [
      [30, -5, 0],
      [30, 5, 0],
      [0, -5, 300],
      [0, 5, 300],
    ];
    expect(gapBesideMm(NOSE, leaning)).toBeCloseTo(18, 6);
  });

  test("touching is in the way, on the side and at the end", () => {
    expect(meets(NOSE, corners([9.5, -50, 0], [10, 50, 30]))).toBe(true);
    expect(meets(NOSE, corners([-1, -1, 120], [1, 1, 130]))).toBe(true);
  });

  test("a hundredth of a millimetre of air is not in the way", () => {
    expect(meets(NOSE, corners([9.51, -50, 0], [10, 50, 30]))).toBe(false);
    expect(meets(NOSE, corners([-1, -1, 120.01], [1, 1, 130]))).toBe(false);
  });

  test("a body without thickness is in the way like any other", () => {
    expect(meets(NOSE, corners([5, -50, 0], [5, 50, 30]))).toBe(true);
    expect(meets(NOSE, [[5, 0, 10]])).toBe(true);
    expect(meets(NOSE, [])).toBe(false);
  });
});

const mm = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const point = (reach: number) => fc.tuple(mm(-reach, reach), mm(-reach, reach), mm(-reach, reach));
/** Axes at right angles, turned any way. */
const axes = fc
  .tuple(point(1), point(1))
  .map(([a, b]) => {
    const u = unit(a);
    const v = u && unit(cross(u, b));
    return u && v ? ([u, v, cross(u, v)] as const) : null;
  })
  .filter((made) => made !== null && Math.abs(Math.hypot(...made[2]) - 1) < 1e-12);
const size = fc.tuple(mm(0.3, 4000), mm(0.3, 400), mm(0.3, 100));

describe("laws of the gap", () => {
  test("in double precision it is a box's closed form to the millionth, wherever and however the two lie", () => {
    fc.assert(
      fc.property(
        axes,
        size,
        point(600),
        point(3000),
        mm(2, 160),
        (turned, [a, b, c], start, home, lengthMm) => {
          if (!turned) return;
          const [u, v, n] = turned;
          const place = ([x, y, z]: Vec): Vec =>
            plus(home, plus(plus(times(u, x), times(v, y)), times(n, z)));
          const gap = gapBesideMm(
            { start: place(start), axis: n, lengthMm },
            corners([0, 0, 0], [a, b, c]).map(place),
          );
          const beside = start[2] <= c && start[2] + lengthMm >= 0;
          // Ends that meet to the millionth may fall either way.
          fc.pre(Math.abs(start[2] - c) > 1e-5 && Math.abs(start[2] + lengthMm) > 1e-5);
          const short = (at: number, to: number): number => Math.max(0, -at, at - to);
          const expected = beside
            ? Math.hypot(short(start[0], a), short(start[1], b))
            : Number.POSITIVE_INFINITY;
          if (expected === Number.POSITIVE_INFINITY) expect(gap).toBe(expected);
          else expect(Math.abs(gap - expected)).toBeLessThan(TOUCHING_MM);
        },
      ),
      { numRuns: 2_000 },
    );
  });

  test("no point of the body beside the tool lies nearer to the axis than the gap", () => {
    const cloud = fc.array(point(200), { minLength: 4, maxLength: 14 });
    const shares = fc.array(mm(0, 1), { minLength: 14, maxLength: 14 });
    fc.assert(
      fc.property(cloud, shares, point(200), axes, mm(5, 300), (body, parts, start, turned, lengthMm) => {
        if (!turned) return;
        const [, , axis] = turned;
        const weights = body.map((_, i) => (parts[i] ?? 0) ** 4);
        const sum = weights.reduce((a, b) => a + b, 0);
        fc.pre(sum > 0);
        const inside = body.reduce<Vec>(
          (at, corner, i) => plus(at, times(corner, (weights[i] ?? 0) / sum)),
          [0, 0, 0],
        );
        const from = plus(inside, times(start, -1));
        const along = from[0] * axis[0] + from[1] * axis[1] + from[2] * axis[2];
        fc.pre(along >= 0 && along <= lengthMm);
        const off = Math.hypot(...plus(from, times(axis, -along)));
        expect(gapBesideMm({ start, axis, lengthMm }, body)).toBeLessThanOrEqual(off + TOUCHING_MM);
      }),
      { numRuns: 2_000 },
    );
  });

  test("a longer room never has more gap, nor has a body with one more corner", () => {
    const cloud = fc.array(point(200), { minLength: 1, maxLength: 10 });
    fc.assert(
      fc.property(
        cloud,
        point(200),
        point(200),
        axes,
        mm(1, 200),
        mm(0, 200),
        (body, corner, start, turned, length, more) => {
          if (!turned) return;
          const axis = turned[2];
          const gap = gapBesideMm({ start, axis, lengthMm: length }, body);
          expect(gapBesideMm({ start, axis, lengthMm: length + more }, body)).toBeLessThanOrEqual(
            gap + TOUCHING_MM,
          );
          expect(gapBesideMm({ start, axis, lengthMm: length }, [...body, corner])).toBeLessThanOrEqual(
            gap + TOUCHING_MM,
          );
        },
      ),
    );
  });
});
