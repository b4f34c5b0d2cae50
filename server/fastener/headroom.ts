import { type Figure, sumOf } from "./figure.js";
import { inputProblem, positive } from "./input.js";
import type { Citation } from "./table.js";

/** A gap to a neighbouring surface at one place of its travel. */
export interface GapAt {
  /** "neutral", "25° up"; null for a surface that does not move. */
  readonly position: string | null;
  readonly gapMm: number;
  /** How much less it may be in the worst case, mm. */
  readonly toleranceMm: number;
}

export interface Headroom {
  readonly verdict: "clears" | "does not clear";
  /** Least room left above the head over all positions, worst case. */
  readonly leaves: Figure;
  readonly at: GapAt;
  readonly marginMm: number;
  /** True when the nominal sizes clear and only the worst case does not. */
  readonly onlyWorstCase: boolean;
}

/**
 * Room between a head at its highest and a neighbouring surface, over the whole travel and with every
 * tolerance against the builder.
 * @param gaps       one per position; at least one
 * @param headMm     greatest height of the head; 0 for a flush one
 * @param marginMm   room that must be left
 * @throws FASTENER_INPUT
 */
export function headroom(
  gaps: readonly GapAt[],
  headMm: number,
  marginMm: number,
  headSources: readonly Citation[] = [],
): Headroom {
  if (!Number.isFinite(headMm) || headMm < 0)
    throw inputProblem("headMm", headMm, "a height, 0 for a flush head");
  positive("marginMm", marginMm);
  const worst = gaps
    .map((gap, i) => {
      const gapMm = positive(`gaps/${i}/gapMm`, gap.gapMm);
      if (!Number.isFinite(gap.toleranceMm) || gap.toleranceMm < 0) {
        throw inputProblem(`gaps/${i}/toleranceMm`, gap.toleranceMm, "a tolerance of 0 or more");
      }
      return { gap, leastMm: gapMm - gap.toleranceMm };
    })
    .sort((a, b) => a.leastMm - b.leastMm)[0];
  if (!worst) throw inputProblem("gaps", gaps, "at least one gap");
  const leaves = sumOf(
    "mm",
    [
      { what: "gap", sign: 1, value: worst.gap.gapMm },
      ...(worst.gap.toleranceMm > 0
        ? [{ what: "tolerance of the gap", sign: -1 as const, value: worst.gap.toleranceMm }]
        : []),
      { what: "head at its highest", sign: -1, value: headMm },
    ],
    headSources,
  );
  // Sums on paper are exact to a micrometre; binary fractions are not.
  const clears = (mm: number): boolean => mm >= marginMm - 1e-6;
  return {
    verdict: clears(leaves.value) ? "clears" : "does not clear",
    leaves,
    at: worst.gap,
    marginMm,
    onlyWorstCase: !clears(leaves.value) && clears(leaves.value + worst.gap.toleranceMm),
  };
}
