import { finder } from "../kit/find.js";
import type { Assembly } from "../kit/types.js";
import { closedParts, stateOf } from "../kit/work.js";
import type { LeftOff, LeftOpen, Plan, PlanStep } from "./plan-types.js";
import { type GateOnPart, gateOn } from "./prep.js";
import { stackOf } from "./standing.js";
import type { Standing } from "./types.js";

/** A place in a plan: which of its steps, from 0, and the holes asked about that it sets or gets ready. */
export interface Moment {
  readonly at: number;
  readonly step: PlanStep;
  readonly holes: readonly string[];
}

/** When a plan sets holes. Each of the holes asked about is in exactly one of the lists. */
export interface WhenSet {
  readonly moments: readonly Moment[];
  readonly done: readonly string[];
  readonly open: readonly LeftOpen[];
  /** Rivets that have no order with the others: an impossible plan sets none. */
  readonly stuck: readonly string[];
}

export function whenSet({ work }: Pick<Standing, "work">, plan: Plan, holes: readonly string[]): WhenSet {
  const asked = new Set(holes);
  const moments = plan.steps.flatMap((step, at): Moment[] => {
    const own = step.kind === "rivets" ? step.holes.filter((hole) => asked.has(hole)) : [];
    return own.length > 0 ? [{ at, step, holes: own }] : [];
  });
  const open = plan.leftOpen.filter(({ hole }) => asked.has(hole));
  const told = new Set([...moments.flatMap((moment) => moment.holes), ...open.map(({ hole }) => hole)]);
  const done = holes.filter((hole) => stateOf(work, hole) === "set");
  return {
    moments,
    done,
    open,
    stuck: holes.filter((hole) => !told.has(hole) && stateOf(work, hole) !== "set"),
  };
}

/** When a plan brings a part on: at a step, already, or not for now, with the reason where the plan has one. */
export interface WhenOn {
  readonly part: string;
  readonly moment: Moment | null;
  readonly closed: boolean;
  readonly off: LeftOff | null;
}

export function whenOn(standing: Standing, plan: Plan, parts: readonly string[]): readonly WhenOn[] {
  const closed = closedParts(standing.assembly, standing.work);
  return parts.map((part) => ({
    part,
    moment: momentOf(plan, (step) => step.kind === "part" && step.part === part),
    closed: closed.has(part),
    off: plan.leftOff.find((one) => one.part === part) ?? null,
  }));
}

/** When a plan does a gate on a part: at a step, or not, as the gate stands. */
export interface WhenReady extends GateOnPart {
  readonly moment: Moment | null;
  /** Why the part stays off, and with it what gets it ready; null when it does not. */
  readonly off: LeftOff | null;
}

export function whenReady(
  standing: Standing,
  plan: Plan,
  parts: readonly string[],
  gate: string,
): readonly WhenReady[] {
  return gateOn(standing, parts, gate).map((state) => ({
    ...state,
    moment: momentOf(
      plan,
      (step) =>
        step.kind === "prep" && step.part === state.part && step.gates.some((one) => one.gate === gate),
    ),
    off: plan.leftOff.find((one) => one.part === state.part) ?? null,
  }));
}

function momentOf({ steps }: Plan, isIt: (step: PlanStep) => boolean): Moment | null {
  const at = steps.findIndex(isIt);
  const step = steps[at];
  return step ? { at, step, holes: [] } : null;
}

/** The steps that a step comes between; null where it is the first or the last. */
export interface Between {
  readonly after: number | null;
  readonly before: number | null;
}

/**
 * What a plan has before and after a step: for rivets the last of their parts to come on, and the first part that may
 * not come before them; for what gets a part ready, that part's coming on. Where there is none, the step next to it,
 * turning over left out.
 */
export function between(assembly: Assembly, { steps }: Plan, at: number): Between {
  const step = steps[at];
  const isWork = ({ kind }: PlanStep): boolean => kind !== "turn-over";
  const last = (is: (step: PlanStep) => boolean): number => steps.slice(0, at).findLastIndex(is);
  const first = (is: (step: PlanStep) => boolean): number =>
    steps.findIndex((one, other) => other > at && is(one));
  const brings = (parts: ReadonlySet<string>) => (one: PlanStep) =>
    one.kind === "part" && parts.has(one.part);
  const own = new Set<string>();
  const later = new Set<string>();
  if (step?.kind === "rivets") {
    const find = finder(assembly);
    for (const part of step.holes.flatMap((hole) => stackOf(find.hole(hole)))) own.add(part);
    for (const reason of step.reasons) {
      const keeps =
        reason.code === "walled-in-by" || (reason.code === "rule" && reason.relation === "before");
      if (keeps) later.add(reason.part);
    }
  }
  if (step?.kind === "prep" || step?.kind === "take-off") later.add(step.part);
  const found = (index: number, next: number): number | null =>
    index >= 0 ? index : next >= 0 ? next : null;
  return {
    after: found(last(brings(own)), last(isWork)),
    before: found(first(brings(later)), first(isWork)),
  };
}
