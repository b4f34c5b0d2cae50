import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { nearestDistances } from "../../server/kit/pitch.js";
import {
  crossingEdges,
  edgeDistance,
  isConvex,
  isInside,
  offPlane,
  type Point,
  planeOf,
} from "../../server/kit/polygon.js";
import type { Vec } from "../../server/kit/types.js";

const square: Point[] = [
  [0, 0],
  [10, 0],
  [10, 10],
  [0, 10],
];
const angle: Point[] = [
  [0, 0],
  [10, 0],
  [10, 4],
  [4, 4],
  [4, 10],
  [0, 10],
];

describe("an outline", () => {
  it("is inside on one side of its edge and outside on the other, notches too", () => {
    expect(isInside(angle, [2, 9])).toBe(true);
    expect(isInside(angle, [6, 6])).toBe(false);
    expect(isInside(angle, [-1, 5])).toBe(false);
  });

  it("is as far away as its nearest edge or corner, from inside and from outside", () => {
    expect(edgeDistance(square, [3, 5])).toBe(3);
    expect(edgeDistance(square, [13, 14])).toBe(5);
    expect(edgeDistance(angle, [7, 7])).toBe(3);
    expect(edgeDistance(angle, [3, 3])).toBeCloseTo(Math.SQRT2, 12);
  });

  it("is convex when no corner turns inwards; a corner in the middle of an edge does no harm", () => {
    expect(isConvex(square)).toBe(true);
    expect(isConvex([...square].reverse())).toBe(true);
    expect(isConvex([...square.slice(0, 1), [5, 0], ...square.slice(1)])).toBe(true);
    expect(isConvex(angle)).toBe(false);
  });

  it("crosses itself when edges meet that are not neighbours, or when an edge runs back over the last", () => {
    const at = (...corners: [number, number][]) => crossingEdges(corners);
    expect(crossingEdges(square)).toBeNull();
    expect(crossingEdges(angle)).toBeNull();
    expect(at([0, 0], [10, 0], [0, 9], [10, 10])).toEqual([1, 3]);
    expect(at([0, 0], [10, 0], [10, 10], [5, 0], [0, 10])).not.toBeNull();
    expect(at([0, 0], [10, 0], [4, 0], [4, 8])).not.toBeNull();
  });

  it("has its normal to the right hand of its corners' order", () => {
    const flat: Vec[] = square.map(([x, y]) => [x, y, 7]);
    expect(planeOf(flat)?.normal).toEqual([0, 0, 1]);
    expect(planeOf([...flat].reverse())?.normal).toEqual([0, 0, -1]);
  });

  it("names the one corner that is off the plane of the others", () => {
    const bent: Vec[] = angle.map(([x, y], i) => [x, y, i === 3 ? 0.5 : 0]);
    const off = offPlane(bent, 0.1);
    expect(off?.at).toBe(3);
    expect(off?.heightMm).toBeCloseTo(0.5, 9);
    expect(offPlane(bent, 0.6)).toBeNull();
  });
});

describe("for any points", () => {
  const coordinate = fc.integer({ min: -50, max: 50 });
  const point = fc.tuple(coordinate, coordinate, coordinate);

  it("the nearest other is found as by comparing all with all", () => {
    fc.assert(
      fc.property(fc.array(point, { maxLength: 40 }), (points) => {
        const byHand = points.map((here, i) => {
          const others = points.filter((_, j) => j !== i);
          return others.length === 0
            ? null
            : Math.min(
                ...others.map((other) => Math.hypot(...other.map((value, k) => value - (here[k] ?? 0)))),
              );
        });
        const found = nearestDistances(points);
        expect(found.map((value) => value?.toFixed(9))).toEqual(byHand.map((value) => value?.toFixed(9)));
      }),
    );
  });

  it("crossing edges are found as by comparing all with all", () => {
    const corner = fc.tuple(fc.integer({ min: 0, max: 12 }), fc.integer({ min: 0, max: 12 }));
    fc.assert(
      fc.property(fc.array(corner, { minLength: 4, maxLength: 9 }), (corners) => {
        expect(crossingEdges(corners) !== null).toBe(crossesByHand(corners));
      }),
      { numRuns: 2000 },
    );
  });
});

/** Whether two edges that are not neighbours share a point, or neighbours more than their corner: whole numbers only. */
function crossesByHand(corners: readonly Point[]): boolean {
  const count = corners.length;
  const edge = (i: number): [Point, Point] => [
    corners[i % count] as Point,
    corners[(i + 1) % count] as Point,
  ];
  const side = ([a, b]: [Point, Point], c: Point): number =>
    Math.sign((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]));
  const holds = ([a, b]: [Point, Point], c: Point): boolean =>
    side([a, b], c) === 0 && (c[0] - a[0]) * (c[0] - b[0]) <= 0 && (c[1] - a[1]) * (c[1] - b[1]) <= 0;
  for (let i = 0; i < count; i++) {
    for (let j = i + 1; j < count; j++) {
      const [one, other] = [edge(i), edge(j)];
      if (j === i + 1 || (i === 0 && j === count - 1)) {
        const [first, second] = j === i + 1 ? [one, other] : [other, one];
        // They share a corner; more only if one lies back along the other.
        const back =
          (first[0][0] - first[1][0]) * (second[1][0] - second[0][0]) +
          (first[0][1] - first[1][1]) * (second[1][1] - second[0][1]);
        if (side(first, second[1]) === 0 && back > 0) return true;
        continue;
      }
      const touching =
        holds(one, other[0]) || holds(one, other[1]) || holds(other, one[0]) || holds(other, one[1]);
      const through =
        side(one, other[0]) * side(one, other[1]) < 0 && side(other, one[0]) * side(other, one[1]) < 0;
      if (touching || through) return true;
    }
  }
  return false;
}
