import { finder } from "../kit/find.js";
import type { Assembly, HeadForm, Hole, Vec } from "../kit/types.js";
import { cross, dot, minus } from "../kit/vec.js";
import { layoutMinimum, type RowCount } from "./layout.js";
import type { Citation } from "./table.js";

/** Rows of rivets of one joint that lie side by side at a hole, and what the handbook wants of them. */
export interface RowPattern {
  readonly rows: Exclude<RowCount, "one">;
  /** Between the hole's row and the nearest other one, mm. */
  readonly apartMm: number;
  readonly apartNeededMm: number;
  /** Least pitch along a row, mm. */
  readonly pitchNeededMm: number;
  readonly sources: readonly Citation[];
}

/** Rows run alike within about 5 degrees. */
const ALIKE = 0.996;
/** Nearer than this, mm, another row is the same line going on. */
const SAME_LINE_MM = 0.5;
/** Distances are compared as printed. */
const SLACK_MM = 1e-6;

/**
 * The rows side by side at a hole. Rows are one pattern when they run alike through at least two sheets in common, no
 * farther apart than the pitch that a double row wants: beyond that they do not crowd each other (common practice, no
 * source; the sources draw patterns and do not say where one ends).
 * @param rivetMm  nominal diameter of the rivet that goes in
 * @returns        null for a single row
 * @throws FASTENER_INPUT
 * @source layout-double-row-min, layout-triple-row-min (US Army TM 9-2320-303-24-2), layout-army-row-gap (TM 10-5410-229-13&P)
 */
export function rowPatternAt(
  assembly: Assembly,
  hole: Hole,
  rivetMm: number,
  head: HeadForm,
): RowPattern | null {
  const reachMm = layoutMinimum(rivetMm, head, "two").pitchMm;
  const offsets = offsetsAt(assembly, hole);
  const beside = [1, -1].flatMap((side) =>
    withoutGap(
      offsets.flatMap((mm) => (mm * side > SAME_LINE_MM ? [mm * side] : [])),
      reachMm,
    ),
  );
  if (beside.length === 0) return null;
  const rows = beside.length === 1 ? "two" : "three or more";
  const { pitchMm, rowGapMm, sources } = layoutMinimum(rivetMm, head, rows);
  return {
    rows,
    apartMm: Math.min(...beside),
    apartNeededMm: rowGapMm,
    pitchNeededMm: pitchMm,
    sources,
  };
}

/** Distances outwards from the row, as far as each is within reach of the one before; rows on one line count once. */
function withoutGap(distances: readonly number[], reachMm: number): readonly number[] {
  const found: number[] = [];
  for (const mm of [...distances].sort((a, b) => a - b)) {
    const last = found.at(-1) ?? 0;
    if (mm - last > reachMm + SLACK_MM) break;
    if (mm - last > SAME_LINE_MM) found.push(mm);
  }
  return found;
}

/** A row of two holes or more as a straight line. */
interface Line {
  readonly row: string;
  readonly first: Vec;
  readonly along: Vec;
  readonly lengthMm: number;
  readonly pitchMm: number;
  readonly normal: Vec;
  /** Sheets that it goes through, as `part/sheet`. */
  readonly sheets: ReadonlySet<string>;
}

interface Lines {
  readonly ofRow: ReadonlyMap<string, Line>;
  /** By sheet, so that a large assembly's hole is held against the rows of its own joint alone. */
  readonly through: ReadonlyMap<string, readonly Line[]>;
}

const known = new WeakMap<Assembly, Lines>();

function linesOf(assembly: Assembly): Lines {
  const found = known.get(assembly);
  if (found) return found;
  const find = finder(assembly);
  const all = assembly.rows.flatMap(({ id }) => lineOf(id, find.holesOfRow(id)));
  const through = new Map<string, Line[]>();
  for (const line of all)
    for (const sheet of line.sheets) through.set(sheet, [...(through.get(sheet) ?? []), line]);
  const made = { ofRow: new Map(all.map((line) => [line.row, line])), through };
  known.set(assembly, made);
  return made;
}

function lineOf(row: string, holes: readonly Hole[]): readonly Line[] {
  const [first, last] = [holes[0], holes[holes.length - 1]];
  if (!first || !last) return [];
  const [x, y, z] = minus(last.at, first.at);
  const lengthMm = Math.hypot(x, y, z);
  if (lengthMm === 0) return [];
  return [
    {
      row,
      first: first.at,
      along: [x / lengthMm, y / lengthMm, z / lengthMm],
      lengthMm,
      pitchMm: lengthMm / (holes.length - 1),
      normal: first.normal,
      sheets: new Set(holes.flatMap(sheetsOf)),
    },
  ];
}

function sheetsOf({ layers }: Hole): readonly string[] {
  return layers.map(({ part, sheet }) => `${part}/${sheet}`);
}

/** Signed distances, mm, across the hole's row to the other rows of its joint that pass beside it. */
function offsetsAt(assembly: Assembly, hole: Hole): readonly number[] {
  const { ofRow, through } = linesOf(assembly);
  const own = ofRow.get(hole.rowId);
  if (!own) return [];
  const across = cross(hole.normal, own.along);
  const sheets = sheetsOf(hole);
  return [...new Set(sheets.flatMap((sheet) => through.get(sheet) ?? []))].flatMap((line) => {
    const isAlike =
      line !== own &&
      Math.abs(dot(line.along, own.along)) > ALIKE &&
      Math.abs(dot(line.normal, hole.normal)) > ALIKE;
    if (!isAlike || sheets.filter((sheet) => line.sheets.has(sheet)).length < 2) return [];
    const toFirst = minus(line.first, hole.at);
    // Where the hole stands along the other row: a row that ends well before it does not pass beside it.
    const at = -dot(toFirst, line.along);
    const slackMm = Math.max(line.pitchMm, own.pitchMm);
    if (at < -slackMm || at > line.lengthMm + slackMm) return [];
    return [dot(toFirst, across) + at * dot(line.along, across)];
  });
}
