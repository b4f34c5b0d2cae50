import type { Item } from "./items.js";
import { means } from "./meaning.js";
import type { NameIndex } from "./names.js";
import type { Where } from "./where.js";

/**
 * "Both hinges" where there are three: which two is not said, so "both" is a telling word that nothing uses and the
 * text is asked back. Where there are two it says nothing more.
 */
export function withBoth(items: readonly Item[], names: NameIndex): readonly Item[] {
  return rowsOfBoth(items, names).map((item, at) =>
    item.kind === "word" &&
    item.word === "both" &&
    !(namesTwo(items.slice(at + 1), names) && hasTwoRows(items, at, names))
      ? { ...item, weight: "content" }
      : item,
  );
}

/** "Both rows of rib 3", which has four: which two is not said. */
function hasTwoRows(items: readonly Item[], at: number, names: NameIndex): boolean {
  const next = items[at + 1];
  if (!means(next, "row")) return true;
  const parts = items.flatMap((item) =>
    item.kind === "place" && item.place.kind === "known" && item.place.where.kind === "part"
      ? [item.place.where.id]
      : [],
  );
  return parts.every((part) => names.rows.filter(({ row }) => row.part === part).length === 2);
}

/** "Hat 3, both legs": where only two rows can be meant, both of them; the part, where it has no others. */
function rowsOfBoth(items: readonly Item[], names: NameIndex): readonly Item[] {
  const isBoth = (item: Item): boolean => item.kind === "word" && item.word === "both";
  if (!items.some(isBoth) || items.filter(({ kind }) => kind === "place").length > 1) return items;
  return items.map((item): Item => {
    if (item.kind !== "place" || item.place.kind !== "open" || item.place.need !== "row") return item;
    const ids = item.place.options.flatMap((where) => (where.kind === "row" ? [where.id] : []));
    if (ids.length !== 2 || item.place.options.length !== 2) return item;
    const parts = new Set(names.rows.filter(({ row }) => ids.includes(row.id)).map(({ row }) => row.part));
    const [part] = parts;
    const all = names.rows.filter(({ row }) => row.part === part).length === 2;
    const where: Where =
      parts.size === 1 && part !== undefined && all ? { kind: "part", id: part } : { kind: "rows", ids };
    return { ...item, place: { kind: "known", where } };
  });
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
