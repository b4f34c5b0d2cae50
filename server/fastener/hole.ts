import { mmOfInch, positive, SAME_SIZE_MM } from "./input.js";
import { tables } from "./tables.js";

/** Limits of a finished hole. */
export interface HoleLimits {
  readonly minMm: number;
  readonly maxMm: number;
}

/** A standard drill. */
export interface Drill {
  /** `#30`, `F`, `1/8 in` or `4.1 mm`. */
  readonly name: string;
  readonly mm: number;
}

/** How a hole compares with its limits. */
export type HoleFit = "undersize" | "fits" | "oversize";

/** Whether a hole serves: within its limits, both included. */
export function holeFit(measuredMm: number, limits: HoleLimits): HoleFit {
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
export function drillsWithin(limits: HoleLimits): readonly Drill[] {
  const middle = (limits.minMm + limits.maxMm) / 2;
  // To a micrometre, so that of two drills as far from it the smaller goes first: none cuts smaller than itself.
  const off = ({ mm }: Drill): number => Math.round(Math.abs(mm - middle) * 1000);
  return ALL_DRILLS.filter(
    (drill) => drill.mm >= limits.minMm - 1e-6 && drill.mm <= limits.maxMm + 1e-6,
  ).sort((a, b) => off(a) - off(b) || a.mm - b.mm || a.name.localeCompare(b.name));
}

/** A standard drill of this very size, or null. */
export function drillOfSize(mm: number): Drill | null {
  const near = ALL_DRILLS.filter((drill) => Math.abs(drill.mm - mm) <= SAME_SIZE_MM).sort(
    (a, b) => Math.abs(a.mm - mm) - Math.abs(b.mm - mm),
  );
  return near[0] ?? null;
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
