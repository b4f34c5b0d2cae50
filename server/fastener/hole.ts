import { inchOfFraction, inchOfMm, mmOfInch, outOfTable, positive, SAME_SIZE_MM } from "./input.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

/** Limits of a finished hole, mm. */
export interface HoleLimits {
  readonly minMm: number;
  readonly maxMm: number;
  readonly source: Citation;
}

/** A standard drill. */
export interface Drill {
  /** `#30`, `F`, `1/8 in` or `4.1 mm`. */
  readonly name: string;
  readonly mm: number;
}

/** How a hole compares with its limits. */
export type HoleFit = "undersize" | "fits" | "oversize";

/**
 * Limits of the finished hole for a pulled rivet of this size.
 * @param rivetMm  nominal body diameter, mm
 * @throws FASTENER_OUT_OF_TABLE for a size that no table has; FASTENER_INPUT
 * @source kb/tables/pulled-metric-holes.json, pulled-inch-holes.json (the Army chart, see its `uses`)
 */
export function pulledHoleLimits(rivetMm: number): HoleLimits {
  positive("rivetMm", rivetMm);
  const metric = tables.pulledMetricHoles.rows.find((row) => Math.abs(row.rivet - rivetMm) < 0.005);
  if (metric) return { minMm: metric.min, maxMm: metric.max, source: metric.source };
  const inch = tables.pulledInchHoles.rows.find(
    (row) => Math.abs(mmOfInch(inchOfFraction(row.rivet)) - rivetMm) < 0.005,
  );
  if (inch) return { minMm: mmOfInch(inch.min), maxMm: mmOfInch(inch.max), source: inch.source };
  throw outOfTable("pulled-metric-holes", `No table has a pulled rivet of ${rivetMm} mm.`);
}

/** Whether a hole serves: within its limits, both included. */
export function holeFit(measuredMm: number, limits: Pick<HoleLimits, "minMm" | "maxMm">): HoleFit {
  positive("measuredMm", measuredMm);
  // Judged at the precision that sizes are printed in, so that 0.1285 in stays what it is after conversion.
  const slack = 1e-6;
  if (measuredMm < limits.minMm - slack) return "undersize";
  return measuredMm > limits.maxMm + slack ? "oversize" : "fits";
}

/**
 * Standard drills whose diameter lies within the limits, nearest to the middle first.
 * Metric drills step by 0.1 mm from 3.0, by 0.05 below (BS 328, quoted); number, letter and 1/64 inch
 * drills follow kb/tables/drills.json and arithmetic.
 */
export function drillsWithin(limits: Pick<HoleLimits, "minMm" | "maxMm">): readonly Drill[] {
  const middle = (limits.minMm + limits.maxMm) / 2;
  return allDrills()
    .filter((drill) => drill.mm >= limits.minMm - 1e-6 && drill.mm <= limits.maxMm + 1e-6)
    .sort((a, b) => Math.abs(a.mm - middle) - Math.abs(b.mm - middle) || a.name.localeCompare(b.name));
}

/** A standard drill of this very size, or null. */
export function drillOfSize(mm: number): Drill | null {
  const near = allDrills()
    .filter((drill) => Math.abs(drill.mm - mm) <= SAME_SIZE_MM)
    .sort((a, b) => Math.abs(a.mm - mm) - Math.abs(b.mm - mm));
  return near[0] ?? null;
}

/** One step of bringing a hole to its treatment. */
export interface HoleStep {
  readonly act: "drill" | "ream" | "dimple" | "countersink" | "deburr";
  readonly toMm: number | null;
  readonly why: string;
}

/**
 * The order of work at one hole. Thin sheet is dimpled at pilot size and opened afterwards when the pilot
 * is smaller than the final hole: forming stretches the hole, and drilling last cleans its edge.
 * @param punchedMm  hole as it is, mm
 * @param finalMm    hole as it must be, mm
 * @source dimple-order (wartime repair manual, par. 10a) for dimple before final drill; the kit maker's order goes first
 */
export function holeSequence(
  punchedMm: number,
  finalMm: number,
  treatment: "as punched" | "enlarge" | "dimple" | "countersink",
): readonly HoleStep[] {
  positive("punchedMm", punchedMm);
  positive("finalMm", finalMm);
  const deburr: HoleStep = { act: "deburr", toMm: null, why: "burrs keep the layers apart" };
  const open: HoleStep[] =
    finalMm > punchedMm + SAME_SIZE_MM
      ? [{ act: "drill", toMm: finalMm, why: `punched ${round(punchedMm)} mm, final ${round(finalMm)} mm` }]
      : [];
  if (treatment === "dimple") {
    const form: HoleStep = { act: "dimple", toMm: null, why: "every layer alike, layers apart" };
    return open.length > 0 ? [deburr, form, ...open, deburr] : [deburr, form];
  }
  if (treatment === "countersink") {
    return [...open, { act: "countersink", toMm: null, why: "with a stop, tried with a rivet" }, deburr];
  }
  return [...open, deburr];
}

function allDrills(): readonly Drill[] {
  return ALL_DRILLS;
}

const ALL_DRILLS: readonly Drill[] = [
  ...tables.drills.rows.map((row) => ({ name: row.drill, mm: mmOfInch(row.inch) })),
  ...Array.from({ length: 31 }, (_, i) => ({ name: fraction(i + 2, 64), mm: mmOfInch((i + 2) / 64) })),
  ...Array.from({ length: 40 }, (_, i) => (100 + 5 * i) / 100).map(metric),
  ...Array.from({ length: 110 }, (_, i) => (30 + i) / 10).map(metric),
];

function metric(mm: number): Drill {
  return { name: `${mm.toFixed(2).replace(/0$/, "")} mm`, mm };
}

function fraction(top: number, bottom: number): string {
  let [a, b] = [top, bottom];
  while (a % 2 === 0) [a, b] = [a / 2, b / 2];
  return `${a}/${b} in`;
}

function round(mm: number): number {
  return Math.round(mm * 1000) / 1000;
}

/** Inch size of a limit, for the other unit beside it. */
export function limitsInInch(limits: Pick<HoleLimits, "minMm" | "maxMm">): {
  readonly min: number;
  readonly max: number;
} {
  return { min: inchOfMm(limits.minMm), max: inchOfMm(limits.maxMm) };
}
