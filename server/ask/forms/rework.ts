import { finder } from "../../kit/find.js";
import { closedParts } from "../../kit/work.js";
import { walledInNow } from "../../order/closing.js";
import { orderRulesOf } from "../../order/order-rules.js";
import { type Rework, type ReworkQuestion, reworkFrom, reworkQuestion } from "../../order/rework.js";
import { partStates } from "../../order/standing.js";
import type { Standing } from "../../order/types.js";
import { type WhatIf, whatIfClosed } from "../../order/what-if.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { drawingSource, orderTrace, reachTrace, ruleSources, rulesIn } from "../trace.js";
import type { FormAnswer, Job, Slots, Source, TraceEntry } from "../types.js";
import { Unsolved } from "../unsolved.js";
import { counted, plural, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading } from "../wording/readings.js";
import { DRILL_ROOM, HEAD_ELSEWHERE, sayForgotten, sayProof, TAKING_OUT } from "../wording/rework.js";
import {
  backRows,
  drillRows,
  forgottenRows,
  growthRows,
  hopelessRows,
  uncountedRows,
} from "./rework-rows.js";
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
  const only = all ? null : new Set(asked);
  const back = found(job, job, only);
  const forgotten = forgottenBeside(job, only);
  const elsewhere = all ? [] : lostBeside(job, new Set([...back.missing, ...back.beyond]));
  const holes = [...back.missing, ...back.beyond];
  const trace = [...traceOf(job, job, back), ...(forgotten ? gateTrace(forgotten) : [])];
  return {
    ...(back.status === "no way" ? { verdict: "no" as const } : {}),
    ...(back.status === "not found" || (back.status === "none needed" && forgotten)
      ? { verdict: "undecided" as const }
      : {}),
    headline: sentences(
      headlineOf(job, back, all ? "" : ` of ${said}`),
      forgotten && sayForgotten(job, forgotten),
      elsewhere.length > 0 &&
        `${counted(elsewhere.length, "other rivet")} ${plural(elsewhere.length, "is", "are")} walled in elsewhere`,
    ),
    holes,
    rows: [
      ...backRows(job, back),
      ...(forgotten ? forgottenRows(job, forgotten) : []),
      ...uncountedRows(job, job, new Set(holes), new Set(all ? holesOf(job) : asked)),
    ],
    trace,
    cautions: cautionsOf(job, back.drill.length === 0 && forgotten ? forgotten : back, trace),
    sources: sourcesOf(job, back.drill.length === 0 && forgotten ? forgotten : back, trace),
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

/**
 * The way back if the gates that are not marked as done on closed parts were forgotten indeed, for what was asked
 * about; null when no such gate is waited for. That a mark is missing doesn't tell, so it is never the way back itself.
 */
function forgottenBeside(job: Job, only: ReadonlySet<string> | null): Rework | null {
  const whole = reworkQuestion(job, { gates: true });
  const waiting = new Set(
    whole.forgotten.flatMap(({ holes }) => holes).filter((hole) => !only || only.has(hole)),
  );
  if (waiting.size === 0) return null;
  const others = [...whole.missing, ...whole.beyond].filter((hole) => !waiting.has(hole));
  const back =
    others.length === 0
      ? solved(job, whole)
      : solved(job, reworkQuestion(job, { gates: true, lost: new Set(others) }));
  return { ...back, beyond: back.beyond.filter((hole) => waiting.has(hole)) };
}

function gateTrace({ forgotten }: Rework): readonly TraceEntry[] {
  return forgotten.map(({ part, gate }) => ({ kind: "prep" as const, part, gate, done: false }));
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
