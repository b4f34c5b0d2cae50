import type { Spot } from "./findings.js";
import { lookUp, noteDuplicates, noteRepeats } from "./ids.js";
import type { AssemblyFile, GapFile, StillGapFile } from "./schema.js";
import { readSize } from "./sizes.js";
import type { GapPosition, Neighbour, Vec } from "./types.js";
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
    const here = spot.at("neighbours", i);
    const { id, name } = neighbour;
    const toleranceMm =
      neighbour.tolerance === undefined
        ? null
        : readSize(neighbour.tolerance, "gapTolerance", file.units, here.at("tolerance"));
    const headMarginMm =
      neighbour.headMargin === undefined
        ? null
        : readSize(neighbour.headMargin, "headMargin", file.units, here.at("headMargin"));
    noteTravels(neighbour.gaps, here.at("gaps"));
    neighbour.gaps.forEach((gap, j) => {
      const at = here.at("gaps", j);
      for (const { hole, gapMm, positions } of gapsOf(gap, rows, file.units, at)) {
        const earlier = found.get(hole);
        if (earlier) {
          at.add(
            "GAP_TWICE",
            `Hole ${hole} has a gap to ${earlier.id} already.`,
            "State one gap for each hole: the least, to the nearest surface.",
          );
        }
        found.set(hole, { id, name, gapMm, toleranceMm, headMarginMm, positions });
      }
    });
  });
  return found;
}

/** A place of the travel that one gap names and another leaves out would be a gap that nobody checked. */
function noteTravels(gaps: readonly GapFile[], spot: Spot): void {
  let travel: readonly string[] | null = null;
  gaps.forEach(({ gap }, i) => {
    const names = positionsOf(gap)?.map((position) => position.name);
    if (!names) return;
    const at = spot.at(i, "gap", "positions");
    noteDuplicates(names, "position", (j) => at.at(j, "name"));
    travel ??= names;
    const missing = travel.filter((name) => !names.includes(name));
    const more = names.filter((name) => !travel?.includes(name));
    if (missing.length + more.length === 0) return;
    at.add(
      "POSITIONS_DIFFER",
      `The first gap with positions has ${travel.join(", ")}; here ${
        missing.length > 0 ? `${missing.join(", ")} is left out` : `${more.join(", ")} comes on top`
      }.`,
      "Name the same positions at every gap to this neighbour; a gap that is not known is null.",
    );
  });
}

interface HoleGap {
  readonly hole: string;
  readonly gapMm: number | null;
  readonly positions: readonly GapPosition[];
}

function positionsOf(gap: GapFile["gap"]): readonly { name: string; gap: StillGapFile }[] | null {
  return gap !== null && typeof gap === "object" && "positions" in gap ? gap.positions : null;
}

function gapsOf(file: GapFile, rows: RowPlaces, units: Units, spot: Spot): readonly HoleGap[] {
  const places = lookUp(rows, "row", file.row, spot.at("row"));
  if (!places) return [];
  const numbers = file.holes ?? places.map((_, i) => i + 1);
  noteRepeats(numbers, "Hole", spot.at("holes"));
  noteOutOfRow(numbers, places.length, file.row, spot.at("holes"));
  const line: Line = { numbers, places, units, holes: spot.at("holes") };
  const hole = (number: number): string => `${file.row}.${number}`;
  const travel = positionsOf(file.gap)?.map((position, i) => ({
    name: position.name,
    gapAt: along(position.gap, line, spot.at("gap", "positions", i, "gap")),
  }));
  if (travel) {
    return numbers.map((number, i) => {
      const positions = travel.map(({ name, gapAt }) => ({ name, gapMm: gapAt(i) }));
      return { hole: hole(number), gapMm: leastGapMm(positions), positions };
    });
  }
  const gapAt = along(file.gap as StillGapFile, line, spot.at("gap"));
  return numbers.map((number, i) => ({ hole: hole(number), gapMm: gapAt(i), positions: [] }));
}

/** Least gap of a travel; null when it is not known in one position, since that one may be the least. */
function leastGapMm(positions: readonly GapPosition[]): number | null {
  let least = Number.POSITIVE_INFINITY;
  for (const { gapMm } of positions) {
    if (gapMm === null) return null;
    least = Math.min(least, gapMm);
  }
  return least;
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

/** The holes that a gap is stated for. */
interface Line {
  readonly numbers: readonly number[];
  readonly places: readonly Vec[];
  readonly units: Units;
  /** Where their numbers are written. */
  readonly holes: Spot;
}

/** The gap at each named hole; between two given ends it changes evenly with the way along the holes. */
function along(
  gap: StillGapFile,
  { numbers, places, units, holes }: Line,
  spot: Spot,
): (i: number) => number | null {
  if (gap === null) return () => null;
  if (typeof gap !== "object") {
    const mm = readSize(gap, "gap", units, spot);
    return () => mm;
  }
  const first = readSize(gap.first, "gap", units, spot.at("first"));
  const last = readSize(gap.last, "gap", units, spot.at("last"));
  if (numbers.length === 1 && first !== last) {
    spot.add(
      "GAP_ENDS",
      "A single hole has one gap, not a first and a last.",
      "Write one length as the gap.",
    );
  }
  if (numbers.some((number, i) => i > 0 && number < (numbers[i - 1] ?? 0))) {
    holes.add(
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
