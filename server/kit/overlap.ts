import type { Spot } from "./findings.js";
import type { DrawnRow } from "./rows.js";
import { placesBySheet, type SheetPlace } from "./sheet-places.js";
import { sayLength, type Units } from "./units.js";

/** Notes pairs of rows with holes that run into each other in a sheet; one row with itself too. Once per pair. */
export function noteOverlaps(rows: readonly DrawnRow[], units: Units, spot: Spot): void {
  const noted = new Set<string>();
  for (const places of placesBySheet(rows).values()) {
    for (const [one, other] of meetingPairs(places)) {
      const pair = `${one.row} ${other.row}`;
      if (noted.has(pair)) continue;
      noted.add(pair);
      const apart = Math.hypot(one.x - other.x, one.y - other.y);
      spot
        .at("rows", other.row, "holes")
        .add(
          "ROWS_OVERLAP",
          `Hole ${other.hole.id} runs into hole ${one.hole.id}: their centres are ${sayLength(apart, units)} apart, less than half of both diameters.`,
          "Mend the place, the count or the diameter; a hole that is drawn twice is written once.",
        );
    }
  }
}

/**
 * Pairs that meet, at most one for each place. Cells are as wide as the largest hole, so only neighbours count;
 * a place that meets another is not kept, so that a thousand holes in one spot cost no more than two.
 */
function* meetingPairs(places: readonly SheetPlace[]): Generator<[SheetPlace, SheetPlace]> {
  let widest = 0;
  for (const { radiusMm } of places) widest = Math.max(widest, Number.isNaN(radiusMm) ? 0 : radiusMm * 2);
  if (widest === 0) return;
  const cells = new Map<string, SheetPlace[]>();
  for (const place of places) {
    const [column, line] = [Math.floor(place.x / widest), Math.floor(place.y / widest)];
    const met = around(cells, column, line).find(
      (other) => Math.hypot(place.x - other.x, place.y - other.y) < place.radiusMm + other.radiusMm - 1e-6,
    );
    if (met) {
      yield [met, place];
      continue;
    }
    const key = `${column} ${line}`;
    const cell = cells.get(key);
    if (cell) cell.push(place);
    else cells.set(key, [place]);
  }
}

function around(cells: ReadonlyMap<string, SheetPlace[]>, column: number, line: number): SheetPlace[] {
  const found: SheetPlace[] = [];
  for (let x = column - 1; x <= column + 1; x++) {
    for (let y = line - 1; y <= line + 1; y++) found.push(...(cells.get(`${x} ${y}`) ?? []));
  }
  return found;
}
