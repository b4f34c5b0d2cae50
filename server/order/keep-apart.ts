import type { Assembly, Hole } from "../kit/types.js";
import type { Work } from "../kit/work.js";
import { needsDimpling } from "./prep.js";
import { isSet, stackOf } from "./standing.js";
import type { HoleRulings } from "./types.js";

interface Bench {
  readonly assembly: Assembly;
  readonly work: Work;
  readonly rulings: HoleRulings;
}

const known = new WeakMap<Assembly, WeakMap<HoleRulings, WeakMap<Work, readonly Hole[]>>>();

/**
 * Unset holes through several parts that may yet have to be dimpled, for their treatment is not settled. A dimple
 * is pressed into each layer by itself, so their layers have to come apart until it is known. Worked out once for
 * each state of the work. Common practice, no source.
 */
export function mayBeDimpled({ assembly, work, rulings }: Bench): readonly Hole[] {
  const byRulings = known.get(assembly) ?? new WeakMap<HoleRulings, WeakMap<Work, readonly Hole[]>>();
  known.set(assembly, byRulings);
  const byWork = byRulings.get(rulings) ?? new WeakMap<Work, readonly Hole[]>();
  byRulings.set(rulings, byWork);
  const found =
    byWork.get(work) ??
    assembly.holes.filter(
      (hole) =>
        !isSet(work, hole) &&
        stackOf(hole).length > 1 &&
        hole.layers.some((_, i) => needsDimpling(rulings.of(hole.id), hole, i) === "unknown"),
    );
  byWork.set(work, found);
  return found;
}

/** Of those, the holes whose layers no longer come apart once these parts are closed, and still do before. */
export function shutTogether(
  bench: Bench,
  closed: ReadonlySet<string>,
  closedAfter: ReadonlySet<string>,
): readonly Hole[] {
  const isTogether = (hole: Hole, parts: ReadonlySet<string>): boolean =>
    stackOf(hole).filter((part) => parts.has(part)).length > 1;
  return mayBeDimpled(bench).filter((hole) => !isTogether(hole, closed) && isTogether(hole, closedAfter));
}
