import { finder } from "../kit/find.js";
import { closedParts, type Mark, withMarks } from "../kit/work.js";
import { solve } from "./backward.js";
import { FreeApproaches } from "./free-approaches.js";
import { holdOf } from "./holds.js";
import { type Impossible, whyImpossible } from "./impossible.js";
import { orderRulesOf } from "./order-rules.js";
import { planIn } from "./plan.js";
import { type PlanScope, scopeOf } from "./plan-scope.js";
import type { LeftOpen, Plan } from "./plan-types.js";
import type { BenchSide, Puzzle, PuzzleMove } from "./puzzle.js";
import { type Removal, type RowLimit, removalOf, rowLimits } from "./rework-cost.js";
import { type Most, mostDrilled, relevantTo, setPuzzle, someDrilled, tried } from "./rework-feasible.js";
import { programOf, type ReworkProgram } from "./rework-program.js";
import {
  type Forgotten,
  type ReworkOptions,
  type ReworkScope,
  reworkScope,
  type Stays,
} from "./rework-scope.js";
import type { ReworkPuzzle, ReworkRivet, ReworkSolution } from "./rework-types.js";
import { isSet, partStates, stackOf } from "./standing.js";
import type { Standing } from "./types.js";

/** What is asked of the solver, with all that its answer needs to be read. */
export interface ReworkQuestion {
  readonly standing: Standing;
  /** Rivets that no order reaches as things are, and that rework can bring back. */
  readonly missing: readonly string[];
  /** Missing rivets that no drilling brings back. */
  readonly beyond: readonly string[];
  /** Why the rest can't all be had together; null when they can. */
  readonly together: Impossible | null;
  /** Null when there is nothing to solve: nothing is missing, or no drilling helps. */
  readonly program: ReworkProgram | null;
  readonly scope: PlanScope;
  readonly puzzle: ReworkPuzzle;
  readonly most: Most;
  /** Set rivets that stand in the way, directly or behind others, and are left where they are all the same. */
  readonly stays: readonly Stays[];
  /** Gates that were forgotten on parts that closed since. */
  readonly forgotten: readonly Forgotten[];
}

/** One thing done on the way back. */
export type DrillStep =
  | { readonly kind: "turn-over"; readonly side: BenchSide }
  /** Rivets of one row; the last of them lets these parts come off. */
  | {
      readonly kind: "drill";
      readonly row: string;
      readonly holes: readonly string[];
      readonly opens: readonly string[];
    };

/** The way back from where the work stands. */
export interface Rework {
  /**
   * `none needed`: nothing is missing that drilling could bring back. `no way`: no drilling brings all of it
   * back. `not found`: the time ended before a way was found, and there may be one.
   */
  readonly status: "none needed" | "found" | "no way" | "not found";
  /** Whether it is certain that nothing lighter exists. */
  readonly proved: boolean;
  readonly missing: readonly string[];
  readonly beyond: readonly string[];
  readonly together: Impossible | null;
  /** Rivets to drill out, in order, in steps a person does. */
  readonly steps: readonly DrillStep[];
  readonly drill: readonly string[];
  readonly weight: number;
  readonly turnOvers: number;
  /** Parts that come free by it, in order. */
  readonly opens: readonly string[];
  readonly removals: readonly Removal[];
  readonly rowLimits: readonly RowLimit[];
  /** What follows once they are out: the whole order from there; null unless a way was found. */
  readonly afterwards: Plan | null;
  /** Set rivets that stand in the way and are left where they are, and why. */
  readonly stays: readonly Stays[];
  /** Gates that were forgotten on parts that closed since, and that missing rivets wait for. */
  readonly forgotten: readonly Forgotten[];
}

/** A rivet that can be reached still, and that a must rule wanted set before a part that is closed. */
export interface Late {
  readonly hole: string;
  readonly part: string;
  readonly rule: string;
}

/** Whether any open hole waits for something that was skipped before a part closed. */
export function isAnythingSkipped(standing: Standing): boolean {
  return scopeOf(standing, { past: { walls: true } }).leftOpen.some(
    ({ code }) => code === "late" || code === "layers-together",
  );
}

/** Rivets that came too late for an order rule and are not walled in by it. */
export function lateRivets(standing: Standing): readonly Late[] {
  const { leftOpen } = scopeOf(standing);
  return leftOpen.flatMap(({ hole, ...why }) =>
    why.code === "late" ? [{ hole, part: why.part, rule: why.rule }] : [],
  );
}

/**
 * The question of rework: what to drill out, at least weight, so that every missing rivet can be set and the
 * drilled ones again. Held holes and holes that aren't settled are not missing.
 */
export function reworkQuestion(standing: Standing, options: ReworkOptions = {}): ReworkQuestion {
  const whole = reworkScope(standing, options);
  const first = inquire(standing, whole, []);
  if (first.most.stuck.length === 0) return first;
  // What can't be had back even alone is given up, so that the rest can be.
  const stuck = new Set(first.most.stuck);
  const gates = new Map<string, ReworkRivet[]>();
  for (const { id, holes } of whole.forgotten) {
    const gate = whole.puzzle.missing.filter((one) => one.id === id);
    for (const hole of holes) gates.set(hole, [...(gates.get(hole) ?? []), ...gate]);
  }
  const withGates = (rivet: ReworkRivet): ReworkRivet[] => [rivet, ...(gates.get(rivet.id) ?? [])];
  const isGate = new Set(whole.forgotten.map(({ id }) => id));
  const beyond = whole.puzzle.missing
    .filter((rivet) => !isGate.has(rivet.id) && withGates(rivet).some(({ id }) => stuck.has(id)))
    .filter(onceForAlike(whole.puzzle, withGates, (unit) => isHopeless({ ...whole.puzzle, missing: unit })))
    .map(({ id }) => id);
  if (beyond.length === 0) return first;
  const lost = new Set([...(options.lost ?? []), ...beyond]);
  return { ...inquire(standing, reworkScope(standing, { ...options, lost }), beyond), stays: first.stays };
}

function isHopeless(puzzle: ReworkPuzzle): boolean {
  return mostDrilled(relevantTo(puzzle)).stuck.length > 0;
}

/** Asks once for all rivets that nothing of the question tells apart. */
function onceForAlike(
  { rules }: ReworkPuzzle,
  withGates: (rivet: ReworkRivet) => readonly ReworkRivet[],
  ask: (unit: readonly ReworkRivet[]) => boolean,
): (rivet: ReworkRivet) => boolean {
  const answers = new Map<string, boolean>();
  return (rivet) => {
    const unit = withGates(rivet);
    const own = rules.filter((rule) => rule.rivet === rivet.id).map(({ relation, part }) => [relation, part]);
    const key = JSON.stringify([unit.map(({ through, approaches }) => [through, approaches]), own]);
    const answer = answers.get(key) ?? ask(unit);
    answers.set(key, answer);
    return answer;
  };
}

function inquire(
  standing: Standing,
  { scope, puzzle: whole, stays, stuck: missing, forgotten }: ReworkScope,
  beyond: readonly string[],
): ReworkQuestion {
  const puzzle = relevantTo(whole);
  const most = mostDrilled(puzzle);
  const canBeHad = missing.length > 0 && most.stuck.length === 0;
  return {
    standing,
    missing,
    beyond,
    together: most.stuck.length === 0 ? null : whyStuck(setPuzzle(puzzle, most.drill)),
    program: canBeHad ? programOf(puzzle, most.drill) : null,
    scope,
    puzzle,
    most,
    stays: puzzle.set.flatMap(({ id }) => stays.get(id) ?? []),
    forgotten,
  };
}

function whyStuck(puzzle: Puzzle): Impossible {
  return whyImpossible(puzzle, solve(puzzle).stuck);
}

/**
 * The way back that a solver's answer means. The answer is gone through by the order core itself: rivets that
 * can't be drilled or set in some order are never told.
 * @param solution  null or without an answer: a way in which no part is opened needlessly is given, as not proved
 * @throws Error when the solver's answer does not stand up to that
 */
export function reworkFrom(question: ReworkQuestion, solution: ReworkSolution | null): Rework {
  const { standing, missing, beyond, together, program, puzzle, stays, forgotten } = question;
  if (!program) {
    const isWhole = missing.length === 0 && beyond.length === 0;
    const status = isWhole ? "none needed" : "no way";
    return { ...NOTHING, status, missing, beyond, together, stays, forgotten };
  }
  const open = solution?.open ?? null;
  const isHopeless = open === null && (solution?.proved ?? false);
  const drill = isHopeless ? null : open === null ? someDrilled(puzzle) : program.drillFor(open);
  if (!drill) {
    const status = isHopeless ? "no way" : "not found";
    return { ...NOTHING, status, proved: isHopeless, missing, beyond, stays, forgotten };
  }
  const { drilling, works } = tried(puzzle, drill);
  if (!works) throw new Error(`the solver's rivets can't be drilled and set: ${[...drill].join(" ")}`);
  const moves = [...drilling.moves].reverse();
  const order = moves.flatMap(({ kind, id }) => (kind === "rivet" ? [id] : []));
  const steps = drillSteps(standing, moves);
  const afterwards = planAfter(question, drill);
  if (afterwards.status === "impossible") throw new Error("no order follows the drilling that was tried out");
  return {
    status: "found",
    proved: open !== null && (solution?.proved ?? false),
    missing,
    beyond,
    together: null,
    steps,
    drill: order,
    weight: puzzle.set.reduce((sum, { id, weight }) => sum + (drill.has(id) ? weight : 0), 0),
    turnOvers: drilling.turnOvers,
    opens: steps.flatMap((step) => (step.kind === "drill" ? step.opens : [])),
    removals: order.map((id) => removalOf(standing, id)),
    rowLimits: rowLimits(standing, order),
    afterwards,
    stays,
    forgotten,
  };
}

const NOTHING: Omit<Rework, "status"> = {
  proved: true,
  missing: [],
  beyond: [],
  together: null,
  steps: [],
  drill: [],
  weight: 0,
  turnOvers: 0,
  opens: [],
  removals: [],
  rowLimits: [],
  afterwards: null,
  stays: [],
  forgotten: [],
};

/** Rivets in drilling order gathered by row and side; a row's run ends where a part comes free. */
function drillSteps({ assembly, work }: Standing, moves: readonly PuzzleMove[]): DrillStep[] {
  const find = finder(assembly);
  const holding = new Map<string, number>();
  for (const hole of assembly.holes) {
    if (!isSet(work, hole)) continue;
    for (const part of stackOf(hole)) holding.set(part, (holding.get(part) ?? 0) + 1);
  }
  const steps: DrillStep[] = [];
  let side: BenchSide | null = null;
  let run = null as { kind: "drill"; row: string; holes: string[]; opens: string[] } | null;
  for (const move of moves) {
    if (move.kind === "part") continue;
    if (side !== null && move.side !== side) {
      steps.push({ kind: "turn-over", side: move.side });
      run = null;
    }
    side = move.side;
    const hole = find.hole(move.id);
    if (run?.row !== hole.rowId || run.opens.length > 0) {
      run = { kind: "drill", row: hole.rowId, holes: [], opens: [] };
      steps.push(run);
    }
    run.holes.push(move.id);
    for (const part of stackOf(hole)) {
      const left = (holding.get(part) ?? 0) - 1;
      holding.set(part, left);
      if (left === 0) run.opens.push(part);
    }
  }
  return steps;
}

/** Marks of the rivets' being out. */
export function drillMarks(drill: Iterable<string>): Mark[] {
  return [...drill].map((hole) => ({ kind: "hole", hole, state: "unset" }));
}

/**
 * The whole order once these rivets are out: what was missing and drilled, but for holes that are held, and all
 * else that can be set from there. What else can be set is left aside where it would not go together with them.
 */
function planAfter(question: ReworkQuestion, drill: ReadonlySet<string>): Plan {
  const { standing } = question;
  const then: Standing = { ...standing, work: withMarks(standing.work, drillMarks(drill)) };
  const narrow = scopeAfter(question, then, drill, null);
  const wide = scopeAfter(question, then, drill, scopeOf(then));
  if (losesNothing(then, wide)) {
    const plan = planIn(then, wide);
    if (plan.status !== "impossible") return plan;
  }
  return planIn(then, narrow);
}

/** @param more  what could be set from there by itself; null: only what the question was about */
function scopeAfter(
  { scope }: ReworkQuestion,
  { assembly, rulings, work }: Standing,
  drill: ReadonlySet<string>,
  more: PlanScope | null,
): PlanScope {
  const closed = closedParts(assembly, work);
  const states = partStates(assembly, work);
  const held = [...drill].flatMap((hole): LeftOpen[] => {
    const hold = holdOf(rulings, work, hole);
    return hold ? [{ hole, code: "held", hold }] : [];
  });
  const open = new Set(held.map(({ hole }) => hole));
  const planned = new Set([...scope.rivets, ...(more?.rivets ?? [])].map(({ id }) => id));
  for (const id of drill) if (!open.has(id)) planned.add(id);
  const rivets = assembly.holes.filter(({ id }) => planned.has(id) && !open.has(id));
  const coming = new Set(rivets.flatMap(stackOf).filter((part) => !closed.has(part)));
  const leftOpen = [...(more ?? scope).leftOpen, ...held].filter(({ hole }) => !planned.has(hole));
  return {
    closed,
    states,
    rivets,
    parts: assembly.parts.map(({ id }) => id).filter((id) => coming.has(id)),
    rules: rivets.flatMap((hole) =>
      orderRulesOf(rulings, states, hole).filter(({ verdict }) => verdict === "true"),
    ),
    leftOpen: [...new Map(leftOpen.map((one) => [one.hole, one])).values()],
    leftOff: (more ?? scope).leftOff.filter(({ part }) => !coming.has(part)),
  };
}

/** Whether no hole that stays open is walled in once all of this is set. */
function losesNothing({ assembly, reach }: Standing, { closed, parts, leftOpen }: PlanScope): boolean {
  const find = finder(assembly);
  const [before, after] = [closed, [...closed, ...parts]].map((on) => new FreeApproaches(reach, on));
  return leftOpen.every(({ hole }) => {
    const { index } = find.hole(hole);
    return !after?.isWalledIn(index) || before?.isWalledIn(index);
  });
}
