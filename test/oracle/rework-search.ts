import type { PuzzleRule } from "../../server/order/puzzle.js";
import type { ReworkPuzzle, ReworkRivet } from "../../server/order/rework-types.js";

/**
 * Rework by trying every choice of rivets, each judged by going forwards over what is on and what is open. It
 * shares nothing with the program but the puzzle's words.
 */

/** Whether these rivets can be drilled out one after the other: each with a free way to its head at that time. */
function canDrill({ set }: ReworkPuzzle, drill: ReadonlySet<string>): boolean {
  let left = set.map((rivet) => rivet);
  for (;;) {
    const closed = new Set(left.flatMap(({ through }) => through));
    const out = left.find(
      ({ id, drillWays }) => drill.has(id) && drillWays.some((way) => !way.some((part) => closed.has(part))),
    );
    if (!out) return !left.some(({ id }) => drill.has(id));
    left = left.filter((rivet) => rivet !== out);
  }
}

/**
 * Whether everything missing and drilled can be set, over all sequences of parts coming on and rivets being
 * set. A rivet that can be set is set at once: it blocks nobody, only parts do.
 */
function canSet(puzzle: ReworkPuzzle, drill: ReadonlySet<string>): boolean {
  const stay = puzzle.set.filter(({ id }) => !drill.has(id));
  const todo: readonly ReworkRivet[] = [...puzzle.missing, ...puzzle.set.filter(({ id }) => drill.has(id))];
  const onFromTheStart = [...new Set(stay.flatMap(({ through }) => through))];
  const toCome = [...new Set(todo.flatMap(({ through }) => through))].filter(
    (part) => !onFromTheStart.includes(part),
  );
  const rulesOf = (rivet: string): PuzzleRule[] => puzzle.rules.filter((rule) => rule.rivet === rivet);
  const seen = new Set<string>();
  const go = (on: ReadonlySet<string>, open: readonly ReworkRivet[]): boolean => {
    const left = open.filter(
      ({ id, through, approaches }) =>
        !(
          through.every((part) => on.has(part)) &&
          approaches.some((way) => !way.some((part) => on.has(part))) &&
          rulesOf(id).every(({ relation, part }) => {
            if (relation === "before") return !on.has(part);
            return on.has(part) || !toCome.includes(part);
          })
        ),
    );
    if (left.length < open.length) return go(on, left);
    if (left.length === 0) return true;
    const key = `${[...on].sort().join(" ")} | ${left.map(({ id }) => id).join(" ")}`;
    if (seen.has(key)) return false;
    seen.add(key);
    return toCome.some(
      (part) =>
        !on.has(part) &&
        // A part that comes on while a rivet that must precede it is open can't be right any more.
        !left.some(({ id }) =>
          rulesOf(id).some((rule) => rule.relation === "before" && rule.part === part),
        ) &&
        go(new Set([...on, part]), left),
    );
  };
  return go(new Set(onFromTheStart), todo);
}

/** The least weight of a choice that works; null when none does. */
export function leastByTrying(puzzle: ReworkPuzzle): number | null {
  const { set } = puzzle;
  let least: number | null = null;
  for (let choice = 0; choice < 1 << set.length; choice += 1) {
    const chosen = set.filter((_, i) => (choice & (1 << i)) !== 0);
    const weight = chosen.reduce((sum, rivet) => sum + rivet.weight, 0);
    if (least !== null && weight >= least) continue;
    const drill = new Set(chosen.map(({ id }) => id));
    if (canDrill(puzzle, drill) && canSet(puzzle, drill)) least = weight;
  }
  return least;
}
