import { finder } from "../../kit/find.js";
import { closedParts } from "../../kit/work.js";
import type { Plan, PlanStep } from "../../order/plan-types.js";
import { nextOf } from "../../order/progress.js";
import { stackOf } from "../../order/standing.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { drawingSource, ruleSources, rulesIn } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots } from "../types.js";
import { wholePlan } from "../whole-plan.js";
import { counted, plural, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import {
  sayImpossible,
  sayNextBrief,
  sayOffUntilKnown,
  sayStep,
  sayStepPlace,
  sayStepShort,
} from "../wording/order-plan.js";
import { reading } from "../wording/readings.js";
import { actsIn, openRows, planTrace, workedIn } from "./plan-rows.js";
import { partSlot } from "./slots.js";

/** More than this helps nobody to choose. */
const MOST_OTHERS = 8;

/** What comes next, and what could be begun now instead; with a part, what comes next on it. */
export const next: Form = {
  id: "next",
  answer(job: Job, slots: Slots): FormAnswer {
    const part = partSlot(job, slots);
    const whole = wholePlan(job);
    const { first, also } = nextOf(job, whole);
    const touching = part === undefined ? null : whole.steps.find((step) => touches(job, step, part));
    const main = part === undefined ? first : (touching ?? null);
    const others =
      part === undefined ? also : also.filter((step) => step !== main && touches(job, step, part));
    const shown = others.slice(0, MOST_OTHERS);
    const steps = [...(main ? [main] : []), ...shown];
    const holes = main?.kind === "rivets" ? main.holes : [];
    const trace = planTrace(job, { ...whole, leftOpen: [] }, steps);
    return {
      headline: headlineOf(job, whole, main, others, part),
      ...(main && whole.status !== "impossible"
        ? { brief: sentences(wayBackFirst(job, whole, part), sayNextBrief(job, main, part ?? null)) }
        : {}),
      holes,
      rows: [
        ...(main ? [rowOf(job, main, "next")] : []),
        ...shown.map((step) => rowOf(job, step, "or instead")),
        ...(main ? [] : openRows(job, openOn(job, whole, part))),
      ],
      trace,
      cautions: cautionsFor(job, steps.flatMap(workedIn), actsIn(steps), trace),
      sources: [...ruleSources(job, rulesIn(trace)), drawingSource(job)],
      followUps: followUps(job, main, whole),
    };
  },
};

function holesOf(step: PlanStep): readonly string[] {
  return step.kind === "rivets" ? step.holes : [];
}

function touches(job: Job, step: PlanStep, part: string): boolean {
  if (step.kind === "turn-over") return false;
  if (step.kind !== "rivets") return step.part === part;
  const find = finder(job.assembly);
  return step.holes.some((id) => stackOf(find.hole(id)).includes(part));
}

function openOn(job: Job, { leftOpen }: Plan, part: string | undefined): Plan["leftOpen"] {
  if (part === undefined) return leftOpen;
  const through = new Set(
    finder(job.assembly)
      .holesThrough(part)
      .map(({ id }) => id),
  );
  return leftOpen.filter(({ hole }) => through.has(hole));
}

function rowOf(job: Job, step: PlanStep, kind: "next" | "or instead"): AnswerRow {
  return {
    holes: holesOf(step),
    where: sayStepPlace(job, step),
    what: sayStep(job, step),
    kind,
    act: step.kind,
    part: "part" in step ? step.part : null,
  };
}

/** What is walled in comes before anything that is next. */
function wayBackFirst(job: Job, whole: Plan, part: string | undefined): string | false {
  const lost = openOn(job, whole, part).filter((one) => one.code === "walled-in" && !one.never).length;
  return (
    lost > 0 && `${counted(lost, "rivet")} ${plural(lost, "is", "are")} walled in: ask for the way back first`
  );
}

function headlineOf(
  job: Job,
  whole: Plan,
  main: PlanStep | null,
  others: readonly PlanStep[],
  part: string | undefined,
): string {
  const names = namesOf(job);
  if (whole.status === "impossible" && whole.impossible) {
    return sentences(
      "there is no order in which everything can be built from here, so no next step is told",
      sayImpossible(job, whole.impossible),
      closedParts(job.assembly, job.work).size > 0
        ? "ask for the way back; if there is none, ask the kit maker"
        : "ask the kit maker",
    );
  }
  const back = wayBackFirst(job, whole, part);
  if (!main) {
    const open = openOn(job, whole, part).length;
    return sentences(
      part === undefined
        ? "nothing is left to do for now"
        : `nothing is left to do on ${names.thePart(part)} for now`,
      open > 0 && `${counted(open, "hole")} ${plural(open, "stays", "stay")} open`,
      part === undefined && sayOffUntilKnown(job, whole.leftOff),
      back,
    );
  }
  const before =
    part === undefined ? 0 : whole.steps.filter(({ kind }) => kind !== "turn-over").indexOf(main);
  const at = whole.steps.indexOf(main);
  const isFree = main.generation === 0;
  return sentences(
    back,
    `next${part === undefined ? "" : ` on ${names.thePart(part)}`}: ${sayStepShort(job, main)}`,
    before > 0 &&
      (isFree
        ? "nothing has to be done before it, though the plan has other steps first"
        : `the plan has ${counted(before, "step")} before it, ${sayStepShort(job, whole.steps.find(({ kind }) => kind !== "turn-over") ?? main)} first`),
    others.length > 0 &&
      `${counted(others.length, "other step")} could be begun now instead${others.length > MOST_OTHERS ? `, the first ${MOST_OTHERS} are shown` : ""}`,
    at >= 0 &&
      part === undefined &&
      `${counted(whole.steps.length - 1, "step")} ${plural(whole.steps.length - 1, "follows", "follow")}`,
  );
}

function followUps(job: Job, main: PlanStep | null, whole: Plan): readonly Reading[] {
  const told: readonly Reading[] =
    main?.kind === "rivets"
      ? [
          reading(job, "may-i", { act: "set", holes: main.holes }),
          reading(job, "treatment", { holes: main.holes }),
          reading(job, "tell", { holes: main.holes, state: "set" }),
        ]
      : main?.kind === "prep"
        ? main.gates.slice(0, 2).map(({ part, gate }) => reading(job, "tell", { part, gate, done: "yes" }))
        : main?.kind === "part"
          ? [reading(job, "before-closing", { part: main.part })]
          : [];
  const lost = whole.leftOpen.some((one) => one.code === "walled-in" && !one.never);
  return [
    ...(lost ? [reading(job, "rework", {})] : []),
    ...told,
    ...(whole.status === "done" ? [] : [reading(job, "plan", {})]),
    reading(job, "progress", {}),
  ];
}
