import RAPIER from "@dimforge/rapier3d-compat";
import { beforeAll, describe, expect, it } from "vitest";
import { edgeDistance, isConvex, isInside } from "../../server/kit/polygon.js";
import { seeded } from "../support/random.js";

/**
 * Distance from a hole to the edge of its sheet, beside a general-purpose geometry library (parry, through
 * rapier): the library projects the point on the outline as a closed line of segments. It works in single
 * precision, so on sheets up to 400 mm across it is held to 0.001 mm.
 */
const SHEETS = 400;
const HOLES_EACH = 10;
const WITHIN_MM = 0.001;

type Place = readonly [x: number, y: number];

beforeAll(() => RAPIER.init());

const random = seeded(20_261_126);
const within = (low: number, high: number): number => low + (high - low) * random();

/** Corners at rising angles round the middle: even distances make it convex, uneven ones concave. */
function outline(radiusAt: (angle: number) => number): readonly Place[] {
  const corners = 3 + Math.floor(random() * 12);
  const angles = Array.from(
    { length: corners },
    (_, i) => ((i + within(0.05, 0.95)) / corners) * 2 * Math.PI,
  );
  return angles.map((angle) => {
    const radius = radiusAt(angle);
    return [radius * Math.cos(angle), radius * Math.sin(angle)];
  });
}

/** The library's distance from the point to the outline. */
function libraryMm(corners: readonly Place[], [x, y]: Place): number {
  const line = new RAPIER.Polyline(
    Float32Array.from(corners.flatMap(([cx, cy]) => [cx, cy, 0])),
    Uint32Array.from(corners.flatMap((_, i) => [i, (i + 1) % corners.length])),
  );
  const still = { x: 0, y: 0, z: 0, w: 1 };
  const found = line.projectPoint({ x: 0, y: 0, z: 0 }, still, { x, y, z: 0 }, false);
  if (!found) throw new Error("the library found no nearest point");
  return Math.hypot(found.point.x - x, found.point.y - y);
}

/** How often the outline goes round the point, by the angles that its corners span: 0 outside. */
function windings(corners: readonly Place[], [x, y]: Place): number {
  const turned = corners.reduce((sum, [ax, ay], i) => {
    const [bx, by] = corners[(i + 1) % corners.length] as Place;
    const [px, py, qx, qy] = [ax - x, ay - y, bx - x, by - y];
    return sum + Math.atan2(px * qy - py * qx, px * qx + py * qy);
  }, 0);
  return Math.round(turned / (2 * Math.PI));
}

describe("the distance from a hole to the edge of its sheet", () => {
  it.each([
    ["convex", () => outline(() => 150)],
    ["concave", () => outline(() => within(30, 200))],
  ])("is the library's on %s outlines, and so is whether its centre is on the sheet", (shape, draw) => {
    let [inside, outside, concave] = [0, 0, 0];
    for (let n = 0; n < SHEETS; n++) {
      const corners = draw();
      if (!isConvex(corners)) concave += 1;
      for (let k = 0; k < HOLES_EACH; k++) {
        const centre: Place = [within(-200, 200), within(-200, 200)];
        const there = libraryMm(corners, centre);
        expect(Math.abs(edgeDistance(corners, centre) - there)).toBeLessThan(WITHIN_MM);
        // On the edge itself either answer is right.
        if (there < 0.01) continue;
        if (windings(corners, centre) !== 0) {
          inside += 1;
          expect(isInside(corners, centre)).toBe(true);
        } else {
          outside += 1;
          expect(isInside(corners, centre)).toBe(false);
        }
      }
    }
    expect(Math.min(inside, outside)).toBeGreaterThan(SHEETS);
    expect(concave > SHEETS / 2).toBe(shape === "concave");
  });
});
