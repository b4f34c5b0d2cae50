import { mmOfInch, outOfTable, positive } from "./input.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

/** How deep a hole's edge may be broken. */
export interface Chamfer {
  readonly mostMm: number;
  readonly source: Citation;
}

/**
 * Deepest deburring chamfer of a sheet: a tenth of it, at most 0.032 inch.
 * @throws FASTENER_INPUT
 * @source hole-deburr-limit (MIL-R-47196A, quoted)
 */
export function chamferLimit(thicknessMm: number): Chamfer {
  const row = tables.deburring.rows[0];
  if (!row) throw outOfTable("deburring", "The deburring table is empty.");
  const mostMm = Math.min(row.maxFraction * positive("thicknessMm", thicknessMm), mmOfInch(row.max));
  return { mostMm, source: row.source };
}
