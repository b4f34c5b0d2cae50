import { finder } from "../kit/find.js";
import type { Assembly, Hole } from "../kit/types.js";
import { closedParts, stateOf, type Work } from "../kit/work.js";
import type { HoleReach, Reach } from "../reach/types.js";
import type { PartState, StackPart } from "./types.js";

/** A hole's reach; the two lists run side by side. */
export function reachAt(reach: Reach, hole: Hole): HoleReach {
  const found = reach.holes[hole.index];
  if (found?.hole !== hole.id) throw new Error(`the reach given is not that of hole ${hole.id}'s assembly`);
  return found;
}

export function isSet(work: Work, hole: Hole): boolean {
  return stateOf(work, hole.id) === "set";
}

/** Parts of a hole's stack, head side first, each once. */
export function stackOf(hole: Hole): string[] {
  return [...new Set(hole.layers.map((layer) => layer.part))];
}

/** Parts that the marks show to be held by temporary fasteners and by nothing else. */
function pinnedParts(assembly: Assembly, work: Work): ReadonlySet<string> {
  const closed = closedParts(assembly, work);
  const pinned = new Set<string>();
  for (const hole of assembly.holes) {
    if (stateOf(work, hole.id) !== "pinned") continue;
    for (const part of stackOf(hole)) if (!closed.has(part)) pinned.add(part);
  }
  return pinned;
}

/** How firmly each part is on, by id; a part of which no mark tells is `loose`. */
export interface PartStates {
  of(part: string): PartState;
}

export function partStates(assembly: Assembly, work: Work): PartStates {
  const closed = closedParts(assembly, work);
  const pinned = pinnedParts(assembly, work);
  return { of: (part) => (closed.has(part) ? "closed" : pinned.has(part) ? "pinned" : "loose") };
}

export function stackStates(hole: Hole, states: PartStates): StackPart[] {
  return stackOf(hole).map((part) => ({ part, state: states.of(part) }));
}

/** The sets' union. */
export function joined<T>(set: ReadonlySet<T>, more: Iterable<T>): Set<T> {
  return new Set([...set, ...more]);
}

/** Hole ids in the assembly's order. */
export function inOrder(assembly: Assembly, holes: Iterable<string>): string[] {
  const find = finder(assembly);
  return [...holes].sort((a, b) => find.hole(a).index - find.hole(b).index);
}
