import { planOf } from "../order/plan.js";
import type { Plan } from "../order/plan-types.js";
import type { Job } from "./types.js";

const known = new WeakMap<Job, Plan>();

/** The plan of the whole work from where it stands; worked out once for each job. */
export function wholePlan(job: Job): Plan {
  const plan = known.get(job) ?? planOf(job);
  known.set(job, plan);
  return plan;
}
