import { solve } from "./backward.js";
import type { Wish } from "./plan.js";
import type { Puzzle, PuzzleSolution } from "./puzzle.js";

/** Above this many preferences not every selection is tried; the answer then says "not proved". */
const TRY_ALL_UP_TO = 10;
/** The same when an order of so many elements in all would have to be looked at. */
const MOST_ELEMENTS = 2_000_000;

/**
 * The order that breaks the fewest preferences without an extra turn-over: selections of broken ones are
 * tried by size, then in the preferences' order, and the first that works is taken.
 * @param base  an order that keeps the must rules alone
 */
export function fewestBroken(
  puzzle: Puzzle,
  base: PuzzleSolution,
  wishes: readonly Wish[],
): { readonly solution: PuzzleSolution; readonly broken: readonly Wish[]; readonly proved: boolean } {
  const hopeless = wishes.filter(({ canBeKept }) => !canBeKept);
  const open = wishes.filter(({ canBeKept }) => canBeKept);
  const keeping = (kept: readonly Wish[]): PuzzleSolution | null => {
    const solution = solve({ ...puzzle, rules: [...puzzle.rules, ...kept.flatMap(({ rules }) => rules)] });
    return solution.stuck.length === 0 && solution.turnOvers === base.turnOvers ? solution : null;
  };
  const elements = puzzle.parts.length + puzzle.rivets.length;
  if (open.length <= TRY_ALL_UP_TO && elements * 2 ** open.length <= MOST_ELEMENTS) {
    for (let size = 0; size <= open.length; size += 1) {
      for (const dropped of selections(open.length, size)) {
        const solution = keeping(open.filter((_, i) => !dropped.has(i)));
        if (solution) {
          return { solution, broken: [...hopeless, ...open.filter((_, i) => dropped.has(i))], proved: true };
        }
      }
    }
  }
  const kept: Wish[] = [];
  const broken: Wish[] = [];
  for (const wish of open) (keeping([...kept, wish]) ? kept : broken).push(wish);
  return { solution: keeping(kept) ?? base, broken: [...hopeless, ...broken], proved: broken.length === 0 };
}

/** Every way to pick so many of the first `count` numbers, in lexicographic order. */
function* selections(count: number, size: number, from = 0): Generator<ReadonlySet<number>> {
  if (size === 0) {
    yield new Set();
    return;
  }
  for (let first = from; first <= count - size; first += 1) {
    for (const rest of selections(count, size - 1, first + 1)) yield new Set([first, ...rest]);
  }
}
