import type { AttributeRuling } from "../../ruling/types.js";
import type { Job } from "../types.js";
import { sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { sayConflict, sayRemedy, sayUndecided } from "../wording/rulings.js";
import { grouped, type Ruled } from "./ruled.js";

const ASK_MENTOR = "Ask your mentor";

/**
 * What is open at a hole, in sentences: facts to find out, rules that oppose each other. Empty when all is settled.
 * An attribute that no rule claims counts only if the dictionary requires it.
 */
export function sayOpen(
  job: Job,
  { hole, of }: Ruled,
  attributes: readonly string[] = [...job.rulebook.dictionary.attributes.keys()],
): string {
  const open = attributes
    .map((attribute) => ({ attribute, ...of(attribute) }))
    .filter(({ attribute, status }) => isOpen(job, attribute, status));
  const undecided = open.filter(({ status }) => status !== "conflict");
  const names = namesOf(job);
  const conflicts = open
    .filter(({ status }) => status === "conflict")
    .map(({ attribute, ruleIds }) => {
      const { claims } = job.rulings.trace(hole.id, attribute);
      const sides = claims.filter(({ rule }) => ruleIds.includes(rule));
      return sayConflict(attribute, sides, names, job.kit.units);
    });
  return sentences(
    ...conflicts,
    conflicts.length > 0 && ASK_MENTOR,
    ...grouped(undecided, ({ missing }) => missing).flatMap((group) => {
      const missing = group[0]?.missing ?? [];
      // What hangs on a conflict lacks nothing of its own: the conflict has been said.
      if (missing.length === 0 && conflicts.length > 0) return [];
      const labels = group.map(({ attribute }) => attribute);
      return [sayUndecided(labels, missing, hole), sayRemedy(missing)];
    }),
  );
}

/** Whether an attribute's ruling leaves something open. */
export function isOpen(job: Job, attribute: string, status: AttributeRuling["status"]): boolean {
  if (status === "settled") return false;
  return status !== "unclaimed" || (job.rulebook.dictionary.attributes.get(attribute)?.required ?? false);
}
