import type { Work } from "../kit/work.js";
import type { Hold, HoleRulings } from "./types.js";

/** What the hold attribute says where a rule lifts a hold. */
const LIFTED = "none";

/**
 * The hold on a hole.
 * @returns null when no rule holds it open, when the hold is lifted, or when its milestone is reached;
 *          a hold with status `undecided` or `conflict` when the rules don't tell
 */
export function holdOf(rulings: HoleRulings, work: Work, hole: string): Hold | null {
  const ruling = rulings.of(hole).attributes.hold;
  if (!ruling || ruling.status === "unclaimed") return null;
  const { status, ruleIds, missing } = ruling;
  if (status !== "settled") return { hole, status, until: null, ruleIds, missing };
  const until = String(ruling.value);
  if (until === LIFTED || work.milestones.has(until)) return null;
  return { hole, status, until, ruleIds, missing };
}
