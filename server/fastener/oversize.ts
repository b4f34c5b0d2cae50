import type { HeadForm } from "../kit/types.js";
import { inchOfMm, mmOfInch, outOfTable, positive } from "./input.js";
import { layoutMinimum } from "./layout.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

/** What may be done about a hole that is too large, out of round or cracked at its rim. */
export interface OversizeRepair {
  readonly verdict: "next size" | "refused";
  readonly newRivetMm: number;
  readonly edgeNeededMm: number;
  readonly pitchNeededMm: number;
  /** What is missing; null when it serves. */
  readonly edgeShortMm: number | null;
  readonly pitchShortMm: number | null;
  readonly sources: readonly Citation[];
}

/**
 * Next larger rivet for a damaged hole, allowed only while edge distance and pitch still serve it.
 * Refused means: leave it, and ask the designer.
 * @param rivetMm  nominal size of the rivet that was to go in (inch sizes step by 1/32)
 * @param edgeMm   hole centre to the nearest edge
 * @param pitchMm  distance to the nearest other hole in its sheets; null where it is alone
 * @source damage-next-size (AC 43.13-1B par. 4-57), damage-next-size-step (MIL-R-47196A, quoted)
 */
export function oversizeRepair(
  rivetMm: number,
  head: HeadForm,
  edgeMm: number,
  pitchMm: number | null,
): OversizeRepair {
  positive("rivetMm", rivetMm);
  positive("edgeMm", edgeMm);
  if (pitchMm !== null) positive("pitchMm", pitchMm);
  const step = tables.oversize.rows.find(
    (row) =>
      row.what === "step" && (row.upTo === null || inchOfMm(rivetMm) <= (row.upTo ?? Number.NaN) + 1e-9),
  );
  if (step?.step === undefined) throw outOfTable("oversize", "The oversize table has no step for this size.");
  const newRivetMm = rivetMm + mmOfInch(step.step);
  const need = layoutMinimum(newRivetMm, head);
  const edgeShortMm = shortBy(need.edgeMm, edgeMm);
  const pitchShortMm = pitchMm === null ? null : shortBy(need.pitchMm, pitchMm);
  return {
    verdict: edgeShortMm === null && pitchShortMm === null ? "next size" : "refused",
    newRivetMm,
    edgeNeededMm: need.edgeMm,
    pitchNeededMm: need.pitchMm,
    edgeShortMm,
    pitchShortMm,
    sources: [step.source, ...need.sources],
  };
}

/**
 * How many oversize repairs a pattern of rivets allows: the lesser of a fifth of them or ten.
 * @source damage-repair-limit (MIL-R-47196A, quoted)
 */
export function repairLimit(rivets: number): { readonly max: number; readonly source: Citation } {
  positive("rivets", rivets);
  const limit = tables.oversize.rows.find((row) => row.what === "limit");
  if (limit?.maxFraction === undefined || limit.maxCount === undefined) {
    throw outOfTable("oversize", "The oversize table has no repair limit.");
  }
  return {
    max: Math.min(Math.floor(rivets * limit.maxFraction + 1e-9), limit.maxCount),
    source: limit.source,
  };
}

function shortBy(needed: number, there: number): number | null {
  return there >= needed - 1e-6 ? null : needed - there;
}
