import { finder } from "../kit/find.js";
import type { Assembly } from "../kit/types.js";
import { stackOf } from "./standing.js";

/** Ranks for breaking ties, by element id: lower comes earlier. */
export type Ranks = ReadonlyMap<string, readonly number[]>;

/** Elements by rank, number by number; those of equal rank by id. */
export function compareByRank(ranks: Ranks, a: string, b: string): number {
  const [ranksA, ranksB] = [ranks.get(a) ?? [], ranks.get(b) ?? []];
  for (let i = 0; i < Math.max(ranksA.length, ranksB.length); i += 1) {
    const difference = (ranksA[i] ?? 0) - (ranksB[i] ?? 0);
    if (difference !== 0) return difference;
  }
  return a < b ? -1 : a > b ? 1 : 0;
}

const known = new WeakMap<Assembly, Ranks>();

/**
 * Ranks by the manual: step first, then rows as the step lists them, then hole numbers. What no step names
 * comes with the latest of its parts. Only the manual's own order counts, not that of the kit's other lists.
 */
export function ranksOf(assembly: Assembly): Ranks {
  const made = known.get(assembly) ?? makeRanks(assembly);
  known.set(assembly, made);
  return made;
}

function makeRanks(assembly: Assembly): Ranks {
  const { steps, closings, parts, rows } = assembly;
  const find = finder(assembly);
  const last = steps.length;
  const stepOf = firstIn(steps.map((step) => step.parts));
  const placeOf = firstIn(steps.map((step) => step.rows));
  const closingOf = new Map(closings.map((part, i) => [part, i]));
  const ranks = new Map<string, readonly number[]>();
  for (const { id } of parts) {
    ranks.set(id, [stepOf.get(id)?.list ?? last, -1, closingOf.get(id) ?? -1]);
  }
  // Rows that no step lists come after those that one does, by id.
  const unlisted = rows
    .map(({ id }) => id)
    .filter((id) => !placeOf.has(id))
    .sort();
  const unlistedAt = new Map(unlisted.map((id, i) => [id, i]));
  const mostRows = Math.max(0, ...steps.map((step) => step.rows.length));
  for (const row of rows) {
    const place = placeOf.get(row.id);
    for (const id of row.holes) {
      const hole = find.hole(id);
      const latest = Math.max(...stackOf(hole).map((part) => ranks.get(part)?.[0] ?? last));
      const within = place?.at ?? mostRows + (unlistedAt.get(row.id) ?? 0);
      ranks.set(id, [place?.list ?? latest, within, hole.number]);
    }
  }
  return ranks;
}

/** By id: the first of the lists that names it, and its place there. */
function firstIn(
  lists: readonly (readonly string[])[],
): ReadonlyMap<string, { readonly list: number; readonly at: number }> {
  const places = new Map<string, { list: number; at: number }>();
  lists.forEach((ids, list) => {
    ids.forEach((id, at) => {
      if (!places.has(id)) places.set(id, { list, at });
    });
  });
  return places;
}
