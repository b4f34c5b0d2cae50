import type { Vec } from "./types.js";
import { distance } from "./vec.js";

/**
 * Distance from each point to the nearest other one, mm; null for a point alone.
 * Looks outward along the longest axis, so a line of holes costs little more than sorting it.
 */
export function nearestDistances(points: readonly Vec[]): readonly (number | null)[] {
  const axis = longestAxis(points);
  const order = points
    .map((_, i) => i)
    .sort((i, j) => coordinate(points, i, axis) - coordinate(points, j, axis));
  const nearest: (number | null)[] = points.map(() => null);
  order.forEach((i, place) => {
    const here = points[i] as Vec;
    let best = Number.POSITIVE_INFINITY;
    for (const step of [-1, 1]) {
      for (let k = place + step; k >= 0 && k < order.length; k += step) {
        const other = points[order[k] ?? 0] as Vec;
        if (Math.abs(other[axis] - here[axis]) >= best) break;
        best = Math.min(best, distance(here, other));
      }
    }
    nearest[i] = points.length > 1 ? best : null;
  });
  return nearest;
}

function coordinate(points: readonly Vec[], i: number, axis: 0 | 1 | 2): number {
  return points[i]?.[axis] ?? 0;
}

function longestAxis(points: readonly Vec[]): 0 | 1 | 2 {
  const axes = [0, 1, 2] as const;
  const spans = axes.map((axis) => {
    let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (const point of points) {
      least = Math.min(least, point[axis]);
      most = Math.max(most, point[axis]);
    }
    return most - least;
  });
  return axes.reduce((best, axis) => ((spans[axis] ?? 0) > (spans[best] ?? 0) ? axis : best), 0);
}
