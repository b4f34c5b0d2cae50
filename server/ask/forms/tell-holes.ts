import { finder } from "../../kit/find.js";
import { closedParts, type HoleState, type Mark, stateOf, withMarks } from "../../kit/work.js";
import { whyOpen } from "../../order/left-open.js";
import { mayPin } from "../../order/may-pin.js";
import { maySetTogether } from "../../order/may-set.js";
import { orderRulesOf } from "../../order/order-rules.js";
import type { LeftOpen } from "../../order/plan-types.js";
import { partStates, stackOf } from "../../order/standing.js";
import type { Reason } from "../../order/types.js";
import { type Act, cautionsFor } from "../cautions.js";
import { rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots } from "../types.js";
import { sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { sayLeftOpen } from "../wording/order-plan.js";
import { reading } from "../wording/readings.js";
import { gravityOf, sayWeighing } from "../wording/reasons.js";
import {
  NAME_THE_HOLES,
  sayClosed,
  sayFreed,
  sayHolesToRecord,
  sayLeftOut,
  sayLeftOutRow,
  sayMarkAs,
  sayNoRows,
  sayWarnedHoles,
  TAKEN_OUT,
  WHAT_WAS_DONE,
} from "../wording/tell.js";
import { grouped } from "./ruled.js";
import { chosenSlot, missing, scopeOf, stepSlot } from "./slots.js";
import { holdTrace } from "./stay-open.js";

const STATES = ["set", "unset", "pinned"] as const satisfies readonly HoleState[];

/**
 * Holes set, pinned or taken out again. Named holes are proposed with what speaks against them; of a step of the manual
 * the holes that the manual itself holds open, and those that are not settled, are left out and named.
 * @throws SLOT_MISSING where a whole part is named: which of its holes would be a guess
 */
export function tellHoles(job: Job, slots: Slots): FormAnswer {
  const state = chosenSlot(slots, "state", STATES);
  if (!state) throw missing("state", WHAT_WAS_DONE);
  const step = stepSlot(job, slots);
  const { hole, holes: list, row } = slots;
  const isNamed = hole !== undefined || list !== undefined || row !== undefined;
  if (!isNamed && step === undefined) throw missing("hole", NAME_THE_HOLES);
  if (!isNamed && step !== undefined && finder(job.assembly).step(step).rows.length === 0)
    return nothingNamed(job, step);
  const { holes, said } = scopeOf(job, slots, { orAll: false });
  const fresh = holes.filter((id) => stateOf(job.work, id) !== state);
  const out = isNamed || state !== "set" ? [] : leftOut(job, fresh);
  const without = new Set(out.map((open) => open.hole));
  const told = fresh.filter((id) => !without.has(id));
  const same = holes.filter((id) => stateOf(job.work, id) === state);
  const warned = warningsFor(job, told, state);
  const marks = told.map((id): Mark => ({ kind: "hole", hole: id, state }));
  const [gravest, ...lesser] = eachOnce(warned);
  const rows = rowsOf(job, warned, marks, state);
  const trace = [
    ...(state === "set" ? rulingTrace(job, fresh, ["treatment", "hold"]) : []),
    ...holdTrace(
      job,
      out.flatMap((open) => (open.code === "held" ? [open.hold] : [])),
    ),
  ];
  return {
    headline: sentences(
      ...sayHolesToRecord(job, {
        state,
        told,
        same,
        ...(isNamed ? {} : { place: said }),
        warning: gravest?.text ?? null,
        warned: gravest?.holes.length ?? 0,
        moreWarnings: lesser.length,
      }),
      out.length > 0 &&
        sayLeftOut(out.length, sayLeftOpen(job, out[0] as LeftOpen, out.length), manyReasons(job, out)),
    ),
    holes: told,
    // Where nothing is to be added, the first line has named them all.
    rows: [...(isNamed && rows.every(isBare) ? [] : rows), ...leftOutRows(job, out)],
    trace,
    cautions: cautionsFor(job, told, actsOf(state), trace),
    sources: [],
    followUps: [...aboutLeftOut(job, out), ...afterMarks(job, marks)],
    ...(marks.length > 0 ? { proposal: { marks } } : {}),
  };
}

/** A step for which the manual names no rows: what of it was done has to be told by name. */
function nothingNamed(job: Job, step: string): FormAnswer {
  const { text } = finder(job.assembly).step(step);
  const names = namesOf(job);
  return {
    headline: sentences(sayNoRows(names.step(step))),
    holes: [],
    rows: text === "" ? [] : [{ holes: [], where: names.step(step), what: sentences(text), kind: "manual" }],
    trace: [],
    cautions: cautionsFor(job, [], []),
    sources: [],
    followUps: [reading(job, "progress", {})],
  };
}

/**
 * Holes that a step of the manual does not set by being done: held open, not settled, or with a rivet that does not go
 * in. That the work so far stands in the way of a hole is a warning and no more, for the step is said to be done.
 */
function leftOut(job: Job, holes: readonly string[]): readonly LeftOpen[] {
  const find = finder(job.assembly);
  const closed = closedParts(job.assembly, job.work);
  const states = partStates(job.assembly, job.work);
  return holes.flatMap((id) => {
    const hole = find.hole(id);
    const rules = orderRulesOf(job.rulings, states, hole);
    return whyOpen(job, hole, closed, rules, { walls: true, skipped: true }) ?? [];
  });
}

function manyReasons(job: Job, out: readonly LeftOpen[]): number {
  return new Set(out.map((open) => sayLeftOpen(job, open))).size;
}

function leftOutRows(job: Job, out: readonly LeftOpen[]): readonly AnswerRow[] {
  const said = out.map((open) => ({ open, text: sayLeftOpen(job, open) }));
  return grouped(said, ({ text }) => text).map((group) => {
    const holes = group.map(({ open }) => open.hole);
    return {
      holes,
      where: namesOf(job).everywhere(holes),
      what: sentences(
        sayLeftOutRow(sayLeftOpen(job, (group[0] as (typeof group)[number]).open, holes.length)),
      ),
      kind: "left out",
      code: group[0]?.open.code,
    };
  });
}

/** What was left out is asked about: set all the same, or, where it is held, pinned. */
function aboutLeftOut(job: Job, out: readonly LeftOpen[]): readonly Reading[] {
  const held = out.flatMap((open) =>
    open.code === "held" && stateOf(job.work, open.hole) === "unset" ? [open.hole] : [],
  );
  const all = out.map((open) => open.hole);
  return [
    ...(held.length > 0 ? [reading(job, "tell", { holes: held, state: "pinned" })] : []),
    ...(all.length > 0 ? [reading(job, "tell", { holes: all, state: "set" })] : []),
  ];
}

function actsOf(state: HoleState): readonly Act[] {
  return state === "set" ? ["rivet"] : state === "unset" ? ["drill"] : [];
}

interface Warning {
  readonly text: string;
  /** 0 is what matters most. */
  readonly gravity: number;
}

interface Warned {
  readonly hole: string;
  readonly warnings: readonly Warning[];
}

/** Every warning with the holes that it is about, what matters most first. */
function eachOnce(warned: readonly Warned[]): readonly (Warning & { readonly holes: readonly string[] })[] {
  const byText = new Map<string, Warning & { readonly holes: string[] }>();
  for (const { hole, warnings } of warned) {
    for (const warning of warnings) {
      const known = byText.get(warning.text);
      if (known) known.holes.push(hole);
      else byText.set(warning.text, { ...warning, holes: [hole] });
    }
  }
  return [...byText.values()].sort((a, b) => a.gravity - b.gravity || b.holes.length - a.holes.length);
}

const OUT: Warning = { text: TAKEN_OUT, gravity: 0 };

/** What speaks against each mark, by the state of the work before it. */
function warningsFor(job: Job, holes: readonly string[], state: HoleState): readonly Warned[] {
  switch (state) {
    case "unset":
      return holes.map((hole) => ({ hole, warnings: stateOf(job.work, hole) === "set" ? [OUT] : [] }));
    case "pinned":
      return holes.map((hole) => ({ hole, warnings: warningsOf(job, hole, mayPin(job, hole).reasons) }));
    case "set": {
      const { each, together } = maySetTogether(job, holes);
      return each.map((may, i) => {
        const hole = holes[i] ?? "";
        const joint = together.filter((reason) => namesHole(reason, hole));
        return { hole, warnings: warningsOf(job, hole, [...may.reasons, ...joint]) };
      });
    }
  }
}

function namesHole(reason: Reason, hole: string): boolean {
  // What the rivets wall in together is the doing of all of them.
  return reason.code !== "wall-each-other-in" || reason.holes.includes(hole);
}

function warningsOf(job: Job, hole: string, reasons: readonly Reason[]): readonly Warning[] {
  const weighing = reasons.filter(({ weight }) => weight !== "note");
  return sayWeighing(job, weighing, [hole]).map((said) => ({ text: said.text, gravity: gravityOf(said) }));
}

interface MarkRow extends AnswerRow {
  readonly warnings: readonly string[];
  /** Parts that the marks close, or that they leave without a rivet. */
  readonly parts: readonly string[];
}

function isBare({ warnings, parts }: MarkRow): boolean {
  return warnings.length === 0 && parts.length === 0;
}

/** The marks by row with what is to be added to each; what is to be added to several of them follows, said once. */
function rowsOf(
  job: Job,
  warned: readonly Warned[],
  marks: readonly Mark[],
  state: HoleState,
): readonly MarkRow[] {
  const find = finder(job.assembly);
  const changed = changedParts(job, marks);
  const groups = grouped(warned, ({ hole, warnings }) => [find.hole(hole).rowId, warnings]).map((group) => {
    const holes = group.map(({ hole }) => hole);
    const through = new Set(holes.flatMap((hole) => stackOf(find.hole(hole))));
    const warnings = (group[0]?.warnings ?? []).map(({ text }) => text);
    return { holes, warnings, parts: changed.filter((part) => through.has(part)) };
  });
  const isShared = (one: string, of: "warnings" | "parts"): boolean =>
    groups.filter((group) => group[of].includes(one)).length > 1;
  const sayParts = (parts: readonly string[]): string | false =>
    parts.length > 0 && (state === "set" ? sayClosed(job, parts) : sayFreed(job, parts));
  const rows = groups.map(({ holes, warnings, parts }) => ({
    holes,
    where: namesOf(job).everywhere(holes),
    what: sentences(
      sayMarkAs(state),
      ...warnings.filter((text) => !isShared(text, "warnings")),
      sayParts(parts.filter((part) => !isShared(part, "parts"))),
    ),
    state,
    warnings,
    parts,
  }));
  const sharedRow = (holes: readonly string[], what: string, kind: string): MarkRow => ({
    holes,
    where: sayWarnedHoles(job, holes, warned.length),
    what: sentences(what),
    kind,
    warnings: [],
    parts: [],
  });
  const shared = eachOnce(warned).filter(({ text }) => isShared(text, "warnings"));
  const parts = changed.filter((part) => isShared(part, "parts"));
  const closing = groups.filter((group) => group.parts.some((part) => parts.includes(part)));
  const said = sayParts(parts);
  return [
    ...rows,
    ...shared.map(({ holes, text }) => sharedRow(holes, text, "warning")),
    ...(said === false
      ? []
      : [
          sharedRow(
            closing.flatMap(({ holes }) => holes),
            said,
            "parts",
          ),
        ]),
  ];
}

/** Parts that are closed once the marks are made and not before, or the other way round. */
function changedParts({ assembly, work }: Job, marks: readonly Mark[]): readonly string[] {
  const before = closedParts(assembly, work);
  const after = closedParts(assembly, withMarks(work, marks));
  return assembly.parts.map(({ id }) => id).filter((id) => before.has(id) !== after.has(id));
}

/** What the next part to close will need, once these marks are made. */
function afterMarks(job: Job, marks: readonly Mark[]): readonly Reading[] {
  const closed = closedParts(job.assembly, withMarks(job.work, marks));
  const next = job.assembly.closings.find((part) => !closed.has(part));
  return next && marks.length > 0 ? [reading(job, "before-closing", { part: next })] : [];
}
