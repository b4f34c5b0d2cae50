import { finder } from "../../kit/find.js";
import { closedParts } from "../../kit/work.js";
import { orderRulesOf } from "../../order/order-rules.js";
import { planOf } from "../../order/plan.js";
import type { LeftOpen, Plan, PlanStep } from "../../order/plan-types.js";
import type { BenchSide } from "../../order/puzzle.js";
import { partStates } from "../../order/standing.js";
import { factsIn } from "../../ruling/conditions.js";
import { type Act, actsOfGates, cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { drawingSource, orderTrace, reachTrace, ruleSources, rulesIn } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots, TraceEntry } from "../types.js";
import { counted, listed, plural, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import {
  RULES_MOVE,
  sayBroken,
  sayFirstStep,
  sayImpossible,
  sayLeftOff,
  sayLeftOpen,
  sayOffUntilKnown,
  saySide,
  sayStep,
  sayStepPlace,
  sayTimes,
} from "../wording/order-plan.js";
import { reading } from "../wording/readings.js";
import { grouped } from "./ruled.js";
import { partSlot, stepSlot } from "./slots.js";
import { holdTrace } from "./stay-open.js";

/** The whole order from where the work stands; with a part, the steps until that part is on; with a step of the manual, until that is done. */
export const plan: Form = {
  id: "plan",
  answer(job: Job, slots: Slots): FormAnswer {
    const part = partSlot(job, slots);
    const step = stepSlot(job, slots);
    const whole = planOf(job);
    const steps =
      step !== undefined
        ? untilDone(job, whole.steps, step)
        : part === undefined
          ? whole.steps
          : until(whole.steps, part);
    const holes = steps.flatMap((step) => (step.kind === "rivets" ? step.holes : []));
    const { trace, cautions } = planEvidence(job, whole, steps);
    return {
      ...(whole.status === "impossible" ? { verdict: "no" as const } : {}),
      headline: headlineOf(job, whole, steps, { part, step }),
      holes,
      rows: [
        ...stepRows(job, steps),
        ...(step !== undefined
          ? restRows(job, {
              leftOpen: openIn(job, whole, step),
              leftOff: offIn(job, whole, step),
              broken: [],
            })
          : part === undefined
            ? restRows(job, whole)
            : []),
        ...impossibleRows(job, whole),
      ],
      trace,
      cautions,
      sources: [...ruleSources(job, rulesIn(trace)), drawingSource(job)],
      followUps: followUps(job, whole),
    };
  },
};

/** What these steps of a plan rest on, and the cautions that go with doing them. */
export function planEvidence(
  job: Job,
  whole: Plan,
  steps: readonly PlanStep[],
): Pick<FormAnswer, "trace" | "cautions"> {
  const trace = planTrace(job, whole, steps);
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

/** Steps up to the part's coming on; none when it doesn't come on in this plan. */
function until(steps: readonly PlanStep[], part: string): readonly PlanStep[] {
  return steps.slice(0, steps.findIndex((step) => step.kind === "part" && step.part === part) + 1);
}

/** Steps up to the last one that brings on a part of the manual's step or sets a rivet of it. */
function untilDone(job: Job, steps: readonly PlanStep[], id: string): readonly PlanStep[] {
  const find = finder(job.assembly);
  const step = find.step(id);
  const parts = new Set(step.parts);
  const holes = new Set(step.rows.flatMap((row) => find.row(row).holes));
  const isOf = (one: PlanStep): boolean =>
    (one.kind === "part" && parts.has(one.part)) ||
    (one.kind === "rivets" && one.holes.some((hole) => holes.has(hole)));
  return steps.slice(0, steps.findLastIndex(isOf) + 1);
}

/** Holes of the manual's step that stay open. */
function openIn(job: Job, { leftOpen }: Plan, step: string): readonly LeftOpen[] {
  const own = new Set(
    finder(job.assembly)
      .holesOfStep(step)
      .map(({ id }) => id),
  );
  return leftOpen.filter(({ hole }) => own.has(hole));
}

/** Parts of the manual's step that stay off. */
function offIn(job: Job, { leftOff }: Plan, step: string): Plan["leftOff"] {
  const { parts } = finder(job.assembly).step(step);
  return leftOff.filter(({ part }) => parts.includes(part));
}

/** What of a step the plan leaves undone. */
function sayNotOf(job: Job, whole: Plan, step: string): string | false {
  const open = openIn(job, whole, step).length;
  const off = offIn(job, whole, step).map(({ part }) => part);
  const left = [
    ...(open > 0 ? [`${counted(open, "hole")} of it ${plural(open, "stays", "stay")} open`] : []),
    ...(off.length > 0 ? [`${namesOf(job).parts(off)} ${plural(off.length, "stays", "stay")} off`] : []),
  ];
  return left.length > 0 && `${listed(left)} for now`;
}

/** Where a plan ends: at a part, at a step of the manual, or at the end. */
interface Until {
  readonly part: string | undefined;
  readonly step: string | undefined;
}

function headlineOf(job: Job, whole: Plan, steps: readonly PlanStep[], { part, step }: Until): string {
  const names = namesOf(job);
  const lost = whole.leftOpen.filter((one) => one.code === "walled-in" && !one.never).length;
  const open =
    whole.leftOpen.length > 0 &&
    `${counted(whole.leftOpen.length, "hole")} ${plural(whole.leftOpen.length, "stays", "stay")} open for now${lost > 0 ? `, ${lost} of them walled in` : ""}`;
  if (whole.status === "impossible" && whole.impossible) {
    const stuck = whole.impossible.stuck.filter((id) => finder(job.assembly).hasHole(id)).length;
    return sentences(
      `there is no order in which everything can be built from here: ${stuck === 1 ? "1 rivet cannot" : `${stuck} rivets cannot all`} be set`,
      sayImpossible(job, whole.impossible),
      closedParts(job.assembly, job.work).size > 0
        ? "ask for the way back: something may have been closed too early. If there is none, ask the kit maker"
        : "ask the kit maker",
    );
  }
  if (step !== undefined) {
    const { parts, rows } = finder(job.assembly).step(step);
    if (parts.length + rows.length === 0)
      return sentences(
        `the manual names no part and no row in step ${step}, so the order does not show when it is done`,
      );
    if (steps.length === 0)
      return sentences(`nothing of ${names.step(step)} is left to do for now`, sayNotOf(job, whole, step));
  } else if (part !== undefined) {
    if (closedParts(job.assembly, job.work).has(part))
      return sentences(`${names.thePart(part)} is closed already`);
    const off = whole.leftOff.find((one) => one.part === part);
    if (off) return sentences(`${names.thePart(part)} ${sayLeftOff(job, off)}`);
    if (steps.length === 0)
      return sentences(`${names.thePart(part)} does not come on: no rivet goes through it`);
  } else if (whole.status === "done")
    return sentences("nothing is left to do for now", open, sayOffUntilKnown(job, whole.leftOff));
  const rivets = steps.reduce((sum, step) => sum + (step.kind === "rivets" ? step.holes.length : 0), 0);
  const parts = steps.filter(({ kind }) => kind === "part").length;
  const turns = steps.filter(({ kind }) => kind === "turn-over").length;
  const [first] = steps;
  const isWhole = part === undefined && step === undefined;
  const where =
    step !== undefined
      ? `until ${names.step(step)} is done`
      : part === undefined
        ? "from here"
        : `until ${names.thePart(part)} is on`;
  return sentences(
    `${counted(steps.length, "step")} ${where}: ${counted(parts, "part")} ${plural(parts, "comes", "come")} on, ${counted(rivets, "rivet")} ${plural(rivets, "is", "are")} set, the assembly is turned over ${sayTimes(turns)}`,
    turns > 0 && `begin with ${saySide(job, startingSide(steps))} up`,
    first && `first ${sayFirstStep(job, first)}`,
    isWhole && open,
    isWhole && sayOffUntilKnown(job, whole.leftOff),
    step !== undefined && sayNotOf(job, whole, step),
    isWhole && whole.broken.length > 0
      ? `${counted(whole.broken.length, "preference")} cannot be kept${whole.fewestBroken ? "" : ", as far as was tried"}`
      : null,
  );
}

/** The side that is up before the first turn-over. */
function startingSide(steps: readonly PlanStep[]): BenchSide {
  const first = steps.find(({ kind }) => kind === "turn-over");
  return first?.kind === "turn-over" && first.side === "up" ? "over" : "up";
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
    part: "part" in step ? step.part : null,
    row: step.kind === "rivets" ? step.row : null,
  }));
}

/** What the plan leaves as it is, and preferences that it can't keep. */
function restRows(
  job: Job,
  { leftOpen, leftOff, broken }: Pick<Plan, "leftOpen" | "leftOff" | "broken">,
): readonly AnswerRow[] {
  const names = namesOf(job);
  return [
    ...leftOff.map((off) => ({
      holes: [...off.wouldWallIn, ...off.wantedBefore],
      where: names.part(off.part),
      what: sentences(sayLeftOff(job, off)),
      kind: "stays off",
      part: off.part,
    })),
    ...openRows(job, leftOpen),
    ...broken.map((preference) => ({
      holes: preference.holes,
      where: names.where(preference.holes),
      what: sentences(sayBroken(job, preference)),
      kind: "preference",
      rule: preference.rule,
    })),
  ];
}

/** Holes that stay open for the same reason in one row. */
export function openRows(job: Job, leftOpen: readonly LeftOpen[]): readonly AnswerRow[] {
  const said = leftOpen.map((open) => ({ open, text: sentences(sayLeftOpen(job, open)) }));
  return grouped(said, ({ text }) => text).map((group) => {
    const holes = group.map(({ open }) => open.hole);
    return {
      holes,
      where: namesOf(job).where(holes),
      what: group[0]?.text ?? "",
      kind: "stays open",
      code: group[0]?.open.code,
    };
  });
}

function impossibleRows(job: Job, { impossible }: Plan): readonly AnswerRow[] {
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

function followUps(job: Job, whole: Plan): readonly Reading[] {
  const lost = whole.leftOpen.some((open) => open.code === "walled-in" && !open.never);
  const held = whole.leftOpen.some(({ code }) => code === "held");
  return [
    ...(whole.status === "open" ? [reading(job, "next", {})] : []),
    ...(whole.turnOvers > 0 ? [reading(job, "turn-over", {})] : []),
    ...(lost || whole.status === "impossible" ? [reading(job, "rework", {})] : []),
    ...(held ? [reading(job, "close-later", {})] : []),
    reading(job, "progress", {}),
  ];
}
