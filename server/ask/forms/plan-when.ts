import { finder } from "../../kit/find.js";
import type { LeftOpen, Plan, PlanStep } from "../../order/plan-types.js";
import { gatesCalledAt, undecidedAt } from "../../order/prep.js";
import { inOrder, isSet } from "../../order/standing.js";
import { between, type Moment, type WhenReady, whenOn, whenReady, whenSet } from "../../order/when.js";
import { briefFor } from "../first-line.js";
import { narrowed } from "../gates.js";
import { drawingSource, ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots, TraceEntry, Verdict } from "../types.js";
import { sayUndecidedHoles, sayUndecidedShort, treatedBy } from "../wording/gates.js";
import { sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { sayLeftOff, sayStep, sayStepPlace } from "../wording/order-plan.js";
import { reading } from "../wording/readings.js";
import {
  MARKED_SET,
  NO_ORDER,
  sayBetween,
  sayGateOn,
  sayGateUnplanned,
  sayIfSo,
  sayManyUnplanned,
  sayNotCalled,
  sayNotPlanned,
  sayOfParts,
  sayOfRow,
  sayPartUnplanned,
  sayRivetsThrough,
  sayTurn,
  sayUnplanned,
  sayWhen,
  sayWhenBrief,
} from "../wording/when.js";
import { impossibleRows, openRows, planEvidence } from "./plan-rows.js";
import { grouped } from "./ruled.js";
import { chosenSlot, familyOf, idSlot, partsAt, scopeOf, textSlot, wholePartsAt } from "./slots.js";

/** What a "when" comes to, before it is put together. */
interface Found {
  /** "rib 3, top flange row, hole 2 from the front". */
  readonly subject: string;
  /** What happens to it then: "set"; empty where the subject says it. */
  readonly act: string;
  readonly moments: readonly Moment[];
  /** What the plan does not do of it, in sentences, the widest first. */
  readonly rest: readonly string[];
  readonly rows: readonly AnswerRow[];
  readonly trace: readonly TraceEntry[];
  /** All holes asked about that are not done. */
  readonly holes: readonly string[];
  readonly open: readonly LeftOpen[];
  readonly verdict?: Verdict;
  /** A gate's turn among those of the same part. */
  readonly turn?: string;
}

/** Whether a question about the plan asks when something comes, not for the steps until then. */
export function asksWhen({ hole, holes, row, family, act, gate }: Slots): boolean {
  return [hole, holes, row, family, act, gate].some((slot) => slot !== undefined);
}

/**
 * Where in the plan holes are set, a family's parts come on, or a part is got ready: after what, before what, in which
 * step of the manual, and why not where the plan does not do it.
 * @param whole  the same plan as the full answer's, with its numbers
 */
export function whenInPlan(job: Job, slots: Slots, whole: Plan): FormAnswer {
  const {
    subject,
    act,
    turn = "",
    moments,
    rest,
    rows,
    trace,
    holes,
    open,
    verdict,
  } = found(job, slots, whole);
  const steps = moments.map(({ step }) => step);
  const headline = sentences(...sayWhen(job, whole, { subject, act, turn, moments }, rest));
  const { trace: evidence, cautions } = planEvidence(job, { ...whole, leftOpen: open }, steps, trace);
  return {
    ...(verdict ? { verdict } : {}),
    headline,
    ...briefFor(headline, sentences(...sayWhenBrief(job, whole, { subject, act, turn, moments }))),
    holes,
    rows: [...moments.map((moment) => momentRow(job, whole, moment)), ...rows],
    trace: evidence,
    cautions,
    sources: [...ruleSources(job, rulesIn(evidence)), drawingSource(job)],
    followUps: followUps(job, whole, moments, open),
  };
}

function found(job: Job, slots: Slots, whole: Plan): Found {
  const gate = idSlot(
    slots,
    "gate",
    job.kit.prepGates.map(({ id }) => id),
  );
  if (gate !== undefined) return gateFound(job, slots, whole, gate);
  const act = chosenSlot(slots, "act", ["set"]);
  const family = textSlot(slots, "family");
  if (family !== undefined && act === undefined) return partsFound(job, whole, family);
  return rivetsFound(job, slots, whole);
}

function rivetsFound(job: Job, slots: Slots, whole: Plan): Found {
  const scope = scopeOf(job, slots, { orAll: false });
  const { moments, done, open, stuck } = whenSet(job, whole, scope.holes);
  const isWide = slots.part !== undefined || slots.family !== undefined;
  const groups = grouped(
    open.map((one) => sayUnplanned(job, whole, one)),
    (text) => text,
  );
  const reasons = [...groups].sort((a, b) => b.length - a.length);
  const all = scope.holes.length;
  return {
    subject: isWide ? sayRivetsThrough(scope.said) : scope.said,
    act: "set",
    moments,
    rest: [
      ...(done.length > 0 ? [sayOfRow(done.length, all, MARKED_SET)] : []),
      ...(stuck.length > 0 ? [NO_ORDER] : []),
      ...(reasons[0]?.[0] ? [sayNotPlanned(open.length, all, reasons[0][0], reasons.length - 1)] : []),
    ],
    rows: [
      ...(done.length > 0 ? [setRow(job, done)] : []),
      ...openRows(job, open),
      ...offRows(job, whole, open),
      ...(stuck.length > 0 ? impossibleRows(job, whole) : []),
    ],
    trace: rulingTrace(
      job,
      open.flatMap((one) => (one.code === "not-settled" ? [one.hole] : [])),
      ["treatment", "head", "finalDiameterMm"],
    ),
    holes: scope.holes.filter((hole) => !done.includes(hole)),
    open,
    ...(stuck.length === 0 &&
    moments.length === 0 &&
    open.length > 0 &&
    open.every((one) => isUnknown(one, whole))
      ? { verdict: "undecided" as const }
      : {}),
  };
}

function setRow(job: Job, holes: readonly string[]): AnswerRow {
  return { holes, where: namesOf(job).everywhere(holes), what: sentences(MARKED_SET), kind: "done" };
}

/** Why parts stay off without which holes stay open. */
function offRows(job: Job, { leftOff }: Plan, open: readonly LeftOpen[]): readonly AnswerRow[] {
  const parts = new Set(open.flatMap((one) => (one.code === "part-off" ? [one.part] : [])));
  return leftOff
    .filter(({ part }) => parts.has(part))
    .map((off) => ({
      holes: [...off.wouldWallIn, ...off.wantedBefore, ...off.keepApart],
      where: namesOf(job).part(off.part),
      what: sentences(sayLeftOff(job, off)),
      kind: "stays off",
      part: off.part,
    }));
}

/** A hole stays open for want of a fact: when it is set is not known either. */
function isUnknown(open: LeftOpen, { leftOff }: Plan): boolean {
  return (
    (open.code === "part-off" &&
      leftOff.some(({ part, keepApart }) => part === open.part && keepApart.length > 0)) ||
    open.code === "not-settled" ||
    open.code === "rule-unknown" ||
    (open.code === "limit" && open.verdict === "unknown") ||
    (open.code === "held" && open.hold.status !== "settled")
  );
}

function partsFound(job: Job, whole: Plan, id: string): Found {
  const family = familyOf(job, id);
  const parts = whenOn(job, whole, family.members);
  const others = parts.filter(({ moment }) => moment === null);
  return {
    subject: scopeOf(job, { family: id }).said,
    act: "on",
    moments: inTurn(parts.flatMap(({ moment }) => moment ?? [])),
    rest: [
      ...(whole.status === "impossible" ? [NO_ORDER] : []),
      ...restOf(job, others, (one) => sayPartUnplanned(job, whole, one)),
    ],
    rows: others.map((one) => ({
      holes: one.off ? [...one.off.wouldWallIn, ...one.off.wantedBefore, ...one.off.keepApart] : [],
      where: namesOf(job).part(one.part),
      what: sentences(one.off ? sayLeftOff(job, one.off) : sayPartUnplanned(job, whole, one)),
      kind: one.closed ? "closed" : "stays off",
      part: one.part,
    })),
    trace: [],
    holes: [],
    open: [],
  };
}

function gateFound(job: Job, slots: Slots, plan: Plan, gate: string): Found {
  const whole = slots.holes ? wholePartsAt(job, slots.holes) : null;
  const asked = (slots.hole || slots.holes || slots.row) && !whole ? treatedHoles(job, slots, gate) : null;
  const concerned = (holes: readonly string[]): readonly string[] =>
    asked ? holes.filter((hole) => asked.asked.has(hole)) : holes;
  const states = narrowed(job, whenReady(job, plan, asked?.parts ?? partsAt(job, slots), gate)).map(
    (state) => ({
      ...state,
      holes: concerned(state.holes),
      undecided: concerned(state.undecided),
    }),
  );
  // Of named holes a part counts for those that call for it alone; what is not decided is said apart.
  const certain = states.filter(
    ({ status, holes, undecided }) =>
      status !== "perhaps" && (asked === null || holes.length > 0 || undecided.length === 0),
  );
  const perhaps = states.filter((state) => !certain.includes(state));
  const others = certain.filter(({ moment }) => moment === null);
  const undecided = inOrder(job.assembly, new Set(states.flatMap((state) => state.undecided)));
  const { notCalled = [], set = [] } = asked ?? {};
  const place = scopeOf(job, slots);
  const isOne = certain.length === 1 && states.length === 1;
  const moments = inTurn(certain.flatMap(({ moment, holes }) => (moment ? [{ ...moment, holes }] : [])));
  return {
    subject: sayGateOn(namesOf(job).gate(gate), whole ? namesOf(job).parts(whole) : place.said),
    act: "",
    turn: sayTurn(job, gate, moments),
    moments,
    rest: [
      ...(plan.status === "impossible" ? [NO_ORDER] : []),
      ...(set.length > 0 ? [sayOfRow(set.length, place.holes.length, MARKED_SET)] : []),
      ...(notCalled.length > 0 ? [sayNotCalled(job, gate, notCalled, place.holes.length)] : []),
      ...(isOne
        ? others.map((one) => sayGateUnplanned(job, plan, one))
        : restOf(job, others, (one) => sayGateUnplanned(job, plan, one))),
      ...(undecided.length > 0 ? [sayUndecidedShort(job, gate, undecided)] : []),
    ],
    rows: [
      ...(set.length > 0 ? [setRow(job, set)] : []),
      ...others.map((one) => gateRow(job, plan, one)),
      ...(notCalled.length > 0 ? [notCalledRow(job, gate, notCalled)] : []),
      ...(undecided.length > 0 ? [undecidedRow(job, plan, gate, undecided, states)] : []),
    ],
    trace: [
      ...[...others, ...perhaps].map(({ part, status }) => ({
        kind: "prep" as const,
        part,
        gate,
        done: status === "done",
      })),
      ...rulingTrace(job, [...undecided, ...notCalled], ["treatment", "finalDiameterMm"]),
    ],
    holes: inOrder(job.assembly, new Set([...certain.flatMap(({ holes }) => holes), ...undecided])),
    open: [],
    ...(plan.status !== "impossible" &&
    certain.every(({ status }) => status === "not called for") &&
    undecided.length > 0
      ? { verdict: "undecided" as const }
      : {}),
  };
}

function gateRow(job: Job, whole: Plan, one: WhenReady): AnswerRow {
  return {
    holes: one.holes,
    where: namesOf(job).part(one.part),
    what: sentences(sayGateUnplanned(job, whole, one)),
    kind: one.status,
    part: one.part,
    gate: one.gate,
  };
}

function notCalledRow(job: Job, gate: string, holes: readonly string[]): AnswerRow {
  return {
    holes,
    where: namesOf(job).everywhere(holes),
    what: sentences(sayNotCalled(job, gate, holes, holes.length)),
    kind: "not called for",
  };
}

function undecidedRow(
  job: Job,
  whole: Plan,
  gate: string,
  holes: readonly string[],
  states: readonly WhenReady[],
): AnswerRow {
  const steps = states.flatMap(({ moment, undecided }) =>
    moment && undecided.length > 0 ? [moment.at] : [],
  );
  return {
    holes,
    where: namesOf(job).everywhere(holes),
    what: sentences(sayUndecidedHoles(job, gate, holes), sayIfSo(whole, steps)),
    kind: "undecided",
  };
}

interface TreatedHoles {
  readonly asked: ReadonlySet<string>;
  /** On which the gate falls for these holes. */
  readonly parts: readonly string[];
  readonly set: readonly string[];
  /** Unset holes whose ruling does not call for it. */
  readonly notCalled: readonly string[];
}

/** Of named holes, those that a treatment's gate is for; null for a gate that no treatment calls for: it is for their parts. */
function treatedHoles(job: Job, slots: Slots, gate: string): TreatedHoles | null {
  if (treatedBy(gate) === null) return null;
  const find = finder(job.assembly);
  const asked = scopeOf(job, slots, { orAll: false }).holes;
  const parts = new Set<string>();
  const notCalled: string[] = [];
  const set: string[] = [];
  for (const id of asked) {
    const hole = find.hole(id);
    const on = gatesCalledAt(hole, job.rulings.of(id))
      .filter((one) => one.gate === gate)
      .filter(({ part, needed }) => needed === "true" || undecidedAt(job, part, gate).includes(id))
      .map(({ part }) => part);
    if (isSet(job.work, hole)) set.push(id);
    else if (on.length > 0) for (const part of on) parts.add(part);
    else notCalled.push(id);
  }
  return {
    asked: new Set(asked),
    set,
    parts: job.assembly.parts.map(({ id }) => id).filter((id) => parts.has(id)),
    notCalled,
  };
}

/** What the plan does not do, said once for all parts of which the same is true; of many kinds only how many. */
function restOf<T extends { readonly part: string }>(
  job: Job,
  others: readonly T[],
  say: (one: T) => string,
): readonly string[] {
  const groups = grouped(
    others.map((one) => ({ part: one.part, text: say(one) })),
    ({ text }) => text,
  );
  if (groups.length > 2) return [sayManyUnplanned(others.length)];
  return groups.map((group) =>
    sayOfParts(
      job,
      group.map(({ part }) => part),
      group[0]?.text ?? "",
    ),
  );
}

function inTurn(moments: readonly Moment[]): readonly Moment[] {
  return [...moments].sort((a, b) => a.at - b.at);
}

function momentRow(job: Job, whole: Plan, moment: Moment): AnswerRow {
  const { at, step, holes } = moment;
  const sides = between(job.assembly, whole, at);
  const names = namesOf(job);
  const isPart = step.kind === "rivets" && holes.length < step.holes.length;
  const place = step.kind === "rivets" ? names.where(holes) : sayStepPlace(job, step);
  return {
    holes,
    where: `${at + 1}. ${place}`,
    what: [
      sentences(isPart && sayOfRow(holes.length, step.holes.length, "asked about")),
      sayStep(job, step),
      sayBetween(job, whole, moment, sides),
    ]
      .filter((text) => text !== "")
      .join(" "),
    kind: step.kind,
    step: at + 1,
    of: whole.steps.length,
    after: sides.after === null ? null : sides.after + 1,
    before: sides.before === null ? null : sides.before + 1,
    generation: step.generation,
    part: partOf(step),
    row: step.kind === "rivets" ? step.row : null,
  };
}

function partOf(step: PlanStep): string | null {
  return "part" in step ? step.part : null;
}

function followUps(
  job: Job,
  whole: Plan,
  moments: readonly Moment[],
  open: readonly LeftOpen[],
): readonly Reading[] {
  const [first] = moments;
  const ready =
    first?.step.kind === "rivets" ? [reading(job, "may-i", { act: "set", holes: first.holes })] : [];
  const held = open.flatMap((one) => (one.code === "held" ? [one.hole] : []));
  const unknown = open.flatMap((one) => (one.code === "not-settled" ? [one.hole] : []));
  const lost = open.some((one) => one.code === "walled-in" && !one.never);
  return [
    ...(lost || whole.status === "impossible" ? [reading(job, "rework", {})] : []),
    ...ready,
    ...(held.length > 0 ? [reading(job, "stay-open", { holes: held })] : []),
    ...(unknown.length > 0 ? [reading(job, "why", { holes: unknown })] : []),
    reading(job, "plan", {}),
    reading(job, "progress", {}),
  ];
}
