import type { Spot } from "./findings.js";
import { lookUp, noteDuplicates, noteRepeats } from "./ids.js";
import type { AssemblyFile, GapFile } from "./schema.js";
import { readSize } from "./sizes.js";
import type { Neighbour, Vec } from "./types.js";
import type { Units } from "./units.js";
import { distance } from "./vec.js";

/** Places of the holes of each row, by row id. */
export type RowPlaces = ReadonlyMap<string, readonly Vec[]>;

/** The neighbouring surface of each hole that has one, by hole id. */
export function readNeighbours(
  file: AssemblyFile,
  rows: RowPlaces,
  spot: Spot,
): ReadonlyMap<string, Neighbour> {
  noteDuplicates(
    file.neighbours.map((neighbour) => neighbour.id),
    "neighbour",
    (i) => spot.at("neighbours", i, "id"),
  );
  const found = new Map<string, Neighbour>();
  file.neighbours.forEach((neighbour, i) => {
    neighbour.gaps.forEach((gap, j) => {
      const at = spot.at("neighbours", i, "gaps", j);
      for (const { hole, gapMm } of gapsOf(gap, rows, file.units, at)) {
        const earlier = found.get(hole);
        if (earlier) {
          at.add(
            "GAP_TWICE",
            `Hole ${hole} has a gap to ${earlier.id} already.`,
            "State one gap for each hole: the least, to the nearest surface.",
          );
        }
        found.set(hole, { id: neighbour.id, name: neighbour.name, gapMm });
      }
    });
  });
  return found;
}

function gapsOf(
  file: GapFile,
  rows: RowPlaces,
  units: Units,
  spot: Spot,
): readonly { hole: string; gapMm: number | null }[] {
  const places = lookUp(rows, "row", file.row, spot.at("row"));
  if (!places) return [];
  const numbers = file.holes ?? places.map((_, i) => i + 1);
  noteRepeats(numbers, "Hole", spot.at("holes"));
  noteOutOfRow(numbers, places.length, file.row, spot.at("holes"));
  const gaps = along(file, numbers, places, units, spot);
  return numbers.map((number, i) => ({ hole: `${file.row}.${number}`, gapMm: gaps(i) }));
}

/** Notes numbers that the row does not have. */
export function noteOutOfRow(numbers: readonly number[], count: number, row: string, spot: Spot): void {
  numbers.forEach((number, i) => {
    if (number <= count) return;
    spot
      .at(i)
      .add(
        "HOLE_OUT_OF_ROW",
        `Row ${row} has holes 1 to ${count}, no hole ${number}.`,
        "Name holes of the row, counted as it is numbered.",
      );
  });
}

/** The gap at each named hole; between two given ends it changes evenly with the way along the holes. */
function along(
  file: GapFile,
  numbers: readonly number[],
  places: readonly Vec[],
  units: Units,
  spot: Spot,
): (i: number) => number | null {
  const { gap } = file;
  if (gap === null) return () => null;
  if (typeof gap !== "object") {
    const mm = readSize(gap, "gap", units, spot.at("gap"));
    return () => mm;
  }
  const first = readSize(gap.first, "gap", units, spot.at("gap", "first"));
  const last = readSize(gap.last, "gap", units, spot.at("gap", "last"));
  if (numbers.length === 1 && first !== last) {
    spot
      .at("gap")
      .add("GAP_ENDS", "A single hole has one gap, not a first and a last.", "Write one length as the gap.");
  }
  if (numbers.some((number, i) => i > 0 && number < (numbers[i - 1] ?? 0))) {
    spot
      .at("holes")
      .add(
        "GAP_ENDS",
        "A gap that runs from first to last needs its holes in rising order.",
        "Write the hole numbers in rising order.",
      );
  }
  const way = [0];
  for (let i = 1; i < numbers.length; i++) {
    const [from, to] = [places[(numbers[i - 1] ?? 0) - 1], places[(numbers[i] ?? 0) - 1]];
    way.push((way[i - 1] ?? 0) + (from && to ? distance(from, to) : 0));
  }
  const whole = way[way.length - 1] ?? 0;
  return (i) => (whole === 0 ? first : first + ((last - first) * (way[i] ?? 0)) / whole);
}
