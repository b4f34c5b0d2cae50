import type { Hole } from "../kit/types.js";
import { isWalledIn } from "../reach/walled-in.js";
import { holdOf } from "./holds.js";
import { misfitsOf } from "./misfit.js";
import { demands } from "./order-rules.js";
import type { LeftOpen } from "./plan-types.js";
import { openGates } from "./prep.js";
import { limitsBroken, unsettled } from "./settled.js";
import { reachAt, stackOf } from "./standing.js";
import type { OrderRule, Standing } from "./types.js";

/** What is passed over because closed parts may be opened again. */
export interface PassedOver {
  /** That closed parts wall the hole in, those against a must rule too. */
  readonly walls?: boolean;
  /** That a part closed without the hole's dimple, or before the hole against a must rule. */
  readonly skipped?: boolean;
}

/**
 * Why a hole stays open for now; null when it can be planned.
 * @param rules  order rules on the hole
 */
export function whyOpen(
  standing: Standing,
  hole: Hole,
  closed: ReadonlySet<string>,
  rules: readonly OrderRule[],
  past: PassedOver = {},
): LeftOpen | null {
  const { reach, work, rulings } = standing;
  const holeReach = reachAt(reach, hole);
  const never = isWalledIn(holeReach, new Set());
  const isLost = isWalledIn(holeReach, closed);
  if (never || (isLost && !past.walls)) return { hole: hole.id, code: "walled-in", never };
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
  const [misfit] = misfitsOf(standing, hole);
  if (misfit) return { hole: hole.id, code: "misfit", misfit };
  const unknown = rules.find((rule) => demands(rule, "unknown"));
  if (unknown) return { hole: hole.id, code: "rule-unknown", rule: unknown.rule };
  const late = rules.find(
    (rule) => rule.relation === "before" && demands(rule, "true") && closed.has(rule.part),
  );
  if (late && !past.skipped && !(past.walls && isLost)) {
    return { hole: hole.id, code: "late", rule: late.rule, part: late.part };
  }
  const [forgotten] = past.skipped ? [] : forgottenGates(standing, hole, closed);
  if (forgotten) return { hole: hole.id, code: "layers-together", ...forgotten };
  return null;
}

/** A gate that was not done on a part before it closed, and that a hole through it still needs. */
export interface ForgottenGate {
  readonly part: string;
  readonly gate: string;
}

/**
 * Gates of a hole's closed parts that cannot be done any more with the parts together: dimples, and a countersink under
 * them, once two parts of the stack are closed. An enlarged hole is drilled through the whole stack and a countersink in
 * the layer at the head cut from outside, so those are not lost. Common practice, no source.
 */
export function forgottenGates(
  standing: Standing,
  hole: Hole,
  closed: ReadonlySet<string>,
): readonly ForgottenGate[] {
  const parts = stackOf(hole).filter((part) => closed.has(part));
  if (parts.length < 2) return [];
  return parts.flatMap((part) =>
    openGates(standing, part)
      .filter(({ holes, needed, gate }) => {
        const isInside = gate === "countersink" && part !== hole.layers[0]?.part;
        return holes.includes(hole.id) && needed === "true" && (gate === "dimple" || isInside);
      })
      .map(({ gate }) => ({ part, gate })),
  );
}
