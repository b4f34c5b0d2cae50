import type { HeadForm, Rivet } from "../kit/types.js";
import { inchOfMm, mmOfInch, outOfTable, positive } from "./input.js";
import { layoutMinimum } from "./layout.js";
import { tableSizeOf, tableSizes } from "./rivet-size.js";
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
  positive("edgeMm", edgeMm);
  if (pitchMm !== null) positive("pitchMm", pitchMm);
  const { newRivetMm, source } = stepFrom(rivetMm);
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
    sources: [source, ...need.sources],
  };
}

/** The next larger rivet: one of the kit, or a size that a table has. */
export interface NextRivet {
  /** Null where only a table has the size. */
  readonly rivet: Rivet | null;
  readonly diameterMm: number;
  readonly source: Citation;
}

/** A size that is a hair under the step counts as the next size: 4.0 mm after 3.2 mm and a step of 1/32 in. */
const STEP_SLACK_MM = 0.05;

/**
 * The next larger rivet of the same kind and head, at least the table's step above: the kit's own where it has one.
 * @param rivets  the kit's rivets
 * @param gripMm  the stack: of several of that size one that holds it goes first
 * @returns null when neither the kit nor a table has one
 * @throws FASTENER_OUT_OF_TABLE, FASTENER_INPUT
 * @source damage-next-size-step (MIL-R-47196A, quoted)
 */
export function nextRivet(rivet: Rivet, rivets: readonly Rivet[], gripMm: number): NextRivet | null {
  const { newRivetMm, source } = stepFrom(rivet.diameterMm);
  const holds = ({ grip }: Rivet): boolean =>
    grip !== null && gripMm >= grip.minMm - 1e-6 && gripMm <= grip.maxMm + 1e-6;
  const isNext = (mm: number): boolean => mm >= newRivetMm - STEP_SLACK_MM;
  const [own] = rivets
    .filter(({ kind, head, diameterMm }) => kind === rivet.kind && head === rivet.head && isNext(diameterMm))
    .sort((a, b) => a.diameterMm - b.diameterMm || Number(holds(b)) - Number(holds(a)));
  // A metric rivet is followed by a metric one: 4.0 mm comes after 3.2 mm, not 5/32 in. For a size that no table has none follows.
  const series = tableSizeOf(rivet.diameterMm, rivet.kind)?.series;
  const table = tableSizes(rivet.kind).find((size) => isNext(size.mm) && size.series === series);
  if (own && own.diameterMm <= (table?.mm ?? own.diameterMm) + STEP_SLACK_MM)
    return { rivet: own, diameterMm: own.diameterMm, source };
  return table ? { rivet: null, diameterMm: table.mm, source } : null;
}

/** @throws FASTENER_OUT_OF_TABLE, FASTENER_INPUT */
function stepFrom(rivetMm: number): { readonly newRivetMm: number; readonly source: Citation } {
  positive("rivetMm", rivetMm);
  const row = tables.oversize.rows.find(
    (one) =>
      one.what === "step" && (one.upTo === null || inchOfMm(rivetMm) <= (one.upTo ?? Number.NaN) + 1e-9),
  );
  if (row?.step === undefined) throw outOfTable("oversize", "The oversize table has no step for this size.");
  return { newRivetMm: rivetMm + mmOfInch(row.step), source: row.source };
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

/** What a distance lacks, mm; null where it serves. */
export function shortBy(needed: number, there: number): number | null {
  return there >= needed - 1e-6 ? null : needed - there;
}
