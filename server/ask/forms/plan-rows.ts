import { finder } from "../../kit/find.js";
import { closedParts } from "../../kit/work.js";
import { orderRulesOf } from "../../order/order-rules.js";
import type { LeftOpen, Plan, PlanStep } from "../../order/plan-types.js";
import { partStates } from "../../order/standing.js";
import { factsIn } from "../../ruling/conditions.js";
import { type Act, actsOfGates, cautionsFor } from "../cautions.js";
import { orderTrace, reachTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, TraceEntry } from "../types.js";
import { sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { RULES_MOVE, sayImpossible, sayLeftOpen, sayStep, sayStepPlace } from "../wording/order-plan.js";
import { grouped } from "./ruled.js";
import { holdTrace } from "./stay-open.js";

/**
 * What these steps of a plan rest on, and the cautions that go with doing them.
 * @param more  further evidence of the answer
 */
export function planEvidence(
  job: Job,
  whole: Plan,
  steps: readonly PlanStep[],
  more: readonly TraceEntry[] = [],
): Pick<FormAnswer, "trace" | "cautions"> {
  const trace = [...planTrace(job, whole, steps), ...more];
  const cautions = cautionsFor(job, steps.flatMap(workedIn), actsIn(steps), trace);
  return { trace, cautions: [...(hangsOnWork(job) ? [RULES_MOVE] : []), ...cautions] };
}

/** Holes that a step sets or gets ready: cautions go by them. */
export function workedIn(step: PlanStep): readonly string[] {
  return step.kind === "prep"
    ? step.gates.flatMap(({ holes }) => holes)
    : step.kind === "rivets"
      ? step.holes
      : [];
}

/** Whether some rule looks at what has been done: then the rulings of later steps may yet change. */
function hangsOnWork({ rulebook: { rules, dictionary } }: Job): boolean {
  return rules.some(({ conditions }) =>
    factsIn(conditions).some((fact) => dictionary.facts.get(fact)?.from === "work"),
  );
}

/** One row for each step, numbered. */
export function stepRows(job: Job, steps: readonly PlanStep[], from = 1): readonly AnswerRow[] {
  return steps.map((step, i) => ({
    holes: step.kind === "rivets" ? step.holes : [],
    where: `${from + i}. ${sayStepPlace(job, step)}`,
    what: sayStep(job, step),
    kind: step.kind,
    step: from + i,
    generation: step.generation,
    ...(step.kind === "prep" && step.gates.some(({ needed }) => needed === "unknown")
      ? { verdict: "undecided" as const }
      : {}),
    part: "part" in step ? step.part : null,
    row: step.kind === "rivets" ? step.row : null,
  }));
}

/** Holes that stay open for the same reason in one row. */
export function openRows(job: Job, leftOpen: readonly LeftOpen[]): readonly AnswerRow[] {
  const said = leftOpen.map((open) => ({ open, text: sayLeftOpen(job, open) }));
  return grouped(said, ({ text }) => text).map((group) => {
    const holes = group.map(({ open }) => open.hole);
    return {
      holes,
      where: namesOf(job).where(holes),
      what: sentences(sayLeftOpen(job, (group[0] as (typeof group)[number]).open, holes.length)),
      kind: "stays open",
      code: group[0]?.open.code,
    };
  });
}

/** What has no order, where a plan is impossible. */
export function impossibleRows(job: Job, { impossible }: Plan): readonly AnswerRow[] {
  if (!impossible) return [];
  const names = namesOf(job);
  const find = finder(job.assembly);
  const stuck = impossible.stuck.filter((id) => find.hasHole(id));
  const core = new Set(impossible.core);
  const rest = stuck.filter((id) => !core.has(id));
  return [
    {
      holes: impossible.core,
      where: names.where(impossible.core),
      what: sentences(
        "these together have no order; without any one of them the rest could be built",
        sayImpossible(job, impossible),
      ),
      kind: "no order",
    },
    ...(rest.length > 0
      ? [
          {
            holes: rest,
            where: names.where(rest),
            what: "Has no order either as things are.",
            kind: "no order",
          },
        ]
      : []),
  ];
}

/** Evidence for the order: who would be walled in by whom, order rules, holds and gates. */
export function planTrace(job: Job, { leftOpen }: Plan, steps: readonly PlanStep[]): readonly TraceEntry[] {
  const find = finder(job.assembly);
  const walled = steps.flatMap(({ reasons }) =>
    reasons.flatMap((reason) => (reason.code === "walled-in-by" ? reason.holes : [])),
  );
  const lost = leftOpen.flatMap(({ hole, code }) => (code === "walled-in" ? [hole] : []));
  const all = new Set([
    ...closedParts(job.assembly, job.work),
    ...steps.flatMap((step) => (step.kind === "part" ? [step.part] : [])),
  ]);
  const states = partStates(job.assembly, job.work);
  const rivets = steps.flatMap((step) => (step.kind === "rivets" ? step.holes : []));
  return [
    ...reachTrace(job, walled, all),
    ...reachTrace(job, lost, closedParts(job.assembly, job.work)),
    ...orderTrace(
      job,
      rivets.flatMap((id) => orderRulesOf(job.rulings, states, find.hole(id))),
    ),
    ...holdTrace(
      job,
      leftOpen.flatMap((open) => (open.code === "held" ? [open.hold] : [])),
    ),
    ...steps.flatMap((step) =>
      step.kind === "prep"
        ? step.gates.map(({ part, gate, done }) => ({ kind: "prep" as const, part, gate, done }))
        : [],
    ),
  ];
}

/** What the steps take, for the cautions. */
export function actsIn(steps: readonly PlanStep[]): readonly Act[] {
  const acts = new Set<Act>();
  for (const step of steps) {
    if (step.kind === "rivets") acts.add("rivet");
    if (step.kind === "prep") for (const act of actsOfGates(step.gates)) acts.add(act);
  }
  return [...acts];
}
