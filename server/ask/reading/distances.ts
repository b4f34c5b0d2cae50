import type { Item } from "./items.js";

/**
 * "Is 9 mm edge distance enough?", "12 mm pitch", "6 mm from the edge": a length that was measured and not a rivet's
 * size. It is marked, so that no slot for a size takes it. "Edge distance for a 4 mm rivet" speaks of the rivet.
 */
export function withDistances(items: readonly Item[]): readonly Item[] {
  return items.map((item, at) =>
    item.kind === "measure" && item.measure.kind === "size" && isDistance(items, at)
      ? { ...item, distance: true }
      : item,
  );
}

function isDistance(items: readonly Item[], at: number): boolean {
  const words = items.slice(at + 1).map((item) => (item.kind === "word" ? item.word : "-"));
  const after = words.filter((word) => !PASSED.test(word));
  return /\b(edge|pitch|spacing|apart|distance|margin)\b/.test(after[0] ?? "");
}

/** What may stand between the length and what it is of: "9 mm enough edge", "6 mm from the edge". */
const PASSED = /^(a|an|the|of|from|to|enough|minimum|min|least|is|ok|okay|sufficient|as)$/;
