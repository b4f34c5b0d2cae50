import type { GateOnPart } from "../../order/prep.js";
import { undecidedHoles } from "../gates.js";
import type { Job } from "../types.js";
import { counted, listed, plural } from "./grammar.js";
import { namesOf } from "./names.js";
import { sayWhyOpen } from "./why-open.js";

/** How a hole is once a treatment's gate is done. */
const TREATED: Readonly<Record<string, string>> = {
  enlarge: "enlarged",
  dimple: "dimpled",
  countersink: "countersunk",
};

/** How holes are once a treatment's gate is done on their parts: "dimpled"; null for a gate that no treatment calls for. */
export function treatedBy(gate: string): string | null {
  return TREATED[gate] ?? null;
}

/**
 * Holes of which it is not known whether a gate is called for, and what would tell: "whether rib 7, top flange row,
 * hole 8 is dimpled is not decided: the gap to the seal is not known".
 * @param gates  one, or several that are open for the same holes
 */
export function sayUndecidedHoles(
  job: Job,
  gates: string | readonly string[],
  holes: readonly string[],
): string {
  return sayUndecidedAs(job, [gates].flat(), holes, namesOf(job).everywhere(holes));
}

/** The same for a first line: holes of one row by name, more than that by their number. */
export function sayUndecidedShort(job: Job, gate: string, holes: readonly string[]): string {
  return sayUndecidedAs(job, [gate], holes, sayFew(job, holes));
}

/** Holes of one row by name, more than that by their number. */
function sayFew(job: Job, holes: readonly string[]): string {
  const names = namesOf(job);
  return names.spots(holes).length === 1 ? names.where(holes) : counted(holes.length, "hole");
}

/** Holes of a part of which it is not decided whether its gates are called for, those with the same gates together. */
export function sayUndecidedOn(job: Job, part: string, gates: readonly string[]): readonly string[] {
  const byHoles = new Map<string, { holes: readonly string[]; gates: string[] }>();
  for (const gate of gates) {
    const holes = undecidedHoles(job, part, gate);
    if (holes.length === 0) continue;
    const key = holes.join(" ");
    byHoles.set(key, { holes, gates: [...(byHoles.get(key)?.gates ?? []), gate] });
  }
  return [...byHoles.values()].map((group) => sayUndecidedHoles(job, group.gates, group.holes));
}

/**
 * Of a part that may yet have to be got ready further: what is undecided, and that it is to be found out before the part
 * is closed. Said alike by the plan, which goes on, and where a rivet through the part is asked about.
 */
export function sayPerhapsReady(job: Job, part: string, gates: readonly string[]): string {
  const names = namesOf(job);
  const named = listed(gates.map((gate) => `“${names.gate(gate)}”`));
  const why = sayUndecidedOn(job, part, gates);
  return `whether ${named} ${plural(gates.length, "is", "are")} needed on ${names.thePart(part)} is not decided, and not marked as done: find that out before it is closed${why.length > 0 ? ` (${why.join("; ")})` : ""}`;
}

function sayUndecidedAs(job: Job, gates: readonly string[], holes: readonly string[], which: string): string {
  const attributes = [
    ...new Set(gates.flatMap((gate) => (gate === "enlarge" ? ["finalDiameterMm"] : ["treatment", "under"]))),
  ];
  const treated = listed(
    gates.map((gate) => TREATED[gate] ?? "treated so"),
    "or",
  );
  return `whether ${which} ${plural(holes.length, "is", "are")} ${treated} is not decided${sayWhyOpen(job, holes, attributes)}`;
}

/** On which parts a gate stands how. */
export interface GateParts {
  readonly done: readonly string[];
  readonly open: readonly string[];
  /** Whether it is needed there is not decided. */
  readonly perhaps: readonly string[];
}

/**
 * How far a gate is, for a first line.
 * @param place  "the tailplane"
 * @param few    how many parts are named; more are counted
 */
export function sayGateTally(
  job: Job,
  gate: string,
  place: string,
  { done, open, perhaps }: GateParts,
  few = 3,
): string {
  const about = `“${namesOf(job).gate(gate)}” on ${place}`;
  const all = done.length + open.length + perhaps.length;
  const some = (parts: readonly string[]): string =>
    parts.length <= few ? namesOf(job).parts(parts) : counted(parts.length, "part");
  if (all === 0) return `${about}: neither the kit nor a ruling asks for it`;
  if (all === 1)
    return `${about}: ${done.length === 1 ? "marked as done" : open.length === 1 ? "not marked as done" : "not marked as done, and whether it is needed is not decided"}`;
  if (done.length === all) return `${about}: marked as done on all ${all} parts that call for it`;
  return [
    `${about}: marked as done on ${done.length === 0 ? "none" : done.length} of ${counted(all, "part")}`,
    ...(open.length > 0 ? [`left on ${some(open)}`] : []),
    ...(perhaps.length > 0 ? [`perhaps needed on ${some(perhaps)}`] : []),
  ].join(", ");
}

/** Holes that still wait for a treatment: "58 holes still to be dimpled". */
export function sayStillTreated(gate: string, count: number): string {
  return `${counted(count, "hole")} still to be ${TREATED[gate] ?? "treated"}`;
}

/** How a gate stands on one part, for a row. */
export function sayGateState(gate: string, { status, closed, holes }: GateOnPart): string {
  const treated = TREATED[gate];
  const which = holes.length > 0 && treated ? `: ${counted(holes.length, "hole")} to be ${treated}` : "";
  switch (status) {
    case "done":
      return "marked as done";
    case "not called for":
      return "neither the kit nor a ruling asks for it";
    case "perhaps":
      return "not marked as done; whether it is needed is not decided";
    case "open":
      return closed
        ? `not marked as done, though it is closed: mark it if it was done${which}`
        : `not marked as done${which}`;
  }
}
