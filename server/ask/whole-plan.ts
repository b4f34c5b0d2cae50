import { ByStanding } from "../order/by-standing.js";
import { planOf } from "../order/plan.js";
import type { Plan } from "../order/plan-types.js";
import type { Standing } from "../order/types.js";

const known = new ByStanding<Plan>();

/** The plan of the whole work from where it stands; worked out once for each state of work and rules. */
export function wholePlan(standing: Standing): Plan {
  const plan = known.get(standing) ?? planOf(standing);
  known.set(standing, plan);
  return plan;
}
