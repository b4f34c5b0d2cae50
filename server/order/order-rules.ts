import type { Hole } from "../kit/types.js";
import { type PartStates, stackOf } from "./standing.js";
import type { HoleRulings, OrderRule } from "./types.js";

/** What order rules claim on a hole, each with how the part that it names stands; those that don't hold are left out. */
export function orderRulesOf(rulings: HoleRulings, states: PartStates, hole: Hole): OrderRule[] {
  const own = new Set(stackOf(hole));
  return rulings.of(hole.id).orders.flatMap((claim) => {
    if (claim.verdict === "false") return [];
    const { rule, strength, verdict } = claim;
    const named = [
      { relation: "before" as const, part: claim.before },
      { relation: "after" as const, part: claim.after },
    ];
    return named.flatMap(({ relation, part }): OrderRule[] =>
      // A rivet goes in after its own parts are on in any case; to want it before them is kept, and can't be met.
      part === undefined || (relation === "after" && own.has(part))
        ? []
        : [{ hole: hole.id, rule, strength, relation, part, partState: states.of(part), verdict }],
    );
  });
}

/** Whether a rule demands it: for certain, or for all we know. */
export function demands(rule: OrderRule, verdict: "true" | "unknown"): boolean {
  return rule.strength === "must" && rule.verdict === verdict;
}
