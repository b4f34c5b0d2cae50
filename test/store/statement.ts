import type { Mark } from "../../server/kit/work.js";
import type { Entry, MarksStatement } from "../../server/store/contract.js";

/** "Set these holes", as it is recorded. */
export function setting(...holes: string[]): MarksStatement {
  return {
    kind: "marks",
    by: "builder",
    kit: "kit",
    assembly: "wing",
    body: { marks: holes.map((hole) => ({ kind: "hole", hole, state: "set" })) },
  };
}

/** The marks that an entry holds; none when it is about something else. */
export function marksOf(entry: Entry | undefined): readonly Mark[] {
  return entry?.kind === "marks" ? entry.body.marks : [];
}
