import { finder } from "../../kit/find.js";
import { closedParts } from "../../kit/work.js";
import { walledInNow } from "../../order/closing.js";
import type { Impossible } from "../../order/impossible.js";
import { whyOpen } from "../../order/left-open.js";
import { orderRulesOf } from "../../order/order-rules.js";
import type { PlanStep } from "../../order/plan-types.js";
import type { Late, Rework } from "../../order/rework.js";
import type { Removal } from "../../order/rework-cost.js";
import { partStates, reachAt, stackOf } from "../../order/standing.js";
import type { Standing } from "../../order/types.js";
import type { AnswerRow, Job } from "../types.js";
import { sentences, the } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import {
  NO_WAY_BACK,
  sayDrillStep,
  sayForgotten,
  sayGrowthRisk,
  sayLeaveIt,
  sayNotCounted,
  sayNotTogether,
  sayRestOfPlan,
  sayStays,
  sayTooLate,
} from "../wording/rework.js";
import { stepRows } from "./plan-rows.js";
import { grouped } from "./ruled.js";
import { spacingAt } from "./spacing.js";

/** The rows of a way back: drilling, the order afterwards, what may go wrong, and leaving it. */
export function backRows(job: Job, back: Rework): readonly AnswerRow[] {
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

/** What is drilled out, in order. */
export function drillRows(job: Job, back: Rework): readonly AnswerRow[] {
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
export function hopelessRows(job: Job, back: Rework): readonly AnswerRow[] {
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
          what: sayRestOfPlan(rest),
          kind: "rest",
        },
      ];
}

/** The way back if what was skipped is to be done in order: what it was, and what would be drilled out. */
export function skippedRows(job: Job, back: Rework, late: readonly Late[]): readonly AnswerRow[] {
  const names = namesOf(job);
  return [
    ...back.forgotten.map(({ part, gate, holes }) => ({
      holes,
      where: names.part(part),
      what: sayForgotten(job, gate, holes),
      kind: "perhaps forgotten",
    })),
    ...grouped(late, ({ part, rule }) => [part, rule]).map((group) => {
      const holes = group.map(({ hole }) => hole);
      const { part = "", rule = "" } = group[0] ?? {};
      return {
        holes,
        where: names.where(holes),
        what: sayTooLate(job, part, rule, holes.length),
        kind: "too late",
      };
    }),
    // Without numbers: these steps belong to another way back than the numbered ones.
    ...drillRows(job, back).map(({ step: _, ...row }) => ({
      ...row,
      kind: `to do it in order: ${String(row.kind)}`,
    })),
    ...hopelessRows(job, back),
  ];
}

/** The risk that holes grow, for rows and rivets that are alike. */
export function growthRows(job: Job, { removals, rowLimits }: Rework): readonly AnswerRow[] {
  const find = finder(job.assembly);
  const limits = new Map(rowLimits.map((limit) => [limit.row, limit]));
  const said = removals.map((removal: Removal) => {
    const hole = find.hole(removal.hole);
    const { rowId } = hole;
    const head = job.kit.rivets.find(({ code }) => code === removal.rivet)?.head ?? hole.rivet.head;
    const next = removal.ifItGrows;
    const isKept = next === null || spacingAt(job, hole, next.newRivetMm, head).serves;
    const text = sayGrowthRisk(job, removal, limits.get(rowId), find.row(rowId).holes.length, isKept);
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
          what: NO_WAY_BACK,
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
          what: sayNotTogether(job, together),
          kind: "no order",
        },
      ];
}

/** Walled-in holes that are not counted as missing, and why. */
export function uncountedRows(
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
      const open = whyOpen(standing, hole, closed, orderRulesOf(rulings, states, hole), { walls: true });
      return open ? [{ id, text: sayNotCounted(job, open) }] : [];
    });
  return grouped(said, ({ text }) => text).map((group) => {
    const holes = group.map(({ id }) => id);
    return { holes, where: namesOf(job).where(holes), what: group[0]?.text ?? "", kind: "not counted" };
  });
}
