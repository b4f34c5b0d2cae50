import type { Layer, Rivet } from "../kit/types.js";
import { type FlushChoice, flushChoice } from "./flush.js";
import { inchOfFraction, mmOfInch, positive, SAME_SIZE_MM } from "./input.js";
import { type LayerWork, layerWork } from "./layer-work.js";
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

/** How the handbook would form a stack for a flush head. */
export interface FlushWay {
  readonly layers: readonly LayerWork[];
  readonly sources: readonly Citation[];
}

/**
 * The handbook's way for a whole stack: a layer at the head that is thick enough is countersunk and the others stay flat;
 * a thin one is dimpled, and every layer under it either is dimpled too or, where it is thick enough, takes the dimples in
 * a countersink of its own. Advice: it settles nothing.
 * @param layers  head side first
 * @returns null where a layer can be neither, or the gauges do not have the size: the kit maker decides
 * @throws FASTENER_INPUT
 * @source as `layerChoice`; dimple-combination (NAVEDTRA 14018, chapter 13, Flush Riveting)
 */
export function flushWay(
  rivetMm: number,
  layers: readonly Pick<Layer, "part" | "thicknessMm">[],
): FlushWay | null {
  const choices = layers.map(({ thicknessMm }) => layerChoice(rivetMm, thicknessMm));
  const [top, ...under] = choices;
  if (!top?.treatment) return null;
  const sources = (formed: readonly (FlushChoice | null)[]): Citation[] =>
    formed.flatMap((choice) => choice?.sources ?? []);
  if (top.treatment === "countersink")
    return { layers: layerWork(layers, "countersink", null), sources: sources([top]) };
  const thick = under.findIndex((choice) => choice?.treatment !== "dimple");
  if (thick === -1) return { layers: layerWork(layers, "dimple", null), sources: sources(choices) };
  if (!under[thick]?.mayCountersink) return null;
  return {
    layers: layerWork(layers, "dimple", "countersink"),
    sources: [
      ...sources(choices.slice(0, thick + 2)),
      ...tables.flushStacks.rows.map(({ source }) => source),
    ],
  };
}

/** A layer that the handbook's limits do not let be formed as it is ruled. */
export interface OutsideLimits {
  readonly part: string;
  readonly thicknessMm: number;
  readonly act: "dimple" | "countersink";
  /** Another source would still dimple it. */
  readonly disputed: boolean;
  /** It is thick enough to take the dimples above it in a countersink of its own. */
  readonly maySink: boolean;
}

/**
 * Of the layers that are formed: those too thick for a cold dimple, and those too thin for a countersink; above the sizes
 * that the gauges have, every one of them.
 * @throws FASTENER_OUT_OF_TABLE, FASTENER_INPUT
 * @source as `layerChoice`; dimple-combination (NAVEDTRA 14018): a dimpled top sheet may sit in a machine countersink
 */
export function outsideLimits(rivetMm: number, layers: readonly LayerWork[]): readonly OutsideLimits[] {
  return layers.flatMap(({ part, thicknessMm, act, isTop }) => {
    if (act === null) return [];
    const choice = layerChoice(rivetMm, thicknessMm);
    const serves = act === "dimple" ? choice?.mayDimple : choice?.mayCountersink;
    if (serves) return [];
    const maySink = act === "dimple" && !isTop && (choice?.mayCountersink ?? false);
    const disputed = act === "dimple" && (choice?.disputed ?? false);
    return [{ part, thicknessMm, act, disputed, maySink }];
  });
}

function isInchSize(mm: number): boolean {
  const above = inchSizeAbove(mm);
  return above !== null && Math.abs(mmOfInch(inchOfFraction(above)) - mm) <= SAME_SIZE_MM;
}
