import type { Slots } from "../types.js";

/** Whether two readings of a form hold the same, in whatever order their slots were filled. */
export function sameSlots(a: Slots, b: Slots): boolean {
  return inOrder(a) === inOrder(b);
}

/** The slots of a reading, those left out that nothing fills. */
export function filled(slots: Readonly<Record<string, Slots[string] | undefined>>): Slots {
  return Object.fromEntries(
    Object.entries(slots).flatMap(([name, value]) => (value === undefined ? [] : [[name, value]])),
  );
}

function inOrder(slots: Slots): string {
  return JSON.stringify(Object.entries(slots).sort(([one], [other]) => (one < other ? -1 : 1)));
}
