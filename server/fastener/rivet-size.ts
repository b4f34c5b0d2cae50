import type { RivetKind } from "../kit/types.js";
import { inchOfFraction, mmOfInch, positive, SAME_SIZE_MM } from "./input.js";
import { tables } from "./tables.js";

/** Standard solid rivet sizes, inch, smallest first. */
const SOLID_SIZES = ["1/16", "3/32", "1/8", "5/32", "3/16", "1/4"] as const;

/** A nominal rivet size that a table has. */
export interface RivetSize {
  /** `1/8` for an inch size, `3.2` for a metric one. */
  readonly name: string;
  readonly series: "inch" | "metric";
  readonly mm: number;
}

/**
 * Nominal sizes for which a table has holes or drills, smallest first.
 * @param kind  solid rivets come in inch sizes only here; pulled ones in both
 */
export function tableSizes(kind: RivetKind): readonly RivetSize[] {
  const inch = kind === "solid" ? tables.solidDrills.rows : tables.pulledInchHoles.rows;
  const names = [...new Set(inch.map(({ rivet }) => rivet))];
  const metric = kind === "solid" ? [] : tables.pulledMetricHoles.rows.map(({ rivet }) => rivet);
  return [
    ...names.map((name): RivetSize => ({ name, series: "inch", mm: mmOfInch(inchOfFraction(name)) })),
    ...metric.map((mm): RivetSize => ({ name: mm.toFixed(1), series: "metric", mm })),
  ].sort((a, b) => a.mm - b.mm);
}

/**
 * The nominal size that a length states, half a thousandth of an inch allowed for the writing: 0.125 in is 1/8,
 * 3.2 mm is metric 3.2 and never 1/8, which is 3.175 mm.
 * @returns null when no table has a rivet of that size
 * @throws FASTENER_INPUT
 */
export function tableSizeOf(mm: number, kind: RivetKind): RivetSize | null {
  positive("mm", mm);
  const near = tableSizes(kind)
    .filter((size) => Math.abs(size.mm - mm) <= SAME_SIZE_MM)
    .sort((a, b) => Math.abs(a.mm - mm) - Math.abs(b.mm - mm));
  return near[0] ?? null;
}

/** The inch size by which inch-only tables are read: the same size, or the next one above it; null above them all. */
export function inchSizeAbove(mm: number): string | null {
  positive("mm", mm);
  return SOLID_SIZES.find((name) => mmOfInch(inchOfFraction(name)) >= mm - SAME_SIZE_MM) ?? null;
}
