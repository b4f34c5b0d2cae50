import type { DrawnHole, DrawnRow } from "./rows.js";
import type { FlatSheet } from "./sheets.js";

/** Where a hole goes through a sheet, in the sheet's own axes, mm. */
export interface SheetPlace {
  readonly hole: DrawnHole;
  /** Position of its row. */
  readonly row: number;
  readonly x: number;
  readonly y: number;
  readonly radiusMm: number;
}

/** The holes of every row that goes through it, by sheet. */
export function placesBySheet(rows: readonly DrawnRow[]): ReadonlyMap<FlatSheet, SheetPlace[]> {
  const sheets = new Map<FlatSheet, SheetPlace[]>();
  rows.forEach((row, i) => {
    for (const hole of row.holes) {
      for (const crossing of hole.crossings) {
        if (!crossing) continue;
        const radiusMm = hole.callout.punchedMm / 2;
        const place = { hole, row: i, x: crossing.point[0], y: crossing.point[1], radiusMm };
        const list = sheets.get(crossing.flat);
        if (list) list.push(place);
        else sheets.set(crossing.flat, [place]);
      }
    }
  });
  return sheets;
}
