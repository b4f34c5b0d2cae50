import { edgeDistance, flatten, isInside } from "./polygon.js";
import type { DrawnHole, DrawnRow } from "./rows.js";
import type { FlatSheet } from "./sheets.js";
import type { Vec } from "./types.js";
import { dot, minus, plus, times } from "./vec.js";

/** A sheet lies over a head when its near face is no higher than this above the head-side surface, mm. */
const OVER_WITHIN_MM = 2;
/** Drawing accuracy: a sheet on the surface may be drawn so much into it, mm. */
const INTO_MM = 0.1;
const PARALLEL_COSINE = Math.cos((5 * Math.PI) / 180);
/** Side of the cells that holes are sorted into, mm: about a bay, so that a sheet meets few of them. */
const CELL_MM = 100;

interface Place {
  readonly hole: DrawnHole;
  readonly normal: Vec;
  readonly stackParts: ReadonlySet<string>;
}

/**
 * For each hole whose head ends up under a sheet of a part outside its stack: that part, the nearest one if
 * there are several (then the first by id). A head that only reaches under the sheet's edge counts too.
 */
export function coversOf(
  rows: readonly DrawnRow[],
  sheets: readonly FlatSheet[],
): ReadonlyMap<string, string> {
  const cells = sortIntoCells(rows);
  const best = new Map<string, { part: string; offMm: number }>();
  for (const sheet of sheets) {
    for (const place of near(cells, sheet)) {
      const offMm = heightOver(sheet, place);
      if (offMm === null) continue;
      const known = best.get(place.hole.id);
      if (!known || offMm < known.offMm || (offMm === known.offMm && sheet.part < known.part)) {
        best.set(place.hole.id, { part: sheet.part, offMm });
      }
    }
  }
  return new Map([...best].map(([hole, { part }]) => [hole, part]));
}

/** Height of the sheet's near face above the hole's surface, mm; null when it does not lie over the head. */
function heightOver(flat: FlatSheet, { hole, normal, stackParts }: Place): number | null {
  if (stackParts.has(flat.part)) return null;
  const cosine = dot(flat.plane.normal, normal);
  if (Math.abs(cosine) < PARALLEL_COSINE) return null;
  const middleMm = dot(minus(flat.plane.origin, hole.at), flat.plane.normal) / cosine;
  const offMm = middleMm - flat.sheet.thicknessMm / 2;
  if (!(offMm >= -INTO_MM && offMm <= OVER_WITHIN_MM)) return null;
  const point = flatten(flat.plane, plus(hole.at, times(normal, middleMm)));
  if (isInside(flat.polygon, point)) return offMm;
  const headMm = (hole.callout.rivet?.headDiameterMm ?? 0) / 2;
  return edgeDistance(flat.polygon, point) < headMm ? offMm : null;
}

type Cells = ReadonlyMap<string, readonly Place[]>;

function sortIntoCells(rows: readonly DrawnRow[]): Cells {
  const cells = new Map<string, Place[]>();
  for (const { holes, normal } of rows) {
    const known = new Map<unknown, ReadonlySet<string>>();
    for (const hole of holes) {
      const { stack } = hole.callout;
      const stackParts = known.get(stack) ?? new Set(stack.flatMap((layer) => layer?.part ?? []));
      known.set(stack, stackParts);
      const key = hole.at.map((value) => Math.floor(value / CELL_MM)).join(" ");
      const cell = cells.get(key);
      const place = { hole, normal, stackParts };
      if (cell) cell.push(place);
      else cells.set(key, [place]);
    }
  }
  return cells;
}

/** Holes in the cells that the sheet, grown by the greatest reach of a head, comes into. */
function* near(cells: Cells, { sheet }: FlatSheet): Generator<Place> {
  const reachMm = OVER_WITHIN_MM + sheet.thicknessMm + 20;
  const [least, most] = [0, 1].map((end) =>
    [0, 1, 2].map((axis) => {
      const values = sheet.outline.map((point) => point[axis] ?? 0);
      const bound = end === 0 ? Math.min(...values) - reachMm : Math.max(...values) + reachMm;
      return Math.floor(bound / CELL_MM);
    }),
  ) as [number[], number[]];
  const [x0 = 0, y0 = 0, z0 = 0] = least;
  const [x1 = 0, y1 = 0, z1 = 0] = most;
  if ((x1 - x0 + 1) * (y1 - y0 + 1) * (z1 - z0 + 1) > cells.size) {
    for (const cell of cells.values()) yield* cell;
    return;
  }
  for (let x = x0; x <= x1; x++) {
    for (let y = y0; y <= y1; y++) {
      for (let z = z0; z <= z1; z++) yield* cells.get(`${x} ${y} ${z}`) ?? [];
    }
  }
}
