import type { Units } from "../../kit/units.js";
import { saySize } from "./measures.js";
import { sayBoth } from "./sizes.js";

/** "edge 9 mm in the top skin, at least 8 mm (2 diameters): serves". */
export function sayDistance(
  what: "edge distance" | "pitch",
  { thereMm, neededMm }: { thereMm: number; neededMm: number },
  rivetMm: number,
  units: Units,
): string {
  const wanted = `${sayBoth(neededMm, units)} wanted (${times(neededMm, rivetMm)} D)`;
  const short = neededMm - thereMm;
  const verdict = short > 1e-6 ? `${saySize(short, units)} short` : "enough";
  return `${what} ${sayBoth(thereMm, units)} (${times(thereMm, rivetMm)} D), ${wanted}: ${verdict}`;
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
