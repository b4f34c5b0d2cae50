import type { Assembly, Hole, Kit } from "../kit/types.js";
import { solve } from "./backward.js";
import { early } from "./early.js";
import { whyImpossible } from "./impossible.js";
import { type PlanScope, scopeOf } from "./plan-scope.js";
import { stepsOf } from "./plan-steps.js";
import type { BrokenPreference, Plan } from "./plan-types.js";
import { fewestBroken } from "./preferences.js";
import type { BenchSide, Puzzle, PuzzleRule } from "./puzzle.js";
import { ranksOf } from "./rank.js";
import { reachAt, stackOf } from "./standing.js";
import { toolSide } from "./tool-side.js";
import type { Standing } from "./types.js";

/**
 * A complete order from the work as it stands to "done for now": every rivet that may be set, in steps a
 * person would do, with the fewest turn-overs and then the fewest broken preferences. Ties follow the
 * manual's steps, then ids: the same standing gives the same plan.
 * @source backward removal as in assembly sequencing (De Fazio and Whitney, 1987; from memory): what can
 *         be taken apart one by one can be put together in the reverse order
 */
export function planOf(standing: Standing): Plan {
  return planIn(standing, scopeOf(standing));
}

/** A complete order for just these rivets and parts. */
export function planIn(standing: Standing, scope: PlanScope): Plan {
  const must = scope.rules.filter(({ strength }) => strength === "must");
  const puzzle = puzzleOf(standing, scope, must.map(ruleOf));
  const base = solve(puzzle);
  const { leftOpen, leftOff } = scope;
  if (base.stuck.length > 0) {
    return {
      status: "impossible",
      steps: [],
      turnOvers: 0,
      broken: [],
      fewestBroken: true,
      leftOpen,
      leftOff,
      impossible: whyImpossible(puzzle, base.stuck),
    };
  }
  const wishes = wishesOf(scope);
  const best = fewestBroken(puzzle, base, wishes);
  const kept = wishes.filter((wish) => !best.broken.includes(wish)).flatMap(({ rules }) => rules);
  const moves = early({ ...puzzle, rules: [...puzzle.rules, ...kept] }, best.solution.moves);
  const steps = stepsOf(standing, scope, moves);
  return {
    status: steps.length === 0 ? "done" : "open",
    steps,
    turnOvers: best.solution.turnOvers,
    broken: best.broken.map((wish) => wish.preference),
    fewestBroken: best.proved,
    leftOpen,
    leftOff,
    impossible: null,
  };
}

/** A preference with the bare rules that keep it. */
export interface Wish {
  readonly preference: BrokenPreference;
  readonly rules: readonly PuzzleRule[];
  /** False when the part that it names doesn't come on in this plan, so that "after it" can't be kept. */
  readonly canBeKept: boolean;
}

/** Preferences of the plan's rivets, one per rule and part. */
function wishesOf(scope: PlanScope): Wish[] {
  const groups = new Map<string, Wish>();
  for (const rule of scope.rules) {
    if (rule.strength !== "prefer" || scope.closed.has(rule.part)) continue;
    const canBeKept = rule.relation === "before" || scope.parts.includes(rule.part);
    if (rule.relation === "before" && !scope.parts.includes(rule.part)) continue;
    const key = `${rule.rule} ${rule.relation} ${rule.part}`;
    const known = groups.get(key);
    groups.set(key, {
      preference: {
        rule: rule.rule,
        relation: rule.relation,
        part: rule.part,
        holes: [...(known?.preference.holes ?? []), rule.hole],
      },
      rules: [...(known?.rules ?? []), ruleOf(rule)],
      canBeKept,
    });
  }
  return [...groups.values()];
}

export function ruleOf(rule: PlanScope["rules"][number]): PuzzleRule {
  return { id: rule.rule, rivet: rule.hole, relation: rule.relation, part: rule.part };
}

/** The bare problem of a scope under these rules. */
export function puzzleOf(standing: Standing, scope: PlanScope, rules: readonly PuzzleRule[]): Puzzle {
  const { kit, assembly, reach } = standing;
  return {
    parts: scope.parts,
    on: [...scope.closed],
    rivets: scope.rivets.map((hole) => ({
      id: hole.id,
      run: hole.rowId,
      through: stackOf(hole),
      approaches: reachAt(reach, hole)
        .approaches.filter(({ ownStack }) => ownStack.length === 0)
        .map(({ blockedBy }) => [...new Set(blockedBy.map(({ part }) => part))]),
      side: benchSide(kit, assembly, hole),
    })),
    rules,
    rank: ranksOf(assembly),
  };
}

/** Heads that face up or down the bench by more than this (cosine) need their side up. */
const FACING = 0.5;

/**
 * Side of the bench that must be up for a hole: that of its head, or that of its tail when every approach has its
 * tool there. The kit's first view looks at the bench from above.
 */
export function benchSide(kit: Kit, assembly: Assembly, { normal, approaches }: Hole): BenchSide | null {
  const up = assembly.views[0]?.normal ?? [0, 0, 1];
  const byId = new Map(kit.approaches.map((approach) => [approach.id, approach]));
  const sides = approaches.map((id) => toolSide(byId.get(id)));
  const isTurned = sides.length > 0 && sides.every((side) => side === "tail");
  const head = normal[0] * up[0] + normal[1] * up[1] + normal[2] * up[2];
  const facing = isTurned ? -head : head;
  return facing > FACING ? "up" : facing < -FACING ? "over" : null;
}
