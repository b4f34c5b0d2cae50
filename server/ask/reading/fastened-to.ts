import { finder } from "../../kit/find.js";
import type { NameIndex } from "./names.js";
import type { Spot } from "./place.js";
import { NOWHERE } from "./place.js";

/**
 * "Rivet rib 3 to the rear spar": the rows that hold two parts together, where they do so by whole rows. Where these
 * are all the rows of the first part, that part; null where nothing holds the two together, or only parts of rows.
 */
export function fastenedTo(a: Spot, b: Spot, names: NameIndex): Spot | null {
  const [part, to] = [onlyPart(a), onlyPart(b)];
  if (part === null || to === null || part === to) return null;
  const through = finder(names.assembly);
  const other = new Set(through.holesThrough(to).map(({ id }) => id));
  const shared = new Set(
    through
      .holesThrough(part)
      .map(({ id }) => id)
      .filter((id) => other.has(id)),
  );
  const rows = names.rows.map(({ row }) => row).filter(({ holes }) => holes.some((hole) => shared.has(hole)));
  if (rows.length === 0 || !rows.every(({ holes }) => holes.every((hole) => shared.has(hole)))) return null;
  const own = names.rows.filter(({ row }) => row.part === part);
  const isAllOfIt = own.length > 0 && own.every(({ row }) => rows.includes(row));
  return isAllOfIt ? a : { ...NOWHERE, rows: rows.map(({ id }) => id) };
}

/** The one part that a spot names, and nothing of it. */
function onlyPart({ parts, sayings, pick, unknown, steps }: Spot): string | null {
  const [only] = parts ?? [];
  return parts?.length === 1 && only !== undefined && !sayings && !pick && !unknown && !steps ? only : null;
}
