import type { Layer, Rivet } from "../kit/types.js";
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

/** A layer that the handbook's limits do not let be formed as it is ruled. */
export interface OutsideLimits {
  readonly part: string;
  readonly thicknessMm: number;
  /** It is thick enough to take the dimples above it in a countersink of its own. */
  readonly maySink: boolean;
}

/**
 * The layers that are too thick for a cold dimple, or the one under the head that is too thin for a countersink;
 * above the sizes that the gauges have, every one of them.
 * @param layers  head side first
 * @throws FASTENER_OUT_OF_TABLE, FASTENER_INPUT
 * @source as `layerChoice`; dimple-combination (NAVEDTRA 14018): a dimpled top sheet may sit in a machine countersink
 */
export function outsideLimits(
  act: "dimple" | "countersink",
  rivetMm: number,
  layers: readonly Pick<Layer, "part" | "thicknessMm">[],
): readonly OutsideLimits[] {
  const formed = act === "dimple" ? layers : layers.slice(0, 1);
  return formed.flatMap(({ part, thicknessMm }, i) => {
    const choice = layerChoice(rivetMm, thicknessMm);
    const serves = act === "dimple" ? choice?.mayDimple : choice?.mayCountersink;
    if (serves) return [];
    return [{ part, thicknessMm, maySink: act === "dimple" && i > 0 && (choice?.mayCountersink ?? false) }];
  });
}

function isInchSize(mm: number): boolean {
  const above = inchSizeAbove(mm);
  return above !== null && Math.abs(mmOfInch(inchOfFraction(above)) - mm) <= SAME_SIZE_MM;
}
