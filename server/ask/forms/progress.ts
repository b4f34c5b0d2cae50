import { finder } from "../../kit/find.js";
import { closedParts, stateOf } from "../../kit/work.js";
import type { Plan } from "../../order/plan-types.js";
import { progressOf, type Tally, tally } from "../../order/progress.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { drawingSource, reachTrace, ruleSources, rulesIn } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots } from "../types.js";
import { wholePlan } from "../whole-plan.js";
import { counted, listed, plural, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading } from "../wording/readings.js";
import { openRows } from "./plan-rows.js";
import { gateProgress } from "./progress-gate.js";
import { idSlot, scopeOf } from "./slots.js";
import { holdTrace } from "./stay-open.js";

/** What is done and what is left, of the whole assembly or of a row, a part or a family; with a gate, of that prep alone. */
export const progress: Form = {
  id: "progress",
  answer(job: Job, slots: Slots): FormAnswer {
    const gate = idSlot(
      slots,
      "gate",
      job.kit.prepGates.map(({ id }) => id),
    );
    if (gate !== undefined) return gateProgress(job, slots, gate);
    const scope = scopeOf(job, slots);
    const whole = wholePlan(job);
    const inScope = new Set(scope.holes);
    const open = whole.leftOpen.filter(({ hole }) => inScope.has(hole));
    const toSet = whole.steps
      .flatMap((step) => (step.kind === "rivets" ? step.holes : []))
      .filter((hole) => inScope.has(hole));
    const lost = open.flatMap((one) => (one.code === "walled-in" && !one.never ? [one.hole] : []));
    const trace = [
      ...reachTrace(job, lost, closedParts(job.assembly, job.work)),
      ...holdTrace(
        job,
        open.flatMap((one) => (one.code === "held" ? [one.hold] : [])),
      ),
    ];
    return {
      headline: headlineOf(job, scope.all ? job.assembly.name : scope.said, tally(job, scope.holes), {
        toSet: toSet.length,
        open: open.length,
        lost: lost.length,
        status: whole.status,
      }),
      holes: scope.holes.filter((hole) => stateOf(job.work, hole) !== "set"),
      rows: [
        ...rowRows(job, scope.holes),
        ...openRows(job, open),
        ...(scope.all ? marksRows(job, whole) : []),
      ],
      trace,
      cautions: cautionsFor(job, [], [], trace),
      sources: [...ruleSources(job, rulesIn(trace)), drawingSource(job)],
      followUps: followUps(job, whole, lost.length > 0),
    };
  },
};

interface Left {
  readonly toSet: number;
  readonly open: number;
  readonly lost: number;
  readonly status: Plan["status"];
}

function headlineOf(job: Job, said: string, { set, pinned, all }: Tally, left: Left): string {
  if (all === 0) return sentences(`${said} has no holes`);
  const names = namesOf(job);
  const milestones = job.assembly.milestones.filter(({ id }) => !job.work.milestones.has(id));
  return sentences(
    `${said}: ${sayDone({ set, pinned, all })}`,
    set < all &&
      (left.status === "impossible"
        ? "there is no order in which the rest can all be set: ask for the plan"
        : sayLeft(left, all)),
    left.lost > 0 && `${counted(left.lost, "of them is", "of them are")} walled in: ask for the way back`,
    set === all &&
      milestones.length > 0 &&
      `not marked as reached: ${listed(milestones.map(({ id }) => names.milestone(id)))}`,
  );
}

function sayDone({ set, pinned, all }: Omit<Tally, "unset">): string {
  if (all === 1) return set === 1 ? "set" : pinned === 1 ? "pinned, not set" : "not set";
  const held = pinned > 0 ? `, ${counted(pinned, "hole")} ${plural(pinned, "is", "are")} pinned` : "";
  return `${set === 0 ? "none" : set} of ${counted(all, "rivet")} ${plural(set, "is", "are")} set${held}`;
}

/** Those that wait do so for a milestone, for another rivet, or for something that is not known; the rows say which. */
function sayLeft({ toSet, open }: Left, all: number): string {
  if (all === 1) return toSet === 1 ? "it can be set for now" : open === 1 ? "it has to wait" : "";
  const can = `${counted(toSet, "rivet")} can be set for now`;
  return open === 0 ? can : `${can}, ${counted(open, "hole")} ${plural(open, "has", "have")} to wait`;
}

/** Rows of holes that are begun or done come with their counts; those not begun together in one line. */
function rowRows(job: Job, holes: readonly string[]): readonly AnswerRow[] {
  const names = namesOf(job);
  const inScope = new Set(holes);
  const rows = job.assembly.rows
    .map(({ id, holes: all }) => ({ id, holes: all.filter((hole) => inScope.has(hole)) }))
    .filter((row) => row.holes.length > 0)
    .map((row) => ({ ...row, count: tally(job, row.holes) }));
  const begun = rows.filter(({ count }) => count.set + count.pinned > 0);
  const rest = rows.filter(({ count }) => count.set + count.pinned === 0);
  const restHoles = rest.flatMap((row) => row.holes);
  return [
    ...begun.map(({ id, holes: list, count }) => ({
      holes: list.filter((hole) => stateOf(job.work, hole) !== "set"),
      where: names.row(id),
      what: sentences(sayTally(count)),
      kind: "row",
      row: id,
      ...count,
    })),
    ...(rest.length > 0
      ? [
          {
            holes: restHoles,
            where: begun.length === 0 ? counted(rest.length, "row") : counted(rest.length, "other row"),
            what: sentences(`none of the ${counted(restHoles.length, "rivet")} is set or pinned`),
            kind: "not begun",
            rows: rest.map(({ id }) => id),
          },
        ]
      : []),
  ];
}

function sayTally({ set, pinned, unset, all }: Tally): string {
  if (set === all) return ["", "set", "both set"][all] ?? `all ${all} set`;
  return listed(
    [
      set > 0 ? `${set} of ${all} set` : `none of ${all} set`,
      pinned > 0 ? `${pinned} pinned` : "",
      unset > 0 ? `${unset} open` : "",
    ].filter((text) => text !== ""),
  );
}

/** Gates and milestones of the whole assembly. */
function marksRows(job: Job, whole: Plan): readonly AnswerRow[] {
  const names = namesOf(job);
  const { gates, milestones } = progressOf(job, whole);
  const find = finder(job.assembly);
  const open = job.assembly.parts
    .map(({ id }) => ({ id, gates: find.part(id).prep.filter((gate) => !job.work.prep.get(id)?.has(gate)) }))
    .filter((part) => part.gates.length > 0);
  return [
    ...(gates.all > 0
      ? [
          {
            holes: [],
            where: "prep of the parts",
            what: sentences(
              `${gates.done} of ${counted(gates.all, "gate")} ${plural(gates.done, "is", "are")} marked as done`,
              open.length > 0 &&
                `open on ${counted(open.length, "part")}: ${names.parts(open.map(({ id }) => id))}`,
            ),
            kind: "prep",
            ...gates,
          },
        ]
      : []),
    ...(milestones.reached.length + milestones.open.length > 0
      ? [
          {
            holes: [],
            where: "milestones",
            what: sentences(
              milestones.reached.length > 0 && `reached: ${listed(milestones.reached.map(names.milestone))}`,
              milestones.open.length > 0 &&
                `not reached yet: ${listed(milestones.open.map(names.milestone))}`,
            ),
            kind: "milestones",
            ...milestones,
          },
        ]
      : []),
  ];
}

function followUps(job: Job, whole: Plan, lost: boolean): readonly Reading[] {
  return [
    ...(whole.status === "open" ? [reading(job, "next", {})] : []),
    ...(whole.status === "done" ? [] : [reading(job, "plan", {})]),
    ...(lost ? [reading(job, "rework", {})] : []),
    reading(job, "stay-open", {}),
  ];
}
