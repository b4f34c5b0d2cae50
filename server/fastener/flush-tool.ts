import type { Rivet } from "../kit/types.js";
import { type FlushChoice, flushChoice } from "./flush.js";
import { inchOfFraction, mmOfInch, positive, SAME_SIZE_MM } from "./input.js";
import { inchSizeAbove } from "./rivet-size.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

/** The included angle of a flush head, for its dies and its cutter. */
export interface HeadAngle {
  readonly degrees: number;
  readonly source: Citation;
}

/**
 * Angle of dies and cutter for a flush rivet.
 * @returns null where no table has one: the kit maker says it
 * @throws FASTENER_INPUT
 * @source kb/tables/head-angles.json
 */
export function headAngle({ kind, diameterMm }: Pick<Rivet, "kind" | "diameterMm">): HeadAngle | null {
  const series = isInchSize(positive("diameterMm", diameterMm)) ? "inch" : "metric";
  const row = tables.headAngles.rows.find((one) => one.kind === kind && one.series === series);
  return row ? { degrees: row.angle, source: row.source } : null;
}

/**
 * Whether a layer may be dimpled or countersunk for a rivet, by the inch size that the gauges have for it.
 * @returns null above the largest size of the gauges
 * @throws FASTENER_OUT_OF_TABLE, FASTENER_INPUT
 */
export function layerChoice(rivetMm: number, thicknessMm: number): FlushChoice | null {
  const inch = inchSizeAbove(rivetMm);
  const known = inch !== null && tables.countersinkGauges.rows.some(({ rivet }) => rivet === inch);
  return known ? flushChoice(inch, thicknessMm) : null;
}

function isInchSize(mm: number): boolean {
  const above = inchSizeAbove(mm);
  return above !== null && Math.abs(mmOfInch(inchOfFraction(above)) - mm) <= SAME_SIZE_MM;
}
