import type { Assembly } from "../kit/types.js";
import { stateOf } from "../kit/work.js";
import { planOf } from "./plan.js";
import type { LeftOpen, Plan, PlanStep } from "./plan-types.js";
import type { Standing } from "./types.js";

/** How many holes are in which state. */
export interface Tally {
  readonly set: number;
  readonly pinned: number;
  readonly unset: number;
  readonly all: number;
}

/** What is done and what is left. */
export interface Progress {
  readonly whole: Tally;
  /** By row, in the kit's order. */
  readonly rows: readonly (Tally & { readonly row: string })[];
  /** Gates marked as done, of those that the kit lists. */
  readonly gates: { readonly done: number; readonly all: number };
  readonly milestones: { readonly reached: readonly string[]; readonly open: readonly string[] };
  /** Rivets that can be set for now, and those that stay open. */
  readonly toSet: number;
  readonly leftOpen: readonly LeftOpen[];
}

export function progressOf(standing: Standing, plan: Plan = planOf(standing)): Progress {
  const { assembly, work } = standing;
  const gates = assembly.parts.flatMap(({ id, prep }) => prep.map((gate) => ({ part: id, gate })));
  return {
    whole: tally(
      standing,
      assembly.holes.map(({ id }) => id),
    ),
    rows: assembly.rows.map((row) => ({ row: row.id, ...tally(standing, row.holes) })),
    gates: {
      done: gates.filter(({ part, gate }) => work.prep.get(part)?.has(gate)).length,
      all: gates.length,
    },
    milestones: split(assembly, work.milestones),
    toSet: plan.steps.reduce((sum, step) => sum + (step.kind === "rivets" ? step.holes.length : 0), 0),
    leftOpen: plan.leftOpen,
  };
}

function split({ milestones }: Assembly, reached: ReadonlySet<string>): Progress["milestones"] {
  const ids = milestones.map(({ id }) => id);
  return { reached: ids.filter((id) => reached.has(id)), open: ids.filter((id) => !reached.has(id)) };
}

/** How many of these holes are in which state. */
export function tally({ work }: Pick<Standing, "work">, holes: readonly string[]): Tally {
  const count = { set: 0, pinned: 0, unset: 0 };
  for (const hole of holes) count[stateOf(work, hole)] += 1;
  return { ...count, all: holes.length };
}

/** What comes next: the plan's first step, and what else could be begun now instead. */
export interface Next {
  readonly status: Plan["status"];
  readonly first: PlanStep | null;
  /** Other steps that wait for nothing still to be done, in the plan's order. */
  readonly also: readonly PlanStep[];
}

/** Never empty unless the work is done for now, or impossible as it stands. */
export function nextOf(standing: Standing, plan: Plan = planOf(standing)): Next {
  const [first = null, ...rest] = plan.steps.filter(({ kind }) => kind !== "turn-over");
  return { status: plan.status, first, also: rest.filter(({ generation }) => generation === 0) };
}
