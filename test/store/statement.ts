import type { MarksStatement } from "../../server/store/contract.js";

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
