import { finder } from "../kit/find.js";
import type { Assembly, Hole } from "../kit/types.js";

/** Where a row meets an overlapping sheet. */
export interface Overlap {
  /** Upper part at this hole, or "none". */
  readonly here: string;
  /** Upper part at the nearest overlapped hole of the row, or "none". */
  readonly inRow: string;
  /** Holes along the row to the nearest overlapped one; null when none of the row is. */
  readonly holesAway: number | null;
}

/** Overlap of every hole, by its position in the assembly. */
export function overlapsOf(assembly: Assembly): readonly Overlap[] {
  const find = finder(assembly);
  const result: Overlap[] = new Array(assembly.holes.length);
  for (const row of assembly.rows) {
    const holes = find.holesOfRow(row.id);
    const uppers = holes.map((hole) => upperPart(assembly, hole));
    const nearest = nearestOverlaps(uppers);
    holes.forEach((hole, i) => {
      const near = nearest[i] ?? null;
      result[hole.index] = {
        here: uppers[i] ?? "none",
        inRow: near?.upper ?? "none",
        holesAway: near?.away ?? null,
      };
    });
  }
  return result;
}

/** The part that lies over this hole's head from outside its stack, or the upper one of two skins in it. */
function upperPart(assembly: Assembly, hole: Hole): string | null {
  if (hole.coveredBy !== null) return hole.coveredBy;
  const find = finder(assembly);
  const skins = hole.layers.filter((layer) => find.part(layer.part).kind === "skin");
  return skins.length > 1 ? (skins[0]?.part ?? null) : null;
}

/** The nearest overlapped place of each place in a row: its upper part and the holes to it; null in a row without one. */
function nearestOverlaps(
  uppers: readonly (string | null)[],
): readonly ({ readonly upper: string; readonly away: number } | null)[] {
  const overlapped = uppers.flatMap((upper, place) => (upper === null ? [] : [{ upper, place }]));
  let before = -1;
  return uppers.map((_, place) => {
    while ((overlapped[before + 1]?.place ?? Number.POSITIVE_INFINITY) <= place) before += 1;
    const near = [overlapped[before], overlapped[before + 1]].flatMap((one) =>
      one ? [{ upper: one.upper, away: Math.abs(one.place - place) }] : [],
    );
    return near.sort((a, b) => a.away - b.away)[0] ?? null;
  });
}
