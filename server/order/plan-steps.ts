import { finder } from "../kit/find.js";
import { isWalledIn } from "../reach/walled-in.js";
import type { PlanScope } from "./plan-scope.js";
import type { PlanStep, StepReason } from "./plan-types.js";
import { openGates } from "./prep.js";
import type { BenchSide, PuzzleMove } from "./puzzle.js";
import { reachAt, stackOf } from "./standing.js";
import type { Standing } from "./types.js";

/** Moves gathered into what a person does: a run of rivets in one row, a part, its prep, a turn-over. */
export function stepsOf(standing: Standing, scope: PlanScope, moves: readonly PuzzleMove[]): PlanStep[] {
  const { assembly } = standing;
  const find = finder(assembly);
  const walledBy = closersOf(standing, scope, moves);
  const steps: PlanStep[] = closedPartsPrep(standing, scope);
  let side: BenchSide | null = null;
  for (const move of moves) {
    if (side !== null && move.side !== side) {
      steps.push({ kind: "turn-over", side: move.side, generation: move.generation, reasons: [] });
    }
    side = move.side;
    if (move.kind === "part") {
      const gates = openGates(standing, move.id);
      if (gates.length > 0) {
        steps.push({ kind: "prep", part: move.id, gates, generation: move.generation, reasons: [] });
      }
      const waiting = scope.rivets.filter((hole) => stackOf(hole).includes(move.id)).map(({ id }) => id);
      steps.push({
        kind: "part",
        part: move.id,
        generation: move.generation,
        reasons: [...manualStep(standing, move.id, "parts"), { code: "unlocks", holes: waiting }],
      });
      continue;
    }
    const { rowId } = find.hole(move.id);
    const last = steps.at(-1);
    if (last?.kind === "rivets" && last.row === rowId) {
      steps[steps.length - 1] = {
        ...last,
        holes: [...last.holes, move.id],
        generation: Math.max(last.generation, move.generation),
      };
    } else {
      steps.push({
        kind: "rivets",
        row: rowId,
        holes: [move.id],
        generation: move.generation,
        reasons: [],
      });
    }
  }
  return steps.map((step) =>
    step.kind === "rivets" ? { ...step, reasons: rivetReasons(standing, scope, walledBy, step) } : step,
  );
}

/** Gates that are still open on parts that are closed already: they come first, or are only to be marked. */
function closedPartsPrep(standing: Standing, scope: PlanScope): PlanStep[] {
  const through = new Set(scope.rivets.flatMap(stackOf));
  return standing.assembly.parts.flatMap(({ id }): PlanStep[] => {
    if (!scope.closed.has(id) || !through.has(id)) return [];
    const gates = openGates(standing, id);
    return gates.length === 0 ? [] : [{ kind: "prep", part: id, gates, generation: 0, reasons: [] }];
  });
}

/** By hole: the part that comes on later and takes its last approach. */
function closersOf(
  { assembly, reach }: Standing,
  scope: PlanScope,
  moves: readonly PuzzleMove[],
): ReadonlyMap<string, string> {
  const find = finder(assembly);
  const closers = new Map<string, string>();
  const on = new Set(scope.closed);
  const set: string[] = [];
  for (const move of moves) {
    if (move.kind === "rivet") set.push(move.id);
    else {
      on.add(move.id);
      for (const hole of set) {
        if (!closers.has(hole) && isWalledIn(reachAt(reach, find.hole(hole)), on)) closers.set(hole, move.id);
      }
    }
  }
  return closers;
}

function manualStep({ assembly }: Standing, id: string, list: "parts" | "rows"): StepReason[] {
  const step = assembly.steps.find((one) => one[list].includes(id));
  return step ? [{ code: "manual", step: step.id }] : [];
}

function rivetReasons(
  standing: Standing,
  scope: PlanScope,
  walledBy: ReadonlyMap<string, string>,
  step: PlanStep & { readonly kind: "rivets" },
): StepReason[] {
  const byCloser = new Map<string, string[]>();
  for (const hole of step.holes) {
    const closer = walledBy.get(hole);
    if (closer) byCloser.set(closer, [...(byCloser.get(closer) ?? []), hole]);
  }
  const byRule = new Map<string, StepReason & { readonly code: "rule" }>();
  const mine = new Set(step.holes);
  for (const { rule, relation, part, hole, strength } of scope.rules) {
    if (!mine.has(hole) || strength !== "must") continue;
    const key = `${rule} ${relation} ${part}`;
    const holes = [...(byRule.get(key)?.holes ?? []), hole];
    byRule.set(key, { code: "rule", rule, relation, part, holes });
  }
  return [
    ...[...byCloser].map(([part, holes]): StepReason => ({ code: "walled-in-by", part, holes })),
    ...byRule.values(),
    ...manualStep(standing, step.row, "rows"),
  ];
}
