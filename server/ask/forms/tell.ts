import { finder } from "../../kit/find.js";
import { closedParts, type HoleState, type Mark, stateOf, withMarks } from "../../kit/work.js";
import { mayPin } from "../../order/may-pin.js";
import { maySetTogether } from "../../order/may-set.js";
import type { Reason } from "../../order/types.js";
import { type Act, cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots } from "../types.js";
import { counted, plural, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading } from "../wording/readings.js";
import { sayWeighing } from "../wording/reasons.js";
import { grouped } from "./ruled.js";
import { chosenSlot, idSlot, milestoneSlot, missing, requiredSlot, scopeOf, textSlot } from "./slots.js";

const STATES = ["set", "unset", "pinned"] as const satisfies readonly HoleState[];

/** A statement of work done: proposes marks and warns; nothing is recorded until it is confirmed. */
export const tell: Form = {
  id: "tell",
  answer(job: Job, slots: Slots): FormAnswer {
    if (textSlot(slots, "gate")) return tellGate(job, slots);
    if (textSlot(slots, "milestone")) return tellMilestone(job, slots);
    return tellHoles(job, slots);
  },
};

function tellHoles(job: Job, slots: Slots): FormAnswer {
  const state = chosenSlot(slots, "state", STATES);
  if (!state) throw missing("state", "Say what you did: set, pinned or taken out again.");
  const { hole, holes: list, row } = slots;
  if (!hole && !list && !row)
    throw missing("hole", "Name the holes or the row: a whole part would be a guess.");
  const { holes } = scopeOf(job, slots, { orAll: false });
  const fresh = holes.filter((id) => stateOf(job.work, id) !== state);
  const same = holes.filter((id) => stateOf(job.work, id) === state);
  const warned = warningsFor(job, fresh, state);
  const marks = fresh.map((id): Mark => ({ kind: "hole", hole: id, state }));
  const names = namesOf(job);
  const trace = state === "set" ? rulingTrace(job, fresh, ["treatment", "hold"]) : [];
  const trouble = warned.filter(({ warnings }) => warnings.length > 0);
  return {
    headline: sentences(
      fresh.length > 0
        ? `to record: ${counted(fresh.length, "hole")} ${state}: ${names.where(fresh)}`
        : `nothing to record: ${plural(holes.length, "it is", "they are")} marked as ${state} already`,
      same.length > 0 && fresh.length > 0 && `marked as ${state} already: ${names.where(same)}`,
      trouble.length > 0 &&
        `but mind, for ${trouble.length === fresh.length ? "them" : `${trouble.length} of them`}: ${trouble[0]?.warnings[0]}`,
    ),
    holes: fresh,
    rows: rowsOf(job, warned, state),
    trace,
    cautions: cautionsFor(job, fresh, actsOf(state), trace),
    sources: [],
    followUps: afterMarks(job, marks),
    ...(marks.length > 0 ? { proposal: { marks } } : {}),
  };
}

function actsOf(state: HoleState): readonly Act[] {
  return state === "set" ? ["rivet"] : state === "unset" ? ["drill"] : [];
}

interface Warned {
  readonly hole: string;
  readonly warnings: readonly string[];
}

/** What speaks against each mark, by the state of the work before it. */
function warningsFor(job: Job, holes: readonly string[], state: HoleState): readonly Warned[] {
  switch (state) {
    case "unset":
      return holes.map((hole) => ({ hole, warnings: stateOf(job.work, hole) === "set" ? [TAKEN_OUT] : [] }));
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

const TAKEN_OUT = "it is marked as set, and taking it out means drilling: check the hole's size afterwards";

function namesHole(reason: Reason, hole: string): boolean {
  // What the rivets wall in together is the doing of all of them.
  return reason.code !== "wall-each-other-in" || reason.holes.includes(hole);
}

function warningsOf(job: Job, hole: string, reasons: readonly Reason[]): readonly string[] {
  const weighing = reasons.filter(({ weight }) => weight !== "note");
  return sayWeighing(job, weighing, [hole]).map(({ text }) => text);
}

function rowsOf(job: Job, warned: readonly Warned[], state: HoleState): readonly AnswerRow[] {
  const find = finder(job.assembly);
  return grouped(warned, ({ hole, warnings }) => [find.hole(hole).rowId, warnings]).map((group) => {
    const holes = group.map(({ hole }) => hole);
    const warnings = group[0]?.warnings ?? [];
    return {
      holes,
      where: namesOf(job).everywhere(holes),
      what: sentences(`mark as ${state}`, ...warnings),
      state,
      warnings,
    };
  });
}

/** What the next part to close will need, once these marks are made. */
function afterMarks(job: Job, marks: readonly Mark[]): readonly Reading[] {
  const closed = closedParts(job.assembly, withMarks(job.work, marks));
  const next = job.assembly.closings.find((part) => !closed.has(part));
  return next && marks.length > 0 ? [reading(job, "before-closing", { part: next })] : [];
}

function tellGate(job: Job, slots: Slots): FormAnswer {
  const part = finder(job.assembly).part(requiredSlot(slots, "part", "Say which part it was done to."));
  const gate = idSlot(
    slots,
    "gate",
    job.kit.prepGates.map(({ id }) => id),
  ) as string;
  const done = chosenSlot(slots, "done", ["yes", "no"]) !== "no";
  const names = namesOf(job);
  const was = job.work.prep.get(part.id)?.has(gate) ?? false;
  const skipped = part.prep
    .slice(0, Math.max(0, part.prep.indexOf(gate)))
    .filter((before) => !job.work.prep.get(part.id)?.has(before));
  const said = `“${names.gate(gate)}” on ${names.thePart(part.id)} as ${done ? "done" : "not done"}`;
  const warning = sentences(
    !part.prep.includes(gate) && "the kit lists no such gate for this part",
    done && skipped.length > 0 && `not marked as done before it: ${skipped.map(names.gate).join(", ")}`,
  );
  return {
    headline: sentences(
      was === done
        ? `nothing to record: ${said.replace(" as ", " is marked as ")} already`
        : `to record: ${said}`,
      warning,
    ),
    holes: [],
    rows: [{ holes: [], where: names.part(part.id), what: sentences(`mark ${said}`, warning), gate, done }],
    trace: [{ kind: "prep", part: part.id, gate, done: was }],
    cautions: cautionsFor(job, [], []),
    sources: [],
    followUps: [reading(job, "before-closing", { part: part.id })],
    ...(was === done ? {} : { proposal: { marks: [{ kind: "prep", part: part.id, gate, done }] } }),
  };
}

function tellMilestone(job: Job, slots: Slots): FormAnswer {
  const milestone = milestoneSlot(job, slots) as string;
  const reached = chosenSlot(slots, "reached", ["yes", "no"]) !== "no";
  const name = namesOf(job).milestone(milestone);
  const was = job.work.milestones.has(milestone);
  const said = `${reached ? "reached" : "not reached"}: ${name}`;
  return {
    headline: sentences(
      was === reached ? `nothing to record, it is marked so already: ${said}` : `to record as ${said}`,
    ),
    holes: [],
    rows: [
      {
        holes: [],
        where: name,
        what: sentences(`mark as ${reached ? "reached" : "not reached"}`),
        milestone,
        reached,
      },
    ],
    trace: [],
    cautions: cautionsFor(job, [], []),
    sources: [],
    followUps: [reading(job, "close-later", { milestone })],
    ...(was === reached ? {} : { proposal: { marks: [{ kind: "milestone", milestone, reached }] } }),
  };
}
