import type { Vec } from "../kit/types.js";
import type { Cylinder } from "./distance.js";

/** A box along the assembly's axes, mm. */
export interface Box {
  readonly min: Vec;
  readonly max: Vec;
}

type Node = Box & ({ readonly items: readonly number[] } | { readonly left: Node; readonly right: Node });

/** Boxes at the ends of the tree hold at most so many items: splitting further costs more than it saves. */
const LEAF_ITEMS = 4;

/** Boxes arranged so that those near a given box are found without looking at all of them. */
export interface BoxTree {
  /** Indices of the boxes that meet the given one (touching included), ascending. */
  near(box: Box): number[];
}

/** @param boxes  one for each item; the item's index is its name */
export function boxTree(boxes: readonly Box[]): BoxTree {
  const root = boxes.length === 0 ? null : grow(boxes, [...boxes.keys()]);
  return {
    near(box) {
      const found: number[] = [];
      const waiting: Node[] = root ? [root] : [];
      for (let node = waiting.pop(); node; node = waiting.pop()) {
        if (!overlap(node, box)) continue;
        if ("items" in node) {
          for (const item of node.items) if (overlap(boxes[item] ?? node, box)) found.push(item);
        } else waiting.push(node.left, node.right);
      }
      return found.sort((a, b) => a - b);
    },
  };
}

/** Splits at the median of the middles, across the axis along which they spread widest. */
function grow(boxes: readonly Box[], items: readonly number[]): Node {
  const own = items.map((item) => boxes[item]).filter((box) => box !== undefined);
  const around = boxAround(own.flatMap(({ min, max }) => [min, max]));
  if (items.length <= LEAF_ITEMS) return { ...around, items };
  const middle = (item: number, axis: 0 | 1 | 2): number => {
    const box = boxes[item];
    return box ? box.min[axis] + box.max[axis] : 0;
  };
  const spread = ([0, 1, 2] as const).map((axis) => {
    const middles = items.map((item) => middle(item, axis));
    return {
      axis,
      width: middles.reduce((a, b) => Math.max(a, b)) - middles.reduce((a, b) => Math.min(a, b)),
    };
  });
  const { axis } = spread.reduce((widest, next) => (next.width > widest.width ? next : widest));
  const sorted = [...items].sort((a, b) => middle(a, axis) - middle(b, axis) || a - b);
  const half = sorted.length >> 1;
  return { ...around, left: grow(boxes, sorted.slice(0, half)), right: grow(boxes, sorted.slice(half)) };
}

function overlap(a: Box, b: Box): boolean {
  return (
    a.min[0] <= b.max[0] &&
    b.min[0] <= a.max[0] &&
    a.min[1] <= b.max[1] &&
    b.min[1] <= a.max[1] &&
    a.min[2] <= b.max[2] &&
    b.min[2] <= a.max[2]
  );
}

/** The smallest box around points; turned inside out (and so meeting nothing) for none. */
export function boxAround(points: readonly Vec[]): Box {
  const min: [number, number, number] = [Infinity, Infinity, Infinity];
  const max: [number, number, number] = [-Infinity, -Infinity, -Infinity];
  for (const point of points) {
    for (const axis of [0, 1, 2] as const) {
      min[axis] = Math.min(min[axis], point[axis]);
      max[axis] = Math.max(max[axis], point[axis]);
    }
  }
  return { min, max };
}

/** The smallest box around a cylinder, let out by a margin (mm). */
export function boxAroundCylinder({ start, axis, lengthMm, radiusMm }: Cylinder, marginMm: number): Box {
  const min: [number, number, number] = [0, 0, 0];
  const max: [number, number, number] = [0, 0, 0];
  for (const i of [0, 1, 2] as const) {
    const along = axis[i] * lengthMm;
    const out = radiusMm * Math.sqrt(Math.max(0, 1 - axis[i] * axis[i])) + marginMm;
    min[i] = start[i] + Math.min(0, along) - out;
    max[i] = start[i] + Math.max(0, along) + out;
  }
  return { min, max };
}
