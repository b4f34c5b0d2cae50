import { finder } from "../kit/find.js";
import type { Hole } from "../kit/types.js";
import { stateOf } from "../kit/work.js";
import { FreeApproaches } from "./free-approaches.js";
import { demands } from "./order-rules.js";
import { generationsOf, type Undated } from "./plan-generations.js";
import { type PlanScope, rulesByHole } from "./plan-scope.js";
import type { PlanStep, StepReason } from "./plan-types.js";
import { openGates } from "./prep.js";
import type { BenchSide, PuzzleMove } from "./puzzle.js";
import { stackOf } from "./standing.js";
import type { OrderRule, Standing } from "./types.js";

/** Moves gathered into what a person does: a run of rivets in one row, a part, its prep, a turn-over. */
export function stepsOf(standing: Standing, scope: PlanScope, moves: readonly PuzzleMove[]): PlanStep[] {
  const { assembly } = standing;
  const find = finder(assembly);
  const walledBy = closersOf(standing, scope, moves);
  const waiting = rivetsThrough(scope);
  const manual = manualSteps(standing);
  const rules = rulesByHole(scope);
  const mustBeOff = pinnedTooEarly(standing, scope, moves);
  const on = new Set(scope.closed);
  const steps: Undated[] = closedPartsPrep(standing, scope);
  let side: BenchSide | null = null;
  let run = null as Run | null;
  const endRun = (): void => {
    if (!run) return;
    const { row, holes } = run;
    const reasons = [...rivetReasons(holes, rules, walledBy), ...manual(row)];
    steps.push({ kind: "rivets", row, holes, reasons });
    run = null;
  };
  for (const move of moves) {
    if (side !== null && move.side !== side) {
      endRun();
      steps.push({ kind: "turn-over", side: move.side, reasons: [] });
    }
    side = move.side;
    if (move.kind === "part") {
      endRun();
      const gates = openGates(standing, move.id);
      if (gates.length > 0) {
        steps.push({ kind: "prep", part: move.id, gates, reasons: [] });
      }
      on.add(move.id);
      const holes = (waiting.get(move.id) ?? []).filter((id) =>
        stackOf(find.hole(id)).every((part) => on.has(part)),
      );
      const reasons = [...manual(move.id), { code: "unlocks", holes } as const];
      steps.push({ kind: "part", part: move.id, reasons });
      continue;
    }
    for (const { part, why } of mustBeOff.get(move.id) ?? []) {
      endRun();
      const holes = pinnedThrough(standing, part);
      steps.push({ kind: "take-off", part, holes, reasons: [why] });
    }
    const { rowId } = find.hole(move.id);
    if (run?.row !== rowId) endRun();
    run ??= { row: rowId, holes: [] };
    run.holes.push(move.id);
  }
  endRun();
  const generations = generationsOf(standing, scope, steps);
  return steps.map((step, i) => ({ ...step, generation: generations[i] ?? 0 }));
}

/** Rivets of one row, one after the other. */
interface Run {
  readonly row: string;
  readonly holes: string[];
}

/** Planned rivets by the part that they go through, in the assembly's order. */
function rivetsThrough({ rivets }: PlanScope): ReadonlyMap<string, readonly string[]> {
  const through = new Map<string, string[]>();
  for (const hole of rivets) {
    for (const part of stackOf(hole)) {
      const list = through.get(part);
      if (list) list.push(hole.id);
      else through.set(part, [hole.id]);
    }
  }
  return through;
}

/** Gates that a planned rivet still calls for on a part that is closed already, such as enlarging in place: they come first. */
function closedPartsPrep(standing: Standing, scope: PlanScope): Undated[] {
  const planned = new Set(scope.rivets.map(({ id }) => id));
  const through = new Set(scope.rivets.flatMap(stackOf));
  return standing.assembly.parts.flatMap(({ id }): Undated[] => {
    if (!scope.closed.has(id) || !through.has(id)) return [];
    const gates = openGates(standing, id).filter(
      ({ needed, holes }) => needed === "true" && holes.some((hole) => planned.has(hole)),
    );
    return gates.length === 0 ? [] : [{ kind: "prep", part: id, gates, reasons: [] }];
  });
}

/** By hole: the part that comes on later and takes its last approach. */
function closersOf(
  { assembly, reach }: Standing,
  scope: PlanScope,
  moves: readonly PuzzleMove[],
): ReadonlyMap<string, string> {
  const closers = new Map<string, string>();
  const approaches = new FreeApproaches(reach, scope.closed);
  const set = new Set<string>();
  for (const { kind, id } of moves) {
    if (kind === "rivet") {
      set.add(id);
      continue;
    }
    for (const index of approaches.putOn(id)) {
      const hole = assembly.holes[index]?.id ?? "";
      if (set.has(hole)) closers.set(hole, id);
    }
  }
  return closers;
}

interface TooEarly {
  readonly part: string;
  readonly why: StepReason;
}

/**
 * By the first rivet that it hinders: parts that pins hold on already. They have to come off again when a rivet
 * that the plan sets before them can't be reached with them on, or is to be set before them.
 */
function pinnedTooEarly(
  { assembly, reach }: Standing,
  { closed, states, rules }: PlanScope,
  moves: readonly PuzzleMove[],
): ReadonlyMap<string, readonly TooEarly[]> {
  const ids = assembly.parts.map(({ id }) => id);
  const pinned = new Set(ids.filter((part) => states.of(part) === "pinned"));
  const found = new Map<string, TooEarly[]>();
  if (pinned.size === 0) return found;
  const find = finder(assembly);
  const before = new Map<string, OrderRule[]>();
  for (const rule of rules) {
    if (rule.relation !== "before" || !demands(rule, "true") || !pinned.has(rule.part)) continue;
    before.set(rule.hole, [...(before.get(rule.hole) ?? []), rule]);
  }
  const approaches = new FreeApproaches(reach, [...closed, ...pinned]);
  const takeOff = (hole: string, part: string, why: StepReason): void => {
    pinned.delete(part);
    approaches.takeOff(part);
    found.set(hole, [...(found.get(hole) ?? []), { part, why }]);
  };
  for (const { kind, id } of moves) {
    if (kind === "part") {
      pinned.delete(id);
      approaches.putOn(id);
      continue;
    }
    for (const { part, rule, relation } of before.get(id) ?? []) {
      if (pinned.has(part)) takeOff(id, part, { code: "rule", rule, relation, part, holes: [id] });
    }
    const { index } = find.hole(id);
    for (const { ownStack, blockedBy } of reach.holes[index]?.approaches ?? []) {
      if (!approaches.isWalledIn(index)) break;
      const blockers = blockedBy.map(({ part }) => part).filter((part) => approaches.has(part));
      if (ownStack.length > 0 || blockers.some((part) => !pinned.has(part))) continue;
      for (const part of new Set(blockers)) {
        takeOff(id, part, { code: "walled-in-by", part, holes: [id] });
      }
    }
  }
  return found;
}

function pinnedThrough({ assembly, work }: Standing, part: string): string[] {
  return finder(assembly)
    .holesThrough(part)
    .filter((hole: Hole) => stateOf(work, hole.id) === "pinned")
    .map(({ id }) => id);
}

/** The manual's first step that names a part or a row, as a reason. */
function manualSteps({ assembly: { steps } }: Standing): (id: string) => StepReason[] {
  const first = new Map<string, string>();
  for (const { id, parts, rows } of steps) {
    for (const named of [...parts, ...rows]) if (!first.has(named)) first.set(named, id);
  }
  return (id) => {
    const step = first.get(id);
    return step === undefined ? [] : [{ code: "manual", step }];
  };
}

function rivetReasons(
  holes: readonly string[],
  rules: ReadonlyMap<string, readonly OrderRule[]>,
  walledBy: ReadonlyMap<string, string>,
): StepReason[] {
  const byCloser = new Map<string, string[]>();
  const byRule = new Map<string, Extract<StepReason, { code: "rule" }> & { holes: string[] }>();
  for (const hole of holes) {
    const closer = walledBy.get(hole);
    if (closer) byCloser.set(closer, [...(byCloser.get(closer) ?? []), hole]);
    for (const { rule, relation, part, strength } of rules.get(hole) ?? []) {
      if (strength !== "must") continue;
      const key = `${rule} ${relation} ${part}`;
      const known = byRule.get(key);
      if (known) known.holes.push(hole);
      else byRule.set(key, { code: "rule", rule, relation, part, holes: [hole] });
    }
  }
  return [
    ...[...byCloser].map(([part, walled]): StepReason => ({ code: "walled-in-by", part, holes: walled })),
    ...byRule.values(),
  ];
}
