import { finder } from "../kit/find.js";
import type { Assembly } from "../kit/types.js";
import type { Asked } from "./reading/clipped.js";
import type { Slots } from "./types.js";

/** What a reading took from the question before it. */
export interface Carried {
  /** The question itself: only a place or a word was said anew. */
  readonly form: boolean;
  /** Slots whose value came from there, whole or in part: the same row on another part. */
  readonly slots: readonly string[];
}

/**
 * What was carried over from the question before.
 * @param before  the reading before
 * @param asked   what was read with it
 * @param alone   what the same words read as without it; null when they could not be read whole
 * @returns       null when nothing was
 */
export function carriedOver(
  assembly: Assembly,
  before: Asked,
  asked: Asked,
  alone: Asked | null,
): Carried | null {
  const isAlone = alone?.form === asked.form;
  const slots = Object.entries(asked.slots).flatMap(([name, value]) => {
    if (value === undefined) return [];
    const same = isAlone && alone !== null && isSame(alone.slots[name], value);
    return !same && comesFrom(assembly, before.slots, name, value) ? [name] : [];
  });
  const form = alone === null && before.form === asked.form;
  return form || slots.length > 0 ? { form, slots } : null;
}

/** Whether the value, or the row and numbers in it, stood in the question before. */
function comesFrom(
  assembly: Assembly,
  before: Slots,
  name: string,
  value: NonNullable<Slots[string]>,
): boolean {
  if (isSame(before[name], value)) return true;
  const here = rowsIn(assembly, { [name]: value });
  const there = rowsIn(assembly, before);
  return here.length > 0 && here.every((row) => there.includes(row));
}

/** Names of the rows, within their parts, that slots are about. */
function rowsIn(assembly: Assembly, { row, hole, holes }: Slots): readonly string[] {
  const find = finder(assembly);
  const rows = [...(hole ? [hole] : []), ...(holes ?? [])].map((id) => find.hole(id).rowId);
  return [...new Set([...(row ? [row] : []), ...rows])].map((id) => find.row(id).row);
}

function isSame(one: Slots[string], other: Slots[string]): boolean {
  return JSON.stringify(one) === JSON.stringify(other);
}
