import { finder } from "../kit/find.js";
import type { Hole } from "../kit/types.js";
import { type PlanScope, rulesByHole } from "./plan-scope.js";
import type { PlanStep } from "./plan-types.js";
import { reachAt, stackOf } from "./standing.js";
import type { Standing } from "./types.js";

/** A step before its generation is known. */
export type Undated = PlanStep extends infer Step
  ? Step extends PlanStep
    ? Omit<Step, "generation">
    : never
  : never;

/**
 * Generations of a plan's steps: one more than the latest of those that a step waits for, so that steps of one
 * generation wait for nothing of each other. A rivet waits for its parts; a part waits for its prep, for the rivets
 * that it would wall in and for those that a rule wants before it. Of a rivet's approaches the one counts that the
 * plan leaves free longest. All wait for the turn-over before them, and rivets for what has to come off first.
 * @source topological generations of a directed acyclic graph
 */
export function generationsOf(
  standing: Standing,
  scope: PlanScope,
  steps: readonly Undated[],
): readonly number[] {
  const find = finder(standing.assembly);
  const rules = rulesByHole(scope);
  const comesAt = new Map(
    steps.flatMap((step, i) => (step.kind === "part" ? [[step.part, i] as const] : [])),
  );
  const generations: number[] = [];
  /** By part: the generation in which it is on, and the first in which it may come on. */
  const onFrom = new Map<string, number>();
  const notBefore = new Map<string, number>();
  /** By hole that a prep in place is for. */
  const preparedFrom = new Map<string, number>();
  let barrier = 0;
  let barrierForRivets = 0;
  const delay = (map: Map<string, number>, key: string, to: number): void => {
    map.set(key, Math.max(map.get(key) ?? 0, to));
  };
  const waitsFor = (hole: Hole): number =>
    Math.max(
      0,
      preparedFrom.get(hole.id) ?? 0,
      ...stackOf(hole).map((part) => onFrom.get(part) ?? 0),
      // Of a preference that isn't kept the part is on later, or never.
      ...(rules.get(hole.id) ?? []).map(({ relation, part }) =>
        relation === "after" ? (onFrom.get(part) ?? 0) : 0,
      ),
    );
  for (const [i, step] of steps.entries()) {
    let generation = barrier;
    if (step.kind === "part") {
      generation = Math.max(barrier, notBefore.get(step.part) ?? 0);
      onFrom.set(step.part, generation + 1);
    } else if (step.kind === "prep") {
      if (scope.closed.has(step.part)) {
        for (const hole of step.gates.flatMap(({ holes }) => holes))
          delay(preparedFrom, hole, generation + 1);
      } else {
        // A loose part is got ready by itself, whichever side of the assembly is up.
        generation = 0;
        delay(notBefore, step.part, 1);
      }
    } else if (step.kind === "rivets") {
      const holes = step.holes.map((id) => find.hole(id));
      generation = Math.max(barrier, barrierForRivets, ...holes.map(waitsFor));
      for (const hole of holes) {
        const later = laterBlockers(standing, scope, hole, i, comesAt);
        const wanted = (rules.get(hole.id) ?? []).filter(({ relation }) => relation === "before");
        for (const part of [...later, ...wanted.map((rule) => rule.part)]) {
          delay(notBefore, part, generation + 1);
        }
      }
    } else if (step.kind === "take-off") barrierForRivets = Math.max(barrierForRivets, generation + 1);
    else {
      generation = Math.max(-1, ...generations) + 1;
      barrier = generation + 1;
    }
    generations.push(generation);
  }
  return generations;
}

/** Parts that come on after a step and block the rivet's approach that the plan leaves free longest. */
function laterBlockers(
  { reach }: Standing,
  { closed }: PlanScope,
  hole: Hole,
  at: number,
  comesAt: ReadonlyMap<string, number>,
): readonly string[] {
  let best: readonly string[] = [];
  let longest = -1;
  for (const { ownStack, blockedBy } of reachAt(reach, hole).approaches) {
    if (ownStack.length > 0 || blockedBy.some(({ part }) => closed.has(part))) continue;
    const coming = [...new Set(blockedBy.map(({ part }) => part))].filter((part) => comesAt.has(part));
    const first = Math.min(Number.POSITIVE_INFINITY, ...coming.map((part) => comesAt.get(part) ?? 0));
    if (first < at || first <= longest) continue;
    longest = first;
    best = coming;
  }
  return best;
}
