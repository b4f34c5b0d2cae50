import type { FactEntry, FactRecord } from "../../facts/types.js";
import type { Box } from "../boxes.js";
import type { Rulebook } from "../rulebook.js";
import { has } from "../value-set.js";

/**
 * Whether some hole of the kit could lie in the box as far as its names and counts go: which part, which row,
 * which number, what goes through it. Those the drawing fixes together, so that a box which joins the part of one
 * hole with the row of another is no hole that anybody will meet. Sizes and gaps are left open: drawings change.
 */
export function isLikely(
  box: Box,
  records: readonly FactRecord[],
  { dictionary, kit }: Pick<Rulebook, "dictionary" | "kit">,
): boolean {
  if (kit === null || records.length === 0) return true;
  const sides = [...box.values()].filter(({ axis }) => {
    const entry = "fact" in axis ? dictionary.facts.get(axis.fact) : undefined;
    return entry !== undefined && isDrawnName(entry) && axis.kind !== "settled";
  });
  return records.some((record) =>
    sides.every(({ axis, set }) => {
      if (axis.kind !== "value" && axis.kind !== "element") return true;
      const value = record[axis.fact];
      if (value === undefined) return true;
      if (axis.kind === "element") return has(set, Array.isArray(value) && value.includes(axis.element));
      return Array.isArray(value) || has(set, value as number | string | boolean);
    }),
  );
}

function isDrawnName({ from, type, unit }: FactEntry): boolean {
  if (from !== "derived" && from !== "kit") return false;
  return type === "text" || type === "list" || (type === "number" && unit === "count");
}
