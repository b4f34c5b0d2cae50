import type { Vec } from "./types.js";

/** Arithmetic of points and directions in space. */
export function plus(a: Vec, b: Vec): Vec {
  return [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
}

export function minus(a: Vec, b: Vec): Vec {
  return [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
}

export function times(a: Vec, factor: number): Vec {
  return [a[0] * factor, a[1] * factor, a[2] * factor];
}

export function dot(a: Vec, b: Vec): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/** Right-handed: x × y = z. */
export function cross(a: Vec, b: Vec): Vec {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

export function lengthOf(a: Vec): number {
  return Math.hypot(a[0], a[1], a[2]);
}

export function distance(a: Vec, b: Vec): number {
  return lengthOf(minus(a, b));
}

/** The same direction with length 1; null for a vector so short that it has none (shorter than 1e-9). */
export function unit(a: Vec): Vec | null {
  const length = lengthOf(a);
  return length > 1e-9 && Number.isFinite(length) ? times(a, 1 / length) : null;
}

/** The points' mean; the origin when there are none. */
export function centre(points: readonly Vec[]): Vec {
  return times(points.reduce(plus, [0, 0, 0]), 1 / Math.max(1, points.length));
}
