import { finder } from "../../kit/find.js";
import { missingAt } from "../missing.js";
import type { Job } from "../types.js";
import { counted, listed, plural } from "./grammar.js";
import { namesOf } from "./names.js";
import { sayMissing } from "./rulings.js";

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
  const find = finder(job.assembly);
  const facts = new Set(
    holes.flatMap((id) =>
      attributes.flatMap((attribute) =>
        missingAt(job, id, attribute).map((fact) => sayMissing(fact, find.hole(id))),
      ),
    ),
  );
  const isConflict = holes.some((id) =>
    attributes.some((attribute) => job.rulings.of(id).attributes[attribute]?.status === "conflict"),
  );
  const why = [
    ...(facts.size > 0 ? [`${listed([...facts])} ${plural(facts.size, "is", "are")} not known`] : []),
    ...(isConflict ? ["rules oppose each other"] : []),
  ];
  const where = isBrief ? counted(holes.length, "hole") : namesOf(job).where(holes, 2);
  return `not decided at ${where}${why.length > 0 ? `: ${why.join("; ")}` : ""}`;
}
