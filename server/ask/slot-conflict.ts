import { finder } from "../kit/find.js";
import type { Assembly } from "../kit/types.js";
import type { FormSpec } from "./form.js";
import type { Slots } from "./types.js";

/** Slots that cannot stand together. */
export interface SlotConflict {
  /** The slot to change or leave out. */
  readonly slot: string;
  /** Codes only; the sentences are where the problem is raised. */
  readonly code: "other place" | "one of" | "alone" | "itself";
  /** The slots that it goes against, or of which it needs one. */
  readonly with: readonly string[];
}

/** From the narrowest place to the widest. */
const NARROWER = ["hole", "holes", "row", "part", "family", "step"] as const;

/**
 * Whether slots contradict one another: two places of which neither lies in the other, two of a form's slots that
 * exclude each other, one that says nothing without another, or a part that is compared with itself.
 * @param slots  ids that exist, values that the slots may hold
 * @returns      the first conflict; null when there is none
 */
export function slotConflict(form: FormSpec, slots: Slots, assembly: Assembly): SlotConflict | null {
  const filled = (slot: string): boolean => slots[slot] !== undefined;
  for (const group of form.apart ?? []) {
    const [first, second] = group.filter(filled);
    if (first !== undefined && second !== undefined) return { slot: second, code: "one of", with: [first] };
  }
  for (const [slot, wanted] of Object.entries(form.needs ?? {})) {
    if (filled(slot) && !wanted.some(filled)) return { slot, code: "alone", with: wanted };
  }
  const parts = form.slots
    .filter(({ name, type }) => type === "part" && filled(name))
    .map(({ name }) => name);
  const twice = parts.find((name, at) => parts.slice(0, at).some((other) => slots[other] === slots[name]));
  if (twice !== undefined)
    return { slot: twice, code: "itself", with: parts.filter((name) => name !== twice) };
  const places = NARROWER.filter(filled);
  for (const [at, narrow] of places.entries()) {
    for (const wide of places.slice(at + 1)) {
      if (!liesIn(narrow, wide, slots, assembly)) return { slot: wide, code: "other place", with: [narrow] };
    }
  }
  return null;
}

function liesIn(narrow: string, wide: string, slots: Slots, assembly: Assembly): boolean {
  const around = holesAt(wide, slots, assembly);
  return [...holesAt(narrow, slots, assembly)].every((hole) => around.has(hole));
}

function holesAt(slot: string, slots: Slots, assembly: Assembly): ReadonlySet<string> {
  const find = finder(assembly);
  const value = slots[slot];
  if (value === undefined) return new Set();
  if (typeof value !== "string") return new Set(value);
  const through = (part: string): readonly string[] => find.holesThrough(part).map(({ id }) => id);
  switch (slot) {
    case "row":
      return new Set(find.holesOfRow(value).map(({ id }) => id));
    case "part":
      return new Set(through(value));
    case "step":
      return new Set(find.holesOfStep(value).map(({ id }) => id));
    case "family":
      return new Set(
        (assembly.families.find(({ id }) => id === value)?.members ?? []).flatMap((member) =>
          through(member),
        ),
      );
    default:
      return new Set([value]);
  }
}
