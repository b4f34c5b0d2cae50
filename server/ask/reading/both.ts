import type { Item } from "./items.js";
import type { NameIndex } from "./names.js";
import type { Where } from "./place.js";

/**
 * "Both hinges" where there are three: which two is not said, so "both" is a telling word that nothing uses and the
 * text is asked back. Where there are two it says nothing more.
 */
export function withBoth(items: readonly Item[], names: NameIndex): readonly Item[] {
  return items.map((item, at) =>
    item.kind === "word" && item.word === "both" && !namesTwo(items.slice(at + 1), names)
      ? { ...item, weight: "content" }
      : item,
  );
}

function namesTwo(after: readonly Item[], names: NameIndex): boolean {
  const next = after.find((item) => item.kind !== "word" || !/^(of|the|these|those|my|our)$/.test(item.word));
  if (next?.kind !== "place" || next.place.kind !== "known") return true;
  const count = partsIn(next.place.where, names);
  return count === null || count === 2;
}

/** How many parts a place is said to be, where it is said to be several. */
function partsIn(where: Where, { assembly }: NameIndex): number | null {
  if (where.kind === "parts") return where.ids.length;
  if (where.kind !== "family") return null;
  return assembly.families.find(({ id }) => id === where.id)?.members.length ?? null;
}
