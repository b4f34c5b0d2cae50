import { nearestDistances } from "./pitch.js";
import type { DrawnRow } from "./rows.js";
import { placesBySheet } from "./sheet-places.js";

/**
 * How far the nearest other hole is, of any row that goes through one of the hole's sheets, by hole id: at a
 * corner that may be one of the next row. Measured in the sheet, so that heads on opposite sides count as near.
 * A hole that is alone in all its sheets is absent.
 * @returns mm
 */
export function nearestHolesOf(rows: readonly DrawnRow[]): ReadonlyMap<string, number> {
  const nearest = new Map<string, number>();
  for (const places of placesBySheet(rows).values()) {
    const distances = nearestDistances(places.map(({ x, y }) => [x, y, 0]));
    places.forEach(({ hole }, i) => {
      const mm = distances[i] ?? null;
      if (mm !== null) nearest.set(hole.id, Math.min(mm, nearest.get(hole.id) ?? Number.POSITIVE_INFINITY));
    });
  }
  return nearest;
}
