import type { HeadForm } from "../kit/types.js";
import { outOfTable, positive } from "./input.js";
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
