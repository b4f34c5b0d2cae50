import { finder } from "./kit/find.js";
import type { Assembly, Kit } from "./kit/types.js";
import { type Mark, stateOf, undoing, type Work } from "./kit/work.js";
import { Problem } from "./problem.js";
import { ruledFor } from "./shop/ruled.js";
import type { AppendRequest } from "./store/contract.js";
import { warningsOf } from "./warnings.js";
import type { Workshop } from "./workshop.js";

/** What a builder says was done or undone. */
export interface Telling {
  readonly kit: string;
  readonly assembly: string;
  readonly marks: readonly Mark[];
  readonly by: string;
}

export interface Recorded {
  /** The book's version with these marks in it. */
  readonly version: number;
  /** Marks that bring back what was there before. */
  readonly undo: readonly Mark[];
  /** What speaks against the marks, in the builder's words. */
  readonly warnings: readonly string[];
}

/**
 * Records marks in the shop book. What the marks say is taken down as it is told, sensible or not: the
 * book holds what was done, not what should have been.
 * @throws UNKNOWN_KIT, UNKNOWN_ASSEMBLY, MARK_REFUSED with a pointer, and what ShopBook.append throws
 */
export async function record(
  workshop: Workshop,
  telling: Telling,
  request: AppendRequest,
): Promise<Recorded> {
  const { kit, assembly, marks, by } = telling;
  refuseUnknown(workshop.kit(kit), workshop.assembly(kit, assembly), marks);
  // Before anything is written: what cannot be ruled on must not fail with the marks half told.
  const { rulings, rulebook, work } = await workshop.job(kit, assembly);
  // Written down with the marks: rules may change later, and nobody could then say what was ruled at the time.
  const ruled = ruledFor(rulings, rulebook, newlySet(work, marks));
  const body = { marks, ...(ruled.length > 0 && { ruled }) };
  const { version, entries } = workshop.book.append([{ kind: "marks", by, kit, assembly, body }], request);
  const before = await workshop.jobAt(kit, assembly, (entries[0]?.seq ?? 1) - 1);
  return { version, undo: undoing(before.work, marks), warnings: warningsOf(before, marks) };
}

function newlySet(work: Work, marks: readonly Mark[]): readonly string[] {
  const set = marks.flatMap((mark) => (mark.kind === "hole" && mark.state === "set" ? [mark.hole] : []));
  return [...new Set(set)].filter((hole) => stateOf(work, hole) !== "set");
}

/** @throws MARK_REFUSED for the first mark that names something the assembly does not have, the rest in `others` */
export function refuseUnknown(kit: Kit, assembly: Assembly, marks: readonly Mark[]): void {
  const find = finder(assembly);
  const problems = marks.flatMap((mark, i) => {
    const refuse = (field: string, what: string, fix: string): Problem[] => [
      new Problem("MARK_REFUSED", what, { where: { pointer: `/marks/${i}/${field}` }, fix }),
    ];
    if (mark.kind === "hole") {
      if (find.hasHole(mark.hole)) return [];
      return refuse("hole", `${assembly.name} has no hole "${mark.hole}".`, "Name a hole as PART.ROW.N.");
    }
    if (mark.kind === "milestone") {
      const ids = assembly.milestones.map(({ id }) => id);
      if (ids.includes(mark.milestone)) return [];
      const what = `${assembly.name} has no milestone "${mark.milestone}".`;
      return refuse("milestone", what, `Its milestones are: ${ids.join(", ") || "none"}.`);
    }
    if (!find.hasPart(mark.part)) {
      const ids = assembly.parts.map(({ id }) => id);
      return refuse(
        "part",
        `${assembly.name} has no part "${mark.part}".`,
        `Its parts are: ${ids.join(", ")}.`,
      );
    }
    if (kit.prepGates.some(({ id }) => id === mark.gate)) return [];
    const ids = kit.prepGates.map(({ id }) => id);
    return refuse("gate", `There is no gate "${mark.gate}".`, `The gates are: ${ids.join(", ") || "none"}.`);
  });
  const [first, ...others] = problems;
  if (!first) return;
  throw new Problem(first.code, first.message, { where: first.where, fix: first.fix, others });
}
