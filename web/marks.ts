import type { HoleState, Mark } from "../server/kit/work.js";
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
