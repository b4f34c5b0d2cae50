import type { Assembly } from "./types.js";

/** State of one hole: open, held by a temporary fastener, or riveted. */
export type HoleState = "unset" | "pinned" | "set";

/** One statement of work done or undone. */
export type Mark =
  | { readonly kind: "hole"; readonly hole: string; readonly state: HoleState }
  | { readonly kind: "prep"; readonly part: string; readonly gate: string; readonly done: boolean }
  | { readonly kind: "milestone"; readonly milestone: string; readonly reached: boolean };

/** Where the work stands: what all marks so far add up to. Anything not named is unset, not done, not reached. */
export interface Work {
  readonly holes: ReadonlyMap<string, HoleState>;
  /** Gates done, by part. */
  readonly prep: ReadonlyMap<string, ReadonlySet<string>>;
  readonly milestones: ReadonlySet<string>;
}

/** Nothing done yet. */
export const NO_WORK: Work = { holes: new Map(), prep: new Map(), milestones: new Set() };

/** The work after more marks; later marks win. The work given is left as it was. */
export function withMarks(work: Work, marks: readonly Mark[]): Work {
  const holes = new Map(work.holes);
  const prep = new Map(work.prep);
  const milestones = new Set(work.milestones);
  for (const mark of marks) {
    if (mark.kind === "hole") {
      if (mark.state === "unset") holes.delete(mark.hole);
      else holes.set(mark.hole, mark.state);
    } else if (mark.kind === "prep") {
      const gates = new Set(prep.get(mark.part));
      if (mark.done) gates.add(mark.gate);
      else gates.delete(mark.gate);
      prep.set(mark.part, gates);
    } else if (mark.reached) milestones.add(mark.milestone);
    else milestones.delete(mark.milestone);
  }
  return { holes, prep, milestones };
}

/** Marks that bring back what the given marks are about to change. */
export function undoing(work: Work, marks: readonly Mark[]): Mark[] {
  return marks
    .map((mark): Mark => {
      if (mark.kind === "hole") return { ...mark, state: stateOf(work, mark.hole) };
      if (mark.kind === "prep") return { ...mark, done: work.prep.get(mark.part)?.has(mark.gate) ?? false };
      return { ...mark, reached: work.milestones.has(mark.milestone) };
    })
    .reverse();
}

export function stateOf(work: Work, hole: string): HoleState {
  return work.holes.get(hole) ?? "unset";
}

/** Parts that no longer come off without drilling: a rivet through them is set. */
export function closedParts(assembly: Assembly, work: Work): ReadonlySet<string> {
  const closed = new Set<string>();
  for (const hole of assembly.holes) {
    if (stateOf(work, hole.id) === "set") for (const layer of hole.layers) closed.add(layer.part);
  }
  return closed;
}
