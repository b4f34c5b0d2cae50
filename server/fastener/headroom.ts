import { type Figure, sumOf } from "./figure.js";
import { inputProblem } from "./input.js";
import type { Citation } from "./table.js";

/** A gap to a neighbouring surface at one place of its travel. */
export interface GapAt {
  /** "neutral", "25° up"; null for a surface that does not move. */
  readonly position: string | null;
  readonly gapMm: number;
  /** How much less it may be in the worst case, mm. */
  readonly toleranceMm: number;
}

/** Least room above a head over a travel, with the place where it is least. */
export interface LeastRoom {
  readonly leaves: Figure;
  readonly at: GapAt;
}

/**
 * Room that is left above a head at its highest where it is least: over the whole travel, and with every
 * tolerance against the builder.
 * @param gaps    one per position; at least one
 * @param headMm  greatest height of the head; 0 for a flush one
 * @returns mm; less than 0 where the head would touch
 * @throws FASTENER_INPUT
 */
export function leastRoom(
  gaps: readonly GapAt[],
  headMm: number,
  headSources: readonly Citation[] = [],
): LeastRoom {
  notNegative("headMm", headMm, "a height, 0 for a flush head");
  const worst = gaps
    .map((gap, i) => {
      notNegative(`gaps/${i}/gapMm`, gap.gapMm, "a gap of 0 or more");
      notNegative(`gaps/${i}/toleranceMm`, gap.toleranceMm, "a tolerance of 0 or more");
      return { gap, leastMm: gap.gapMm - gap.toleranceMm };
    })
    .sort((a, b) => a.leastMm - b.leastMm)[0];
  if (!worst) throw inputProblem("gaps", gaps, "at least one gap");
  const leaves = sumOf(
    "mm",
    [
      { what: "gap", sign: 1, value: worst.gap.gapMm },
      ...(worst.gap.toleranceMm > 0
        ? [{ what: "tolerance", sign: -1 as const, value: worst.gap.toleranceMm }]
        : []),
      { what: "head", sign: -1, value: headMm },
    ],
    headSources,
  );
  return { leaves, at: worst.gap };
}

function notNegative(field: string, value: number, wanted: string): void {
  if (typeof value !== "number" || !Number.isFinite(value) || value < 0)
    throw inputProblem(field, value, wanted);
}
