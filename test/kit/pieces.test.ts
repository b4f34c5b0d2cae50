import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { convexPieces } from "../../server/kit/pieces.js";
import { areaOf, isConvex, type Point } from "../../server/kit/polygon.js";

const cornersOf = (polygon: readonly Point[], piece: readonly number[]): Point[] =>
  piece.map((corner) => polygon[corner] ?? [Number.NaN, Number.NaN]);

describe("cutting a sheet's outline into convex pieces", () => {
  it("a notched sheet still stands in a tool's way: its pieces cover all of it but the notch", () => {
    const notched: Point[] = [
      [0, 0],
      [10, 0],
      [10, 10],
      [5, 4],
      [0, 10],
    ];
    const areas = convexPieces(notched).map((piece) => areaOf(cornersOf(notched, piece)));
    expect(areas.length).toBeGreaterThan(1);
    expect(areas.reduce((sum, area) => sum + area, 0)).toBeCloseTo(100 - 30);
  });

  it("for any outline, the pieces are convex and together as large as the sheet", () => {
    const outline = fc
      .array(fc.double({ min: 10, max: 100, noNaN: true }), { minLength: 3, maxLength: 12 })
      .map((radii) =>
        radii.map((radius, i): Point => {
          const angle = (2 * Math.PI * i) / radii.length;
          return [radius * Math.cos(angle), radius * Math.sin(angle)];
        }),
      );
    fc.assert(
      fc.property(outline, fc.boolean(), (points, clockwise) => {
        const polygon = clockwise ? [...points].reverse() : points;
        const pieces = convexPieces(polygon).map((piece) => cornersOf(polygon, piece));
        expect(pieces.every(isConvex)).toBe(true);
        const area = pieces.reduce((sum, piece) => sum + areaOf(piece), 0);
        expect(area).toBeCloseTo(Math.abs(areaOf(polygon)), 6);
      }),
    );
  });

  it("for any comb, with teeth up and down and corners in the middle of edges, nothing is lost or added", () => {
    const teeth = fc.array(fc.tuple(fc.integer({ min: 1, max: 4 }), fc.integer({ min: 1, max: 4 })), {
      minLength: 2,
      maxLength: 12,
    });
    fc.assert(
      fc.property(teeth, fc.boolean(), (heights, clockwise) => {
        const below = heights.flatMap(([down], x): Point[] => [
          [x, -down],
          [x + 1, -down],
        ]);
        const above = heights.flatMap(([, up], x): Point[] => [
          [x, up],
          [x + 1, up],
        ]);
        const round = [...below, ...above.reverse()];
        // Teeth of one height share a corner; each is written once.
        const polygon = round.filter((corner, i) => `${corner}` !== `${round[(i + 1) % round.length]}`);
        if (clockwise) polygon.reverse();
        const pieces = convexPieces(polygon).map((piece) => cornersOf(polygon, piece));
        expect(pieces.every((piece) => isConvex(piece) && areaOf(piece) > 0)).toBe(true);
        const area = heights.reduce((sum, [down, up]) => sum + down + up, 0);
        expect(pieces.reduce((sum, piece) => sum + areaOf(piece), 0)).toBeCloseTo(area, 9);
      }),
      { numRuns: 500 },
    );
  });
});
