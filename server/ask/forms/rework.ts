import { finder } from "../../kit/find.js";
import { closedParts } from "../../kit/work.js";
import { walledInNow } from "../../order/closing.js";
import { holdOf } from "../../order/holds.js";
import { orderRulesOf } from "../../order/order-rules.js";
import type { Late, Rework } from "../../order/rework.js";
import { type ReworkAsked, type ReworkFound, reworkFound, reworkTask } from "../../order/rework-asked.js";
import { drawsDrillRoom } from "../../order/rework-scope.js";
import { partStates, reachAt } from "../../order/standing.js";
import type { OrderRule, Standing } from "../../order/types.js";
import { whatIfClosed } from "../../order/what-if.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { drawingSource, orderTrace, reachTrace, ruleSources, rulesIn } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots, Source, TraceEntry } from "../types.js";
import { Unsolved } from "../unsolved.js";
import { sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading } from "../wording/readings.js";
import { sayAskedBy, sayHold, sayOrder } from "../wording/reasons.js";
import {
  HEAD_ELSEWHERE,
  NO_ORDER_ANY_MORE,
  ONLY_PREFERRED,
  SET_FIRST,
  STAYS_OUT,
  sayDrillRoom,
  sayHungFirst,
  sayNotClosedYet,
  saySkipped,
  sayWalledElsewhere,
  sayWayBack,
  sayWouldWallIn,
  TAKING_OUT,
} from "../wording/rework.js";
import { backRows, drillRows, growthRows, hopelessRows, skippedRows, uncountedRows } from "./rework-rows.js";
import { grouped } from "./ruled.js";
import { chosenSlot, requiredSlot, scopeOf, textSlot } from "./slots.js";

/**
 * The way back when something was closed too early: what to drill out, in which order, and what follows. With
 * `first`, what it would come to if the part were hung first; nothing is recorded by asking.
 */
export const rework: Form = {
  id: "rework",
  answer(job: Job, slots: Slots): FormAnswer {
    const early = textSlot(slots, "early");
    if (early !== undefined) return closedEarly(job, early);
    if (chosenSlot(slots, "first", ["yes", "no"]) !== "yes") return wayBack(job, slots);
    return whatIf(job, requiredSlot(slots, "part", "Say which part would be hung first."));
  },
};

/** Said of a part that it was closed too early: the way back if the marks know of it, else what it would come to. */
function closedEarly(job: Job, part: string): FormAnswer {
  finder(job.assembly).part(part);
  if (closedParts(job.assembly, job.work).has(part)) return wayBack(job, {});
  const then = whatIf(job, part);
  return {
    ...then,
    verdict: "undecided",
    headline: sentences(sayNotClosedYet(job, part), then.headline),
  };
}

function wayBack(job: Job, slots: Slots): FormAnswer {
  const { all, holes: asked, said } = scopeOf(job, slots);
  const only = all ? null : asked;
  const back = found(job, job, only);
  const skipped = skippedBeside(job, only);
  const elsewhere = all ? [] : lostBeside(job, new Set([...back.missing, ...back.beyond]));
  const holes = [...back.missing, ...back.beyond];
  const trace = [...traceOf(job, job, back), ...(skipped ? skippedTrace(job, skipped) : [])];
  return {
    ...(back.status === "not found" || (back.status === "none needed" && skipped)
      ? { verdict: "undecided" as const }
      : {}),
    brief: sayWayBack(job, back, all ? "" : ` of ${said}`, true),
    headline: sentences(
      sayWayBack(job, back, all ? "" : ` of ${said}`),
      skipped && saySkipped(job, skipped.back, skipped.late),
      sayWalledElsewhere(elsewhere.length),
    ),
    holes,
    rows: [
      ...backRows(job, back),
      ...(skipped ? skippedRows(job, skipped.back, skipped.late) : []),
      ...uncountedRows(job, job, new Set(holes), new Set(all ? holesOf(job) : asked)),
    ],
    trace,
    cautions: cautionsOf(job, back.drill.length === 0 && skipped ? skipped.back : back, trace),
    sources: sourcesOf(job, back.drill.length === 0 && skipped ? skipped.back : back, trace),
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
  const walled = hung.wallsIn.map(({ hole }) => hole);
  const lost = [...walled, ...hung.deadEnd];
  const ruled = [...new Set(hung.late.map(({ hole }) => hole))].filter((hole) => !lost.includes(hole));
  const back = lost.length > 0 ? found(job, hung.standing, lost) : null;
  const isHeld = walled.some((hole) => holdOf(job.rulings, job.work, hole) !== null);
  const trace = [
    ...reachTrace(job, lost, closedParts(job.assembly, hung.standing.work)),
    ...orderTrace(job, [...hung.late, ...hung.tooSoon, ...hung.unkept]),
    ...(back ? traceOf(job, hung.standing, back).filter(({ kind }) => kind !== "reach") : []),
  ];
  return {
    headline: sayHungFirst(job, hung, ruled, back, isHeld),
    brief: sayHungFirst(job, hung, ruled, back, isHeld, true),
    holes: [...lost, ...ruled],
    rows: [
      ...grouped(walled, (hole) => [
        finder(job.assembly).hole(hole).rowId,
        holdOf(job.rulings, job.work, hole)?.until,
      ]).map((ids) => {
        const hold = holdOf(job.rulings, job.work, ids[0] ?? "");
        return {
          holes: ids,
          where: names.where(ids),
          what: sayWouldWallIn(job, part, hold && sayHold(job, hold)),
          kind: "walled in",
        };
      }),
      ...grouped(hung.deadEnd, (hole) => finder(job.assembly).hole(hole).rowId).map((ids) => ({
        holes: ids,
        where: names.where(ids),
        what: NO_ORDER_ANY_MORE,
        kind: "dead end",
      })),
      ...grouped(
        hung.late.filter(({ hole }) => ruled.includes(hole)),
        ({ hole, rule }) => [finder(job.assembly).hole(hole).rowId, rule],
      ).map((group) => {
        const ids = group.map(({ hole }) => hole);
        const [first] = group;
        return {
          holes: ids,
          where: names.where(ids),
          what: sentences(first && sayAskedBy(job, first), SET_FIRST),
          kind: "set before",
        };
      }),
      ...orderRows(job, hung.tooSoon, "after"),
      ...(back ? [...drillRows(job, back), ...growthRows(job, back), ...hopelessRows(job, back)] : []),
      ...(back
        ? uncountedRows(job, hung.standing, new Set([...back.missing, ...back.beyond]), new Set(lost))
        : []),
      ...(hung.staysOut.length > 0
        ? [
            {
              holes: hung.staysOut,
              where: names.where(hung.staysOut),
              what: STAYS_OUT,
              kind: "stays out",
            },
          ]
        : []),
      ...orderRows(job, hung.unkept, "preference"),
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

/** Order rules that hanging a part first does not keep, one line for each rule and part that it names. */
function orderRows(
  job: Job,
  orders: readonly OrderRule[],
  kind: "after" | "preference",
): readonly AnswerRow[] {
  return grouped(orders, ({ rule, part, relation }) => [rule, part, relation]).map((group) => {
    const holes = group.map(({ hole }) => hole);
    const [first] = group;
    return {
      holes,
      where: namesOf(job).everywhere(holes),
      what: sentences(first && sayOrder(job, first, ""), kind === "preference" && ONLY_PREFERRED),
      kind,
      rule: first?.rule ?? null,
    };
  });
}

/** The way back for these missing rivets; for all of them when none are named. @throws Unsolved */
function found(job: Job, standing: Standing, only: readonly string[] | null): Rework {
  const { back } = workedOut(job, standing, { only, skipped: false });
  if (!back) throw new TypeError("Where rivets are walled in is always something to say.");
  return back;
}

function workedOut(job: Job, standing: Standing, asked: ReworkAsked): ReworkFound {
  if (!job.reworked) return reworkFound(reworkTask(standing, asked), null);
  const known = job.reworked(standing, asked);
  if (!known) throw new Unsolved(standing, asked);
  return known;
}

/** What was skipped before parts closed, and the way back if it is to be done in order. */
interface Skipped {
  readonly back: Rework;
  readonly late: readonly Late[];
}

/** Null when nothing was skipped. @throws Unsolved */
function skippedBeside(job: Job, only: readonly string[] | null): Skipped | null {
  const { back, late } = workedOut(job, job, { only, skipped: true });
  return back && { back, late };
}

function skippedTrace(job: Job, { back, late }: Skipped): readonly TraceEntry[] {
  const states = partStates(job.assembly, job.work);
  const find = finder(job.assembly);
  return [
    ...back.forgotten.map(({ part, gate }) => ({ kind: "prep" as const, part, gate, done: false })),
    ...orderTrace(
      job,
      late.flatMap(({ hole, rule }) =>
        orderRulesOf(job.rulings, states, find.hole(hole)).filter((order) => order.rule === rule),
      ),
    ),
  ];
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
  const lacking = back.drill.filter((id) => {
    const hole = finder(job.assembly).hole(id);
    return !drawsDrillRoom(job.kit, hole, reachAt(job.reach, hole).approaches);
  });
  const drillRoom = sayDrillRoom(lacking.length, back.drill.length);
  return [
    ...(drillRoom === "" ? [] : [drillRoom]),
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
