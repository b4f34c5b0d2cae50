import { MM_PER_INCH } from "../kit/units.js";
import { Problem } from "../problem.js";

/** Sizes count as the same within this: half a thousandth of an inch, in mm. */
export const SAME_SIZE_MM = 0.0127;

export function mmOfInch(inch: number): number {
  return inch * MM_PER_INCH;
}

export function inchOfMm(mm: number): number {
  return mm / MM_PER_INCH;
}

/** `"5/32"` → 0.15625. Only plain fractions, as tables name rivets. */
export function inchOfFraction(fraction: string): number {
  const [top, bottom] = fraction.split("/").map(Number);
  if (!top || !bottom) throw inputProblem("rivet", fraction, "a fraction of an inch such as 1/8");
  return top / bottom;
}

/**
 * The value itself when it is a usable size.
 * @throws FASTENER_INPUT for text, NaN, infinite, zero or negative values, naming the field
 */
export function positive(field: string, value: unknown): number {
  if (typeof value !== "number" || !Number.isFinite(value) || value <= 0) {
    throw inputProblem(field, value, "a number above zero");
  }
  return value;
}

export function inputProblem(field: string, value: unknown, wanted: string): Problem {
  return new Problem("FASTENER_INPUT", `${field} is ${JSON.stringify(value) ?? String(value)}.`, {
    where: { pointer: `/${field}` },
    fix: `Give ${wanted}.`,
  });
}

/** What was asked lies outside a published table: the program refuses and never extends the table. */
export function outOfTable(table: string, what: string): Problem {
  return new Problem("FASTENER_OUT_OF_TABLE", what, {
    where: { file: `kb/tables/${table}.json` },
    fix: "Take the kit maker's figure; where there is none, ask the designer.",
  });
}
