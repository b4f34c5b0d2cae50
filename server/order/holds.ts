import type { Work } from "../kit/work.js";
import type { Hold, HoleRulings } from "./types.js";

/** What the hold attribute says where a rule lifts a hold. */
export const LIFTED = "none";

/**
 * The hold on a hole.
 * @returns null when no rule holds it open, when the hold is lifted, or when its milestone is reached;
 *          a hold with status `undecided` or `conflict` when the rules don't tell, which is never "not held"
 */
export function holdOf(rulings: HoleRulings, work: Work, hole: string): Hold | null {
  const ruling = rulings.of(hole).attributes.hold;
  if (!ruling) return null;
  const { status, ruleIds, missing, unsettled } = ruling;
  const until = status === "settled" && ruling.value !== LIFTED ? String(ruling.value) : null;
  if (status === "undecided" || status === "conflict") return { hole, status, until, ruleIds, missing };
  // A hold that hangs on something else in conflict may yet come into force.
  if (until === null)
    return unsettled.length > 0 ? { hole, status: "undecided", until, ruleIds, missing } : null;
  return work.milestones.has(until) ? null : { hole, status: "settled", until, ruleIds, missing };
}
