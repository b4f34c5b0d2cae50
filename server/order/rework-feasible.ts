import { solve } from "./backward.js";
import type { Puzzle, PuzzleSolution } from "./puzzle.js";
import type { ReworkPuzzle, SetRivet } from "./rework-types.js";

/** How a choice of rivets to drill works out. */
export interface Tried {
  /** Drilling, as a removal: its moves turned round are the order to drill in. */
  readonly drilling: PuzzleSolution;
  /** Setting what is missing and what was drilled. */
  readonly setting: PuzzleSolution;
  readonly works: boolean;
}

/** Whether these rivets can be drilled out one after the other, and all of them and the missing ones set then. */
export function tried(puzzle: ReworkPuzzle, drill: ReadonlySet<string>): Tried {
  const drilling = solve(drillPuzzle(puzzle, drill));
  const setting = solve(setPuzzle(puzzle, drill));
  return { drilling, setting, works: drilling.stuck.length === 0 && setting.stuck.length === 0 };
}

/**
 * Drilling as the taking apart of an order: a rivet comes out while a way to its head is free, a part is open
 * once the last set rivet through it is out. Parts that a rivet which stays goes through are closed for good.
 */
function drillPuzzle({ set, rank }: ReworkPuzzle, drill: ReadonlySet<string>): Puzzle {
  const { drilled, kept, opened } = split(set, drill);
  return {
    parts: opened,
    on: kept,
    rivets: drilled.map(({ drillWays, ...rivet }) => ({ ...rivet, approaches: drillWays })),
    rules: [],
    rank,
  };
}

/** Setting what is missing and what was drilled, from where drilling left off. */
export function setPuzzle({ set, missing, rules, rank }: ReworkPuzzle, drill: ReadonlySet<string>): Puzzle {
  const { drilled, kept } = split(set, drill);
  const rivets = [...missing, ...drilled];
  const isKept = new Set(kept);
  const again = new Set(rivets.map(({ id }) => id));
  return {
    parts: [...new Set(rivets.flatMap(({ through }) => through))].filter((part) => !isKept.has(part)),
    on: kept,
    rivets,
    rules: rules.filter(({ rivet }) => again.has(rivet)),
    rank,
  };
}

function split(
  set: readonly SetRivet[],
  drill: ReadonlySet<string>,
): { readonly drilled: readonly SetRivet[]; readonly kept: readonly string[]; readonly opened: string[] } {
  const drilled = set.filter(({ id }) => drill.has(id));
  const kept = new Set(set.filter(({ id }) => !drill.has(id)).flatMap(({ through }) => through));
  const opened = new Set(drilled.flatMap(({ through }) => through).filter((part) => !kept.has(part)));
  return { drilled, kept: [...kept], opened: [...opened] };
}

/** The most that rework can reach. */
export interface Most {
  /** Every rivet of any choice that works is among these. */
  readonly drill: ReadonlySet<string>;
  /** Missing rivets that no choice lets be set. None: whether a choice works for all together is still to be found. */
  readonly stuck: readonly string[];
}

/**
 * The largest choice that could work. Drilling more only frees more, for drilling and for setting alike, but for
 * one thing: a rivet that a rule wants after a part makes that part wait for it once it is drilled. Those rules
 * are left aside here. So leaving out again and again what can't be drilled or can't be set again ends at the one
 * largest choice, and missing rivets that are stuck then are stuck with every choice.
 */
export function mostDrilled(puzzle: ReworkPuzzle): Most {
  const set = new Set(puzzle.set.map(({ id }) => id));
  const rules = puzzle.rules.filter(({ relation, rivet }) => relation === "before" || !set.has(rivet));
  return shrunk({ ...puzzle, rules });
}

/** Leaves out what can't be drilled or set again, until nothing more is to be left out. */
function shrunk(puzzle: ReworkPuzzle): Most {
  const drill = new Set(puzzle.set.filter(({ drillWays }) => drillWays.length > 0).map(({ id }) => id));
  for (;;) {
    const drilling = solve(drillPuzzle(puzzle, drill)).stuck.filter((id) => drill.has(id));
    for (const id of drilling) drill.delete(id);
    const { stuck } = solve(setPuzzle(puzzle, drill));
    const setting = stuck.filter((id) => drill.has(id));
    for (const id of setting) drill.delete(id);
    if (drilling.length === 0 && setting.length === 0) {
      const isStuck = new Set(stuck);
      return { drill, stuck: puzzle.missing.map(({ id }) => id).filter((id) => isStuck.has(id)) };
    }
  }
}

/** A choice that works, found without a solver: not the lightest, and null does not mean that there is none. */
export function someDrilled(puzzle: ReworkPuzzle): ReadonlySet<string> | null {
  const { drill } = shrunk(puzzle);
  return tried(puzzle, drill).works ? thinned(puzzle, drill) : null;
}

/**
 * The part of the question that can matter: rivets through parts that stand in the way of a missing rivet, or
 * of one that may have to be drilled for it, and so on. What lies outside never helps: drilling it opens
 * nothing that any of these waits for.
 */
export function relevantTo(puzzle: ReworkPuzzle): ReworkPuzzle {
  const through = new Map<string, SetRivet[]>();
  for (const rivet of puzzle.set) {
    for (const part of rivet.through) {
      const list = through.get(part);
      if (list) list.push(rivet);
      else through.set(part, [rivet]);
    }
  }
  const before = new Map<string, string[]>();
  for (const { rivet, relation, part } of puzzle.rules) {
    if (relation === "before") before.set(rivet, [...(before.get(rivet) ?? []), part]);
  }
  const seen = new Set<string>();
  const relevant = new Set<SetRivet>();
  const toLookAt: string[] = [];
  const look = (parts: Iterable<string>): void => {
    for (const part of parts) {
      if (seen.has(part)) continue;
      seen.add(part);
      toLookAt.push(part);
    }
  };
  for (const { id, approaches } of puzzle.missing) {
    look(approaches.flat());
    look(before.get(id) ?? []);
  }
  for (let part = toLookAt.pop(); part !== undefined; part = toLookAt.pop()) {
    for (const rivet of through.get(part) ?? []) {
      if (relevant.has(rivet)) continue;
      relevant.add(rivet);
      look(rivet.approaches.flat());
      look(rivet.drillWays.flat());
      look(before.get(rivet.id) ?? []);
    }
  }
  const ids = new Set([...puzzle.missing, ...relevant].map(({ id }) => id));
  return {
    ...puzzle,
    set: puzzle.set.filter((rivet) => relevant.has(rivet)),
    rules: puzzle.rules.filter(({ rivet }) => ids.has(rivet)),
  };
}

/** Trying to keep parts closed stops when so many elements have been gone through: the rest stays as it is. */
const MOST_ELEMENTS = 200_000;

/**
 * A choice with less in it: parts that need not be opened after all stay closed, the heaviest first. It works, and
 * where there was time to try them all no single part of it could stay closed; another choice may be lighter.
 */
function thinned(puzzle: ReworkPuzzle, drill: ReadonlySet<string>): ReadonlySet<string> {
  const chosen = puzzle.set.filter(({ id }) => drill.has(id));
  const weights = new Map<string, number>();
  for (const { through, weight } of chosen) {
    for (const part of through) weights.set(part, (weights.get(part) ?? 0) + weight);
  }
  const weightOf = (part: string): number => weights.get(part) ?? 0;
  const open = new Set(split(puzzle.set, drill).opened);
  const heaviest = [...open].sort((a, b) => weightOf(b) - weightOf(a) || (a < b ? -1 : 1));
  const through = (parts: ReadonlySet<string>): ReadonlySet<string> =>
    new Set(chosen.filter((rivet) => rivet.through.some((part) => parts.has(part))).map(({ id }) => id));
  const tries = Math.ceil(MOST_ELEMENTS / (puzzle.set.length + puzzle.missing.length));
  for (const part of heaviest.slice(0, tries)) {
    open.delete(part);
    if (!tried(puzzle, through(open)).works) open.add(part);
  }
  return through(open);
}
