import type { Job } from "../types.js";
import { counted } from "./grammar.js";
import { namesOf } from "./names.js";
import { sayWhyOpen } from "./why-open.js";

/**
 * Where it is not decided whether a hole is like the others, and what would tell: "not decided at rib 7, top flange row,
 * holes 7 and 8 from the front: the gap to the seal is not known"; empty without holes.
 * @param attributes  that are compared
 * @param isBrief     the holes by their number
 */
export function sayNotComparedAt(
  job: Job,
  holes: readonly string[],
  attributes: readonly string[],
  isBrief = false,
): string {
  if (holes.length === 0) return "";
  const where = isBrief ? counted(holes.length, "hole") : namesOf(job).where(holes, 2);
  return `not decided at ${where}${sayWhyOpen(job, holes, attributes)}`;
}
