import { finder } from "../kit/find.js";
import type { Hole } from "../kit/types.js";
import { closedParts } from "../kit/work.js";
import { isWalledIn } from "../reach/walled-in.js";
import { holdOf } from "./holds.js";
import { demands, orderRulesOf } from "./order-rules.js";
import type { LeftOff, LeftOpen } from "./plan-types.js";
import { openGates } from "./prep.js";
import { unsettled } from "./settled.js";
import { isSet, joined, type PartStates, partStates, reachAt, stackOf } from "./standing.js";
import type { OrderRule, Standing } from "./types.js";

/** What a plan is about: the rivets to set and the parts to bring on, and what stays as it is. */
export interface PlanScope {
  readonly closed: ReadonlySet<string>;
  readonly states: PartStates;
  readonly rivets: readonly Hole[];
  readonly parts: readonly string[];
  /** Order rules on the rivets of the plan, those that hold for certain. */
  readonly rules: readonly OrderRule[];
  readonly leftOpen: readonly LeftOpen[];
  readonly leftOff: readonly LeftOff[];
}

/**
 * What can be done for now: all but the holes that are held, not settled or out of reach, and without the
 * parts that would wall an open hole in. A part all of whose rivets stay open stays off.
 */
export function scopeOf(standing: Standing): PlanScope {
  const { assembly, work, rulings } = standing;
  const closed = closedParts(assembly, work);
  const states = partStates(assembly, work);
  const rulesOf = new Map(assembly.holes.map((hole) => [hole.id, orderRulesOf(rulings, states, hole)]));
  const leftOpen = new Map<string, LeftOpen>();
  const planned = new Set<Hole>();
  for (const hole of assembly.holes) {
    if (isSet(work, hole)) continue;
    const reason = whyOpen(standing, hole, closed, rulesOf.get(hole.id) ?? []);
    if (reason) leftOpen.set(hole.id, reason);
    else planned.add(hole);
  }
  const leftOff = new Map<string, LeftOff>();
  const leave = (hole: Hole, reason: LeftOpen): void => {
    planned.delete(hole);
    leftOpen.set(hole.id, reason);
  };
  // Leaving a hole open may leave a part off, which may leave further holes open: until nothing changes.
  for (let changed = true; changed; ) {
    changed = false;
    const coming = new Set([...planned].flatMap(stackOf).filter((part) => !closed.has(part)));
    for (const hole of planned) {
      const waits = (rulesOf.get(hole.id) ?? []).find(
        (rule) =>
          rule.relation === "after" &&
          demands(rule, "true") &&
          !closed.has(rule.part) &&
          !coming.has(rule.part),
      );
      if (!waits) continue;
      leave(hole, { hole: hole.id, code: "part-off", part: waits.part });
      changed = true;
    }
    if (changed) continue;
    const tooEarly = firstTooEarly(standing, closed, coming, [...leftOpen.keys()]);
    if (!tooEarly) continue;
    leftOff.set(tooEarly.part, tooEarly);
    for (const hole of [...planned]) {
      if (stackOf(hole).includes(tooEarly.part)) {
        leave(hole, { hole: hole.id, code: "part-off", part: tooEarly.part });
      }
    }
    changed = true;
  }
  const rivets = assembly.holes.filter((hole) => planned.has(hole));
  const coming = new Set(rivets.flatMap(stackOf).filter((part) => !closed.has(part)));
  const openRivets = new Set([...leftOpen.values()].map(({ hole }) => hole));
  for (const hole of assembly.holes) {
    if (!openRivets.has(hole.id)) continue;
    for (const part of stackOf(hole)) {
      if (!closed.has(part) && !coming.has(part) && !leftOff.has(part)) {
        leftOff.set(part, { part, wouldWallIn: [] });
      }
    }
  }
  return {
    closed,
    states,
    rivets,
    parts: assembly.parts.map(({ id }) => id).filter((id) => coming.has(id)),
    rules: rivets.flatMap((hole) => (rulesOf.get(hole.id) ?? []).filter(({ verdict }) => verdict === "true")),
    leftOpen: assembly.holes.flatMap(({ id }) => leftOpen.get(id) ?? []),
    leftOff: assembly.parts.flatMap(({ id }) => leftOff.get(id) ?? []),
  };
}

/** Why a hole stays open for now; null when it can be planned. */
function whyOpen(
  standing: Standing,
  hole: Hole,
  closed: ReadonlySet<string>,
  rules: readonly OrderRule[],
): LeftOpen | null {
  const { reach, work, rulings } = standing;
  const holeReach = reachAt(reach, hole);
  if (isWalledIn(holeReach, closed)) {
    return { hole: hole.id, code: "walled-in", never: isWalledIn(holeReach, new Set()) };
  }
  const hold = holdOf(rulings, work, hole.id);
  if (hold) return { hole: hole.id, code: "held", hold };
  const open = unsettled(hole.id, rulings.of(hole.id));
  if (open.length > 0) {
    const fields = open.flatMap((reason) => (reason.code === "not-settled" ? [reason] : []));
    return {
      hole: hole.id,
      code: "not-settled",
      attributes: fields.map(({ attribute }) => attribute),
      missing: [...new Set(fields.flatMap(({ missing }) => missing))],
    };
  }
  const unknown = rules.find((rule) => demands(rule, "unknown"));
  if (unknown) return { hole: hole.id, code: "rule-unknown", rule: unknown.rule };
  const late = rules.find(
    (rule) => rule.relation === "before" && demands(rule, "true") && closed.has(rule.part),
  );
  if (late) return { hole: hole.id, code: "late", rule: late.rule, part: late.part };
  for (const part of stackOf(hole)) {
    if (!closed.has(part)) continue;
    const gate = openGates(standing, part).find(
      (state) => state.holes.includes(hole.id) && state.needed === "true" && state.gate !== "enlarge",
    );
    if (gate) return { hole: hole.id, code: "layers-together", part, gate: gate.gate };
  }
  return null;
}

/**
 * A part that would wall an open hole in if it came on with the others: of the approach that the fewest
 * parts block, the one that the manual closes last.
 */
function firstTooEarly(
  { assembly, reach }: Standing,
  closed: ReadonlySet<string>,
  coming: ReadonlySet<string>,
  open: readonly string[],
): LeftOff | null {
  const find = finder(assembly);
  const lateness = (part: string): number => assembly.closings.indexOf(part);
  for (const id of open) {
    const hole = find.hole(id);
    const holeReach = reachAt(reach, hole);
    if (isWalledIn(holeReach, closed) || !isWalledIn(holeReach, joined(closed, coming))) continue;
    const blockers = holeReach.approaches
      .filter(
        ({ ownStack, blockedBy }) => ownStack.length === 0 && !blockedBy.some(({ part }) => closed.has(part)),
      )
      .map(({ blockedBy }) =>
        [...new Set(blockedBy.map(({ part }) => part))].filter((part) => coming.has(part)),
      )
      .sort((a, b) => a.length - b.length || String(a).localeCompare(String(b)));
    const [fewest = []] = blockers;
    const [part] = [...fewest].sort((a, b) => lateness(b) - lateness(a) || a.localeCompare(b));
    if (part !== undefined) {
      const wouldWallIn = open.filter((other) => {
        const otherReach = reachAt(reach, find.hole(other));
        return (
          !isWalledIn(otherReach, closed) &&
          otherReach.approaches.some(({ blockedBy }) => blockedBy.some((blocker) => blocker.part === part)) &&
          isWalledIn(otherReach, joined(closed, coming))
        );
      });
      return { part, wouldWallIn };
    }
  }
  return null;
}
