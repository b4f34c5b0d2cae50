import type { Job } from "../../server/ask/types.js";
import { ruleOn } from "../../server/ruling/rule.js";
import { loadRulebook } from "../../server/ruling/rulebook.js";
import type { SourceFile } from "../../server/source.js";
import { ruleFiles } from "./job.js";

/** The same job under other rules, its rulings taking over what did not change. */
export async function triedUnder(job: Job, rules: readonly SourceFile[]): Promise<Job> {
  const rulebook = loadRulebook(rules, job.rulebook.dictionary, job.kit);
  return { ...job, rulebook, rulings: await ruleOn(rulebook, job.rulings.ids, job.facts, job.rulings) };
}

/** The same job with further rules. */
export function triedWith(job: Job, ...more: readonly SourceFile[]): Promise<Job> {
  return triedUnder(job, [...ruleFiles(), ...more]);
}
