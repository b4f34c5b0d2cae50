import type { Vec } from "../kit/types.js";

/** A finite cylinder with flat ends. */
export interface Cylinder {
  /** Middle of the end where it starts, mm. */
  readonly start: Vec;
  /** Unit vector along which it runs. */
  readonly axis: Vec;
  readonly lengthMm: number;
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
export function gapBesideMm(cylinder: Omit<Cylinder, "radiusMm">, corners: readonly Vec[]): number {
  return gapFromOriginMm(
    between(seenAlong(cylinder, corners), -TOUCHING_MM, cylinder.lengthMm + TOUCHING_MM),
  );
}

/** A corner in the cylinder's own axes: x and y across, z along, mm from the middle of its start. */
interface Seen {
  readonly x: number;
  readonly y: number;
  readonly z: number;
}
type Flat = Pick<Seen, "x" | "y">;

function seenAlong({ start, axis }: Omit<Cylinder, "radiusMm">, corners: readonly Vec[]): Seen[] {
  const [ux, uy, uz] = across(axis);
  const [ax, ay, az] = axis;
  // v = axis × u completes the axes.
  const vx = ay * uz - az * uy;
  const vy = az * ux - ax * uz;
  const vz = ax * uy - ay * ux;
  return corners.map(([cx, cy, cz]) => {
    const x = cx - start[0];
    const y = cy - start[1];
    const z = cz - start[2];
    return {
      x: x * ux + y * uy + z * uz,
      y: x * vx + y * vy + z * vz,
      z: x * ax + y * ay + z * az,
    };
  });
}

/** Some unit vector at right angles to a unit vector, away from its largest component so that it is well conditioned. */
function across([x, y, z]: Vec): Vec {
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

/** Points whose flat hull is the body between two levels, seen along z. */
function between(corners: readonly Seen[], low: number, high: number): Flat[] {
  const flat: Flat[] = corners.filter(({ z }) => z >= low && z <= high);
  for (const level of [low, high]) {
    const below = corners.filter(({ z }) => z < level);
    const above = corners.filter(({ z }) => z > level);
    for (const a of below) {
      for (const b of above) {
        const t = (level - a.z) / (b.z - a.z);
        flat.push({ x: a.x + t * (b.x - a.x), y: a.y + t * (b.y - a.y) });
      }
    }
  }
  return flat;
}

/** Distance from the origin to the convex hull of points in a plane; Infinity for no points. */
function gapFromOriginMm(points: readonly Flat[]): number {
  const hull = hullOf(points);
  let nearest = hull[0];
  if (!nearest) return Number.POSITIVE_INFINITY;
  let least = Math.hypot(nearest.x, nearest.y);
  for (let i = 0; i < hull.length; i++) {
    const point = nearestOnSegment(hull[i] ?? nearest, hull[(i + 1) % hull.length] ?? nearest);
    const gap = Math.hypot(point.x, point.y);
    if (gap < least) {
      least = gap;
      nearest = point;
    }
  }
  // Outside, the hull lies wholly beyond the line through its nearest point; inside, it can't.
  const { x, y } = nearest;
  const inside = hull.some((corner) => corner.x * x + corner.y * y <= 0);
  return inside ? 0 : least;
}

/** Point of the segment a–b that is nearest to the origin. */
function nearestOnSegment(a: Flat, b: Flat): Flat {
  const dx = b.x - a.x;
  const dy = b.y - a.y;
  const square = dx * dx + dy * dy;
  if (square === 0) return a;
  const t = Math.min(1, Math.max(0, -(a.x * dx + a.y * dy) / square));
  return { x: a.x + t * dx, y: a.y + t * dy };
}

/**
 * Corners of the convex hull, counter-clockwise; one point or two when all lie on a point or a line.
 * @source monotone chain: A. M. Andrew, "Another efficient algorithm for convex hulls in two
 *         dimensions", Information Processing Letters 9(5), 1979
 */
function hullOf(points: readonly Flat[]): Flat[] {
  const sorted = [...points].sort((a, b) => a.x - b.x || a.y - b.y);
  if (sorted.length < 3) return sorted;
  const lower = chain(sorted);
  const upper = chain(sorted.reverse());
  return [...lower.slice(0, -1), ...upper.slice(0, -1)];
}

function chain(sorted: readonly Flat[]): Flat[] {
  const kept: Flat[] = [];
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

/** Positive when going a → b → c turns left. */
function turn(a: Flat, b: Flat, c: Flat): number {
  return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}
