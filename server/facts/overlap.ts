import { finder } from "../kit/find.js";
import type { Assembly, Hole } from "../kit/types.js";

/** Where a row meets an overlapping sheet. */
export interface Overlap {
  /** Upper part at this hole, or "none". */
  readonly here: string;
  /** Upper part at any hole of the row, or "none". */
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
    const inRow = uppers.find((upper) => upper !== null) ?? "none";
    const away = distances(uppers.map((upper) => upper !== null));
    holes.forEach((hole, i) => {
      result[hole.index] = { here: uppers[i] ?? "none", inRow, holesAway: away[i] ?? null };
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

/** Steps to the nearest true place, for each place; null everywhere when none is true. */
function distances(places: readonly boolean[]): (number | null)[] {
  const away: (number | null)[] = places.map((place) => (place ? 0 : null));
  const sweep = (from: number, step: number): void => {
    let last: number | null = null;
    for (let i = from; i >= 0 && i < places.length; i += step) {
      last = places[i] ? 0 : last === null ? null : last + 1;
      const known = away[i] ?? null;
      if (last !== null && (known === null || last < known)) away[i] = last;
    }
  };
  sweep(0, 1);
  sweep(places.length - 1, -1);
  return away;
}
