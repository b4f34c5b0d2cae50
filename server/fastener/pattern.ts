import { inchOfFraction, inchOfMm, outOfTable, positive } from "./input.js";
import { layoutMinimum } from "./layout.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

/**
 * Rivets (2117, protruding) per inch of width that a sheet needs.
 * @param sheet  material as the table names it, such as "5052"
 * @throws FASTENER_OUT_OF_TABLE where the table has no entry: it is never extended
 * @source AC 43.13-1B tables 4-10 and 4-11
 */
export function rivetsPerInch(
  sheet: string,
  thicknessMm: number,
  rivet: string,
): { readonly perInch: number; readonly source: Citation } {
  const inch = inchOfMm(positive("thicknessMm", thicknessMm));
  const row = tables.rivetsPerInch.rows.find(
    (candidate) =>
      candidate.sheet === sheet && candidate.rivet === rivet && Math.abs(candidate.gauge - inch) < 0.0005,
  );
  if (!row) {
    throw outOfTable("rivets-per-inch", `No entry for ${inch.toFixed(3)} in ${sheet} with ${rivet} rivets.`);
  }
  return { perInch: row.perInch, source: row.source };
}

/** Share of the table's rivets that a kind of joint needs: "stringer", "frame" or "lap". */
export function jointFactor(joint: string): { readonly factor: number; readonly source: Citation } {
  const row = tables.rivetsPerInchFactors.rows.find((candidate) => candidate.joint === joint);
  if (!row) throw outOfTable("rivets-per-inch-factors", `The table has no factor for a ${joint} joint.`);
  return { factor: row.factor, source: row.source };
}

/** Rivets for a lap splice of the given width: the reduced rate, rounded to a tenth as printed, times the width. */
export function lapSpliceCount(perInch: number, factor: number, widthInch: number): number {
  const rate = Math.round(positive("perInch", perInch) * positive("factor", factor) * 10) / 10;
  return Math.ceil(rate * positive("widthInch", widthInch) - 1e-9);
}

/** Rivets for one leg of a frame or stringer splice: rounded up before and after the reduction, as printed. */
export function legSpliceCount(perInch: number, factor: number, widthInch: number): number {
  const whole = Math.ceil(positive("perInch", perInch) * positive("widthInch", widthInch) - 1e-9);
  return Math.ceil(whole * positive("factor", factor) - 1e-9);
}

/** Most rivets that two staggered rows take over a width at their least pitch. */
export function doubleRowCapacity(rivet: string, widthInch: number): number {
  const pitch = layoutMinimum(inchOfFraction(rivet), "protruding", "two").pitchMm;
  return 2 * Math.floor(positive("widthInch", widthInch) / pitch + 1e-9);
}
