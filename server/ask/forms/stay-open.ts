import { stateOf } from "../../kit/work.js";
import { holdOf } from "../../order/holds.js";
import type { Hold } from "../../order/types.js";
import { cautionsFor } from "../cautions.js";
import { briefFor } from "../first-line.js";
import type { Form } from "../form.js";
import { ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots, TraceEntry } from "../types.js";
import { counted, listed, plural, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading } from "../wording/readings.js";
import { sayOpen } from "./open.js";
import { grouped, rowOf, ruledAt } from "./ruled.js";
import { milestoneSlot, scopeOf } from "./slots.js";

/** Holes that stay open now, why, and until when. */
export const stayOpen: Form = {
  id: "stay-open",
  answer(job: Job, slots: Slots): FormAnswer {
    const scope = scopeOf(job, slots);
    const milestone = milestoneSlot(job, slots);
    const holds = holdsIn(job, scope.holes);
    const open = holds.filter(({ status }) => status !== "settled");
    const held = holds.filter(
      ({ status, until }) => status === "settled" && (!milestone || until === milestone),
    );
    const setAlready = held.filter(({ hole }) => stateOf(job.work, hole) === "set");
    const otherwise = holds.filter(
      ({ hole, status, until }) =>
        status === "settled" && until !== milestone && stateOf(job.work, hole) !== "set",
    );
    const inForce = held.filter(({ hole }) => stateOf(job.work, hole) !== "set");
    const found = { inForce, otherwise, setAlready, open };
    const headline = headlineOf(job, scope.said, milestone, found, { inScope: scope.holes.length });
    const trace = [
      // A hold that a rule lifts is as much behind the answer as one in force.
      ...rulingTrace(job, scope.holes, ["hold"]),
      ...holdTrace(job, inForce),
    ];
    return {
      verdict:
        open.length === 0
          ? undefined
          : open.some(({ status }) => status === "conflict")
            ? "conflict"
            : "undecided",
      headline,
      ...briefFor(
        headline,
        headlineOf(job, scope.said, milestone, found, { inScope: scope.holes.length, isBrief: true }),
      ),
      holes: inForce.map(({ hole }) => hole),
      rows: [...heldRows(job, inForce), ...setRows(job, setAlready), ...openRows(job, open)],
      trace,
      cautions: cautionsFor(job, [], [], trace),
      sources: ruleSources(job, rulesIn(trace)),
      followUps: [
        ...[...new Set(inForce.map(({ until }) => until))]
          .filter((until) => until !== null)
          .slice(0, 2)
          .map((until) => reading(job, "close-later", { milestone: until })),
        ...(inForce.length > 0
          ? [reading(job, "why", { holes: inForce.map(({ hole }) => hole), attribute: "hold" })]
          : []),
      ],
    };
  },
};

/** Holds in force among the holes, and those of which that is not known. */
export function holdsIn(job: Job, holes: readonly string[]): readonly Hold[] {
  return holes.map((hole) => holdOf(job.rulings, job.work, hole)).filter((hold) => hold !== null);
}

/** Evidence for holds: one entry for all holes that the same rules hold until the same milestone. */
export function holdTrace(job: Job, holds: readonly Hold[]): readonly TraceEntry[] {
  return grouped(
    holds.filter(({ until }) => until !== null),
    ({ until, ruleIds }) => [until, ruleIds],
  ).flatMap((group) => {
    const first = group[0] as Hold;
    return first.ruleIds.map((rule) => ({
      kind: "hold" as const,
      hole: first.hole,
      holes: group.map(({ hole }) => hole),
      until: first.until ?? "",
      rule,
      why: job.rulebook.byId.get(rule)?.why ?? "",
    }));
  });
}

/** @param isBrief  without the holes by name, which the rows say */
function headlineOf(
  job: Job,
  said: string,
  milestone: string | undefined,
  {
    inForce: held,
    otherwise,
    setAlready,
    open,
  }: Readonly<Record<"inForce" | "otherwise" | "setAlready" | "open", readonly Hold[]>>,
  { inScope, isBrief = false }: { readonly inScope: number; readonly isBrief?: boolean },
): string {
  const names = namesOf(job);
  const untils = grouped(held, ({ until }) => until).map((group) => ({
    until: names.milestone(group[0]?.until ?? ""),
    count: group.length,
  }));
  const heldHoles = held.map(({ hole }) => hole);
  const main =
    held.length === 0
      ? `no hole of ${said} has to stay open${milestone ? ` until ${names.milestone(milestone)}` : ""}`
      : untils.length === 1 && inScope === 1
        ? `${said} stays open until ${untils[0]?.until}`
        : untils.length === 1
          ? `${counted(held.length, "hole")} of ${said} ${plural(held.length, "stays", "stay")} open until ${untils[0]?.until}${isBrief ? "" : `: ${names.where(heldHoles, 3)}`}`
          : `${counted(held.length, "hole")} of ${said} stay open: ${listed(untils.map(({ count, until }) => `${count} until ${until}`))}`;
  // Asked of one milestone only: holes that wait for another are open all the same.
  const longer = milestone && held.length === 0 ? grouped(otherwise, ({ until }) => until) : [];
  return sentences(
    main,
    longer.length > 0 &&
      `but ${listed(
        longer.map(
          (group) =>
            `${counted(group.length, "hole")} ${plural(group.length, "stays", "stay")} open until ${names.milestone(group[0]?.until ?? "")}`,
        ),
      )}`,
    open.length > 0 &&
      `whether ${counted(open.length, "more hole")} ${plural(open.length, "stays", "stay")} open is not decided`,
    setAlready.length > 0 &&
      `already set, though ${plural(setAlready.length, "it was", "they were")} to stay open: ${names.where(setAlready.map(({ hole }) => hole))}`,
  );
}

/** Held holes with until when and why, by row. */
export function heldRows(job: Job, holds: readonly Hold[]): readonly AnswerRow[] {
  return rowsOf(job, holds, (first) => {
    const rules = first.ruleIds.map((id) => job.rulebook.byId.get(id)?.why ?? "");
    return sentences(`stays open until ${namesOf(job).milestone(first.until ?? "")}`, ...rules);
  });
}

function setRows(job: Job, holds: readonly Hold[]): readonly AnswerRow[] {
  return rowsOf(job, holds, (first) =>
    sentences(
      `marked as set, but was to stay open until ${namesOf(job).milestone(first.until ?? "")}`,
      "Ask the kit maker whether it has to come out again",
    ),
  );
}

/** Holes of which the rules don't tell whether they are held, by row. */
function openRows(job: Job, holds: readonly Hold[]): readonly AnswerRow[] {
  return rowsOf(job, holds, (first) => sayOpen(job, ruledAt(job, first.hole), ["hold"]));
}

function rowsOf(job: Job, holds: readonly Hold[], what: (first: Hold) => string): readonly AnswerRow[] {
  return grouped(holds, ({ hole, ...hold }) => [rowOf(job, hole), hold]).map((group) => {
    const first = group[0] as Hold;
    const holes = group.map(({ hole }) => hole);
    return {
      holes,
      where: namesOf(job).everywhere(holes),
      what: what(first),
      until: first.until,
      status: first.status,
      pinned: holes.filter((hole) => stateOf(job.work, hole) === "pinned").length,
      rules: first.ruleIds,
    };
  });
}
