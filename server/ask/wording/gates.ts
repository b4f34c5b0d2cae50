import { finder } from "../../kit/find.js";
import type { GateOnPart } from "../../order/prep.js";
import { missingAt } from "../missing.js";
import type { Job } from "../types.js";
import { counted, listed, plural } from "./grammar.js";
import { namesOf } from "./names.js";
import { sayMissing } from "./rulings.js";

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
 * @param few  how many rows are named
 */
export function sayUndecidedHoles(
  job: Job,
  gate: string,
  holes: readonly string[],
  few = Number.POSITIVE_INFINITY,
): string {
  const which = namesOf(job).where(holes, few);
  return sayUndecidedAs(job, gate, holes, which);
}

/** The same for a first line: holes of one row by name, more than that by their number. */
export function sayUndecidedShort(job: Job, gate: string, holes: readonly string[]): string {
  const names = namesOf(job);
  const isRow = names.spots(holes).length === 1;
  return sayUndecidedAs(job, gate, holes, isRow ? names.where(holes) : counted(holes.length, "hole"));
}

function sayUndecidedAs(job: Job, gate: string, holes: readonly string[], which: string): string {
  const attributes = gate === "enlarge" ? ["finalDiameterMm"] : ["treatment", "under"];
  const find = finder(job.assembly);
  const facts = new Set(
    holes.flatMap((id) =>
      attributes.flatMap((attribute) =>
        missingAt(job, id, attribute).map((fact) => sayMissing(fact, find.hole(id))),
      ),
    ),
  );
  const isConflict = holes.some((id) =>
    attributes.some((attribute) => job.rulings.of(id).attributes[attribute]?.status === "conflict"),
  );
  const why = [
    ...(facts.size > 0 ? [`${listed([...facts])} ${plural(facts.size, "is", "are")} not known`] : []),
    ...(isConflict ? ["rules oppose each other on it"] : []),
  ];
  return `whether ${which} ${plural(holes.length, "is", "are")} ${TREATED[gate] ?? "treated so"} is not decided${why.length > 0 ? `: ${why.join("; ")}` : ""}`;
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
 */
export function sayGateTally(
  job: Job,
  gate: string,
  place: string,
  { done, open, perhaps }: GateParts,
): string {
  const about = `“${namesOf(job).gate(gate)}” on ${place}`;
  const all = done.length + open.length + perhaps.length;
  const some = (parts: readonly string[]): string =>
    parts.length <= 3 ? namesOf(job).parts(parts) : counted(parts.length, "part");
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
