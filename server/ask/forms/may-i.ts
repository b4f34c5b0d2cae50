import { closedParts } from "../../kit/work.js";
import { beforeClosing } from "../../order/closing.js";
import { mayClose } from "../../order/may-close.js";
import { mayPin } from "../../order/may-pin.js";
import { maySetTogether } from "../../order/may-set.js";
import { mayTreat } from "../../order/may-treat.js";
import { prepGates } from "../../order/prep.js";
import type { Act, HoleBefore, May, Reason } from "../../order/types.js";
import { cautionsFor, type Act as ShopAct } from "../cautions.js";
import type { Form } from "../form.js";
import { drawingSource, orderTrace, reachTrace, ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots, TraceEntry, Verdict } from "../types.js";
import { type Deadline, NO_MUST, sayDeadline } from "../wording/before-closing.js";
import { counted, plural, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { ACTED, reading } from "../wording/readings.js";
import { sayLate, sayWeighing } from "../wording/reasons.js";
import { HELD_MEANWHILE, sayRemedy } from "../wording/rulings.js";
import { leftOpen, leftOpenRows, sayLeftOpen } from "./left-open.js";
import { grouped, rowOf } from "./ruled.js";
import { type Sense, senseSlot, verdictAsPut } from "./sense.js";
import { askOn, chosenSlot, missing, noHoles, requiredSlot, scopeOf } from "./slots.js";
import { holdTrace } from "./stay-open.js";

export const ACTS = [
  "close",
  "set",
  "pin",
  "dimple",
  "countersink",
  "enlarge",
] as const satisfies readonly Act[];

/** Worst first. */
const VERDICTS = ["no", "conflict", "undecided", "yes"] as const satisfies readonly Verdict[];

const SHOP_ACTS: Readonly<Record<Act, readonly ShopAct[]>> = {
  close: ["rivet"],
  set: ["rivet"],
  pin: [],
  dimple: ["dimple"],
  countersink: ["countersink"],
  enlarge: ["drill"],
};

/** Whether something may be done now, and why. */
export const mayI: Form = {
  id: "may-i",
  answer(job: Job, slots: Slots): FormAnswer {
    const act = chosenSlot(slots, "act", ACTS);
    if (!act)
      throw missing("act", "Say what you want to do: close, set, pin, dimple, countersink or enlarge.");
    const asked = verdictFor(job, act, slots);
    const { each, all } = asked;
    const sense = senseSlot(slots);
    const late = act === "close" ? closedTooEarly(job, slots.part ?? "") : [];
    const holes =
      act === "close"
        ? [...concernedHoles(all), ...late.map(({ hole }) => hole)]
        : each.flatMap((may) => may.holes);
    const trace = [
      ...traceOf(job, act, all, each),
      ...reachTrace(
        job,
        late.map(({ hole }) => hole),
        closedParts(job.assembly, job.work),
      ),
    ];
    return {
      verdict: verdictAsPut(asked.verdict, sense, isForNow(all)),
      headline: sentences(
        headlineOf(job, act, slots, asked, sense),
        late.length > 0 && sayTooEarly(job, late),
      ),
      brief: briefOf(job, act, slots, asked, sense),
      holes,
      rows: [
        ...rowsOf(job, act, asked),
        ...lateRows(job, late),
        ...(act === "close" ? leftOpenRows(job, slots.part ?? "") : []),
      ],
      trace,
      cautions: cautionsFor(job, act === "close" ? closingHoles(job, slots) : holes, SHOP_ACTS[act], trace),
      sources: [
        ...ruleSources(job, rulesIn(trace)),
        ...(act === "close" || act === "set" ? [drawingSource(job)] : []),
      ],
      followUps: [
        ...(late.length > 0 ? [reading(job, "rework", { part: slots.part ?? "" })] : []),
        ...followUps(job, act, slots, asked),
      ],
    };
  },
};

/** Whether all that speaks against it passes: what is set already, or walled in, is not too early. */
function isForNow({ reasons }: May): boolean {
  return reasons
    .filter(({ weight }) => weight === "no")
    .every((reason) =>
      reason.code === "order-rule" ? reason.order.partState !== "closed" : PASSING.has(reason.code),
    );
}

const PASSING: ReadonlySet<Reason["code"]> = new Set([
  "held",
  "would-wall-in",
  "dead-end",
  "keep-apart",
  "prep-open",
  "pinned-in-the-way",
  "stack-part-loose",
  "part-the-layers",
  "enlarge-first",
  "form-first",
] as const);

/** Holes that a closed part walls in, or that a rule wanted set before it; none while it is open. */
function closedTooEarly(job: Job, part: string): readonly HoleBefore[] {
  return beforeClosing(job.assembly, job.reach, job.work, part, job.rulings).late;
}

function sayTooEarly(job: Job, late: readonly HoleBefore[]): string {
  return `it closed too early for ${counted(late.length, "rivet")}: ${namesOf(job).where(
    late.map(({ hole }) => hole),
    2,
  )}`;
}

function lateRows(job: Job, late: readonly HoleBefore[]): readonly AnswerRow[] {
  return grouped(late, (hole) => [rowOf(job, hole.hole), sayLate(job, hole)]).map((group) => {
    const holes = group.map(({ hole }) => hole);
    const first = group[0] as HoleBefore;
    const where = namesOf(job).everywhere(holes);
    return { holes, where, what: sayLate(job, first), verdict: "no" as const, kind: "too late" };
  });
}

/** What the rules of order say: of each hole by itself, and of all that is asked together. */
export interface Asked {
  readonly verdict: Verdict;
  readonly all: May;
  /** By hole; for a closing, the closing alone. */
  readonly each: readonly May[];
  /** What the holes do to each other and only together. */
  readonly together: readonly Reason[];
}

/** @throws SLOT_MISSING, UNKNOWN_ID */
function verdictFor(job: Job, act: Act, slots: Slots): Asked {
  if (act === "close") {
    const all = mayClose(job, requiredSlot(slots, "part", "Say which part you want to close."));
    return { verdict: all.verdict, all, each: [all], together: [] };
  }
  const { holes, said } = scopeOf(job, slots, { orAll: false });
  // Nothing to look at would otherwise come out as nothing against it.
  if (holes.length === 0) throw noHoles(said);
  if (act === "set") {
    const { each, together, ...all } = maySetTogether(job, holes);
    return { verdict: all.verdict, all, each, together };
  }
  const each = holes.map((hole) => (act === "pin" ? mayPin(job, hole) : mayTreat(job, hole, act)));
  const verdict = VERDICTS.find((worst) => each.some((may) => may.verdict === worst)) ?? "yes";
  return {
    verdict,
    each,
    together: [],
    all: { act, part: null, holes, verdict, reasons: each.flatMap(({ reasons }) => reasons) },
  };
}

/** Said of a reason once for all the holes that it is the same for. */
interface Line {
  readonly holes: readonly string[];
  readonly verdict: Verdict;
  readonly text: string;
}

/**
 * The verdict first, with the reasons that weigh most; then which of several holes are fine. A question that is not put
 * as "may I" gets no yes and no no, for they would be read the other way.
 */
function headlineOf(job: Job, act: Act, slots: Slots, asked: Asked, sense: Sense): string {
  const { verdict, all, each } = asked;
  const about = act === "close" ? namesOf(job).thePart(slots.part ?? "") : namesOf(job).where(all.holes, 2);
  const done = ACTED[act] ?? act;
  if (verdict === "yes") {
    return sentences(
      `${leadOf(verdict, all, sense)}${about} may be ${done} now, as far as the data and your marks tell`,
      sense === "must" && dutyOf(job, all),
      act === "close" && sayLeftOpen(job, slots.part ?? ""),
      noteOn(job, asked),
    );
  }
  const worst = each.filter((may) => may.verdict === verdict);
  // What speaks only against all of them together is no single hole's reason.
  const told = [
    ...new Set((worst.length > 0 ? worst : [all]).flatMap((may) => weighty(job, may, verdict, all.holes))),
  ];
  const shown = told.slice(0, 2);
  const rest = told.length - shown.length;
  const some = worst.length > 0 && worst.length < each.length ? ` for ${worst.length} of ${each.length}` : "";
  const fine =
    act === "close" ? [] : each.filter((may) => may.verdict === "yes").flatMap(({ holes }) => holes);
  return sentences(
    `${leadOf(verdict, all, sense)}${some}: ${shown.join("; ") || `${about} may not be ${done} now`}`,
    rest > 0 && `there ${plural(rest, "is", "are")} ${counted(rest, "more reason")}`,
    verdict === "undecided" && remedyFor(all.reasons),
    verdict === "conflict" && "nothing is picked: ask your mentor or the kit maker",
    fine.length > 0 &&
      `may be ${done} now${worst.length === 0 ? ", each by itself" : ""}: ${namesOf(job).where(fine, 2)}`,
  );
}

/** What has to be, where it is asked whether something that may be done must be done. */
function dutyOf(job: Job, { act, holes }: May): string {
  return act === "set" ? sayDeadline(job, deadlineOf(job, holes), holes.length) : NO_MUST;
}

/** The first part in the manual's order before which some of these rivets must be set. */
function deadlineOf({ assembly, reach, work, rulings }: Job, holes: readonly string[]): Deadline {
  const asked = new Set(holes);
  const among = (list: readonly HoleBefore[]): number => list.filter(({ hole }) => asked.has(hole)).length;
  const parts = [...new Set([...assembly.closings, ...assembly.parts.map(({ id }) => id)])];
  let undecided = 0;
  for (const part of parts) {
    const closing = beforeClosing(assembly, reach, work, part, rulings);
    const count = among(closing.mustBefore);
    if (count > 0) return { part, count, undecided };
    undecided = Math.max(undecided, among(closing.undecided), among(closing.dependsOnWay));
  }
  return { part: null, count: 0, undecided };
}

/** What is to be minded beside a yes: the note that matters most, and for how many of the holes it is. */
function noteOn(job: Job, { all, each }: Asked): string {
  const [gravest] = weighty(job, withoutPrep(all), "note", all.holes);
  if (gravest === undefined) return "";
  const count = each.filter((may) => weighty(job, may, "note", all.holes).includes(gravest)).length;
  // What is told of all of them together is no single hole's.
  return count === 0 || count === each.length ? gravest : `for ${count} of them: ${gravest}`;
}

/** The verdict with the reason that weighs most, in a few words; the rows have all of them in full. */
function briefOf(job: Job, act: Act, slots: Slots, { verdict, all, each }: Asked, sense: Sense): string {
  const done = ACTED[act] ?? act;
  if (verdict === "yes") {
    const names = namesOf(job);
    const duty = sense === "must" && dutyOf(job, all);
    const about = act === "close" ? names.thePart(slots.part ?? "") : names.briefly(all.holes);
    return sentences(
      `${leadOf(verdict, all, sense)}${about} may be ${done} now${duty ? "" : ", as far as the data and your marks tell"}`,
      duty,
    );
  }
  const worst = each.filter((may) => may.verdict === verdict);
  const weighing = (worst.length > 0 ? worst : [all]).flatMap(({ reasons }) =>
    reasons.filter(({ weight }) => weight === verdict),
  );
  const told = sayWeighing(job, weighing, all.holes);
  const shorts = [...new Set(told.map(({ short }) => short))];
  const some = worst.length > 0 && worst.length < each.length ? ` for ${worst.length} of ${each.length}` : "";
  return sentences(
    `${leadOf(verdict, all, sense)}${some}: ${shorts[0] ?? `it may not be ${done} now`}`,
    shorts.length > 1 &&
      `there ${plural(shorts.length - 1, "is", "are")} ${counted(shorts.length - 1, "more reason")}`,
    verdict === "undecided" && remedyFor(all.reasons),
    verdict === "conflict" && "nothing is picked: ask your mentor or the kit maker",
  );
}

/**
 * What a first line opens with: put against it, what to do, for a yes and a no would be read the other way. What is ruled
 * otherwise or set already is no "not now", which would say that it may be later.
 */
function leadOf(verdict: Verdict, all: May, sense: Sense): string {
  if (sense === "for") return verdict === "no" && isLasting(all) ? "no" : LEADS[verdict];
  const no = sense === "against" && isForNow(all) ? "wait" : "not now";
  return { ...LEADS, yes: "", no }[verdict];
}

/** Whether nothing that speaks against it passes by waiting. */
function isLasting({ reasons }: May): boolean {
  return reasons.filter(({ weight }) => weight === "no").every(({ code }) => LASTING.has(code));
}

const LASTING: ReadonlySet<Reason["code"]> = new Set([
  "already-set",
  "already-closed",
  "ruled-otherwise",
  "nothing-to-enlarge",
] as const);

const LEADS: Readonly<Record<Verdict, string>> = {
  yes: "yes: ",
  no: "no, not now",
  conflict: "the rules contradict each other",
  undecided: "not decided",
};

/** Without notes on gates: they don't bear on a yes. */
function withoutPrep(may: May): May {
  const reasons = may.reasons.filter(({ code }) => code !== "prep-open" && code !== "prep-unknown");
  return { ...may, reasons };
}

/** Reasons of one weight in words, each once. */
function weighty(
  job: Job,
  { reasons }: May,
  weight: Reason["weight"] | Verdict,
  asked: readonly string[],
): readonly string[] {
  return sayWeighing(
    job,
    reasons.filter((reason) => reason.weight === weight),
    asked,
  ).map(({ text }) => text);
}

function remedyFor(reasons: readonly Reason[]): string {
  const open = reasons.filter(({ weight }) => weight === "undecided");
  const isHeld = open.every((reason) => reason.code === "held" && reason.hold.status === "settled");
  return isHeld ? HELD_MEANWHILE : sayRemedy(missingIn(open));
}

function missingIn(reasons: readonly Reason[]): readonly string[] {
  return reasons.flatMap((reason) => {
    if (reason.code === "not-settled") return reason.missing;
    if (reason.code === "held") return reason.hold.missing;
    // No rule can settle it: only the kit's own order of work.
    if (reason.code === "order-not-named") return [reason.code];
    return reason.code === "limit" && reason.actual === null ? [reason.fact] : [];
  });
}

/** Holes with the same reasons in one row, worst first; a closing has a row for each reason. */
function rowsOf(job: Job, act: Act, { all, each, together }: Asked): readonly AnswerRow[] {
  const names = namesOf(job);
  if (act === "close") return closingRows(job, all);
  const lines = each.map(
    (may): Line => ({ holes: may.holes, verdict: may.verdict, text: allReasons(job, may) }),
  );
  const rows = grouped(lines, ({ holes, verdict, text }) => [rowOf(job, holes[0] ?? ""), verdict, text]).map(
    (group) => {
      const holes = group.flatMap((line) => line.holes);
      const first = group[0] as Line;
      return { holes, where: names.everywhere(holes), what: first.text, verdict: first.verdict, act };
    },
  );
  const jointRows = sayWeighing(job, together, all.holes).map(({ holes, text, weight }) => ({
    holes,
    where: names.everywhere(all.holes),
    what: sentences(text),
    verdict: weight,
    act,
  }));
  return [...rows, ...jointRows].sort((a, b) => RANKS[a.verdict] - RANKS[b.verdict]);
}

const RANKS: Readonly<Record<Verdict | "note", number>> = {
  no: 0,
  conflict: 1,
  undecided: 2,
  yes: 3,
  note: 4,
};

function closingRows(job: Job, all: May): readonly AnswerRow[] {
  const names = namesOf(job);
  return sayWeighing(job, all.reasons, [])
    .map(({ holes, beside, weight }) => ({
      holes,
      where: holes.length > 0 ? names.everywhere(holes) : names.part(all.part ?? ""),
      what: sentences(beside),
      verdict: weight,
      act: "close",
    }))
    .sort((a, b) => RANKS[a.verdict] - RANKS[b.verdict]);
}

/** Everything for and against one hole, what weighs first. */
function allReasons(job: Job, may: May): string {
  const said = sayWeighing(job, may.reasons, may.holes);
  const ordered = [...said].sort((a, b) => RANKS[a.weight] - RANKS[b.weight]).map(({ text }) => text);
  const done = ACTED[may.act] ?? may.act;
  return sentences(may.verdict === "yes" && `may be ${done} now`, ...ordered);
}

function concernedHoles(may: May): readonly string[] {
  return [
    ...new Set(
      may.reasons.flatMap((reason) =>
        reason.code === "would-wall-in" ? reason.holes.map(({ hole }) => hole) : [],
      ),
    ),
    ...new Set(
      may.reasons.flatMap((reason) =>
        reason.code === "order-rule" && reason.weight !== "note" ? [reason.order.hole] : [],
      ),
    ),
  ].filter((hole, i, list) => list.indexOf(hole) === i);
}

function closingHoles(job: Job, { part }: Slots): readonly string[] {
  return job.assembly.holes
    .filter(({ layers }) => layers.some((layer) => layer.part === part))
    .map(({ id }) => id);
}

function traceOf(job: Job, act: Act, all: May, each: readonly May[]): readonly TraceEntry[] {
  const reasons = [...all.reasons, ...each.flatMap((may) => may.reasons)];
  const closed = closedParts(job.assembly, job.work);
  const walled = reasons.flatMap((reason) => (reason.code === "would-wall-in" ? reason.holes : []));
  const closing = new Set([
    ...closed,
    ...(all.part === null ? [] : [all.part]),
    ...walled.flatMap(({ approaches }) => approaches.flatMap(({ closes }) => closes.map(({ part }) => part))),
  ]);
  const holes = each.flatMap((may) => may.holes);
  const stuck = reasons.flatMap((reason) => (reason.code === "walled-in" ? [reason.hole] : []));
  const open = reasons.flatMap((reason) =>
    reason.code === "prep-open" || reason.code === "prep-unknown" ? [reason.gate] : [],
  );
  // A yes rests on the gates that are done as much as a no on those that are open.
  const gates = all.part === null ? open : prepGates(job, all.part);
  const attributes =
    act === "close" || act === "pin"
      ? []
      : ["head", "treatment", "under", "finalDiameterMm", "rivet", "hold"];
  return [
    ...reachTrace(job, [...new Set(stuck)], closed),
    ...reachTrace(job, [...new Set(walled.map(({ hole }) => hole))], closing),
    ...orderTrace(
      job,
      reasons.flatMap((reason) => (reason.code === "order-rule" ? [reason.order] : [])),
    ),
    ...holdTrace(job, [
      ...each
        .flatMap((may) => may.reasons)
        .flatMap((reason) => (reason.code === "held" ? [reason.hold] : [])),
      ...(all.part === null ? [] : leftOpen(job, all.part).held),
    ]),
    ...grouped(gates, ({ part, gate }) => [part, gate]).map((group) => {
      const { part, gate, done } = group[0] as (typeof gates)[number];
      return { kind: "prep" as const, part, gate, done };
    }),
    ...rulingTrace(job, holes, attributes),
  ];
}

/** What would have to be done first. */
function followUps(job: Job, act: Act, slots: Slots, { verdict, all, each }: Asked): readonly Reading[] {
  if (act === "close") return slots.part ? [reading(job, "before-closing", { part: slots.part })] : [];
  const due = slots.sense === "must" && act === "set" ? deadlineOf(job, all.holes).part : null;
  const held = all.reasons.some(({ code }) => code === "held");
  const fine = each.filter((may) => may.verdict === "yes").flatMap((may) => may.holes);
  // A whole part is not told as set: then its holes are named.
  const told = slots.hole || slots.row ? slots : { holes: all.holes };
  return [
    ...(due === null ? [] : [reading(job, "before-closing", { part: due })]),
    ...askOn(job, "treatment", slots, all.holes),
    ...(held ? askOn(job, "why", slots, all.holes, { attribute: "hold" }) : []),
    ...(verdict !== "yes" && fine.length > 0 ? [reading(job, "may-i", { act, holes: fine })] : []),
    ...(act === "set" && verdict === "yes" ? askOn(job, "tell", told, all.holes, { state: "set" }) : []),
  ];
}
