import { finder } from "../kit/find.js";
import type { Assembly, Hole } from "../kit/types.js";
import { closedParts, type Work } from "../kit/work.js";
import type { ApproachReach, Blocker, Reach } from "../reach/types.js";
import { isFree, isWalledIn } from "../reach/walled-in.js";
import { holdOf } from "./holds.js";
import { shutTogether } from "./keep-apart.js";
import { type Look, lookAt } from "./look.js";
import { demands, orderRulesOf } from "./order-rules.js";
import { inOrder, isSet, joined, reachAt, stackOf, stackStates } from "./standing.js";
import type {
  ApproachAfter,
  ApproachNow,
  BeforeClosing,
  HoldContradiction,
  HoleBefore,
  HoleRulings,
  WalledIn,
} from "./types.js";

/** Unset holes that can't be set any more without drilling something out, in the assembly's order. */
export function walledInNow(assembly: Assembly, reach: Reach, work: Work): WalledIn[] {
  const closed = closedParts(assembly, work);
  return assembly.holes
    .filter((hole) => !isSet(work, hole) && isWalledIn(reachAt(reach, hole), closed))
    .map((hole) => ({
      hole: hole.id,
      never: isWalledIn(reachAt(reach, hole), new Set()),
      approaches: approachesNow(reach, hole, closed),
    }));
}

/** A hole's approaches with these parts closed. */
export function approachesNow(reach: Reach, hole: Hole, closed: ReadonlySet<string>): ApproachNow[] {
  return reachAt(reach, hole).approaches.map((approach) => now(approach, closed));
}

function now(approach: ApproachReach, closed: ReadonlySet<string>): ApproachNow {
  return {
    approach: approach.approach,
    free: isFree(approach, closed),
    ownStack: approach.ownStack,
    blockedNow: approach.blockedBy.filter(({ part }) => closed.has(part)),
  };
}

/**
 * What has to be set before a part closes.
 *
 * A part closes when the first rivet through it is set, and that rivet closes the other parts of its
 * stack too. So there may be many ways of closing one part, and each takes other approaches away. A hole
 * has to be set before when every way of closing by another rivet than its own walls it in. Later rivets
 * can only take more approaches away, so looking at the one next rivet is enough: what that walls in
 * stays so, and a hole that it leaves free can be set next.
 *
 * @param rulings  adds the order rules and the holds; without them only reach counts
 * @throws UNKNOWN_ID for a part that the assembly doesn't have
 */
export function beforeClosing(
  assembly: Assembly,
  reach: Reach,
  work: Work,
  part: string,
  rulings: HoleRulings | null = null,
): BeforeClosing {
  const look = lookAt({ assembly, reach, work, rulings });
  const { closed } = look;
  const through = new Set(finder(assembly).holesThrough(part));
  const ways = closed.has(part)
    ? []
    : waysOf(
        [...through].filter((hole) => canBeSet(reach, work, closed, hole)),
        closed,
      );
  const wallsIn = ways.map((way) => walledInBy(look, way));
  const shuts = ways.map((way) =>
    rulings ? shutTogether({ assembly, work, rulings }, closed, way.closedAfter).map(({ id }) => id) : [],
  );

  const before = concerned(look, new Set([part, ...ways.flatMap(({ closes }) => closes)])).map((hole) =>
    holeBefore(look, hole, ways, through.has(hole), part),
  );
  const mustBefore = before.filter((hole) => hole.walledIn === "every way" || isDemanded(hole, "true"));
  const rest = without(before, mustBefore);
  const dependsOnWay = rest.filter((hole) => hole.walledIn === "some ways");
  const undecided = without(rest, dependsOnWay).filter((hole) => isDemanded(hole, "unknown"));
  const untouched = without(without(rest, dependsOnWay), undecided);
  const preferBefore = untouched.filter((hole) => hole.orderRules.some(({ verdict }) => verdict === "true"));
  const alsoOneSided = without(untouched, preferBefore).filter(
    (hole) => isTouched(hole) && hole.approaches.some(({ free }) => free),
  );

  const isClosed = closed.has(part);
  return {
    part,
    status: isClosed ? "closed" : ways.length === 0 ? "cannot close" : "open",
    ways: ways.map((way, i) => ({
      holes: way.holes.map(({ id }) => id),
      closes: way.closes,
      wallsIn: inOrder(assembly, wallsIn[i] ?? []),
      shutsTogether: shuts[i] ?? [],
    })),
    mustBefore: isClosed ? [] : mustBefore,
    dependsOnWay,
    undecided,
    alsoOneSided,
    preferBefore: isClosed ? [] : preferBefore,
    contradictions: isClosed ? [] : contradictionsOf([...mustBefore, ...dependsOnWay]),
    // Each way may bring other holes together: as long as every way does, something is to be found out first.
    keepApart: shuts.every((list) => list.length > 0) ? inOrder(assembly, new Set(shuts.flat())) : [],
    late: isClosed
      ? before.filter((hole) => isDemanded(hole, "true") || (isBehind(hole, part) && !isNever(look, hole)))
      : [],
  };
}

/** Rivets, and what they close: any one of them when each closes the same, or all together (`wayOfAll`). */
export interface Way {
  readonly holes: readonly Hole[];
  /** Parts that they close and that are not closed yet, by id. */
  readonly closes: readonly string[];
  /** All parts that are closed once one of them is set. */
  readonly closedAfter: ReadonlySet<string>;
}

/** Unset holes that these parts can matter to: they stand in the way of one, or an order rule names them. */
export function concerned(
  { assembly, reach, work, rulings, states }: Look,
  parts: ReadonlySet<string>,
): Hole[] {
  return assembly.holes.filter(
    (hole) =>
      !isSet(work, hole) &&
      (reachAt(reach, hole).approaches.some(({ blockedBy }) =>
        blockedBy.some(({ part }) => parts.has(part)),
      ) ||
        (rulings !== null && orderRulesOf(rulings, states, hole).some(({ part }) => parts.has(part)))),
  );
}

function canBeSet(reach: Reach, work: Work, closed: ReadonlySet<string>, hole: Hole): boolean {
  return !isSet(work, hole) && !isWalledIn(reachAt(reach, hole), closed);
}

/** All these rivets, set one after the other. */
export function wayOfAll(holes: readonly Hole[], closed: ReadonlySet<string>): Way {
  const closes = [...new Set(holes.flatMap(stackOf))].filter((part) => !closed.has(part)).sort();
  return { holes, closes, closedAfter: joined(closed, closes) };
}

/** Rivets grouped by the parts that each of them closes, in the order of the first of each group. */
function waysOf(holes: readonly Hole[], closed: ReadonlySet<string>): Way[] {
  const ways = new Map<string, Way & { holes: Hole[] }>();
  for (const hole of holes) {
    const one = wayOfAll([hole], closed);
    const key = one.closes.join(" ");
    const way = ways.get(key);
    if (way) way.holes.push(hole);
    else ways.set(key, { ...one, holes: [hole] });
  }
  return [...ways.values()];
}

/** Holes that can be set now and no longer once a way is gone. A way never walls in its own rivets: they go through what it closes. */
function walledInBy({ assembly, reach, work, closed }: Look, way: Way): string[] {
  return assembly.holes
    .filter(
      (hole) => canBeSet(reach, work, closed, hole) && isWalledIn(reachAt(reach, hole), way.closedAfter),
    )
    .map(({ id }) => id);
}

/**
 * What ways of closing do to one hole.
 * @param part  part whose order rules count; null for any part that a way closes
 */
export function holeBefore(
  { reach, work, rulings, closed, states }: Look,
  hole: Hole,
  ways: readonly Way[],
  throughPart: boolean,
  part: string | null,
): HoleBefore {
  const holeReach = reachAt(reach, hole);
  const others = ways
    .map((way) => ({ ...way, holes: way.holes.filter((other) => other !== hole) }))
    .filter((way) => way.holes.length > 0);
  const reachable = !isWalledIn(holeReach, closed);
  const [walling, leaving] = split(others, (way) => reachable && isWalledIn(holeReach, way.closedAfter));
  const orderRules = (rulings ? orderRulesOf(rulings, states, hole) : []).filter(
    (rule) =>
      rule.relation === "before" &&
      (part === null ? ways.some((way) => way.closes.includes(rule.part)) : rule.part === part),
  );
  const walledIn = walling.length === 0 ? "no way" : leaving.length === 0 ? "every way" : "some ways";
  const because: HoleBefore["because"] = [
    ...(walledIn === "no way" ? [] : (["walled in"] as const)),
    ...(orderRules.length === 0 ? [] : (["order rule"] as const)),
  ];
  return {
    hole: hole.id,
    because,
    walledIn,
    throughPart,
    approaches: holeReach.approaches.map((approach) => after(approach, closed, others)),
    stack: stackStates(hole, states),
    wallingWays: walling.flatMap((way) => way.holes.map(({ id }) => id)),
    freeWays: leaving.flatMap((way) => way.holes.map(({ id }) => id)),
    orderRules,
    hold: rulings ? holdOf(rulings, work, hole.id) : null,
  };
}

function after(approach: ApproachReach, closed: ReadonlySet<string>, ways: readonly Way[]): ApproachAfter {
  const as = now(approach, closed);
  const closedBy = (blocker: Blocker): readonly Way[] =>
    ways.filter((way) => way.closes.includes(blocker.part));
  const closes = !as.free
    ? []
    : approach.blockedBy
        .filter((blocker) => closedBy(blocker).length > 0)
        .map((blocker) => ({
          ...blocker,
          ways: closedBy(blocker).length === ways.length ? ("every" as const) : ("some" as const),
        }));
  return { ...as, closes };
}

/** Holes that a closing is about to take away and that are to stay open. */
export function contradictionsOf(holes: readonly HoleBefore[]): HoldContradiction[] {
  return holes.flatMap(({ hole, hold, because, walledIn }) =>
    hold ? [{ hole, hold, because, walledIn }] : [],
  );
}

function isDemanded(hole: HoleBefore, verdict: "true" | "unknown"): boolean {
  return hole.orderRules.some((rule) => demands(rule, verdict));
}

function isTouched(hole: HoleBefore): boolean {
  return hole.approaches.some(({ closes }) => closes.length > 0);
}

/** No tool ever gets at it, whatever is closed: it was not to be set before anything. */
function isNever({ assembly, reach }: Look, { hole }: HoleBefore): boolean {
  return isWalledIn(reachAt(reach, finder(assembly).hole(hole)), new Set());
}

/** Walled in now, and the part has to do with it. */
function isBehind(hole: HoleBefore, part: string): boolean {
  return (
    hole.approaches.every(({ free }) => !free) &&
    hole.approaches.some(({ blockedNow }) => blockedNow.some((blocker) => blocker.part === part))
  );
}

function without<T>(list: readonly T[], taken: readonly T[]): T[] {
  const set = new Set(taken);
  return list.filter((item) => !set.has(item));
}

function split<T>(list: readonly T[], isFirst: (item: T) => boolean): [T[], T[]] {
  return [list.filter(isFirst), list.filter((item) => !isFirst(item))];
}
