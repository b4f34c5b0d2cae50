import type { Hole } from "../kit/types.js";
import { isWalledIn } from "../reach/walled-in.js";
import { holdOf } from "./holds.js";
import { demands } from "./order-rules.js";
import type { LeftOpen } from "./plan-types.js";
import { openGates } from "./prep.js";
import { limitsBroken, unsettled } from "./settled.js";
import { reachAt, stackOf } from "./standing.js";
import type { OrderRule, Standing } from "./types.js";

/**
 * Why a hole stays open for now; null when it can be planned.
 * @param rules       order rules on the hole
 * @param pastWalls   true: that closed parts wall it in, or came before it against a must rule, is passed
 *                    over, for they may be opened again
 */
export function whyOpen(
  standing: Standing,
  hole: Hole,
  closed: ReadonlySet<string>,
  rules: readonly OrderRule[],
  pastWalls = false,
): LeftOpen | null {
  const { reach, work, rulings } = standing;
  const holeReach = reachAt(reach, hole);
  const never = isWalledIn(holeReach, new Set());
  const isLost = isWalledIn(holeReach, closed);
  if (never || (isLost && !pastWalls)) return { hole: hole.id, code: "walled-in", never };
  const hold = holdOf(rulings, work, hole.id);
  if (hold) return { hole: hole.id, code: "held", hold };
  const ruling = rulings.of(hole.id);
  const open = unsettled(hole.id, ruling);
  if (open.length > 0) {
    const fields = open.flatMap((reason) => (reason.code === "not-settled" ? [reason] : []));
    return {
      hole: hole.id,
      code: "not-settled",
      attributes: fields.map(({ attribute }) => attribute),
      missing: [...new Set(fields.flatMap(({ missing }) => missing))],
    };
  }
  const broken = limitsBroken(hole.id, ruling)[0];
  if (broken?.code === "limit") {
    return { hole: hole.id, code: "limit", rule: broken.rule, fact: broken.fact, verdict: broken.verdict };
  }
  const unknown = rules.find((rule) => demands(rule, "unknown"));
  if (unknown) return { hole: hole.id, code: "rule-unknown", rule: unknown.rule };
  const late = rules.find(
    (rule) => rule.relation === "before" && demands(rule, "true") && closed.has(rule.part),
  );
  if (late && !(pastWalls && isLost)) {
    return { hole: hole.id, code: "late", rule: late.rule, part: late.part };
  }
  for (const part of stackOf(hole)) {
    if (!closed.has(part)) continue;
    const gate = openGates(standing, part).find(
      (state) => state.holes.includes(hole.id) && state.needed === "true" && state.gate !== "enlarge",
    );
    if (gate) return { hole: hole.id, code: "layers-together", part, gate: gate.gate };
  }
  return null;
}
