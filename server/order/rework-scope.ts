import type { Hole, Kit, Side } from "../kit/types.js";
import type { ApproachReach } from "../reach/types.js";
import { solve } from "./backward.js";
import { FreeApproaches } from "./free-approaches.js";
import { type ForgottenGate, forgottenGates, whyOpen } from "./left-open.js";
import { demands, orderRulesOf } from "./order-rules.js";
import { benchSide, puzzleOf, ruleOf } from "./plan.js";
import { type PlanScope, scopeOf } from "./plan-scope.js";
import type { LeftOpen } from "./plan-types.js";
import { ranksOf } from "./rank.js";
import type { ReworkPuzzle, ReworkRivet, SetRivet } from "./rework-types.js";
import { isSet, reachAt, stackOf } from "./standing.js";
import { toolSide } from "./tool-side.js";
import type { Standing } from "./types.js";

/** Why a set rivet is left where it is. */
export type Stays = { readonly hole: string } /** No drill ever gets at its head as drawn. */ & (
  | { readonly code: "no-way-to-head" }
  /** It could not be set again as things are known. */
  | { readonly code: "not-set-again"; readonly reason: LeftOpen }
  /** Its hole is held open by now, and with all else set it could not be reached any more. */
  | { readonly code: "held-and-hidden"; readonly reason: LeftOpen }
);

/** What rework is about: the plan as if walls could be opened, and the bare question. */
export interface ReworkScope {
  readonly scope: PlanScope;
  readonly puzzle: ReworkPuzzle;
  readonly stays: ReadonlyMap<string, Stays>;
  /** Rivets of the plan that no order reaches with everything set staying set, or that wait for a forgotten gate. */
  readonly stuck: readonly string[];
  readonly forgotten: readonly Forgotten[];
}

/**
 * A gate that was forgotten on a part that closed since, with the rivets that wait for it. In the puzzle it is an
 * element like a missing rivet that goes through nothing and that its own part is in the way of: the part has to
 * come off for it, and the rivets wait for the part to come on again.
 */
export interface Forgotten extends ForgottenGate {
  /** Its id in the puzzle. */
  readonly id: string;
  readonly holes: readonly string[];
}

export interface ReworkOptions {
  /** What drilling a rivet out counts: a whole number, 1 or more; 1 unless stated. */
  readonly weightOf?: (hole: Hole) => number;
  /** Holes that are given up, by id. */
  readonly lost?: ReadonlySet<string>;
  /**
   * True: gates that are not marked as done on parts that closed since count as forgotten, and the rivets that
   * wait for them as missing, as do rivets that a must rule wanted before a closed part. False, as it is unless
   * stated: such rivets are left open, for a mark may be missing, and a mentor may let them go in now.
   */
  readonly skipped?: boolean;
}

/**
 * The question of rework as the work stands: missing are the rivets of the plan that no order reaches with
 * everything set staying set.
 */
export function reworkScope(
  standing: Standing,
  { weightOf = () => 1, lost, skipped = false }: ReworkOptions = {},
): ReworkScope {
  const { assembly, kit, reach, work, rulings } = standing;
  const scope = scopeOf(standing, { past: { walls: true, skipped }, lost });
  const must = scope.rules.filter((rule) => demands(rule, "true"));
  const forgotten = skipped ? forgottenIn(standing, scope) : [];
  const waits = new Set(forgotten.flatMap(({ holes }) => holes));
  const base = solve(puzzleOf(standing, scope, must.map(ruleOf)));
  const stuck = new Set([...base.stuck, ...waits]);
  const isWanting = scope.rivets.some(({ id }) => stuck.has(id));
  const set = isWanting ? assembly.holes.filter((hole) => isSet(work, hole)) : [];
  const rulesOfSet = set.flatMap((hole) =>
    orderRulesOf(rulings, scope.states, hole).filter((rule) => demands(rule, "true")),
  );
  // What can be set with everything staying needs no drilling, unless drilling could make its parts wait: a
  // rivet set too early, before a part that a rule wants first, would have to wait for it when it is drilled.
  const reaches = rulesOfSet.some(({ relation, part }) => relation === "after" && !scope.closed.has(part));
  // Rivets through a part that is stuck itself go with it: the part is there because of them.
  const missing = isWanting
    ? scope.rivets.filter(
        (hole) => reaches || stuck.has(hole.id) || stackOf(hole).some((part) => stuck.has(part)),
      )
    : [];

  const inTheEnd = new FreeApproaches(reach, [...scope.closed, ...scope.parts]);
  const stays = new Map<string, Stays>();
  const setRivets = set.map((hole): SetRivet => {
    const ways = drillWays(kit, hole, reachAt(reach, hole).approaches);
    const why = whyItStays(standing, scope, hole, ways.length > 0, inTheEnd);
    if (why) stays.set(hole.id, why);
    return { ...rivetOf(standing, hole), weight: weightOf(hole), drillWays: why ? [] : ways };
  });
  const ids = new Set(missing.map(({ id }) => id));
  return {
    scope,
    puzzle: {
      set: setRivets,
      missing: [...missing.map((hole) => rivetOf(standing, hole)), ...forgotten.map(gateAsRivet)],
      rules: [...must.filter(({ hole }) => ids.has(hole)), ...rulesOfSet].map(ruleOf),
      rank: ranksOf(assembly),
    },
    stays,
    stuck: scope.rivets.map(({ id }) => id).filter((id) => stuck.has(id)),
    forgotten,
  };
}

/** Forgotten gates of the rivets in the plan, in the order of the first rivet that waits for each. */
function forgottenIn(standing: Standing, { rivets, closed }: PlanScope): readonly Forgotten[] {
  const found = new Map<string, Forgotten & { holes: string[] }>();
  for (const hole of rivets) {
    for (const { part, gate } of forgottenGates(standing, hole, closed)) {
      const id = `${part} ${gate}`;
      const known = found.get(id);
      if (known) known.holes.push(hole.id);
      else found.set(id, { id, part, gate, holes: [hole.id] });
    }
  }
  return [...found.values()];
}

function gateAsRivet({ id, part }: Forgotten): ReworkRivet {
  return { id, run: id, side: null, through: [], approaches: [[part]] };
}

function rivetOf({ kit, assembly, reach }: Standing, hole: Hole): ReworkRivet {
  return {
    id: hole.id,
    run: hole.rowId,
    side: benchSide(kit, assembly, hole),
    through: stackOf(hole),
    approaches: reachAt(reach, hole)
      .approaches.filter(({ ownStack }) => ownStack.length === 0)
      .map(({ blockedBy }) => [...new Set(blockedBy.map(({ part }) => part))]),
  };
}

/** A rivet that can't be drilled, or of which it isn't certain that it may be set again, stays. */
function whyItStays(
  standing: Standing,
  { closed, states }: PlanScope,
  hole: Hole,
  canBeDrilled: boolean,
  inTheEnd: FreeApproaches,
): Stays | null {
  if (!canBeDrilled) return { hole: hole.id, code: "no-way-to-head" };
  // Whatever comes out may go in again once its layers are prepared.
  const past = { walls: true, skipped: true };
  const reason = whyOpen(standing, hole, closed, orderRulesOf(standing.rulings, states, hole), past);
  if (!reason) return null;
  switch (reason.code) {
    case "held":
      // It stays open once it is out, so it is set after all else.
      return inTheEnd.isWalledIn(hole.index) ? { hole: hole.id, code: "held-and-hidden", reason } : null;
    default:
      return { hole: hole.id, code: "not-set-again", reason };
  }
}

/**
 * Ways of getting a drill at the rivet's head: for each, the parts that stand there while they are closed. Where an
 * approach of the hole draws room for a drill, that room counts and no other. Else the room that the tool needs on
 * the head's side is taken for it (common practice, no source). A pulled rivet's head is on the tool's side.
 * Approaches with the tool on the other side tell nothing of a head that lies where the drawing has it, unless the
 * hole has no other.
 */
export function drillWays(
  kit: Kit,
  hole: Hole,
  approaches: readonly ApproachReach[],
): readonly (readonly string[])[] {
  const { side, useful } = headOf(kit, hole, approaches);
  const drawn = useful.flatMap(({ approach, drill }) =>
    drill && drillSide(kit, approach) === side ? [drill] : [],
  );
  if (drawn.length > 0) {
    return drawn
      .filter(({ ownStack }) => ownStack.length === 0)
      .map(({ blockedBy }) => [...new Set(blockedBy.map(({ part }) => part))]);
  }
  return useful
    .filter(({ ownStack }) => ownStack.every((blocker) => isElsewhere(blocker.side, side)))
    .map(({ blockedBy }) => [
      ...new Set(blockedBy.filter((blocker) => !isElsewhere(blocker.side, side)).map(({ part }) => part)),
    ]);
}

/** Whether the kit draws the room that a drill needs at this rivet's head. */
export function drawsDrillRoom(kit: Kit, hole: Hole, approaches: readonly ApproachReach[]): boolean {
  const { side, useful } = headOf(kit, hole, approaches);
  return useful.some(({ approach, drill }) => drill && drillSide(kit, approach) === side);
}

/** On which side the rivet's head is, and the approaches that tell of that side. */
function headOf(kit: Kit, hole: Hole, approaches: readonly ApproachReach[]) {
  const byId = new Map(kit.approaches.map((approach) => [approach.id, approach]));
  const atHead = approaches.filter(({ approach }) => toolSide(byId.get(approach)) === "head");
  const isTurned = hole.rivet.kind === "pulled" && atHead.length === 0;
  const side: Side = isTurned ? "tail" : "head";
  return { side, useful: atHead.length > 0 ? atHead : approaches };
}

function drillSide(kit: Kit, approach: string): Side | null {
  return kit.approaches.find(({ id }) => id === approach)?.drill[0]?.side ?? null;
}

/** A blocking fact stated by hand names no side: it counts on both. */
function isElsewhere(of: Side | null, side: Side): boolean {
  return of !== null && of !== side;
}
