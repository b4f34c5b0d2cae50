import type { Spot } from "./findings.js";
import type { Length } from "./schema.js";
import type { Vec } from "./types.js";
import { MM_PER_INCH, parseLength, sayLength, type Units } from "./units.js";
import { times } from "./vec.js";

/**
 * What sizes of each sort can be on a light metal aircraft, mm: wide enough for any of them, narrow enough
 * that inches taken for millimetres (or the other way round) fall outside. Common practice, no source.
 */
const SIZES = {
  thickness: { what: "A sheet's thickness", least: 0.2, most: 12, zero: false },
  rivetDiameter: { what: "A rivet's diameter", least: 1, most: 13, zero: false },
  hole: { what: "A hole's diameter", least: 1, most: 13, zero: false },
  headHeight: { what: "A head's height", least: 0.2, most: 8, zero: true },
  sunkHeight: { what: "A flush head's height in the sheet", least: 0.3, most: 8, zero: false },
  headDiameter: { what: "A head's diameter", least: 1.5, most: 30, zero: false },
  leastGrip: { what: "A rivet's grip", least: 0.2, most: 80, zero: true },
  mostGrip: { what: "A rivet's grip", least: 0.4, most: 80, zero: false },
  roomRadius: { what: "The radius of a tool's room", least: 1, most: 200, zero: false },
  roomLength: { what: "The length of a tool's room", least: 1, most: 1500, zero: false },
  roomStart: { what: "The start of a tool's room", least: 0.1, most: 1500, zero: true },
  clearance: { what: "A clearance", least: 0.1, most: 50, zero: true },
  gap: { what: "A gap to a neighbour", least: 0.05, most: 200, zero: true },
  gapTolerance: { what: "A gap's tolerance", least: 0.01, most: 10, zero: true },
  headMargin: { what: "The margin above a head", least: 0.1, most: 50, zero: false },
} as const;

export type SizeKind = keyof typeof SIZES;

/** The sizes of one sort that a kit may state, mm: no rule needs to reckon with others. */
export function limitsOf(kind: SizeKind): { readonly leastMm: number; readonly mostMm: number } {
  const { least, most, zero } = SIZES[kind];
  return { leastMm: zero ? 0 : least, mostMm: most };
}

/**
 * A size in mm.
 * @returns NaN when it cannot be used; that is noted, and no comparison with NaN notes anything further
 */
export function readSize(value: Length, kind: SizeKind, units: Units, spot: Spot): number {
  const mm = spot.attempt(() => parseLength(value, units));
  if (mm === null) return Number.NaN;
  const { what, least, most, zero } = SIZES[kind];
  if (mm < 0 || (mm === 0 && !zero)) {
    spot.add(
      "SIZE_NOT_POSITIVE",
      `${what} must be ${zero ? "0 or more" : "more than 0"}, not ${value}.`,
      "Write the size from the drawing.",
    );
    return Number.NaN;
  }
  if (mm === 0 || (mm >= least && mm <= most)) return mm;
  const range = `${sayLength(least, units)} to ${sayLength(most, units)}`;
  const otherMm = units === "mm" ? mm * MM_PER_INCH : mm / MM_PER_INCH;
  if (typeof value === "number" && otherMm >= least && otherMm <= most) {
    const [here, other] = units === "mm" ? ["millimetres", "inches"] : ["inches", "millimetres"];
    spot.add(
      "UNITS_MIXED",
      `${what} is between ${range}; ${value} looks like ${other} in a file in ${here}.`,
      `Write the size in ${here}.`,
    );
  } else {
    spot.add(
      "SIZE_IMPLAUSIBLE",
      `${what} is between ${range}, not ${sayLength(mm, units)}.`,
      "Write the size from the drawing; look for a misplaced decimal point.",
    );
  }
  return Number.NaN;
}

/** A point or a stretch of the file in mm. */
export function readVec(value: Vec, units: Units): Vec {
  return units === "mm" ? [value[0], value[1], value[2]] : times(value, MM_PER_INCH);
}
