import { finder } from "../../kit/find.js";
import { closedParts } from "../../kit/work.js";
import { walledInNow } from "../../order/closing.js";
import type { Impossible } from "../../order/impossible.js";
import { whyOpen } from "../../order/left-open.js";
import { orderRulesOf } from "../../order/order-rules.js";
import type { PlanStep } from "../../order/plan-types.js";
import { type Rework, type ReworkQuestion, reworkFrom, reworkQuestion } from "../../order/rework.js";
import type { Removal } from "../../order/rework-cost.js";
import { partStates, reachAt, stackOf } from "../../order/standing.js";
import type { Standing } from "../../order/types.js";
import { type WhatIf, whatIfClosed } from "../../order/what-if.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { drawingSource, orderTrace, reachTrace, ruleSources, rulesIn } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots, Source, TraceEntry } from "../types.js";
import { Unsolved } from "../unsolved.js";
import { counted, plural, sentences, the } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { sayImpossible, sayLeftOpen } from "../wording/order-plan.js";
import { reading } from "../wording/readings.js";
import {
  DRILL_ROOM,
  HEAD_ELSEWHERE,
  sayDrillStep,
  sayGrowthRisk,
  sayLeaveIt,
  sayProof,
  sayStays,
  TAKING_OUT,
} from "../wording/rework.js";
import { stepRows } from "./plan.js";
import { grouped } from "./ruled.js";
import { chosenSlot, requiredSlot, scopeOf } from "./slots.js";

/**
 * The way back when something was closed too early: what to drill out, in which order, and what follows. With
 * `first`, what it would come to if the part were hung first; nothing is recorded by asking.
 */
export const rework: Form = {
  id: "rework",
  answer(job: Job, slots: Slots): FormAnswer {
    if (chosenSlot(slots, "first", ["yes", "no"]) !== "yes") return wayBack(job, slots);
    return whatIf(job, requiredSlot(slots, "part", "Say which part would be hung first."));
  },
};

function wayBack(job: Job, slots: Slots): FormAnswer {
  const { all, holes: asked, said } = scopeOf(job, slots);
  const back = found(job, job, all ? null : new Set(asked));
  const elsewhere = all ? [] : lostBeside(job, new Set([...back.missing, ...back.beyond]));
  const holes = [...back.missing, ...back.beyond];
  const trace = traceOf(job, job, back);
  return {
    ...(back.status === "no way" ? { verdict: "no" as const } : {}),
    ...(back.status === "not found" ? { verdict: "undecided" as const } : {}),
    headline: sentences(
      headlineOf(job, back, all ? "" : ` of ${said}`),
      elsewhere.length > 0 &&
        `${counted(elsewhere.length, "other rivet")} ${plural(elsewhere.length, "is", "are")} walled in elsewhere`,
    ),
    holes,
    rows: [
      ...backRows(job, back),
      ...uncountedRows(job, job, new Set(holes), new Set(all ? holesOf(job) : asked)),
    ],
    trace,
    cautions: cautionsOf(job, back, trace),
    sources: sourcesOf(job, back, trace),
    followUps: [
      ...(back.status === "found" ? [reading(job, "tell", { holes: back.drill, state: "unset" })] : []),
      ...(holes.length > 0 ? [reading(job, "why-not", { act: "set", holes })] : []),
      reading(job, "plan", {}),
      reading(job, "progress", {}),
    ],
  };
}

function whatIf(job: Job, part: string): FormAnswer {
  const names = namesOf(job);
  const hung = whatIfClosed(job, part);
  const lost = hung.wallsIn.map(({ hole }) => hole);
  const back = lost.length > 0 ? found(job, hung.standing, new Set(lost)) : null;
  const trace = [
    ...reachTrace(job, lost, closedParts(job.assembly, hung.standing.work)),
    ...(back ? traceOf(job, hung.standing, back).filter(({ kind }) => kind !== "reach") : []),
  ];
  return {
    ...(lost.length > 0 ? { verdict: "no" as const } : {}),
    headline: whatIfHeadline(job, hung, back),
    holes: lost,
    rows: [
      ...grouped(hung.wallsIn, ({ hole }) => finder(job.assembly).hole(hole).rowId).map((group) => {
        const ids = group.map(({ hole }) => hole);
        return {
          holes: ids,
          where: names.where(ids),
          what: sentences(`walled in once ${names.thePart(part)} is riveted`, "set it first"),
          kind: "walled in",
        };
      }),
      ...(back ? backRows(job, back) : []),
      ...(back
        ? uncountedRows(job, hung.standing, new Set([...back.missing, ...back.beyond]), new Set(lost))
        : []),
      ...(hung.staysOut.length > 0
        ? [
            {
              holes: hung.staysOut,
              where: names.where(hung.staysOut),
              what: sentences(`cannot be set then: held, not settled or out of reach`),
              kind: "stays out",
            },
          ]
        : []),
    ],
    trace,
    cautions: back ? cautionsOf(job, back, trace) : cautionsFor(job, hung.rivets, ["rivet"], trace),
    sources: back ? sourcesOf(job, back, trace) : [...ruleSources(job, rulesIn(trace)), drawingSource(job)],
    followUps: [
      reading(job, "before-closing", { part }),
      reading(job, "may-i", { act: "close", part }),
      reading(job, "plan", { part }),
    ],
  };
}

function whatIfHeadline(job: Job, hung: WhatIf, back: Rework | null): string {
  const names = namesOf(job);
  const part = names.thePart(hung.part);
  if (hung.status === "closed") return sentences(`${part} is closed already`);
  if (hung.status === "cannot") return sentences(`${part} cannot be hung now: none of its rivets can be set`);
  const lost = hung.wallsIn.map(({ hole }) => hole);
  const hanging = `if ${part} is hung first (${counted(hung.rivets.length, "rivet")})`;
  if (!back || lost.length === 0)
    return sentences(`${hanging}, nothing is walled in by it`, "nothing is recorded");
  return sentences(
    `${hanging}, ${counted(lost.length, "rivet")} ${plural(lost.length, "is", "are")} walled in: ${names.where(lost)}`,
    back.status === "found"
      ? `getting back would take drilling out ${counted(back.drill.length, "rivet")}; ${sayProof(back)}`
      : back.status === "none needed"
        ? "none of them is to be set for now, so nothing would be drilled out yet; later it would be too late"
        : "no drilling brings all of them back",
    `so set them before ${part}`,
    "nothing is recorded",
  );
}

/** The way back for these missing rivets; for all of them when none are named. @throws Unsolved */
function found(job: Job, standing: Standing, only: ReadonlySet<string> | null): Rework {
  const whole = reworkQuestion(standing);
  if (!only) return solved(job, whole);
  const others = [...whole.missing, ...whole.beyond].filter((hole) => !only.has(hole));
  if (others.length === 0) return solved(job, whole);
  const back = solved(job, reworkQuestion(standing, { lost: new Set(others) }));
  return { ...back, beyond: back.beyond.filter((hole) => only.has(hole)) };
}

function solved(job: Job, question: ReworkQuestion): Rework {
  if (!question.program || !job.solved) return reworkFrom(question, null);
  const solution = job.solved(question.program.text);
  if (!solution) throw new Unsolved(question.program.text);
  return reworkFrom(question, solution);
}

function holesOf(job: Job): readonly string[] {
  return job.assembly.holes.map(({ id }) => id);
}

/** Walled-in holes beside those that the answer is about. */
function lostBeside(job: Job, told: ReadonlySet<string>): readonly string[] {
  return walledInNow(job.assembly, job.reach, job.work)
    .filter(({ never }) => !never)
    .map(({ hole }) => hole)
    .filter((hole) => !told.has(hole));
}

function headlineOf(job: Job, back: Rework, of: string): string {
  const names = namesOf(job);
  const beyond =
    back.beyond.length > 0 &&
    `no drilling brings back ${counted(back.beyond.length, "rivet")}: ${names.where(back.beyond, 2)}. Ask the kit maker or a licensed designer`;
  switch (back.status) {
    case "none needed":
      return sentences(`no rivet${of} that is to be set now is walled in: nothing needs drilling out`);
    case "not found":
      return sentences(
        `no way back was found in the time given, and it is not certain that there is none: ${counted(back.missing.length, "rivet")} ${plural(back.missing.length, "is", "are")} missing`,
        beyond,
      );
    case "no way":
      return sentences(
        back.missing.length > 0 &&
          `there is no choice of rivets whose drilling lets all ${counted(back.missing.length, "missing rivet")} be set: ${names.where(back.missing, 2)}`,
        beyond,
        back.missing.length > 0 && "ask the kit maker or a licensed designer",
      );
    case "found":
      return sentences(
        `drill out ${counted(back.drill.length, "rivet")}: ${names.where(back.drill, 2)}`,
        back.opens.length > 0 &&
          `that frees ${names.parts(back.opens)}, and ${counted(back.missing.length, "missing rivet")} can be set: ${names.where(back.missing, 2)}`,
        sayProof(back),
        beyond,
      );
  }
}

function backRows(job: Job, back: Rework): readonly AnswerRow[] {
  const drilling = drillRows(job, back);
  const after = stepsBack(job, back);
  return [
    ...drilling,
    ...stepRows(job, after, drilling.length + 1),
    ...restRow(job, back, after.length),
    ...growthRows(job, back),
    ...leaveRows(job, back),
    ...hopelessRows(job, back),
  ];
}

function drillRows(job: Job, back: Rework): readonly AnswerRow[] {
  const names = namesOf(job);
  const removals = new Map(back.removals.map((removal) => [removal.hole, removal]));
  return back.steps.map(
    (step, i): AnswerRow => ({
      holes: step.kind === "drill" ? step.holes : [],
      where: `${i + 1}. ${step.kind === "drill" ? names.where(step.holes) : the(job.assembly.name)}`,
      what: sayDrillStep(job, step, removals),
      kind: step.kind,
      step: i + 1,
      opens: step.kind === "drill" ? step.opens : [],
    }),
  );
}

/** What drilling does not bring back, and set rivets in the way that stay. */
function hopelessRows(job: Job, back: Rework): readonly AnswerRow[] {
  return [
    ...beyondRows(job, back),
    ...togetherRows(job, back.together),
    ...grouped(back.stays, (stays) => sayStays(job, stays)).map((group) => {
      const holes = group.map(({ hole }) => hole);
      return {
        holes,
        where: namesOf(job).where(holes),
        what: group[0] ? sentences(sayStays(job, group[0])) : "",
        kind: "stays",
      };
    }),
  ];
}

/**
 * Steps of the order afterwards that have to do with what was missing or drilled: its parts, its rivets, and the
 * rivets that one of the freed parts would hinder. The others may come before or after.
 */
function stepsBack(job: Job, { afterwards, missing, drill, opens }: Rework): readonly PlanStep[] {
  const find = finder(job.assembly);
  const holes = new Set([...missing, ...drill]);
  const parts = new Set([...holes].flatMap((id) => stackOf(find.hole(id))));
  const freed = new Set(opens);
  const concerns = (step: PlanStep): boolean => {
    if (step.kind === "turn-over") return true;
    if (step.kind !== "rivets") return parts.has(step.part);
    return (
      step.holes.some((hole) => holes.has(hole)) ||
      step.reasons.some(
        (reason) =>
          (reason.code === "walled-in-by" || (reason.code === "rule" && reason.relation === "before")) &&
          freed.has(reason.part),
      )
    );
  };
  const steps = (afterwards?.steps ?? []).filter(concerns);
  // A turn-over counts only between two steps that are told.
  return steps.filter(
    (step, i) =>
      step.kind !== "turn-over" ||
      (i > 0 &&
        steps[i - 1]?.kind !== "turn-over" &&
        steps.slice(i).some(({ kind }) => kind !== "turn-over")),
  );
}

/** How much of the order is left besides. */
function restRow(job: Job, { afterwards }: Rework, told: number): readonly AnswerRow[] {
  const rest = (afterwards?.steps.length ?? 0) - told;
  return rest <= 0
    ? []
    : [
        {
          holes: [],
          where: the(job.assembly.name),
          what: sentences(
            `${counted(rest, "other step")} of the plan ${plural(rest, "is", "are")} left besides`,
            "mark the drilled rivets as unset, then ask for the plan",
          ),
          kind: "rest",
        },
      ];
}

/** The risk that holes grow, for rows and rivets that are alike. */
function growthRows(job: Job, { removals, rowLimits }: Rework): readonly AnswerRow[] {
  const find = finder(job.assembly);
  const limits = new Map(rowLimits.map((limit) => [limit.row, limit]));
  const said = removals.map((removal: Removal) => {
    const { rowId } = find.hole(removal.hole);
    const text = sayGrowthRisk(job, removal, limits.get(rowId), find.row(rowId).holes.length);
    return { hole: removal.hole, text };
  });
  return grouped(said, ({ text }) => text).map((group) => {
    const holes = group.map(({ hole }) => hole);
    return { holes, where: namesOf(job).where(holes), what: group[0]?.text ?? "", kind: "if a hole grows" };
  });
}

/** The other way: leave the rivets out, and what to ask. */
function leaveRows(job: Job, { missing, beyond }: Rework): readonly AnswerRow[] {
  const find = finder(job.assembly);
  const closed = closedParts(job.assembly, job.work);
  const left = [...missing, ...beyond].map((id) => find.hole(id));
  return grouped(left, ({ rowId }) => rowId).map((group) => {
    const ids = group.map(({ id }) => id);
    const rowId = group[0]?.rowId ?? "";
    const rivets = new Set(group.map(({ id, rivet }) => ruledRivet(job, id) ?? rivet.code));
    const blockers = group.flatMap((hole) =>
      reachAt(job.reach, hole).approaches.flatMap(({ blockedBy }) => blockedBy.map(({ part }) => part)),
    );
    return {
      holes: ids,
      where: namesOf(job).where(ids),
      what: sayLeaveIt(job, {
        count: ids.length,
        of: find.row(rowId).holes.length,
        rivets: [...rivets],
        closedBy: [...new Set(blockers)].filter((part) => closed.has(part)).sort(),
      }),
      kind: "or leave it",
    };
  });
}

function ruledRivet(job: Job, hole: string): string | null {
  const rivet = job.rulings.of(hole).attributes.rivet;
  return rivet?.status === "settled" ? String(rivet.value) : null;
}

function beyondRows(job: Job, { beyond }: Rework): readonly AnswerRow[] {
  return beyond.length === 0
    ? []
    : [
        {
          holes: beyond,
          where: namesOf(job).where(beyond),
          what: "No drilling brings these back: what would have to come out can't be drilled or can't be set again.",
          kind: "no way back",
        },
      ];
}

function togetherRows(job: Job, together: Impossible | null): readonly AnswerRow[] {
  return together === null
    ? []
    : [
        {
          holes: together.core,
          where: namesOf(job).where(together.core),
          what: sentences(
            "not all of these can be set, whatever is drilled out",
            sayImpossible(job, together),
          ),
          kind: "no order",
        },
      ];
}

/** Walled-in holes that are not counted as missing, and why. */
function uncountedRows(
  job: Job,
  { assembly, reach, work, rulings, kit }: Standing,
  counted: ReadonlySet<string>,
  asked: ReadonlySet<string>,
): readonly AnswerRow[] {
  const standing: Standing = { assembly, reach, work, rulings, kit };
  const find = finder(assembly);
  const closed = closedParts(assembly, work);
  const states = partStates(assembly, work);
  const said = walledInNow(assembly, reach, work)
    .filter(({ hole }) => asked.has(hole) && !counted.has(hole))
    .flatMap(({ hole: id }) => {
      const hole = find.hole(id);
      const open = whyOpen(standing, hole, closed, orderRulesOf(rulings, states, hole), true);
      return open ? [{ id, text: sentences("walled in, but not counted here", sayLeftOpen(job, open)) }] : [];
    });
  return grouped(said, ({ text }) => text).map((group) => {
    const holes = group.map(({ id }) => id);
    return { holes, where: namesOf(job).where(holes), what: group[0]?.text ?? "", kind: "not counted" };
  });
}

function traceOf(job: Job, { assembly, work, rulings }: Standing, back: Rework): readonly TraceEntry[] {
  const find = finder(assembly);
  const states = partStates(assembly, work);
  const told = [...back.missing, ...back.beyond, ...back.drill];
  return [
    ...reachTrace(job, [...back.missing, ...back.beyond], closedParts(assembly, work)),
    ...orderTrace(
      job,
      told.flatMap((id) => orderRulesOf(rulings, states, find.hole(id))),
    ),
  ];
}

function cautionsOf(job: Job, back: Rework, trace: readonly TraceEntry[]): readonly string[] {
  if (back.drill.length === 0) return cautionsFor(job, [], [], trace);
  const turned = back.drill.some((id) => {
    const { rivet, approaches } = finder(job.assembly).hole(id);
    return rivet.kind === "pulled" && approaches.length > 1;
  });
  return [
    DRILL_ROOM,
    TAKING_OUT,
    ...(turned ? [HEAD_ELSEWHERE] : []),
    ...cautionsFor(job, back.drill, ["drill", "rivet"], trace),
  ];
}

function sourcesOf(job: Job, back: Rework, trace: readonly TraceEntry[]): readonly Source[] {
  const tables = new Map<string, Source>();
  for (const citation of [
    ...back.removals.flatMap(({ sources }) => sources),
    ...back.rowLimits.map(({ source }) => source),
  ]) {
    const verified = citation.confidence === "unverified" ? " (from memory, not verified)" : "";
    tables.set(citation.id, {
      document: `${citation.title}${verified}`,
      place: citation.part,
      dated: citation.dated,
    });
  }
  return [...ruleSources(job, rulesIn(trace)), drawingSource(job), ...tables.values()];
}
