import type { Spot } from "./findings.js";

/**
 * Notes every id that is there twice. Capitals do not tell two ids apart: people read them aloud.
 * @param spotOf  place of the id at a position in the list
 */
export function noteDuplicates(ids: readonly string[], what: string, spotOf: (i: number) => Spot): void {
  const first = new Map<string, number>();
  ids.forEach((id, i) => {
    const earlier = first.get(id.toLowerCase());
    if (earlier === undefined) first.set(id.toLowerCase(), i);
    else {
      spotOf(i).add(
        "DUPLICATE_ID",
        `There is already a ${what} "${ids[earlier]}", at ${spotOf(earlier).pointer}.`,
        `Give each ${what} an id of its own; capitals alone do not tell two apart.`,
      );
    }
  });
}

/** Notes every entry of a list of ids or numbers that is there twice. */
export function noteRepeats(list: readonly (string | number)[], what: string, spot: Spot): void {
  const seen = new Set<string | number>();
  list.forEach((entry, i) => {
    if (seen.has(entry)) {
      spot.at(i).add("LIST_REPEATS", `${what} ${entry} is in this list twice.`, "Name each once.");
    }
    seen.add(entry);
  });
}

/** The thing of that id; undefined when there is none, which is noted with its own code, such as `UNKNOWN_PART`. */
export function lookUp<T>(
  known: ReadonlyMap<string, T>,
  what: string,
  id: string,
  spot: Spot,
): T | undefined {
  const found = known.get(id);
  if (found === undefined) {
    const ids = [...known.keys()].sort();
    const some = ids.slice(0, 8).join(", ");
    spot.add(
      `UNKNOWN_${what.toUpperCase()}`,
      `There is no ${what} "${id}".`,
      ids.length === 0
        ? `Add the ${what}, or take the reference out.`
        : `Use one of ${some}${ids.length > 8 ? ` and ${ids.length - 8} more` : ""}, or add the ${what}.`,
    );
  }
  return found;
}
