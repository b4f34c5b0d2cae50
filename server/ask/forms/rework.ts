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
import { type WhatIf, whatIfClosed } from "../../order/what-if.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { drawingSource, orderTrace, reachTrace, ruleSources, rulesIn } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots, Source, TraceEntry } from "../types.js";
import { Unsolved } from "../unsolved.js";
import { counted, plural, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading } from "../wording/readings.js";
import { sayAskedBy, sayHold, sayOrder } from "../wording/reasons.js";
import {
  HEAD_ELSEWHERE,
  ONLY_PREFERRED,
  sayDrillRoom,
  sayProof,
  saySkipped,
  saySoon,
  sayUnkept,
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
    headline: sentences(
      `${namesOf(job).thePart(part)} is not marked as closed, so the way back cannot be told yet: mark the rivets that are set, then ask again`,
      then.headline,
    ),
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
    brief: headlineOf(job, back, all ? "" : ` of ${said}`, true),
    headline: sentences(
      headlineOf(job, back, all ? "" : ` of ${said}`),
      skipped && saySkipped(job, skipped.back, skipped.late),
      elsewhere.length > 0 &&
        `${counted(elsewhere.length, "other rivet")} ${plural(elsewhere.length, "is", "are")} walled in elsewhere`,
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
  const trace = [
    ...reachTrace(job, lost, closedParts(job.assembly, hung.standing.work)),
    ...orderTrace(job, [...hung.late, ...hung.tooSoon, ...hung.unkept]),
    ...(back ? traceOf(job, hung.standing, back).filter(({ kind }) => kind !== "reach") : []),
  ];
  return {
    headline: whatIfHeadline(job, hung, ruled, back),
    brief: whatIfHeadline(job, hung, ruled, back, true),
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
          what: sentences(
            `walled in once ${names.thePart(part)} is riveted`,
            hold
              ? `${sayHold(job, hold)}: hanging and hold contradict each other. Ask the kit maker or your mentor`
              : "set it first",
          ),
          kind: "walled in",
        };
      }),
      ...grouped(hung.deadEnd, (hole) => finder(job.assembly).hole(hole).rowId).map((ids) => ({
        holes: ids,
        where: names.where(ids),
        what: "No order could set these all any more afterwards.",
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
          what: sentences(first && sayAskedBy(job, first), "set it first"),
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
              what: sentences(`cannot be set then: held, not settled or out of reach`),
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

function whatIfHeadline(
  job: Job,
  hung: WhatIf,
  ruled: readonly string[],
  back: Rework | null,
  isBrief = false,
): string {
  const names = namesOf(job);
  const part = names.thePart(hung.part);
  const where = (holes: readonly string[]): string => (isBrief ? "" : `: ${names.where(holes, 2)}`);
  if (hung.status === "closed") return sentences(`${part} is closed already`);
  if (hung.status === "cannot") return sentences(`${part} cannot be hung now: none of its rivets can be set`);
  const walled = hung.wallsIn.map(({ hole }) => hole);
  const isHeld = walled.some((hole) => holdOf(job.rulings, job.work, hole) !== null);
  const hanging = `if ${part} is hung first (${counted(hung.rivets.length, "rivet")})`;
  const byRule =
    ruled.length > 0 &&
    `${counted(ruled.length, "rivet")}${walled.length > 0 ? " more" : ""} ${plural(ruled.length, "is", "are")} to be set before it by rule${where(ruled)}`;
  const dead =
    hung.deadEnd.length > 0 &&
    `afterwards no order could set ${counted(hung.deadEnd.length, "rivet")} any more${where(hung.deadEnd)}`;
  const soon = saySoon(job, hung.tooSoon);
  const unkept = sayUnkept(hung.unkept);
  if (walled.length === 0)
    return sentences(
      `${hanging}, nothing is walled in at once`,
      dead,
      byRule,
      soon,
      unkept,
      "nothing is recorded",
    );
  return sentences(
    `${hanging}, ${counted(walled.length, "rivet")} ${plural(walled.length, "is", "are")} walled in${where(walled)}`,
    !isBrief && dead,
    back?.status === "found"
      ? `getting back would take drilling out ${counted(back.drill.length, "rivet")}; ${sayProof(back)}`
      : back?.status === "none needed"
        ? "none of them is to be set for now, so nothing would be drilled out yet; later it would be too late"
        : "no drilling brings all of them back",
    isHeld
      ? `some of them are to stay open: that contradicts hanging ${part}. Ask the kit maker or your mentor`
      : `so set them before ${part}`,
    isBrief && dead,
    byRule,
    soon,
    unkept,
    "nothing is recorded",
  );
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

function headlineOf(job: Job, back: Rework, of: string, isBrief = false): string {
  const names = namesOf(job);
  const where = (holes: readonly string[]): string => (isBrief ? "" : `: ${names.where(holes, 2)}`);
  const beyond =
    back.beyond.length > 0 &&
    `no drilling brings back ${counted(back.beyond.length, "rivet")}${where(back.beyond)}. Ask the kit maker or a licensed designer`;
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
          `there is no choice of rivets whose drilling lets all ${counted(back.missing.length, "missing rivet")} be set${where(back.missing)}`,
        beyond,
        back.missing.length > 0 && "ask the kit maker or a licensed designer",
      );
    case "found":
      return sentences(
        `drill out ${counted(back.drill.length, "rivet")}${where(back.drill)}${isBrief ? `; ${sayProof(back)}` : ""}`,
        back.opens.length > 0 &&
          `that frees ${names.parts(back.opens)}, and ${counted(back.missing.length, "missing rivet")} can be set${where(back.missing)}`,
        !isBrief && sayProof(back),
        beyond,
      );
  }
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
