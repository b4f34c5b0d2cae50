import { finder } from "../../kit/find.js";
import { closedParts } from "../../kit/work.js";
import { beforeClosing as ruleBeforeClosing } from "../../order/closing.js";
import { lostOnceSet } from "../../order/dead-end.js";
import { openGates } from "../../order/prep.js";
import type { BeforeClosing, HoleBefore, PrepGateState } from "../../order/types.js";
import { actsOfGates, cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { drawingSource, orderTrace, reachTrace, ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots, TraceEntry, Verdict } from "../types.js";
import {
  DEAD_END,
  sayBetterBefore,
  sayChooseWay,
  sayGatesBefore,
  sayKeepApart,
  sayMustBefore,
  sayOneSided,
  sayPerhapsBefore,
} from "../wording/before-closing.js";
import { counted, listed, plural, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading } from "../wording/readings.js";
import { sayLate } from "../wording/reasons.js";
import { leftOpen, leftOpenRows, sayLeftOpen } from "./left-open.js";
import { sayOpen } from "./open.js";
import { grouped, openVerdict, rowOf, ruledAt } from "./ruled.js";
import { requiredSlot } from "./slots.js";
import { holdTrace } from "./stay-open.js";

/** What a row of the answer is about; the page may group by it. */
type Kind =
  | "set before"
  | "choose the way"
  | "undecided"
  | "one side left"
  | "better before"
  | "gate"
  | "too late"
  | "leave open"
  | "dead end";

/** What must be set before a part closes off access. */
export const beforeClosing: Form = {
  id: "before-closing",
  answer(job: Job, slots: Slots): FormAnswer {
    const part = requiredSlot(slots, "part", "Say which part you want to close.");
    const closing = ruleBeforeClosing(job.assembly, job.reach, job.work, part, job.rulings);
    const gates = closing.status === "closed" ? [] : openGates(job, part);
    const told = closing.status === "closed" ? closing.late : closing.mustBefore;
    const dead = deadEndOf(job, closing);
    const holes = told.map(({ hole }) => hole);
    const worked = [...holes, ...closing.dependsOnWay.map(({ hole }) => hole)];
    const trace = traceOf(job, closing, gates);
    return {
      verdict: verdictOf(job, closing, told),
      headline: headlineOf(job, closing, told, gates, dead),
      brief: headlineOf(job, closing, told, gates, dead, true),
      holes,
      rows: [
        ...deadEndRow(job, dead),
        ...keepApartRows(job, closing.keepApart),
        ...rowsOf(job, closing, gates),
        ...(closing.status === "closed"
          ? []
          : leftOpenRows(job, part).map((row) => ({ ...row, kind: "leave open" }))),
      ],
      trace,
      cautions: cautionsFor(
        job,
        [...worked, ...gates.flatMap((gate) => gate.holes)],
        [...(worked.length > 0 ? (["rivet"] as const) : []), ...actsOfGates(gates)],
        trace,
      ),
      sources: [...ruleSources(job, rulesIn(trace)), drawingSource(job)],
      followUps: followUps(job, part, closing, holes),
    };
  },
};

function headlineOf(
  job: Job,
  closing: BeforeClosing,
  told: readonly HoleBefore[],
  gates: readonly PrepGateState[],
  dead: readonly string[],
  isBrief = false,
): string {
  const names = namesOf(job);
  const part = names.thePart(closing.part);
  const where = (list: readonly { readonly hole: string }[]): string =>
    isBrief ? "" : `: ${names.where(list.map(({ hole }) => hole))}`;
  if (closing.status === "closed") {
    return sentences(
      `${part} is closed already`,
      told.length === 0
        ? "nothing behind it is walled in"
        : `${counted(told.length, "rivet")} ${plural(told.length, "was", "were")} to be set before${where(told)}`,
    );
  }
  const waits = closing.dependsOnWay;
  const clash = closing.contradictions;
  return sentences(
    closing.status === "cannot close" && `${part} cannot be closed now: no rivet through it can be set`,
    told.length > 0
      ? `before ${part} closes, set ${counted(told.length, "rivet")}${where(told)}`
      : waits.length === 0 &&
          closing.undecided.length === 0 &&
          closing.keepApart.length === 0 &&
          dead.length === 0 &&
          `nothing needs setting before ${part} closes`,
    dead.length > 0 &&
      `closing ${part} now is a dead end: afterwards no order could set all of ${isBrief ? counted(dead.length, "rivet") : names.where(dead, 2)}. Ask for the plan`,
    closing.keepApart.length > 0 &&
      `before ${part} closes, find out whether ${isBrief ? names.briefly(closing.keepApart) : names.where(closing.keepApart, 2)} ${plural(closing.keepApart.length, "is", "are")} dimpled: the layers would no longer come apart`,
    waits.length > 0 &&
      `${told.length > 0 ? "also set" : `before ${part} closes, set`} ${counted(waits.length, "rivet")}${told.length > 0 ? " more" : ""}${hasHarmlessWay(closing) ? `, or begin with a rivet that leaves ${plural(waits.length, "it", "them")} free` : ""}${where(waits)}`,
    clash.length > 0 &&
      `but ${clash.length} of these holes ${plural(clash.length, "is", "are")} to stay open: closing and hold contradict each other. Ask the kit maker or your mentor`,
    closing.undecided.length > 0 &&
      `whether ${counted(closing.undecided.length, "rivet")}${told.length + waits.length > 0 ? " more" : ""} must be set before ${part} closes is not decided${where(closing.undecided)}`,
    sayLeftOpen(job, closing.part),
    gates.length > 0 && gates.length <= FEW_GATES
      ? `not marked as done on it: ${listed(gates.map(({ gate }) => names.gate(gate)))}`
      : gates.length > 0 && `${gates.length} preparations of it are not marked as done`,
  );
}

/** More gates than these are counted in the first line and named below. */
const FEW_GATES = 3;

/** Whether one rivet closes the part and walls in none of the holes for which that hangs on the rivet. */
function hasHarmlessWay({ ways, dependsOnWay }: BeforeClosing): boolean {
  const waits = new Set(dependsOnWay.map(({ hole }) => hole));
  return ways.some(({ wallsIn }) => !wallsIn.some((hole) => waits.has(hole)));
}

/**
 * Rivets that no order could set any more however the part is closed now, though nothing is walled in at once. Only
 * ways that take nothing at once are looked at: of the others that is told.
 */
function deadEndOf(job: Job, { status, ways }: BeforeClosing): readonly string[] {
  if (status !== "open") return [];
  const find = finder(job.assembly);
  const lost = ways
    .filter(({ wallsIn, shutsTogether }) => wallsIn.length === 0 && shutsTogether.length === 0)
    .map(({ holes: [first = ""] }) => lostOnceSet(job, [find.hole(first)]));
  return lost.length > 0 && lost.every((holes) => holes.length > 0) ? [...new Set(lost.flat())] : [];
}

function deadEndRow(job: Job, dead: readonly string[]): readonly AnswerRow[] {
  if (dead.length === 0) return [];
  return [
    {
      holes: dead,
      where: namesOf(job).everywhere(dead),
      what: DEAD_END,
      kind: "dead end" satisfies Kind,
    },
  ];
}

/** Holes that may yet have to be dimpled, by row, with what is to be found out. */
function keepApartRows(job: Job, holes: readonly string[]): readonly AnswerRow[] {
  return grouped(holes, (id) => finder(job.assembly).hole(id).rowId).map((ids) => ({
    holes: ids,
    where: namesOf(job).everywhere(ids),
    what: sentences(sayKeepApart(ids.length), sayOpen(job, ruledAt(job, ids[0] ?? ""), ["treatment"])),
    kind: "undecided" satisfies Kind,
  }));
}

function verdictOf(job: Job, closing: BeforeClosing, told: readonly HoleBefore[]): Verdict | undefined {
  if (closing.contradictions.some(({ hold }) => hold.status !== "undecided")) return "conflict";
  const open = openVerdict(told.map(({ hole }) => ruledAt(job, hole)));
  if (open === "conflict") return open;
  const undecided =
    closing.undecided.length > 0 || closing.contradictions.length > 0 || closing.keepApart.length > 0;
  return undecided ? "undecided" : open;
}

function rowsOf(job: Job, closing: BeforeClosing, gates: readonly PrepGateState[]): readonly AnswerRow[] {
  return [
    ...holeRows(job, "set before", closing.mustBefore, mustSaid),
    ...holeRows(job, "too late", closing.late, sayLate),
    ...holeRows(job, "choose the way", closing.dependsOnWay, sayChooseWay),
    ...holeRows(job, "undecided", closing.undecided, sayPerhapsBefore),
    ...holeRows(job, "better before", closing.preferBefore, sayBetterBefore),
    ...holeRows(job, "one side left", closing.alsoOneSided, sayOneSided),
    ...gateRow(job, closing.part, gates),
  ];
}

function mustSaid(job: Job, hole: HoleBefore): string {
  return sayMustBefore(job, hole, sayOpen(job, ruledAt(job, hole.hole)));
}

/** Gates of the part that are not marked as done, in one row. */
function gateRow(job: Job, part: string, gates: readonly PrepGateState[]): readonly AnswerRow[] {
  if (gates.length === 0) return [];
  return [
    {
      holes: [...new Set(gates.flatMap(({ holes }) => holes))],
      where: namesOf(job).part(part),
      what: sayGatesBefore(job, gates),
      kind: "gates",
      gates: gates.map(({ gate }) => gate),
    },
  ];
}

function holeRows(
  job: Job,
  kind: Kind,
  list: readonly HoleBefore[],
  say: (job: Job, hole: HoleBefore) => string,
): readonly AnswerRow[] {
  const texts = list.map((hole) => ({ hole, text: say(job, hole) }));
  return grouped(texts, ({ hole, text }) => [rowOf(job, hole.hole), text]).map((group) => {
    const holes = group.map(({ hole }) => hole.hole);
    const first = group[0]?.hole as HoleBefore;
    return {
      holes,
      where: namesOf(job).everywhere(holes),
      what: group[0]?.text ?? "",
      kind,
      because: first.because,
      until: first.hold?.until ?? null,
      blockedBy: [...new Set(first.approaches.flatMap(({ closes }) => closes.map(({ part }) => part)))],
    };
  });
}

function traceOf(job: Job, closing: BeforeClosing, gates: readonly PrepGateState[]): readonly TraceEntry[] {
  const ids = (list: readonly HoleBefore[]): string[] => list.map(({ hole }) => hole);
  const closed = closedParts(job.assembly, job.work);
  const byEvery = closing.ways.map(({ closes }) => new Set(closes));
  const anyWay = new Set([...closed, closing.part, ...closing.ways.flatMap(({ closes }) => closes)]);
  const everyWay = new Set([
    ...closed,
    closing.part,
    ...[...anyWay].filter((part) => byEvery.length > 0 && byEvery.every((closes) => closes.has(part))),
  ]);
  const lost = ids(closing.mustBefore.filter(({ walledIn }) => walledIn === "every way"));
  const concerned = [...closing.mustBefore, ...closing.undecided, ...closing.preferBefore, ...closing.late];
  const held = [...closing.mustBefore, ...closing.dependsOnWay].filter(({ hold }) => hold !== null);
  const open = closing.mustBefore.filter(({ hole }) => job.rulings.of(hole).verdict !== "settled");
  return [
    ...reachTrace(job, [...lost, ...ids(closing.dependsOnWay)], anyWay),
    ...reachTrace(job, ids(closing.alsoOneSided), everyWay),
    ...reachTrace(job, ids(closing.late), closed),
    ...orderTrace(
      job,
      concerned.flatMap(({ orderRules }) => orderRules),
    ),
    ...holdTrace(job, [
      ...held.map(({ hold }) => hold).filter((hold) => hold !== null),
      ...(closing.status === "closed" ? [] : leftOpen(job, closing.part).held),
    ]),
    ...rulingTrace(job, [...ids(open), ...closing.keepApart], ["head", "treatment"]),
    ...gates.map(({ part, gate, done }) => ({ kind: "prep" as const, part, gate, done })),
  ];
}

function followUps(
  job: Job,
  part: string,
  closing: BeforeClosing,
  holes: readonly string[],
): readonly Reading[] {
  if (closing.status === "closed")
    return holes.length > 0 ? [reading(job, "may-i", { act: "set", holes })] : [];
  if (holes.length === 0) return [reading(job, "may-i", { act: "close", part })];
  return [
    reading(job, "may-i", { act: "set", holes }),
    reading(job, "treatment", { holes }),
    reading(job, "may-i", { act: "close", part }),
  ];
}
