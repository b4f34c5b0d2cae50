import type { Job } from "./types.js";

type Ruled = Pick<Job, "rulings" | "rulebook">;

/**
 * Facts that an attribute's ruling lacks and that can be found out: where it lacks another ruling, what that one lacks
 * in turn.
 * @returns names of the dictionary, sorted
 */
export function missingAt(job: Ruled, hole: string, attribute: string): readonly string[] {
  return [...rootMissing(job, hole, attribute, new Set())].sort();
}

function rootMissing(job: Ruled, hole: string, attribute: string, seen: Set<string>): Set<string> {
  const found = new Set<string>();
  if (seen.has(attribute)) return found;
  seen.add(attribute);
  for (const name of job.rulings.of(hole).attributes[attribute]?.missing ?? []) {
    if (job.rulebook.dictionary.facts.get(name)?.from !== "ruling") found.add(name);
    else for (const root of rootMissing(job, hole, name, seen)) found.add(root);
  }
  return found;
}
