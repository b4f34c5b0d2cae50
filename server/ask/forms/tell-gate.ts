import { finder } from "../../kit/find.js";
import type { Mark } from "../../kit/work.js";
import { type GateOnPart, gateOn } from "../../order/prep.js";
import { inOrder } from "../../order/standing.js";
import { cautionsFor } from "../cautions.js";
import { narrowed } from "../gates.js";
import { rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots } from "../types.js";
import { sayUndecidedHoles } from "../wording/gates.js";
import { sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading, sayScope } from "../wording/readings.js";
import {
  NO_SUCH_GATE,
  sayGatesToRecord,
  sayMarkGate,
  sayMarkLeavesOpen,
  sayNoParts,
  sayPrepAfter,
  saySkipped,
  saySkippedOn,
} from "../wording/tell.js";
import { chosenSlot, idSlot, missing, partsAt } from "./slots.js";

/**
 * A prep done, or not done after all, on a part, on every part of a family or of a step of the manual. A part that is
 * named by itself is marked as told; of several, those that nothing asks for the prep are left out and named. Holes of
 * which it is not decided whether they call for it are named with the mark.
 * @throws SLOT_MISSING, UNKNOWN_ID
 */
export function tellGate(job: Job, slots: Slots): FormAnswer {
  const { part, family, step } = slots;
  if (part === undefined && family === undefined && step === undefined)
    throw missing("part", "Say which part it was done to.");
  const gate = idSlot(
    slots,
    "gate",
    job.kit.prepGates.map(({ id }) => id),
  ) as string;
  const done = chosenSlot(slots, "done", ["yes", "no"]) !== "no";
  const parts = partsAt(job, slots);
  const place = sayScope(slots, namesOf(job), job.assembly.name);
  if (parts.length === 0) return noParts(job, slots, sayNoParts(place));
  const states = narrowed(job, gateOn(job, parts, gate));
  const uncalled = part === undefined ? states.filter(({ status }) => status === "not called for") : [];
  const asked = states.filter((state) => !uncalled.includes(state));
  const told = asked.filter((state) => (state.status === "done") !== done);
  const undecided = done ? undecidedIn(job, asked) : [];
  const skipped = done ? told.filter((state) => skippedAt(job, state).length > 0) : [];
  const marks = told.map((state): Mark => ({ kind: "prep", part: state.part, gate, done }));
  const ids = (list: readonly GateOnPart[]): readonly string[] => list.map((state) => state.part);
  const [first] = told;
  return {
    headline: sentences(
      ...sayGatesToRecord(job, {
        gate,
        done,
        place,
        told: ids(told),
        same: ids(asked.filter((state) => !told.includes(state))),
        uncalled: ids(uncalled),
      }),
      part !== undefined && states.some(({ status }) => status === "not called for") && NO_SUCH_GATE,
      skipped.length > 0 && saySkippedAll(job, skipped, part !== undefined),
      undecided.length > 0 && sayMarkLeavesOpen(job, gate, undecided),
    ),
    holes: undecided,
    rows: [
      // Of one part the first line has said the mark already: its row is for what is to be added.
      ...asked.map((state) => rowOf(job, state, done)).filter(({ more }) => part === undefined || more),
      ...uncalled.map((state) => uncalledRow(job, state)),
    ],
    trace: [
      ...states.map(({ part: id, status }) => ({
        kind: "prep" as const,
        part: id,
        gate,
        done: status === "done",
      })),
      ...rulingTrace(job, undecided, ["treatment", "finalDiameterMm"]),
    ],
    cautions: cautionsFor(job, [], []),
    sources: [],
    followUps: [
      ...(first ? [reading(job, "before-closing", { part: first.part })] : []),
      ...(undecided.length > 0 ? [reading(job, "why", { holes: undecided })] : []),
    ],
    ...(marks.length > 0 ? { proposal: { marks } } : {}),
  };
}

/** A step for which the manual names no parts. */
function noParts(job: Job, { step }: Slots, said: string): FormAnswer {
  return {
    headline: sentences(said),
    holes: [],
    rows: [],
    trace: [],
    cautions: cautionsFor(job, [], []),
    sources: [],
    followUps: [reading(job, "progress", step === undefined ? {} : { step })],
  };
}

/** Holes of which it is not known whether they call for the gate, on any of these parts. */
function undecidedIn(job: Job, states: readonly GateOnPart[]): readonly string[] {
  return inOrder(job.assembly, new Set(states.flatMap(({ undecided }) => undecided)));
}

/** Gates that the kit lists before this one on the part and that are not marked as done. */
function skippedAt(job: Job, { part, gate }: GateOnPart): readonly string[] {
  const { prep } = finder(job.assembly).part(part);
  return prep
    .slice(0, Math.max(0, prep.indexOf(gate)))
    .filter((before) => !job.work.prep.get(part)?.has(before));
}

/** What is left of the part's prep after this gate; of a gate that only a ruling asks for the kit gives no place. */
function sayAfter(job: Job, { part, gate }: GateOnPart, isMoreBefore: boolean): string | false {
  const { prep } = finder(job.assembly).part(part);
  if (!prep.includes(gate)) return false;
  const left = prep.slice(prep.indexOf(gate) + 1).filter((after) => !job.work.prep.get(part)?.has(after));
  return sayPrepAfter(job, left, isMoreBefore);
}

/** What comes before and is not marked: of one part by name, of several where. */
function saySkippedAll(job: Job, skipped: readonly GateOnPart[], isOne: boolean): string {
  const [first] = skipped;
  return isOne && first
    ? saySkipped(job, skippedAt(job, first))
    : saySkippedOn(
        job,
        skipped.map(({ part }) => part),
      );
}

interface GateRow extends AnswerRow {
  /** Whether it says more than what is marked. */
  readonly more: boolean;
}

function rowOf(job: Job, state: GateOnPart, done: boolean): GateRow {
  const { part, gate, status, undecided } = state;
  const names = namesOf(job);
  const skipped = done && status !== "done" ? skippedAt(job, state) : [];
  const isSo = (status === "done") === done;
  const more = sentences(
    !isSo && status === "not called for" && NO_SUCH_GATE,
    skipped.length > 0 && saySkipped(job, skipped),
    done && !isSo && sayAfter(job, state, skipped.length > 0),
    done && undecided.length > 0 && sayMarkLeavesOpen(job, gate, undecided),
    done && undecided.length > 0 && sayUndecidedHoles(job, gate, undecided),
  );
  return {
    holes: done ? undecided : [],
    where: names.part(part),
    what: sentences(sayMarkGate(done, isSo), more),
    more: more !== "",
    gate,
    done,
    part,
    kind: isSo ? "marked already" : "to record",
  };
}

function uncalledRow(job: Job, { part, gate }: GateOnPart): AnswerRow {
  const names = namesOf(job);
  return {
    holes: [],
    where: names.part(part),
    what: sentences(`${NO_SUCH_GATE}: left out`),
    gate,
    part,
    kind: "left out",
  };
}
