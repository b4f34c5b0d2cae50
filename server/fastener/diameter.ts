import { inchOfFraction, mmOfInch, outOfTable, positive } from "./input.js";
import type { Citation, Sourced } from "./table.js";
import { tables } from "./tables.js";

/** Standard solid rivet sizes, inch, smallest first. */
export const SOLID_SIZES = ["1/16", "3/32", "1/8", "5/32", "3/16", "1/4"] as const;

type DiameterRow = Sourced<(typeof tables.rivetDiameters.rows)[number]>;

function rule(what: string, bound: "minFactor" | "maxFactor"): DiameterRow {
  const row = tables.rivetDiameters.rows.find(
    (candidate) => candidate.what === what && candidate[bound] !== null,
  );
  if (!row) throw outOfTable("rivet-diameters", `The table has no ${bound} for a ${what}.`);
  return row;
}

/** A starting size from the sheet's thickness. */
export interface SheetDiameter {
  readonly threeThicknessesMm: number;
  /** Next standard size at or above it; null when the largest of the table is smaller. */
  readonly rivet: string | null;
  readonly source: Citation;
}

/**
 * Size to start from when designing a splice: three times the sheet, then the next standard size up.
 * The drawing decides; this says only whether a size is in the usual range.
 * @param thicknessMm  the thicker sheet
 * @source dia-three-times-thickness (AC 43.13-1B par. 4-58g)
 */
export function sheetDiameter(thicknessMm: number): SheetDiameter {
  positive("thicknessMm", thicknessMm);
  const row = rule("sheet", "minFactor");
  const threeThicknessesMm = (row.minFactor ?? Number.NaN) * thicknessMm;
  const rivet =
    SOLID_SIZES.find((size) => mmOfInch(inchOfFraction(size)) >= threeThicknessesMm - 1e-6) ?? null;
  return { threeThicknessesMm, rivet, source: row.source };
}

/** Sizes that a stringer's leg takes. */
export interface StringerDiameter {
  readonly minMm: number;
  readonly maxMm: number;
  /** A quarter of the leg's width: never larger. */
  readonly capMm: number;
  readonly fits: (rivet: string) => boolean;
}

/**
 * Rivet size in a stringer's leg: two to three times its thickness, never above a quarter of its width.
 * @source dia-stringer (AC 43.13-1B)
 */
export function stringerDiameter(legThicknessMm: number, legWidthMm: number): StringerDiameter {
  positive("legThicknessMm", legThicknessMm);
  positive("legWidthMm", legWidthMm);
  const leg = rule("stringer", "minFactor");
  const width = rule("stringer width", "maxFactor");
  const minMm = (leg.minFactor ?? Number.NaN) * legThicknessMm;
  const maxMm = (leg.maxFactor ?? Number.NaN) * legThicknessMm;
  const capMm = (width.maxFactor ?? Number.NaN) * legWidthMm;
  const fits = (rivet: string): boolean => {
    const mm = mmOfInch(inchOfFraction(rivet));
    return mm >= minMm - 1e-6 && mm <= maxMm + 1e-6 && mm <= capMm + 1e-6;
  };
  return { minMm, maxMm, capMm, fits };
}

/** Least solid rivet through a tube: an eighth of its outside diameter. @source dia-tube (AC 43.13-1B) */
export function tubeDiameterMm(outsideMm: number): number {
  return (rule("tube", "minFactor").minFactor ?? Number.NaN) * positive("outsideMm", outsideMm);
}

/**
 * Size of a 2117 rivet that may stand in for another alloy's.
 * @param alloy  "2017" or "2024"
 * @returns mm; null where no substitution is allowed at that size
 * @throws FASTENER_OUT_OF_TABLE for an alloy that the table does not have
 * @source damage-substitution (AC 43.13-1B)
 */
export function substituteMm(alloy: string, rivet: string): number | null {
  const row = tables.substitutions.rows.find((candidate) => candidate.alloy === alloy);
  if (!row) throw outOfTable("substitutions", `The table has no substitute for ${alloy} rivets.`);
  const inch = inchOfFraction(rivet);
  return inch <= row.maxDia + 1e-9 ? mmOfInch(inch + row.increase) : null;
}

/**
 * Deepest deburring chamfer: a tenth of the sheet, at most 0.032 inch.
 * @source hole-deburr-limit (MIL-R-47196A, quoted)
 */
export function chamferLimitMm(thicknessMm: number): number {
  const row = tables.deburring.rows[0];
  if (!row) throw outOfTable("deburring", "The deburring table is empty.");
  return Math.min(row.maxFraction * positive("thicknessMm", thicknessMm), mmOfInch(row.max));
}
