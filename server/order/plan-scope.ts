import { finder } from "../kit/find.js";
import type { Hole } from "../kit/types.js";
import { closedParts } from "../kit/work.js";
import { FreeApproaches } from "./free-approaches.js";
import { mayBeDimpled } from "./keep-apart.js";
import { type PassedOver, whyOpen } from "./left-open.js";
import { demands, orderRulesOf } from "./order-rules.js";
import type { LeftOff, LeftOpen } from "./plan-types.js";
import { compareByRank, ranksOf } from "./rank.js";
import { isSet, type PartStates, partStates, reachAt, stackOf } from "./standing.js";
import type { OrderRule, Standing } from "./types.js";

/** What a plan is about: the rivets to set and the parts to bring on, and what stays as it is. */
export interface PlanScope {
  readonly closed: ReadonlySet<string>;
  readonly states: PartStates;
  /** In the assembly's order. */
  readonly rivets: readonly Hole[];
  readonly parts: readonly string[];
  /** Order rules on the rivets of the plan, those that hold for certain. */
  readonly rules: readonly OrderRule[];
  readonly leftOpen: readonly LeftOpen[];
  readonly leftOff: readonly LeftOff[];
}

export interface ScopeOptions {
  /** What counts as if it could be undone (for rework). */
  readonly past?: PassedOver;
  /** Holes that are given up as walled in, by id. */
  readonly lost?: ReadonlySet<string>;
}

/**
 * What can be done for now: all but the holes that are held, not settled, outside a limit or out of reach,
 * and without the parts that would wall an open hole in, that a must rule wants after it, or that lie on a hole
 * which may yet have to be dimpled. A part all of whose rivets stay open stays off.
 *
 * Leaving a hole open may leave a part off, which may leave further holes open. Parts only ever drop out, so
 * each is dropped once and the cost grows with the holes and their blockers alone.
 */
export function scopeOf(standing: Standing, { past = {}, lost }: ScopeOptions = {}): PlanScope {
  const { assembly, reach, work, rulings } = standing;
  const closed = closedParts(assembly, work);
  const states = partStates(assembly, work);
  const rules = assembly.holes.map((hole) => orderRulesOf(rulings, states, hole));
  const rulesOf = (hole: Hole): readonly OrderRule[] => rules[hole.index] ?? [];
  const ranks = ranksOf(assembly);
  const byRank = (a: Hole, b: Hole): number => compareByRank(ranks, a.id, b.id);

  const leftOpen = new Map<Hole, LeftOpen>();
  const planned = new Set<Hole>();
  for (const hole of assembly.holes) {
    if (isSet(work, hole)) continue;
    const reason: LeftOpen | null = lost?.has(hole.id)
      ? { hole: hole.id, code: "walled-in", never: false }
      : whyOpen(standing, hole, closed, rulesOf(hole), past);
    if (reason) leftOpen.set(hole, reason);
    else planned.add(hole);
  }

  // How many planned rivets go through each part that is yet to come on; at none, it stays off.
  const coming = new Map<string, number>();
  for (const part of [...planned].flatMap(stackOf)) {
    if (!closed.has(part)) coming.set(part, (coming.get(part) ?? 0) + 1);
  }
  const apart = new Set(mayBeDimpled(standing));
  const lostAlready = new FreeApproaches(reach, closed);
  const inTheEnd = new FreeApproaches(reach, [...closed, ...coming.keys()]);
  const losesAll = ({ index }: Hole): boolean => inTheEnd.isWalledIn(index) && !lostAlready.isWalledIn(index);
  const waitingFor = new Map<string, Hole[]>();
  for (const hole of planned) {
    for (const rule of rulesOf(hole)) {
      if (rule.relation !== "after" || !demands(rule, "true") || closed.has(rule.part)) continue;
      const waiting = waitingFor.get(rule.part);
      if (waiting) waiting.push(hole);
      else waitingFor.set(rule.part, [hole]);
    }
  }

  const leftOff = new Map<string, LeftOff>();
  const toLookAt: Hole[] = [...leftOpen.keys()].sort(byRank);
  const leave = (holes: readonly Hole[], part: string): void => {
    for (const hole of [...holes].sort(byRank)) {
      if (!planned.delete(hole)) continue;
      leftOpen.set(hole, { hole: hole.id, code: "part-off", part });
      toLookAt.push(hole);
      for (const own of stackOf(hole)) {
        const count = coming.get(own);
        if (count === undefined) continue;
        if (count > 1) coming.set(own, count - 1);
        else drop(own);
      }
    }
  };
  const drop = (part: string): void => {
    coming.delete(part);
    inTheEnd.takeOff(part);
    leave(waitingFor.get(part) ?? [], part);
  };
  const find = finder(assembly);
  const leavePartOff = (part: string, reason: LeftOff): void => {
    leftOff.set(part, reason);
    leave(
      find.holesThrough(part).filter((hole) => planned.has(hole)),
      part,
    );
  };
  for (const [part, holes] of [...waitingFor].sort(([a], [b]) => compareByRank(ranks, a, b))) {
    if (!coming.has(part)) leave(holes, part);
  }

  for (let i = 0; i < toLookAt.length; i += 1) {
    const hole = toLookAt[i];
    if (!hole) break;
    const wanted = rulesOf(hole).filter(
      (rule) => rule.relation === "before" && (demands(rule, "true") || demands(rule, "unknown")),
    );
    for (const { part } of wanted) {
      if (coming.has(part))
        leavePartOff(part, { part, wouldWallIn: [], wantedBefore: [hole.id], keepApart: [] });
      else {
        const known = leftOff.get(part);
        if (known) leftOff.set(part, { ...known, wantedBefore: [...known.wantedBefore, hole.id] });
      }
    }
    for (
      let part = losesAll(hole) ? latestBlocker(standing, hole, closed, coming) : undefined;
      part !== undefined;
      part = losesAll(hole) ? latestBlocker(standing, hole, closed, coming) : undefined
    ) {
      const blocker = part;
      const wouldWallIn = inTheEnd
        .concernedBy(blocker)
        .flatMap((index) => assembly.holes[index] ?? [])
        .filter((other) => leftOpen.has(other) && losesAll(other))
        .sort(byRank)
        .map(({ id }) => id);
      leavePartOff(blocker, { part: blocker, wouldWallIn, wantedBefore: [], keepApart: [] });
    }
    for (const part of apart.has(hole) ? lastOfStack(standing, hole, closed, coming) : []) {
      const keepApart = [...apart]
        .filter((other) => stackOf(other).includes(part))
        .sort(byRank)
        .map(({ id }) => id);
      leavePartOff(part, { part, wouldWallIn: [], wantedBefore: [], keepApart });
    }
  }

  for (const part of [...leftOpen.keys()].flatMap(stackOf)) {
    if (closed.has(part) || coming.has(part) || leftOff.has(part)) continue;
    leftOff.set(part, { part, wouldWallIn: [], wantedBefore: [], keepApart: [] });
  }
  const rivets = assembly.holes.filter((hole) => planned.has(hole));
  return {
    closed,
    states,
    rivets,
    parts: assembly.parts.map(({ id }) => id).filter((id) => coming.has(id)),
    rules: rivets.flatMap((hole) => rulesOf(hole).filter(({ verdict }) => verdict === "true")),
    leftOpen: assembly.holes.flatMap((hole) => leftOpen.get(hole) ?? []),
    leftOff: assembly.parts.flatMap(({ id }) => leftOff.get(id) ?? []),
  };
}

/** A scope's order rules by the hole that they are about. */
export function rulesByHole({ rules }: PlanScope): ReadonlyMap<string, readonly OrderRule[]> {
  const byHole = new Map<string, OrderRule[]>();
  for (const rule of rules) {
    const list = byHole.get(rule.hole);
    if (list) list.push(rule);
    else byHole.set(rule.hole, [rule]);
  }
  return byHole;
}

/** Of the approach that the fewest parts to come block, the one that the manual closes last. */
function latestBlocker(
  { assembly, reach }: Standing,
  hole: Hole,
  closed: ReadonlySet<string>,
  coming: ReadonlyMap<string, number>,
): string | undefined {
  const lateness = (part: string): number => assembly.closings.indexOf(part);
  const [fewest = []] = reachAt(reach, hole)
    .approaches.filter(
      ({ ownStack, blockedBy }) => ownStack.length === 0 && !blockedBy.some(({ part }) => closed.has(part)),
    )
    .map(({ blockedBy }) =>
      [...new Set(blockedBy.map(({ part }) => part))].filter((part) => coming.has(part)),
    )
    .sort((a, b) => a.length - b.length || compareTexts(String(a), String(b)));
  return [...fewest].sort((a, b) => lateness(b) - lateness(a) || compareTexts(a, b))[0];
}

/** Parts of the stack that have to stay off so that one at most is on: those that the manual closes last. */
function lastOfStack(
  { assembly }: Standing,
  hole: Hole,
  closed: ReadonlySet<string>,
  coming: ReadonlyMap<string, number>,
): readonly string[] {
  const stack = stackOf(hole);
  const closedOnes = stack.filter((part) => closed.has(part)).length;
  // With two of them closed they are together already.
  if (closedOnes > 1) return [];
  const lateness = (part: string): number => assembly.closings.indexOf(part);
  const yetToCome = stack
    .filter((part) => coming.has(part))
    .sort((a, b) => lateness(a) - lateness(b) || compareTexts(a, b));
  return yetToCome.slice(closedOnes === 0 ? 1 : 0);
}

function compareTexts(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
