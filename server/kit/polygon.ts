import type { Vec } from "./types.js";
import { centre, cross, dot, lengthOf, minus, plus, unit } from "./vec.js";

/** A point in a plane, mm. */
export type Point = readonly [x: number, y: number];

/** A plane with axes of its own: `across` × `along` = `normal`, all of length 1. */
export interface Plane {
  readonly origin: Vec;
  readonly normal: Vec;
  readonly across: Vec;
  readonly along: Vec;
}

/**
 * The plane that fits a closed outline best: normal by the sum of the edges' cross products
 * (Newell's method), right-handed to the order of the points.
 * @returns null when the outline encloses no area
 */
export function planeOf(outline: readonly Vec[]): Plane | null {
  const origin = centre(outline);
  let sum: Vec = [0, 0, 0];
  let size = 0;
  outline.forEach((point, i) => {
    const from = minus(point, origin);
    const to = minus(outline[(i + 1) % outline.length] ?? point, origin);
    sum = plus(sum, cross(from, to));
    size = Math.max(size, lengthOf(from));
  });
  const normal = unit(sum);
  // An outline a thousand times longer than wide is still a strip; a millionth is a line.
  if (!normal || lengthOf(sum) < size * size * 1e-6) return null;
  const axis: Vec =
    Math.abs(normal[0]) <= Math.abs(normal[1]) && Math.abs(normal[0]) <= Math.abs(normal[2])
      ? [1, 0, 0]
      : Math.abs(normal[1]) <= Math.abs(normal[2])
        ? [0, 1, 0]
        : [0, 0, 1];
  const across = unit(cross(axis, normal)) ?? axis;
  return { origin, normal, across, along: cross(normal, across) };
}

/** The point's place in the plane, looked at along the normal. */
export function flatten(plane: Plane, point: Vec): Point {
  const from = minus(point, plane.origin);
  return [dot(from, plane.across), dot(from, plane.along)];
}

/** How far the point lies above the plane, mm; negative below. */
function heightAbove(plane: Plane, point: Vec): number {
  return dot(minus(point, plane.origin), plane.normal);
}

/**
 * The point that spoils a set which should be flat: the one without which the others are, else the one
 * furthest off the plane that fits all best.
 * @returns its number and how far it is off that plane, mm; null when all are within the limit
 */
export function offPlane(points: readonly Vec[], withinMm: number): { at: number; heightMm: number } | null {
  const plane = planeOf(points);
  if (!plane || isFlat(points, plane, withinMm)) return null;
  if (points.length > 4) {
    for (let at = 0; at < points.length; at++) {
      const others = points.filter((_, i) => i !== at);
      const without = planeOf(others);
      if (without && isFlat(others, without, withinMm)) {
        return { at, heightMm: Math.abs(heightAbove(without, points[at] ?? plane.origin)) };
      }
    }
  }
  const heights = points.map((point) => Math.abs(heightAbove(plane, point)));
  const heightMm = Math.max(...heights);
  return { at: heights.indexOf(heightMm), heightMm };
}

function isFlat(points: readonly Vec[], plane: Plane, withinMm: number): boolean {
  return points.every((point) => Math.abs(heightAbove(plane, point)) <= withinMm);
}

/** Twice the signed area of the corner a-b-c; positive when it turns left. */
export function turn(a: Point, b: Point, c: Point): number {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

/** Signed area, mm²; positive counter-clockwise. */
export function areaOf(polygon: readonly Point[]): number {
  let twice = 0;
  polygon.forEach((a, i) => {
    const b = polygon[(i + 1) % polygon.length] ?? a;
    twice += a[0] * b[1] - b[0] * a[1];
  });
  return twice / 2;
}

/** Whether the point lies inside the polygon (even-odd rule); a point on the edge may go either way. */
export function isInside(polygon: readonly Point[], [x, y]: Point): boolean {
  let inside = false;
  let previous = polygon[polygon.length - 1];
  for (const corner of polygon) {
    if (previous && corner[1] > y !== previous[1] > y) {
      const crossing = corner[0] + ((y - corner[1]) / (previous[1] - corner[1])) * (previous[0] - corner[0]);
      if (x < crossing) inside = !inside;
    }
    previous = corner;
  }
  return inside;
}

/** Distance from the point to the nearest edge of the polygon, mm, from inside or outside. */
export function edgeDistance(polygon: readonly Point[], point: Point): number {
  let least = Number.POSITIVE_INFINITY;
  let previous = polygon[polygon.length - 1];
  for (const corner of polygon) {
    if (previous) least = Math.min(least, segmentDistance(previous, corner, point));
    previous = corner;
  }
  return least;
}

function segmentDistance(a: Point, b: Point, p: Point): number {
  const dx = b[0] - a[0];
  const dy = b[1] - a[1];
  const squared = dx * dx + dy * dy;
  const share = squared === 0 ? 0 : ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / squared;
  const t = Math.min(1, Math.max(0, share));
  return Math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
}

/** Whether every corner turns the same way, straight corners allowed (the polygon must not cross itself). */
export function isConvex(polygon: readonly Point[]): boolean {
  const size = Math.sqrt(Math.abs(areaOf(polygon)));
  let sign = 0;
  for (let i = 0; i < polygon.length; i++) {
    const [a, b, c] = [polygon[i], polygon[(i + 1) % polygon.length], polygon[(i + 2) % polygon.length]];
    if (!a || !b || !c) continue;
    const here = turn(a, b, c);
    if (Math.abs(here) <= size * 1e-6) continue;
    if (sign !== 0 && Math.sign(here) !== sign) return false;
    sign = Math.sign(here);
  }
  return true;
}

/** Two edges that cross or touch although they are not neighbours, as the numbers of their first corners. */
export function crossingEdges(polygon: readonly Point[]): readonly [number, number] | null {
  const edges = polygon.map((a, i) => {
    const b = polygon[(i + 1) % polygon.length] ?? a;
    return { i, a, b, left: Math.min(a[0], b[0]), right: Math.max(a[0], b[0]) };
  });
  // Edges by their left ends: only those that overlap from left to right can meet.
  edges.sort((one, other) => one.left - other.left || one.i - other.i);
  for (let j = 0; j < edges.length; j++) {
    const one = edges[j];
    for (let k = j + 1; one && k < edges.length; k++) {
      const other = edges[k];
      if (!other || other.left > one.right) break;
      const apart = Math.abs(one.i - other.i);
      if (apart === 1 || apart === polygon.length - 1) {
        if (foldsBack(polygon, one.i, other.i)) return inOrder(one.i, other.i);
      } else if (meet(one.a, one.b, other.a, other.b)) return inOrder(one.i, other.i);
    }
  }
  return null;
}

function inOrder(i: number, j: number): readonly [number, number] {
  return i < j ? [i, j] : [j, i];
}

/** Whether two neighbouring edges run back over each other. */
function foldsBack(polygon: readonly Point[], i: number, j: number): boolean {
  const first = (i + 1) % polygon.length === j ? i : j;
  const [a, b, c] = [0, 1, 2].map((step) => polygon[(first + step) % polygon.length]);
  if (!a || !b || !c) return false;
  const along = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]);
  return along < 0 && Math.abs(turn(a, b, c)) <= Math.abs(along) * 1e-9;
}

function meet(a: Point, b: Point, c: Point, d: Point): boolean {
  const [abc, abd, cda, cdb] = [turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b)];
  if (abc > 0 !== abd > 0 && abc !== 0 && abd !== 0 && cda > 0 !== cdb > 0 && cda !== 0 && cdb !== 0) {
    return true;
  }
  return (
    (abc === 0 && between(a, b, c)) ||
    (abd === 0 && between(a, b, d)) ||
    (cda === 0 && between(c, d, a)) ||
    (cdb === 0 && between(c, d, b))
  );
}

/** For c on the line through a and b: whether it lies between them. */
function between(a: Point, b: Point, c: Point): boolean {
  return (
    c[0] >= Math.min(a[0], b[0]) &&
    c[0] <= Math.max(a[0], b[0]) &&
    c[1] >= Math.min(a[1], b[1]) &&
    c[1] <= Math.max(a[1], b[1])
  );
}
