import type { Units } from "../../kit/units.js";
import type { RowSpacing } from "../forms/spacing.js";
import { saySize } from "./measures.js";
import { sayBoth } from "./sizes.js";

/** "edge 9 mm in the top skin, at least 8 mm (2 diameters): serves". */
export function sayDistance(
  what: "edge distance" | "pitch" | "pitch along the row" | "distance between the rows",
  { thereMm, neededMm }: { thereMm: number; neededMm: number },
  rivetMm: number,
  units: Units,
): string {
  const wanted = `${sayBoth(neededMm, units)} wanted (${times(neededMm, rivetMm)} D)`;
  const short = neededMm - thereMm;
  const verdict = short > 1e-6 ? `${saySize(short, units)} short` : "enough";
  return `${what} ${sayBoth(thereMm, units)} (${times(thereMm, rivetMm)} D), ${wanted}: ${verdict}`;
}

/** Rows side by side and what they want: "one of two rows side by side: pitch along the row …; distance between the rows …". */
export function sayRowSpacing({ count, along, apart }: RowSpacing, rivetMm: number, units: Units): string {
  const told = [
    along && sayDistance("pitch along the row", along, rivetMm, units),
    sayDistance("distance between the rows", apart, rivetMm, units),
  ];
  return `one of ${count} rows side by side: ${told.filter((text) => text !== null).join("; ")}`;
}

/** "pitch 30 mm (9.37 D), at most 25 mm wanted: 5 mm too wide". */
export function sayTooWide(
  { what, thereMm, mostMm }: { what: "edge distance" | "pitch"; thereMm: number; mostMm: number },
  rivetMm: number,
  units: Units,
): string {
  return `${what} ${sayBoth(thereMm, units)} (${times(thereMm, rivetMm)} D), at most ${sayBoth(mostMm, units)} wanted: ${saySize(thereMm - mostMm, units)} too wide`;
}

function times(mm: number, rivetMm: number): string {
  return String(Math.floor((mm / rivetMm) * 100 + 1e-6) / 100);
}
