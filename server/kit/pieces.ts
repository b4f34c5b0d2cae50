import { areaOf, isConvex, type Point, turn } from "./polygon.js";

/**
 * Cuts a simple polygon into convex pieces: ears cut off one by one, then pieces put together again
 * across a cut wherever the result stays convex (Hertel and Mehlhorn's idea).
 * @param polygon  corners either way round; must not cross itself
 * @returns        pieces as corner numbers, counter-clockwise; one piece for a convex polygon
 */
export function convexPieces(polygon: readonly Point[]): readonly (readonly number[])[] {
  const all = polygon.map((_, i) => i);
  if (areaOf(polygon) < 0) all.reverse();
  if (isConvex(polygon)) return [all];
  return putTogether(polygon, cutEars(polygon, all));
}

function cutEars(polygon: readonly Point[], corners: readonly number[]): number[][] {
  const left = [...corners];
  const ears: number[][] = [];
  while (left.length > 3) {
    const at = earAt(polygon, left);
    const ear = [left[(at + left.length - 1) % left.length], left[at], left[(at + 1) % left.length]];
    ears.push(ear.filter((corner) => corner !== undefined));
    left.splice(at, 1);
  }
  ears.push(left);
  return ears.filter((ear) => areaOf(pointsOf(polygon, ear)) > 0);
}

/** Position of a corner that can be cut off; among several the one with the widest angle gives fewer slivers. */
function earAt(polygon: readonly Point[], left: readonly number[]): number {
  let best = -1;
  let bestShape = -1;
  for (let i = 0; i < left.length; i++) {
    const [a, b, c] = [
      polygon[left[(i + left.length - 1) % left.length] ?? 0],
      polygon[left[i] ?? 0],
      polygon[left[(i + 1) % left.length] ?? 0],
    ];
    if (!a || !b || !c) continue;
    const area = turn(a, b, c);
    if (area < 0) continue;
    const holdsOther = left.some((corner) => {
      const point = polygon[corner];
      return point && point !== a && point !== b && point !== c && isInCorner(a, b, c, point);
    });
    if (holdsOther) continue;
    const longest = Math.max(squared(a, b), squared(b, c), squared(a, c));
    if (area / longest > bestShape) {
      best = i;
      bestShape = area / longest;
    }
  }
  return best === -1 ? 0 : best;
}

function squared(a: Point, b: Point): number {
  return (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2;
}

function isInCorner(a: Point, b: Point, c: Point, p: Point): boolean {
  return turn(a, b, p) >= 0 && turn(b, c, p) >= 0 && turn(c, a, p) >= 0;
}

function putTogether(polygon: readonly Point[], pieces: readonly number[][]): number[][] {
  const open = [...pieces];
  for (let i = 0; i < open.length; i++) {
    for (let j = i + 1; j < open.length; j++) {
      const joined = join(polygon, open[i] ?? [], open[j] ?? []);
      if (!joined) continue;
      open[i] = joined;
      open.splice(j, 1);
      // The larger piece may now fit one that was passed over.
      j = i;
    }
  }
  return open;
}

/** The two pieces as one, when they share an edge and the whole is convex. */
function join(polygon: readonly Point[], one: readonly number[], other: readonly number[]): number[] | null {
  for (let i = 0; i < one.length; i++) {
    const [from, to] = [one[i], one[(i + 1) % one.length]];
    const j = other.findIndex((corner, k) => corner === to && other[(k + 1) % other.length] === from);
    if (j === -1) continue;
    const round = one.map((_, k) => one[(i + 1 + k) % one.length] ?? 0);
    const inserted = other.map((_, k) => other[(j + 1 + k) % other.length] ?? 0).slice(1, -1);
    const joined = [...round, ...inserted];
    return isConvex(pointsOf(polygon, joined)) ? joined : null;
  }
  return null;
}

function pointsOf(polygon: readonly Point[], corners: readonly number[]): Point[] {
  return corners.map((corner) => polygon[corner]).filter((point) => point !== undefined);
}
