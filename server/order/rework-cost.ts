import { type Drill, drillOfSize } from "../fastener/hole.js";
import { type OversizeRepair, oversizeRepair, repairLimit, shortBy } from "../fastener/oversize.js";
import { rowPatternAt } from "../fastener/row-pattern.js";
import type { Citation } from "../fastener/table.js";
import { tables } from "../fastener/tables.js";
import { finder } from "../kit/find.js";
import type { Assembly, Hole, Rivet } from "../kit/types.js";
import { Problem } from "../problem.js";
import type { Standing } from "./types.js";

/** What taking one rivet out takes, and what is left if the hole grows by it. */
export interface Removal {
  readonly hole: string;
  /** Code of the rivet that is in it, as ruled, or as drawn when that isn't settled. */
  readonly rivet: string;
  /** In the table's words: "same as the hole". */
  readonly drill: string;
  readonly sizeMm: number;
  /** A standard drill of that size; null when there is none. */
  readonly standard: Drill | null;
  /** If the hole comes out too large: the next size, or refused. Null when no table covers this rivet. */
  readonly ifItGrows: GrownHole | null;
  readonly sources: readonly Citation[];
}

/** The next size in a hole that grew, held against rows side by side too. */
export interface GrownHole extends OversizeRepair {
  /** What is missing to the next hole of its row where another row lies beside it; null when it serves. */
  readonly alongShortMm: number | null;
  /** What is missing between these rows; null when it serves. */
  readonly apartShortMm: number | null;
}

/** How many oversize repairs a row allows, for the rows drilled. */
export interface RowLimit {
  readonly row: string;
  readonly drilled: number;
  readonly most: number;
  readonly source: Citation;
}

/**
 * What taking a rivet out takes.
 * @source kb/tables/removal.json; kb/tables/oversize.json and layout.json for a hole that grows
 */
export function removalOf({ kit, assembly, rulings }: Standing, holeId: string): Removal {
  const hole = finder(assembly).hole(holeId);
  const { attributes } = rulings.of(holeId);
  const ruled = attributes.rivet?.status === "settled" ? String(attributes.rivet.value) : null;
  const rivet = kit.rivets.find(({ code }) => code === ruled) ?? hole.rivet;
  const final = attributes.finalDiameterMm;
  const holeMm =
    final?.status === "settled" && typeof final.value === "number" ? final.value : rivet.hole.minMm;
  const kind = rivet.kind === "pulled" ? "pulled" : rivet.head === "flush" ? "solid flush" : "solid";
  const row = tables.removal.rows.find((one) => one.kind === kind);
  if (!row) throw new Error(`the removal table has no row for ${kind} rivets`);
  const sizeMm = rivet.kind === "pulled" ? holeMm : rivet.diameterMm;
  const ifItGrows = repairOf(assembly, rivet, hole);
  return {
    hole: holeId,
    rivet: rivet.code,
    drill: row.drill,
    sizeMm,
    standard: drillOfSize(sizeMm),
    ifItGrows,
    sources: [row.source, ...(ifItGrows?.sources ?? [])],
  };
}

function repairOf(assembly: Assembly, rivet: Rivet, hole: Hole): GrownHole | null {
  const edgeMm = Math.min(...hole.layers.map((layer) => layer.edgeMm));
  try {
    const repair = oversizeRepair(rivet.diameterMm, rivet.head, edgeMm, hole.nearestMm);
    const pattern = rowPatternAt(assembly, hole, repair.newRivetMm, rivet.head);
    if (!pattern) return { ...repair, alongShortMm: null, apartShortMm: null };
    const alongShortMm = hole.pitchMm === null ? null : shortBy(pattern.pitchNeededMm, hole.pitchMm);
    const apartShortMm = shortBy(pattern.apartNeededMm, pattern.apartMm);
    return {
      ...repair,
      verdict: alongShortMm === null && apartShortMm === null ? repair.verdict : "refused",
      alongShortMm,
      apartShortMm,
      sources: [...repair.sources, ...pattern.sources],
    };
  } catch (error) {
    if (error instanceof Problem) return null;
    throw error;
  }
}

/** The limit on oversize repairs for each row that rivets are drilled from. */
export function rowLimits({ assembly }: Standing, holes: readonly string[]): RowLimit[] {
  const find = finder(assembly);
  const counts = new Map<string, number>();
  for (const id of holes) {
    const { rowId } = find.hole(id);
    counts.set(rowId, (counts.get(rowId) ?? 0) + 1);
  }
  return [...counts].map(([row, drilled]) => {
    const { max, source } = repairLimit(find.row(row).holes.length);
    return { row, drilled, most: max, source };
  });
}
