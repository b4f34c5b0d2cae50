import { type Point, turn } from "../kit/polygon.js";
import type { Vec } from "../kit/types.js";
import { cross, dot, minus } from "../kit/vec.js";

/** The middle line of a finite cylinder with flat ends. */
export interface Axis {
  /** Middle of the end where it starts, mm. */
  readonly start: Vec;
  /** Unit vector along which it runs. */
  readonly axis: Vec;
  readonly lengthMm: number;
}

export interface Cylinder extends Axis {
  readonly radiusMm: number;
}

/**
 * Nearer than this is touching, and touching is in the way: one nanometre, far below what a shop can
 * measure and a thousand times above the rounding of double precision at a few metres.
 */
export const TOUCHING_MM = 1e-6;

/**
 * Whether a cylinder meets a convex body. Touching counts as meeting.
 * @param corners  corner points of the body, mm; it is their convex hull, flat ones included
 * @returns        exact to TOUCHING_MM for bodies up to some tens of metres away
 */
export function meets(cylinder: Cylinder, corners: readonly Vec[]): boolean {
  return gapBesideMm(cylinder, corners) <= cylinder.radiusMm + TOUCHING_MM;
}

/**
 * How far the body keeps from the cylinder's axis, at right angles to it, over the cylinder's length:
 * the radius at which the two would touch. The cylinder's own radius plays no part.
 *
 * A convex body cut by two planes is convex again, and its corners are the body's corners between the
 * planes and the points where lines from corner to corner cross a plane (lines inside the body add
 * nothing, so its edges need not be known). Seen along the axis, the cut body is a flat convex shape
 * and the axis is a point, so the distance is a closed form: no iteration, nothing to converge, and a
 * 0.5 mm sheet is no harder than a cube.
 *
 * @returns mm; 0 when the axis runs into the body; Infinity when no part of the body lies beside the
 *          cylinder (within TOUCHING_MM of its ends counts as beside)
 */
export function gapBesideMm(axis: Axis, corners: readonly Vec[]): number {
  const beside = between(seenAlong(axis, corners), -TOUCHING_MM, axis.lengthMm + TOUCHING_MM);
  return gapFromOriginMm(beside);
}

/** A corner in the cylinder's own axes: where it lies across, and how far along from the start, mm. */
interface Seen {
  readonly across: Point;
  readonly along: number;
}

function seenAlong({ start, axis }: Axis, corners: readonly Vec[]): Seen[] {
  const u = squareTo(axis);
  const v = cross(axis, u);
  return corners.map((corner) => {
    const from = minus(corner, start);
    return { across: [dot(from, u), dot(from, v)], along: dot(from, axis) };
  });
}

/** Some unit vector at right angles to a unit vector; its smallest component is left out, which keeps it well conditioned. */
function squareTo([x, y, z]: Vec): Vec {
  if (Math.abs(x) <= Math.abs(y) && Math.abs(x) <= Math.abs(z)) {
    const length = Math.hypot(y, z);
    return [0, -z / length, y / length];
  }
  if (Math.abs(y) <= Math.abs(z)) {
    const length = Math.hypot(x, z);
    return [z / length, 0, -x / length];
  }
  const length = Math.hypot(x, y);
  return [-y / length, x / length, 0];
}

/** Points whose flat hull is the body between two levels, seen along the axis. */
function between(corners: readonly Seen[], low: number, high: number): Point[] {
  const points = corners.filter(({ along }) => along >= low && along <= high).map(({ across }) => across);
  for (const level of [low, high]) {
    const below = corners.filter(({ along }) => along < level);
    const above = corners.filter(({ along }) => along > level);
    for (const a of below) {
      for (const b of above)
        points.push(partWay(a.across, b.across, (level - a.along) / (b.along - a.along)));
    }
  }
  return points;
}

/** Distance from the origin to the convex hull of points in a plane, mm; Infinity for no points. */
function gapFromOriginMm(points: readonly Point[]): number {
  const hull = hullOf(points);
  let nearest = hull[0];
  if (!nearest) return Number.POSITIVE_INFINITY;
  let gapMm = Math.hypot(...nearest);
  hull.forEach((corner, i) => {
    const point = nearestOnSegment(corner, hull[(i + 1) % hull.length] ?? corner);
    if (Math.hypot(...point) < gapMm) {
      gapMm = Math.hypot(...point);
      nearest = point;
    }
  });
  // From outside, the hull lies wholly beyond the line through its nearest point; from inside it can't.
  const [x, y] = nearest;
  return hull.some((corner) => corner[0] * x + corner[1] * y <= 0) ? 0 : gapMm;
}

/** Point of the segment a–b that is nearest to the origin. */
function nearestOnSegment(a: Point, b: Point): Point {
  const dx = b[0] - a[0];
  const dy = b[1] - a[1];
  const square = dx * dx + dy * dy;
  return square === 0 ? a : partWay(a, b, Math.min(1, Math.max(0, -(a[0] * dx + a[1] * dy) / square)));
}

function partWay(a: Point, b: Point, t: number): Point {
  return [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
}

/**
 * Corners of the convex hull, counter-clockwise; one point or two when all lie on a point or a line.
 * @source monotone chain: A. M. Andrew, "Another efficient algorithm for convex hulls in two
 *         dimensions", Information Processing Letters 9(5), 1979
 */
function hullOf(points: readonly Point[]): Point[] {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  if (sorted.length < 3) return sorted;
  const lower = chain(sorted);
  const upper = chain(sorted.reverse());
  return [...lower.slice(0, -1), ...upper.slice(0, -1)];
}

function chain(sorted: readonly Point[]): Point[] {
  const kept: Point[] = [];
  for (const point of sorted) {
    for (;;) {
      const last = kept.at(-1);
      const before = kept.at(-2);
      if (!last || !before || turn(before, last, point) > 0) break;
      kept.pop();
    }
    kept.push(point);
  }
  return kept;
}
