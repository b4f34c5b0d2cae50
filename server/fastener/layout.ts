import type { HeadForm } from "../kit/types.js";
import { Problem } from "../problem.js";
import { inputProblem, outOfTable, positive } from "./input.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

/** Least edge distance and pitch for one rivet size, mm. */
export interface LayoutMinimum {
  readonly edgeMm: number;
  readonly pitchMm: number;
  readonly edgeDiameters: number;
  readonly pitchDiameters: number;
  /** Between two rows side by side. */
  readonly rowGapMm: number;
  readonly sources: readonly Citation[];
}

/** How many rows of rivets lie side by side. */
export type RowCount = "one" | "two" | "three or more";

/**
 * Least edge distance (2 D, flush 2.5 D) and pitch (3 D in one row, 4 D in two staggered) of a rivet, and the least
 * distance between rows (2.5 D: the larger of two that are printed).
 * @source layout-single-row-min (AC 43.13-1B par. 4-57c, quoted), layout-army-spacing (AL0992, flush heads),
 *         layout-double-row-min, layout-army-row-gap
 */
export function layoutMinimum(rivetMm: number, head: HeadForm, rows: RowCount = "one"): LayoutMinimum {
  positive("rivetMm", rivetMm);
  const row = tables.layout.rows.find((candidate) => candidate.rows === rows);
  const flush = tables.layout.rows.find((candidate) => candidate.edgeMinFlush !== undefined);
  const [gap] = tables.layout.rows
    .filter(({ rowGapMin }) => rowGapMin !== undefined)
    .sort((a, b) => (b.rowGapMin ?? 0) - (a.rowGapMin ?? 0));
  if (row?.edgeMin === undefined || row.pitchMin === undefined || flush?.edgeMinFlush === undefined || !gap) {
    throw outOfTable("layout", `The layout table has no least values for ${rows} rows.`);
  }
  const edgeDiameters = head === "flush" ? Math.max(flush.edgeMinFlush, row.edgeMin) : row.edgeMin;
  return {
    edgeMm: edgeDiameters * rivetMm,
    pitchMm: row.pitchMin * rivetMm,
    edgeDiameters,
    pitchDiameters: row.pitchMin,
    rowGapMm: (gap.rowGapMin ?? Number.NaN) * rivetMm,
    sources: [
      row.source,
      ...(head === "flush" ? [flush.source] : []),
      ...(rows === "one" ? [] : [gap.source]),
    ],
  };
}

/** A place in a sheet's own plane, mm. */
export type Place = readonly [x: number, y: number];

/**
 * Material left between a hole's centre and the nearest edge of its sheet.
 * @param centre   hole centre, mm in sheet axes
 * @param outline  closed outline, mm, at least three corners
 * @returns mm
 * @throws FASTENER_OFF_SHEET when the centre lies outside the outline; FASTENER_INPUT
 */
export function edgeDistanceMm(centre: Place, outline: readonly Place[]): number {
  if (outline.length < 3) throw inputProblem("outline", outline, "at least three corners");
  let least = Number.POSITIVE_INFINITY;
  let inside = false;
  outline.forEach((from, i) => {
    const to = outline[(i + 1) % outline.length] ?? from;
    least = Math.min(least, toSegment(centre, from, to));
    if (from[1] > centre[1] !== to[1] > centre[1]) {
      const x = from[0] + ((centre[1] - from[1]) / (to[1] - from[1])) * (to[0] - from[0]);
      if (centre[0] < x) inside = !inside;
    }
  });
  if (!inside) {
    throw new Problem("FASTENER_OFF_SHEET", `The hole centre ${centre.join(", ")} lies outside its sheet.`, {
      where: { pointer: "/centre" },
      fix: "Give a hole centre inside the sheet's outline.",
    });
  }
  return least;
}

function toSegment(point: Place, from: Place, to: Place): number {
  const along: Place = [to[0] - from[0], to[1] - from[1]];
  const squared = along[0] ** 2 + along[1] ** 2;
  const share =
    squared === 0
      ? 0
      : Math.min(
          1,
          Math.max(0, ((point[0] - from[0]) * along[0] + (point[1] - from[1]) * along[1]) / squared),
        );
  return Math.hypot(point[0] - from[0] - share * along[0], point[1] - from[1] - share * along[1]);
}
