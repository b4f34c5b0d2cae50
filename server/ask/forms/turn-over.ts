import { finder } from "../../kit/find.js";
import type { Hole } from "../../kit/types.js";
import { benchSide } from "../../order/plan.js";
import type { Plan, PlanStep } from "../../order/plan-types.js";
import type { BenchSide } from "../../order/puzzle.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { drawingSource, ruleSources, rulesIn } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots } from "../types.js";
import { wholePlan } from "../whole-plan.js";
import { counted, plural, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { sayImpossible, saySide, sayStepShort, sayTimes } from "../wording/order-plan.js";
import { reading } from "../wording/readings.js";
import { actsIn, planTrace } from "./plan-rows.js";

/** What is done between one turn-over and the next. */
interface Turn {
  /** Side that is up; null while nothing in it needs one. */
  readonly side: BenchSide | null;
  readonly steps: readonly PlanStep[];
  /** Number of its first step in the plan, 1-based. */
  readonly from: number;
}

/** When the assembly is turned over, how few times will do, and what is done on each side. */
export const turnOver: Form = {
  id: "turn-over",
  answer(job: Job, _slots: Slots): FormAnswer {
    const whole = wholePlan(job);
    const turns = turnsOf(job, whole);
    const [now] = turns;
    const holes = now ? now.steps.flatMap(holesOf) : [];
    const trace = planTrace(job, { ...whole, leftOpen: [] }, whole.steps);
    return {
      headline: headlineOf(job, whole, turns),
      holes,
      rows: turns.map((turn, i) => rowOf(job, turn, i)),
      trace,
      cautions: cautionsFor(job, holes, actsIn(now?.steps ?? []), trace),
      sources: [...ruleSources(job, rulesIn(trace)), drawingSource(job)],
      followUps: [
        ...(whole.status === "open" ? [reading(job, "next", {}), reading(job, "plan", {})] : []),
        reading(job, "progress", {}),
      ],
    };
  },
};

function holesOf(step: PlanStep): readonly string[] {
  return step.kind === "rivets" ? step.holes : [];
}

function turnsOf(job: Job, { steps }: Plan): readonly Turn[] {
  const find = finder(job.assembly);
  const sideOf = (list: readonly PlanStep[]): BenchSide | null =>
    list
      .flatMap(holesOf)
      .map((id) => benchSide(job.kit, job.assembly, find.hole(id) as Hole))
      .find((side) => side !== null) ?? null;
  const turns: { from: number; steps: PlanStep[] }[] = [];
  steps.forEach((step, i) => {
    const last = turns.at(-1);
    if (step.kind === "turn-over" || !last) {
      turns.push({
        from: i + (step.kind === "turn-over" ? 2 : 1),
        steps: step.kind === "turn-over" ? [] : [step],
      });
    } else last.steps.push(step);
  });
  return turns.map(({ from, steps: list }) => ({ from, steps: list, side: sideOf(list) }));
}

function headlineOf(job: Job, whole: Plan, turns: readonly Turn[]): string {
  if (whole.status === "impossible" && whole.impossible) {
    return sentences(
      "there is no order in which everything can be built from here, so no turn-over is told",
      sayImpossible(job, whole.impossible),
      "ask the kit maker",
    );
  }
  const [now, then] = turns;
  if (!now) return sentences("nothing is left to do for now, so nothing needs turning over");
  const rivets = now.steps.flatMap(holesOf).length;
  if (!then) {
    return sentences(
      `${job.assembly.name} need not be turned over${now.side ? `: work with ${saySide(job, now.side)} up` : ""}`,
      `${counted(rivets, "rivet")} ${plural(rivets, "is", "are")} left to set for now`,
    );
  }
  const last = now.steps.at(-1);
  return sentences(
    `turn it over ${sayTimes(whole.turnOvers)}; fewer will not do`,
    `first, with ${saySide(job, now.side ?? "up")} up, ${counted(rivets, "rivet")} in ${counted(now.steps.length, "step")}`,
    last && `turn it over once you have done the last of them: ${sayStepShort(job, last)}`,
  );
}

function rowOf(job: Job, { side, steps, from }: Turn, i: number): AnswerRow {
  const names = namesOf(job);
  const holes = steps.flatMap(holesOf);
  const parts = steps.flatMap((step) => (step.kind === "part" ? [step.part] : []));
  const rows = new Set(steps.flatMap((step) => (step.kind === "rivets" ? [step.row] : [])));
  return {
    holes,
    where: `${i + 1}. ${side ? saySide(job, side) : "either side"} up`,
    what: sentences(
      `steps ${from}–${from + steps.length - 1} of the plan`,
      parts.length > 0 && `${names.parts(parts)} ${plural(parts.length, "comes", "come")} on`,
      holes.length > 0 && `set ${counted(holes.length, "rivet")} in ${counted(rows.size, "row")}`,
      i > 0 && "turn it over first",
    ),
    kind: "turn",
    side,
    from,
    steps: steps.length,
  };
}
