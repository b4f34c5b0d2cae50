import { finder } from "../../kit/find.js";
import { missingAt } from "../missing.js";
import type { Job } from "../types.js";
import { listed, plural } from "./grammar.js";
import { sayMissing } from "./rulings.js";

/** Why attributes are not settled at some of these holes: ": the gap to the seal is not known"; empty where nothing is told. */
export function sayWhyOpen(job: Job, holes: readonly string[], attributes: readonly string[]): string {
  const find = finder(job.assembly);
  const at = holes.flatMap((hole) => attributes.map((attribute) => ({ hole, attribute })));
  const facts = new Set(
    at.flatMap(({ hole, attribute }) =>
      missingAt(job, hole, attribute).map((fact) => sayMissing(fact, find.hole(hole))),
    ),
  );
  const isConflict = at.some(
    ({ hole, attribute }) => job.rulings.of(hole).attributes[attribute]?.status === "conflict",
  );
  const why = [
    ...(facts.size > 0 ? [`${listed([...facts])} ${plural(facts.size, "is", "are")} not known`] : []),
    ...(isConflict ? ["rules oppose each other on it"] : []),
  ];
  return why.length > 0 ? `: ${why.join("; ")}` : "";
}
