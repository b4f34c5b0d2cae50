import { finder } from "../kit/find.js";
import type { Hole } from "../kit/types.js";
import { isWalledIn } from "../reach/walled-in.js";
import { approachesNow, concerned, contradictionsOf, holeBefore, wayOfAll } from "./closing.js";
import { lostOnceSet } from "./dead-end.js";
import { holdOf } from "./holds.js";
import { shutTogether } from "./keep-apart.js";
import { lookFrom } from "./look.js";
import { gripDoubtOf, misfitsOf } from "./misfit.js";
import { orderRulesOf } from "./order-rules.js";
import { openGates } from "./prep.js";
import { limitsBroken, unsettled } from "./settled.js";
import { isSet, joined, reachAt, stackOf, stackStates } from "./standing.js";
import type {
  HoldContradiction,
  HoleBefore,
  May,
  OrderRule,
  PartState,
  PrepGateState,
  Reason,
  Standing,
} from "./types.js";
import { may, verdictOf } from "./verdict.js";

/**
 * Whether the rivet of a hole may be set now: reach, hold, what is settled, limits, prep of the stack's
 * parts, order rules, and what setting it would wall in (it closes every part of its stack).
 * @throws UNKNOWN_ID
 */
export function maySet(standing: Standing, holeId: string): May {
  const hole = finder(standing.assembly).hole(holeId);
  const reasons = [...ownReasons(standing, hole), ...consequences(standing, [hole])];
  return may("set", null, [holeId], [...reasons, ...deadEnd(standing, [hole], reasons)]);
}

/** Whether several holes may all be set now. */
export interface MayTogether extends May {
  /** Each by itself, the others that may be set being about to be set too: they don't count as walled in by it. */
  readonly each: readonly May[];
  /** Reasons that only show when all are looked at together. */
  readonly together: readonly Reason[];
}

/**
 * Whether these holes may all be set now, one after the other.
 *
 * Taking rivets away only frees approaches, so an order exists exactly if one is found by taking away,
 * again and again, any rivet that could have been the last. Where the order matters it is given.
 * @throws UNKNOWN_ID
 */
export function maySetTogether(standing: Standing, holeIds: readonly string[]): MayTogether {
  const { assembly, work } = standing;
  const find = finder(assembly);
  const ids = [...new Set(holeIds)];
  const holes = ids.map((id) => find.hole(id));
  const open = holes.filter((hole) => !isSet(work, hole));
  const own = holes.map((hole) => ownReasons(standing, hole));
  // Only what may be set itself is about to be: a held hole that is asked about too can be walled in like any other.
  const going = open.filter((hole) => verdictOf(own[holes.indexOf(hole)] ?? []) === "yes");
  const alone = holes.map((hole) => (open.includes(hole) ? consequences(standing, [hole], going) : []));
  const jointly = consequences(standing, going);
  const order = orderAmong(standing, going);
  const each = ids.map((id, i) => {
    const known = [...(own[i] ?? []), ...(alone[i] ?? [])];
    const [hole] = holes.slice(i, i + 1);
    return may("set", null, [id], [...known, ...(hole ? deadEnd(standing, [hole], known, going) : [])]);
  });
  const reasons = distinct(own.flat()).map((reason) =>
    reason.code === "already-set" && open.length > 0 ? { ...reason, weight: "note" as const } : reason,
  );
  const known = [...reasons, ...order, ...jointly];
  const dead = deadEnd(standing, going, known);
  const isToldAlone = each.some((one) => one.reasons.some(({ code }) => code === "dead-end"));
  return {
    ...may("set", null, ids, [...known, ...dead]),
    each,
    together: [...order, ...onlyTogether(jointly, alone.flat()), ...(isToldAlone ? [] : dead)],
  };
}

/** Looked for only where nothing else speaks against it: what does is told, and once it is out of the way this is asked again. */
function deadEnd(
  standing: Standing,
  holes: readonly Hole[],
  known: readonly Reason[],
  spared: readonly Hole[] = [],
): Reason[] {
  if (verdictOf(known) !== "yes") return [];
  const lost = lostOnceSet(standing, holes, spared);
  return lost.length > 0 ? [{ weight: "no", code: "dead-end", holes: lost }] : [];
}

/** The holes walled in that none of the known reasons names. */
function onlyTogether(reasons: readonly Reason[], known: readonly Reason[]): Reason[] {
  const named = new Set(
    known.flatMap((reason) => (reason.code === "would-wall-in" ? reason.holes.map(({ hole }) => hole) : [])),
  );
  return reasons.flatMap((reason): Reason[] => {
    if (reason.code !== "would-wall-in") return [];
    const holes = reason.holes.filter(({ hole }) => !named.has(hole));
    return holes.length > 0 ? [{ ...reason, holes }] : [];
  });
}

/** What keeps the hole itself from being set; what setting it does to others is looked at apart. */
function ownReasons(standing: Standing, hole: Hole): Reason[] {
  const { work, rulings } = standing;
  if (isSet(work, hole)) return [{ weight: "no", code: "already-set", hole: hole.id }];
  const { states } = lookFrom(standing);
  const hold = holdOf(rulings, work, hole.id);
  const stuck = walledIn(standing, hole);
  const ruling = rulings.of(hole.id);
  return [
    ...stuck,
    ...(stuck.length > 0 ? [] : pinnedInTheWay(standing, hole)),
    ...(hold
      ? [{ weight: hold.status === "settled" ? "no" : hold.status, code: "held", hold } as const]
      : []),
    ...unsettled(hole.id, ruling),
    ...limitsBroken(hole.id, ruling),
    ...gripUnknown(standing, hole),
    ...misfitsOf(standing, hole).map(
      (misfit) => ({ weight: "no", code: "misfit", hole: hole.id, misfit }) as const,
    ),
    ...stackStates(hole, states).flatMap(({ part, state }): Reason[] => [
      ...(state === "loose"
        ? [{ weight: "note", code: "stack-part-loose", hole: hole.id, part } as const]
        : []),
      ...gateReasons(standing, hole, part, state),
    ]),
    ...orderRulesOf(rulings, states, hole).flatMap((rule) => ownRule(rule, new Set(stackOf(hole)))),
  ];
}

function gripUnknown(standing: Standing, hole: Hole): Reason[] {
  const doubt = gripDoubtOf(standing, hole);
  return doubt ? [{ weight: "note", code: "grip-unknown", hole: hole.id, rivet: doubt.rivet }] : [];
}

/** Closed parts, or its own stack, take every approach of the hole. */
export function walledIn(standing: Standing, hole: Hole): Reason[] {
  const { reach } = standing;
  const { closed } = lookFrom(standing);
  const holeReach = reachAt(reach, hole);
  if (!isWalledIn(holeReach, closed)) return [];
  return [
    {
      weight: "no",
      code: "walled-in",
      hole: hole.id,
      never: isWalledIn(holeReach, new Set()),
      approaches: approachesNow(reach, hole, closed),
    },
  ];
}

/** Parts held by pins alone that take the approaches which closed parts leave. */
function pinnedInTheWay(standing: Standing, hole: Hole): Reason[] {
  const { assembly, reach } = standing;
  const { closed, states } = lookFrom(standing);
  const pinned = assembly.parts.filter(({ id }) => states.of(id) === "pinned").map(({ id }) => id);
  const holeReach = reachAt(reach, hole);
  if (!isWalledIn(holeReach, joined(closed, pinned))) return [];
  const free = approachesNow(reach, hole, closed).filter((approach) => approach.free);
  const parts = holeReach.approaches
    .filter(({ approach }) => free.some((other) => other.approach === approach))
    .flatMap(({ blockedBy }) => blockedBy.map(({ part }) => part))
    .filter((part) => states.of(part) === "pinned");
  return [{ weight: "note", code: "pinned-in-the-way", hole: hole.id, parts: [...new Set(parts)].sort() }];
}

/** Open gates of a part that this rivet would close, or of one that is closed and that this very hole still calls for. */
function gateReasons(standing: Standing, hole: Hole, part: string, state: PartState): Reason[] {
  return openGates(standing, part)
    .filter((gate) => state !== "closed" || (gate.needed === "true" && gate.holes.includes(hole.id)))
    .map((gate) => prepReason(gate, state, gate.needed === "true" ? "no" : "undecided"));
}

/** An open gate as a reason. */
export function prepReason(gate: PrepGateState, partState: PartState, weight: Reason["weight"]): Reason {
  return { weight, code: gate.needed === "true" ? "prep-open" : "prep-unknown", gate, partState };
}

/** What an order rule on the hole itself says of setting it now. */
function ownRule(order: OrderRule, own: ReadonlySet<string>): Reason[] {
  const { relation, partState, part } = order;
  const isMet = relation === "after" ? partState !== "loose" : partState === "loose" && !own.has(part);
  if (isMet) return [];
  // Before a part that is closed, or before its own: it can't be met any more, and nothing is picked.
  const isTooLate = relation === "before" && (partState === "closed" || own.has(part));
  return [{ weight: weightOf(order, isTooLate ? "conflict" : "no"), code: "order-rule", order }];
}

/** A broken must rule weighs as said, one that may hold leaves it undecided, a preference never decides. */
export function weightOf(order: OrderRule, broken: "no" | "conflict"): Reason["weight"] {
  if (order.strength === "prefer") return "note";
  return order.verdict === "unknown" ? "undecided" : broken;
}

/**
 * What setting these holes does to the others: every part of their stacks is closed then. Seen together, for
 * two rivets may each leave a third its last approach and both of them not.
 * @param spared  holes that are about to be set in the same go
 */
function consequences(standing: Standing, holes: readonly Hole[], spared: readonly Hole[] = holes): Reason[] {
  const look = lookFrom(standing);
  const way = wayOfAll(holes, look.closed);
  if (way.closes.length === 0) return [];
  const closes = new Set(way.closes);
  const apart = shutTogether(standing, look.closed, way.closedAfter)
    .filter((other) => !holes.includes(other))
    .map(({ id }) => id);
  const others = concerned(look, closes)
    .filter((other) => !holes.includes(other) && !spared.includes(other))
    .map((other) => {
      const throughPart = stackOf(other).some((part) => closes.has(part));
      return holeBefore(look, other, [way], throughPart, null);
    });
  const lost = others.filter(({ walledIn }) => walledIn !== "no way");
  return [
    ...(lost.length > 0 ? [{ weight: "no", code: "would-wall-in", holes: lost } as const] : []),
    ...(apart.length > 0 ? [{ weight: "undecided", code: "keep-apart", holes: apart } as const] : []),
    ...wallsInHeld(contradictionsOf(lost)),
    ...others.flatMap(rulesOfOthers),
  ];
}

/** Holes to stay open that are about to be walled in. */
export function wallsInHeld(contradictions: readonly HoldContradiction[]): Reason[] {
  return contradictions.length > 0 ? [{ weight: "conflict", code: "walls-in-held", contradictions }] : [];
}

function rulesOfOthers({ orderRules }: HoleBefore): Reason[] {
  return orderRules.map((order): Reason => ({ weight: weightOf(order, "no"), code: "order-rule", order }));
}

/** An order in which holes can be set one after the other, where not every order does. */
function orderAmong(standing: Standing, holes: readonly Hole[]): Reason[] {
  const { reach, rulings } = standing;
  const { closed, states } = lookFrom(standing);
  const candidates = holes.filter((hole) => !isWalledIn(reachAt(reach, hole), closed));
  const wanted = new Map(
    candidates.map((hole) => [
      hole,
      orderRulesOf(rulings, states, hole)
        .filter((rule) => rule.relation === "before" && rule.strength === "must")
        .map(({ part }) => part)
        .filter((part) => !closed.has(part)),
    ]),
  );
  const closedByOthers = (left: readonly Hole[], last: Hole): ReadonlySet<string> =>
    joined(
      closed,
      left.flatMap((hole) => (hole === last ? [] : stackOf(hole))),
    );
  const canBeLast = (left: readonly Hole[], hole: Hole): boolean => {
    const before = closedByOthers(left, hole);
    return (
      !isWalledIn(reachAt(reach, hole), before) && !(wanted.get(hole) ?? []).some((part) => before.has(part))
    );
  };
  // Free with all the others set means free at any time.
  if (candidates.every((hole) => canBeLast(candidates, hole))) return [];
  let left: readonly Hole[] = candidates;
  const order: string[] = [];
  while (left.length > 0) {
    const last = left.findLast((hole) => canBeLast(left, hole));
    if (!last) return [{ weight: "no", code: "wall-each-other-in", holes: left.map(({ id }) => id) }];
    order.unshift(last.id);
    left = left.filter((hole) => hole !== last);
  }
  return [{ weight: "note", code: "in-this-order", holes: order }];
}

function distinct(reasons: readonly Reason[]): Reason[] {
  return [...new Map(reasons.map((reason) => [JSON.stringify(reason), reason])).values()];
}
