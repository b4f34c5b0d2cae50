import { finder } from "../../kit/find.js";
import { closedParts } from "../../kit/work.js";
import type { LeftOpen, Plan, PlanStep } from "../../order/plan-types.js";
import type { BenchSide } from "../../order/puzzle.js";

import type { Form } from "../form.js";
import { drawingSource, ruleSources, rulesIn } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots } from "../types.js";
import { wholePlan } from "../whole-plan.js";
import { counted, listed, plural, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import {
  sayBroken,
  sayFirstStep,
  sayImpossible,
  sayLeftOff,
  sayOffUntilKnown,
  sayPerhapsOn,
  saySide,
  sayTurnedOver,
} from "../wording/order-plan.js";
import { reading } from "../wording/readings.js";
import { sayOff } from "../wording/when.js";
import { impossibleRows, openRows, planEvidence, stepRows } from "./plan-rows.js";
import { asksWhen, whenInPlan } from "./plan-when.js";
import { partSlot, stepSlot } from "./slots.js";

/**
 * The whole order from where the work stands; with a part, the steps until that part is on; with a step of the manual,
 * until that is done; with anything narrower, when it comes.
 */
export const plan: Form = {
  id: "plan",
  answer(job: Job, slots: Slots): FormAnswer {
    const part = partSlot(job, slots);
    const step = stepSlot(job, slots);
    const whole = wholePlan(job);
    if (asksWhen(slots)) return whenInPlan(job, slots, whole);
    const steps =
      step !== undefined
        ? untilDone(job, whole.steps, step)
        : part === undefined
          ? whole.steps
          : until(whole.steps, part);
    const off = step === undefined && whole.leftOff.find((one) => one.part === part);
    const holes = steps.flatMap((step) => (step.kind === "rivets" ? step.holes : []));
    const { trace, cautions } = planEvidence(job, whole, steps);
    return {
      headline: headlineOf(job, whole, steps, { part, step }),
      ...(off ? { brief: sentences(`${namesOf(job).thePart(off.part)} ${sayOff(job, whole, off)}`) } : {}),
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
    `${counted(steps.length, "step")} ${where}: ${counted(parts, "part")} ${plural(parts, "comes", "come")} on, ${counted(rivets, "rivet")} ${plural(rivets, "is", "are")} set, the assembly is ${sayTurnedOver(turns)}`,
    turns > 0 && `begin with ${saySide(job, startingSide(steps))} up`,
    first && `first ${sayFirstStep(job, first)}`,
    sayPerhapsOn(job, steps),
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
