import { finder } from "../../kit/find.js";
import type { Slots } from "../types.js";
import type { NameIndex } from "./names.js";

/** A place as slots can name it. */
export type Where =
  | { readonly kind: "part" | "row" | "hole" | "family" | "step"; readonly id: string }
  | { readonly kind: "parts" | "rows" | "holes"; readonly ids: readonly string[] }
  | { readonly kind: "all" };

/** Slots that can say where. */
export const PLACE_SLOTS: readonly string[] = ["hole", "holes", "row", "part", "family", "step"];

/** The place as the slots that a form has; null when the form cannot name such a place. */
export function whereSlots(where: Where, has: ReadonlySet<string>, names: NameIndex): Slots | null {
  if (where.kind === "all") return {};
  if ("id" in where && has.has(where.kind)) return { [where.kind]: where.id };
  if (!has.has("holes")) return null;
  // A form that takes no step takes the rows that the manual sets in it, never its parts' other rows.
  if (
    where.kind === "step" &&
    names.steps.every(({ step }) => step.id !== where.id || step.rows.length === 0)
  )
    return null;
  const holes = holesAt(where, names);
  return holes.length > 0 ? { holes } : null;
}

/** Ids of all holes at a place, in the assembly's order. */
export function holesAt(where: Where, names: NameIndex): readonly string[] {
  const find = finder(names.assembly);
  const ids = (): readonly string[] => {
    switch (where.kind) {
      case "all":
        return names.assembly.holes.map(({ id }) => id);
      case "hole":
        return [where.id];
      case "holes":
        return where.ids;
      case "row":
        return find.row(where.id).holes;
      case "rows":
        return where.ids.flatMap((row) => find.row(row).holes);
      case "part":
        return find.holesThrough(where.id).map(({ id }) => id);
      case "parts":
        return where.ids.flatMap((part) => find.holesThrough(part).map(({ id }) => id));
      case "step":
        return find.holesOfStep(where.id).map(({ id }) => id);
      case "family":
        return (names.assembly.families.find(({ id }) => id === where.id)?.members ?? []).flatMap((part) =>
          find.holesThrough(part).map(({ id }) => id),
        );
    }
  };
  const wanted = new Set(ids());
  return names.assembly.holes.filter(({ id }) => wanted.has(id)).map(({ id }) => id);
}

/** The place that slots name; null when they name none. */
export function whereOf(slots: Slots): Where | null {
  if (slots.hole) return { kind: "hole", id: slots.hole };
  if (slots.holes && slots.holes.length > 0) return { kind: "holes", ids: slots.holes };
  if (slots.row) return { kind: "row", id: slots.row };
  if (slots.part) return { kind: "part", id: slots.part };
  if (slots.family) return { kind: "family", id: slots.family };
  if (typeof slots.step === "string") return { kind: "step", id: slots.step };
  return null;
}

/** The one part whose row or holes a place is; null when there is none or more than one. */
export function partOf(where: Where, names: NameIndex): Where | null {
  const find = finder(names.assembly);
  const parts = new Set(
    where.kind === "part" ? [where.id] : holesAt(where, names).map((hole) => find.hole(hole).part),
  );
  const [only] = parts;
  return parts.size === 1 && only !== undefined ? { kind: "part", id: only } : null;
}
