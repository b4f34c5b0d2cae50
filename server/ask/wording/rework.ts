import type { Impossible } from "../../order/impossible.js";
import type { LeftOpen } from "../../order/plan-types.js";
import type { DrillStep, Late, Rework } from "../../order/rework.js";
import type { Removal, RowLimit } from "../../order/rework-cost.js";
import type { Stays } from "../../order/rework-scope.js";
import type { OrderRule } from "../../order/types.js";
import type { WhatIf } from "../../order/what-if.js";
import type { Job } from "../types.js";
import { counted, listed, plural, sentences } from "./grammar.js";
import { saySize } from "./measures.js";
import { namesOf } from "./names.js";
import { sayImpossible, sayLeftOpen, saySide } from "./order-plan.js";
import { sayRule } from "./rulings.js";

/**
 * Said with a way back whose drilling rests on the tool's room; empty when the kit draws a drill's room at them all.
 * @param lacking  rivets to drill at which it draws none
 * @param of       rivets to drill
 */
export function sayDrillRoom(lacking: number, of: number): string {
  if (lacking === 0) return "";
  const where = lacking === of ? "" : ` at ${lacking} of these ${of} rivets`;
  return sentences(
    `the kit draws no room for a drill${where}: the room that the tool needs at the rivet's head was taken for it`,
    "see for yourself that your drill gets in straight",
  );
}
/** Said with every way back: what the drawing doesn't know. */
export const TAKING_OUT =
  "Whether a part that is free can be taken out past the others is not drawn either: look before you drill.";
export const HEAD_ELSEWHERE =
  "A rivet that was pulled from the other side has its head there: drill it from there, if that side can be reached.";

/** A step of drilling: "drill out 6 rivets with a 3.3 mm drill, the same as the hole; then the servo mount comes off". */
export function sayDrillStep(job: Job, step: DrillStep, removals: ReadonlyMap<string, Removal>): string {
  if (step.kind === "turn-over") return sentences(`turn it over: ${saySide(job, step.side)} comes up`);
  const names = namesOf(job);
  const tools = new Set(step.holes.flatMap((hole) => sayDrill(job, removals.get(hole))));
  return sentences(
    `drill out ${counted(step.holes.length, "rivet")}${tools.size > 0 ? ` with ${listed([...tools])}` : ""}`,
    step.opens.length > 0 && `then ${names.parts(step.opens)} ${plural(step.opens.length, "is", "are")} free`,
  );
}

function sayDrill(job: Job, removal: Removal | undefined): string[] {
  if (!removal) return [];
  const size = saySize(removal.sizeMm, job.kit.units);
  const name = removal.standard && removal.standard.name !== size ? ` (${removal.standard.name})` : "";
  return [`a ${size} drill${name}, the ${removal.drill}`];
}

/**
 * What follows if a hole comes out too large, for removals of one row that are alike.
 * @param isKept  whether the rules on distances here leave room for the next size
 */
export function sayGrowthRisk(
  job: Job,
  removal: Removal,
  limit: RowLimit | undefined,
  of: number,
  isKept: boolean,
): string {
  const { units } = job.kit;
  const most = job.kit.rivets.find(({ code }) => code === removal.rivet)?.hole.maxMm;
  const grown = `if a hole grows${most === undefined ? "" : ` beyond ${saySize(most, units)}`}`;
  const repair = removal.ifItGrows;
  if (!repair) return sentences(`${grown}: no table here has a next size for this rivet; ask the designer`);
  if (repair.verdict === "next size" && !isKept)
    return sentences(
      `${grown}: the next size is refused, a rule on edge distance or pitch here leaves no room for it; leave it and ask the designer`,
    );
  const shorts: readonly (readonly [string, number | null])[] = [
    ["edge distance", repair.edgeShortMm],
    ["pitch", repair.pitchShortMm],
    ["pitch along the row, for another row lies beside it,", repair.alongShortMm],
    ["distance between the rows", repair.apartShortMm],
  ];
  const short = shorts.flatMap(([what, mm]) => (mm === null ? [] : `${what} by ${saySize(mm, units)}`));
  return sentences(
    repair.verdict === "next size"
      ? `${grown}: the next size, ${saySize(repair.newRivetMm, units)}, still has its edge distance and pitch; the kit maker has to agree`
      : `${grown}: the next size is refused, short of ${listed(short)}; leave it and ask the designer`,
    limit &&
      repair.verdict === "next size" &&
      (limit.most === 0
        ? `a row of ${of} allows no such repair without asking`
        : `a row of ${of} allows ${counted(limit.most, "such repair")} at most`),
  );
}

/** What to ask when the rivets are left out instead, for those of one row. */
export function sayLeaveIt(
  job: Job,
  {
    count,
    of,
    rivets,
    closedBy,
  }: { count: number; of: number; rivets: readonly string[]; closedBy: readonly string[] },
): string {
  const names = namesOf(job);
  const through = closedBy.length > 0 ? ` through ${names.parts(closedBy, "or")}` : "";
  return sentences(
    `or leave it and ask the kit maker or a licensed designer: may ${of === 1 ? "the one rivet" : count === of ? `all ${of} rivets` : `${count} of the ${of} rivets`} of this row stay out, may another fastener go in from a side that is free, or may an access hole be cut${through}?`,
    `tell them the holes, the rivet (${listed(rivets)}), what is closed over them and how`,
  );
}

/** What was skipped before parts closed: gates that are not marked, rivets that a rule wanted first; and what it would take. */
export function saySkipped(job: Job, { forgotten, status, drill }: Rework, late: readonly Late[]): string {
  const names = namesOf(job);
  const holes = new Set(forgotten.flatMap((gate) => gate.holes));
  const gates = [...new Set(forgotten.map(({ gate }) => names.gate(gate)))];
  const parts = [...new Set(forgotten.map(({ part }) => part))];
  const after = [...new Set(late.map(({ part }) => part))];
  const rivets = new Set(late.map(({ hole }) => hole));
  return sentences(
    holes.size > 0 &&
      `${names.parts(parts)} ${plural(parts.length, "is", "are")} closed and ${counted(holes.size, "open hole")} there ${plural(holes.size, "waits", "wait")} for “${listed(gates)}”, which is not marked as done; if it was done, mark it`,
    rivets.size > 0 &&
      `${counted(rivets.size, "rivet")} ${plural(rivets.size, "was", "were")} to be set before ${names.parts(after)}, which ${plural(after.length, "is", "are")} closed: ask your mentor whether ${plural(rivets.size, "it", "they")} may go in now`,
    status === "found"
      ? `${holes.size > 0 ? "if it was forgotten" : "to do it in order"}, ${counted(drill.length, "rivet")} would have to come out, see below`
      : "no way back to do it in order is found here: ask the kit maker or a licensed designer",
  );
}

/** Why a set rivet in the way is left where it is. */
export function sayStays(job: Job, stays: Stays): string {
  switch (stays.code) {
    case "no-way-to-head":
      return "is in the way and stays: no drill gets at its head as drawn";
    case "held-and-hidden":
      return `is in the way and stays: ${sayLeftOpen(job, stays.reason)}, and it could not be reached any more with all else set`;
    case "not-set-again":
      return `is in the way and stays: once out it could not go in again, for ${sayLeftOpen(job, stays.reason)}`;
  }
}

/** Whether it is certain that nothing less does it. */
export function sayProof({ proved, drill, weight }: Pick<Rework, "proved" | "drill" | "weight">): string {
  if (!proved) return "best found so far, not proved: fewer may do";
  return weight === drill.length ? "fewer will not do" : `nothing lighter will do (weight ${weight})`;
}

/** Beside a preference that hanging a part first would not keep. */
export const ONLY_PREFERRED = "a preference: it is told, and nothing hangs on it";

/** Rivets that a rule wants set after parts which would not be on; empty where there are none. */
export function saySoon(job: Job, orders: readonly OrderRule[]): string {
  if (orders.length === 0) return "";
  const rivets = new Set(orders.map(({ hole }) => hole)).size;
  const parts = [...new Set(orders.map(({ part }) => part))];
  return `too soon by rule: ${counted(rivets, "rivet")} of it ${plural(rivets, "is", "are")} to be set after ${namesOf(job).parts(parts)}`;
}

/** How many preferences hanging a part first would not keep; empty where there are none. */
export function sayUnkept(orders: readonly OrderRule[]): string {
  const rules = new Set(orders.map(({ rule }) => rule)).size;
  return rules === 0 ? "" : `${counted(rules, "preference")} would not be kept`;
}

/**
 * The way back in a sentence or two.
 * @param of  what it was asked for, " of rib 3"; empty for all
 */
export function sayWayBack(job: Job, back: Rework, of: string, isBrief = false): string {
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

/**
 * What it would come to if a part were hung first.
 * @param ruled   rivets that are to be set before it by rule, beside those that are lost
 * @param back    the way back for what is lost; null when nothing is
 * @param isHeld  some of what is walled in is to stay open
 */
export function sayHungFirst(
  job: Job,
  hung: WhatIf,
  ruled: readonly string[],
  back: Rework | null,
  isHeld: boolean,
  isBrief = false,
): string {
  const names = namesOf(job);
  const part = names.thePart(hung.part);
  const where = (holes: readonly string[]): string => (isBrief ? "" : `: ${names.where(holes, 2)}`);
  if (hung.status === "closed") return sentences(`${part} is closed already`);
  if (hung.status === "cannot") return sentences(`${part} cannot be hung now: none of its rivets can be set`);
  const walled = hung.wallsIn.map(({ hole }) => hole);
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

/** Said of a part that was asked about as closed, and by the marks is not. */
export function sayNotClosedYet(job: Job, part: string): string {
  return `${namesOf(job).thePart(part)} is not marked as closed, so the way back cannot be told yet: mark the rivets that are set, then ask again`;
}

/** Rivets that are walled in beside those that were asked about; empty when there are none. */
export function sayWalledElsewhere(count: number): string {
  return count === 0
    ? ""
    : `${counted(count, "other rivet")} ${plural(count, "is", "are")} walled in elsewhere`;
}

/**
 * Said with holes that hanging a part would wall in.
 * @param hold  why they are to stay open, where they are
 */
export function sayWouldWallIn(job: Job, part: string, hold: string | null): string {
  return sentences(
    `walled in once ${namesOf(job).thePart(part)} is riveted`,
    hold === null
      ? SET_FIRST
      : `${hold}: hanging and hold contradict each other. Ask the kit maker or your mentor`,
  );
}

/** What to do with a rivet that would be walled in. */
export const SET_FIRST = "set it first";

/** Said with holes that a part hung too early makes impossible. */
export const NO_ORDER_ANY_MORE = "No order could set these all any more afterwards.";

/** Said with holes that would be open then for other reasons. */
export const STAYS_OUT = "Cannot be set then: held, not settled or out of reach.";

/** How much of the order afterwards has nothing to do with the way back. */
export function sayRestOfPlan(steps: number): string {
  return sentences(
    `${counted(steps, "other step")} of the plan ${plural(steps, "is", "are")} left besides`,
    "mark the drilled rivets as unset, then ask for the plan",
  );
}

/** A gate that is not marked on a closed part, and the holes that wait for it. */
export function sayForgotten(job: Job, gate: string, holes: readonly string[]): string {
  const names = namesOf(job);
  return sentences(
    `“${names.gate(gate)}” is not marked as done, and the part is closed`,
    `${names.where(holes, 3)} ${plural(holes.length, "waits", "wait")} for it`,
    "look, and mark it if it was done",
  );
}

/** Rivets that a rule wanted set before a part which is on. */
export function sayTooLate(job: Job, part: string, rule: string, rivets: number): string {
  const title = job.rulebook.byId.get(rule)?.title ?? rule;
  return sentences(
    `can be reached, but ${plural(rivets, "was", "were")} to be set before ${namesOf(job).thePart(part)}, so says ${sayRule(title)}`,
    "ask your mentor",
  );
}

/** Said with rivets that no drilling brings back. */
export const NO_WAY_BACK =
  "No drilling brings these back: what would have to come out can't be drilled or can't be set again.";

/** Rivets of which some can be set, never all. */
export function sayNotTogether(job: Job, together: Impossible): string {
  return sentences("not all of these can be set, whatever is drilled out", sayImpossible(job, together));
}

/** Walled-in holes that are left out of the count, and why. */
export function sayNotCounted(job: Job, reason: LeftOpen): string {
  return sentences("walled in, but not counted here", sayLeftOpen(job, reason));
}
