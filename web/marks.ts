import type { HoleState, Mark } from "../server/kit/work.js";
import type { Names } from "./names.js";
import type { WorkShown } from "./wire.js";
import { counted } from "./words.js";

export function stateOf(work: WorkShown, hole: string): HoleState {
  return Object.hasOwn(work.holes, hole) ? (work.holes[hole] ?? "unset") : "unset";
}

export function isPrepDone(work: WorkShown, part: string, gate: string): boolean {
  return Object.hasOwn(work.prep, part) && (work.prep[part] ?? []).includes(gate);
}

/** Whether the work already is as the mark says. */
export function stands(work: WorkShown, mark: Mark): boolean {
  if (mark.kind === "hole") return stateOf(work, mark.hole) === mark.state;
  if (mark.kind === "prep") return isPrepDone(work, mark.part, mark.gate) === mark.done;
  return work.milestones.includes(mark.milestone) === mark.reached;
}

/** "3 holes set", "2 holes set, 1 hole pinned, 1 prep step done". */
export function sayMarks(marks: readonly Mark[]): string {
  const counts = new Map<string, { count: number; one: string; then: string }>();
  for (const mark of marks) {
    const [one, then] =
      mark.kind === "hole"
        ? ["hole", mark.state]
        : mark.kind === "prep"
          ? ["prep step", mark.done ? "done" : "not done"]
          : ["milestone", mark.reached ? "reached" : "not reached"];
    const entry = counts.get(`${one} ${then}`) ?? { count: 0, one, then };
    entry.count++;
    counts.set(`${one} ${then}`, entry);
  }
  return [...counts.values()].map(({ count, one, then }) => `${counted(count, one)} ${then}`).join(", ");
}

/** Each mark in words, those of a row and those of a prep together: "rib 3, top row, holes 2–6: set". */
export function listMarks(marks: readonly Mark[], names: Names): readonly string[] {
  const alike = new Map<string, Mark[]>();
  for (const mark of marks) {
    const key = alikeKey(mark);
    alike.set(key, [...(alike.get(key) ?? []), mark]);
  }
  return [...alike.values()].flatMap((group) => sayAlike(group, names));
}

/** Equal for marks that can be said in one breath. */
function alikeKey(mark: Mark): string {
  if (mark.kind === "hole") return JSON.stringify([mark.kind, mark.state]);
  if (mark.kind === "prep") return JSON.stringify([mark.kind, mark.gate, mark.done]);
  return JSON.stringify([mark.kind, mark.milestone, mark.reached]);
}

function sayAlike(marks: readonly Mark[], names: Names): readonly string[] {
  const [first] = marks;
  if (!first) return [];
  if (first.kind === "milestone")
    return [`${names.thing(first.milestone)}: ${first.reached ? "reached" : "not reached"}`];
  if (first.kind === "prep") {
    const parts = marks.flatMap((mark) => (mark.kind === "prep" ? [names.part(mark.part)] : []));
    return [`${parts.join(", ")}: “${names.thing(first.gate)}” ${first.done ? "done" : "not done"}`];
  }
  const holes = marks.flatMap((mark) => (mark.kind === "hole" ? [mark.hole] : []));
  return names.holesByRow(holes).map((where) => `${where}: ${first.state}`);
}
