import type { HoleState } from "../../kit/work.js";
import type { Job } from "../types.js";
import { treatedBy } from "./gates.js";
import { counted, listed, plural } from "./grammar.js";
import { namesOf } from "./names.js";

/** What to say where it is not told what was done. */
export const WHAT_WAS_DONE = "Say what you did: set, pinned or taken out again.";

/** What to name where a whole part is said to be set. */
export const NAME_THE_HOLES = "Name the holes or the row: a whole part would be a guess.";

/** Against taking a rivet out. */
export const TAKEN_OUT =
  "it is marked as set, and taking it out means drilling: check the hole's size afterwards";

export function sayMarkAs(state: HoleState): string {
  return `mark as ${state}`;
}

/** Parts through which the first rivet goes: "with that rib 3 no longer comes off without drilling". */
export function sayClosed(job: Job, parts: readonly string[]): string {
  return `with that ${listed(parts.map(namesOf(job).thePart))} no longer ${plural(parts.length, "comes", "come")} off without drilling`;
}

/** Parts whose last rivet is out. */
export function sayFreed(job: Job, parts: readonly string[]): string {
  return `with that no rivet holds ${listed(parts.map(namesOf(job).thePart), "or")} any more`;
}

/** Holes that a warning is about, where it is about many: rows by name, all that were told by their number. */
export function sayWarnedHoles(job: Job, holes: readonly string[], told: number): string {
  return holes.length === told ? `all ${told} holes told` : namesOf(job).where(holes, 3);
}

/** Of holes that hang on a milestone. */
export function sayHeldUntil(reached: boolean): string {
  return reached ? "held open until then" : "held open as long as it is not reached";
}

/** What a statement about holes comes to. */
export interface HolesTold {
  readonly state: HoleState;
  readonly told: readonly string[];
  /** Marked so already. */
  readonly same: readonly string[];
  /** The step that was named in place of holes. */
  readonly place?: string;
  /** What matters most of what speaks against them. */
  readonly warning: string | null;
  /** How many of them it is about. */
  readonly warned: number;
  /** Warnings besides that one. */
  readonly moreWarnings: number;
}

/** Which marks are to be recorded, for a first line. */
export function sayHolesToRecord(
  job: Job,
  { state, told, same, place, warning, warned, moreWarnings }: HolesTold,
): readonly (string | false)[] {
  const names = namesOf(job);
  const all = told.length + same.length;
  const already = plural(all, "it is", "they are");
  return [
    told.length > 0
      ? `to record: ${counted(told.length, "hole")} ${place === undefined ? `${state}: ${names.where(told)}` : `of ${place} ${state}`}`
      : all === 0 || same.length === 0
        ? "nothing to record"
        : `nothing to record: ${place === undefined ? already : `all others of ${place} are`} marked as ${state} already`,
    same.length > 0 &&
      told.length > 0 &&
      `marked as ${state} already: ${place === undefined ? names.where(same) : counted(same.length, "hole")}`,
    warning !== null &&
      `but mind${told.length === 1 ? "" : `, for ${warned === told.length ? "them" : `${warned} of them`}`}: ${warning}`,
    moreWarnings > 0 &&
      `there ${plural(moreWarnings, "is", "are")} ${counted(moreWarnings, "more warning")}, see the rows`,
  ];
}

/** Holes of a step that are not set by its being done. */
export function sayLeftOut(count: number, why: string, reasons: number): string {
  return `left out: ${counted(count, "hole")}${reasons === 1 ? `, for ${why}` : `, for ${counted(reasons, "reason")}`}`;
}

/** The same in a row. */
export function sayLeftOutRow(why: string): string {
  return `left out, for ${why}. If set all the same, tell it by name`;
}

/** A step of which the manual names no rows. */
export function sayNoRows(step: string): string {
  return `nothing to record: the manual names no rows in ${step}. Tell what was done by part and prep, by row, or by milestone`;
}

/** A step of which the manual names no parts. */
export function sayNoParts(step: string): string {
  return `nothing to record: the manual names no parts in ${step}. Tell it of each part`;
}

/** What a statement about a gate comes to. */
export interface GateTold {
  readonly gate: string;
  readonly done: boolean;
  /** "the ribs". */
  readonly place: string;
  readonly told: readonly string[];
  readonly same: readonly string[];
  /** Parts for which the kit lists no such gate and no ruling calls for it. */
  readonly uncalled: readonly string[];
}

/** “primed” on rib 3 as done. */
function sayGateAs(job: Job, gate: string, place: string, done: boolean): string {
  return `“${namesOf(job).gate(gate)}” on ${place} as ${done ? "done" : "not done"}`;
}

/** The mark of a gate, in a row of the part. */
export function sayMarkGate(done: boolean, isSo: boolean): string {
  const how = done ? "done" : "not done";
  return isSo ? `marked as ${how} already` : `mark as ${how}`;
}

/** What is left of a part's prep once a gate is done. @param isMoreBefore  gates before it are open too, and are told */
export function sayPrepAfter(job: Job, left: readonly string[], isMoreBefore: boolean): string | false {
  if (left.length > 0) return `to be done after it: ${left.map(namesOf(job).gate).join(", ")}`;
  return !isMoreBefore && "with that all the prep is done that the kit lists for it";
}

/** Which gates are to be recorded, for a first line. */
export function sayGatesToRecord(
  job: Job,
  { gate, done, place, told, same, uncalled }: GateTold,
): readonly (string | false)[] {
  const names = namesOf(job);
  const all = told.length + same.length + uncalled.length;
  const said = sayGateAs(job, gate, place, done);
  if (told.length === 0 && uncalled.length === 0)
    return [`nothing to record: ${said.replace(" as ", " is marked as ")} already`];
  const some = (parts: readonly string[]): string =>
    parts.length <= 3 ? names.parts(parts) : counted(parts.length, "part");
  return [
    told.length === 0
      ? `nothing to record of ${said}`
      : all === 1
        ? `to record: ${said}`
        : `to record: ${said}, ${counted(told.length, "mark")}`,
    told.length > 0 && told.length < all && told.length <= 3 && `on ${names.parts(told)}`,
    same.length > 0 && `marked so already: ${some(same)}`,
    uncalled.length > 0 && `left out, for neither the kit nor a ruling asks for it there: ${some(uncalled)}`,
  ];
}

/** The kit knows no such gate for a part that was named. */
export const NO_SUCH_GATE = "the kit lists no such gate for this part";

/** Gates that come first and are not marked. */
export function saySkipped(job: Job, gates: readonly string[]): string {
  return `not marked as done before it: ${gates.map(namesOf(job).gate).join(", ")}`;
}

/** The same of several parts, for a first line. */
export function saySkippedOn(job: Job, parts: readonly string[]): string {
  const where = parts.length <= 3 ? namesOf(job).parts(parts) : counted(parts.length, "part");
  return `prep before it is not marked as done on ${where}`;
}

/** What a mark for a treatment's gate leaves open: "the mark does not settle whether 2 holes are dimpled". */
export function sayMarkLeavesOpen(job: Job, gate: string, undecided: readonly string[]): string {
  const names = namesOf(job);
  const isRow = names.spots(undecided).length === 1;
  const which = isRow ? names.where(undecided) : counted(undecided.length, "hole");
  return `the mark does not settle whether ${which} ${plural(undecided.length, "is", "are")} ${treatedBy(gate) ?? "treated so"}`;
}
