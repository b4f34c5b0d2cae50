import type { ApproachReach, HoleReach } from "./types.js";

/** Whether an approach can be used with these parts closed. One that its own stack blocks never can. */
export function isFree(approach: ApproachReach, closed: ReadonlySet<string>): boolean {
  return approach.ownStack.length === 0 && !approach.blockedBy.some(({ part }) => closed.has(part));
}

/**
 * Approaches of a hole that can be used with these parts closed.
 * @param closed  part ids
 * @returns       approach ids, in the hole's order
 */
export function freeApproaches(hole: HoleReach, closed: ReadonlySet<string>): string[] {
  return hole.approaches.filter((approach) => isFree(approach, closed)).map(({ approach }) => approach);
}

/** Whether none of a hole's approaches can be used with these parts closed. */
export function isWalledIn(hole: HoleReach, closed: ReadonlySet<string>): boolean {
  return !hole.approaches.some((approach) => isFree(approach, closed));
}
