import { solve } from "./backward.js";
import type { Puzzle, PuzzleRivet } from "./puzzle.js";

/** Why a rivet has to be set before a part comes on, or a part be on before a rivet is set. */
export type Wait =
  /** The part would take the rivet's last approach; the other approaches are taken by parts that wait too. */
  | {
      readonly rivet: string;
      readonly order: "rivet first";
      readonly part: string;
      readonly because: "access";
      /** How many accesses the rivet has; each of them is taken by something that waits too, or is on for good. */
      readonly ways: number;
    }
  | {
      readonly rivet: string;
      readonly order: "rivet first" | "part first";
      readonly part: string;
      readonly because: "rule";
      readonly rule: string;
    }
  /** The rivet goes through the part. */
  | {
      readonly rivet: string;
      readonly order: "part first";
      readonly part: string;
      readonly because: "stack";
    };

export interface Impossible {
  /** Every element that no order reaches: parts and rivets by id. */
  readonly stuck: readonly string[];
  /**
   * Rivets that together make it impossible, none of which could be left out: without any one of them the
   * rest could be built. One such set; there may be others.
   */
  readonly core: readonly string[];
  /** A chain of waits among the core: each waits for the next, the last for the first unless `closed` ends it. */
  readonly loop: readonly Wait[];
  /** A part that is on for good and ends the chain, so that it is no circle; null when it is one. */
  readonly closed: string | null;
  /** True when the loop is made of rules and stacks alone, no access: then a rule is wrong, not the drawing. */
  readonly rulesOnly: boolean;
}

/**
 * Why no order exists: what remains, a smallest set of rivets that together make it so, and the loop in it.
 * @param puzzle  one whose solution leaves something stuck
 */
export function whyImpossible(puzzle: Puzzle, stuck: readonly string[]): Impossible {
  const core = coreOf(puzzle, stuck);
  const loop = loopIn({ ...puzzle, rivets: puzzle.rivets.filter(({ id }) => core.includes(id)) }, stuck);
  const last = loop.at(-1);
  const closed = last?.order === "rivet first" && puzzle.on.includes(last.part) ? last.part : null;
  return { stuck, core, loop, closed, rulesOnly: loop.every(({ because }) => because !== "access") };
}

/**
 * Leaves out stuck rivets, many at a time and then one by one, as long as the rest stays impossible. Fewer
 * rivets are never harder, so one that could not be left out of more can't be left out of fewer either.
 */
function coreOf(puzzle: Puzzle, stuck: readonly string[]): string[] {
  const isStuck = new Set(stuck);
  const impossible = (rivets: readonly PuzzleRivet[]): boolean => {
    const left = new Set(solve({ ...puzzle, rivets }).stuck);
    return rivets.some(({ id }) => left.has(id));
  };
  let core = puzzle.rivets.filter(({ id }) => isStuck.has(id)).sort((a, b) => (a.id < b.id ? -1 : 1));
  for (let size = Math.ceil(core.length / 2); size >= 1; size = size === 1 ? 0 : Math.ceil(size / 2)) {
    for (let from = 0; from < core.length; ) {
      const without = [...core.slice(0, from), ...core.slice(from + size)];
      if (without.length > 0 && impossible(without)) core = without;
      else from += size;
    }
  }
  return core.map(({ id }) => id);
}

/** Follows the waits from the first rivet until one comes round again. */
function loopIn(puzzle: Puzzle, stuck: readonly string[]): Wait[] {
  const remaining = new Set(stuck);
  const [start] = puzzle.rivets;
  if (!start) return [];
  const path: Wait[] = [];
  const seen = new Map<string, number>();
  let rivet: PuzzleRivet | undefined = start;
  while (rivet && !seen.has(rivet.id)) {
    seen.set(rivet.id, path.length);
    const first = firstBefore(puzzle, rivet, remaining);
    if (!first) return [];
    path.push(first);
    const then = laterThrough(puzzle, first.part);
    if (!then) return path;
    path.push(then);
    rivet = puzzle.rivets.find(({ id }) => id === then.rivet);
  }
  return path.slice(rivet ? (seen.get(rivet.id) ?? 0) : 0);
}

/** A part that the rivet has to be set before. */
function firstBefore(puzzle: Puzzle, rivet: PuzzleRivet, remaining: ReadonlySet<string>): Wait | null {
  const there = (part: string): boolean => remaining.has(part) || puzzle.on.includes(part);
  const rule = puzzle.rules.find(
    (one) => one.rivet === rivet.id && one.relation === "before" && there(one.part),
  );
  if (rule) {
    return { rivet: rivet.id, order: "rivet first", part: rule.part, because: "rule", rule: rule.id };
  }
  // A part that waits itself tells more than one that is on for good.
  const blockers = rivet.approaches.flatMap(
    (parts) => parts.find((one) => remaining.has(one)) ?? parts.find(there) ?? [],
  );
  const part = blockers.find((one) => remaining.has(one)) ?? blockers[0];
  const ways = rivet.approaches.length;
  return part === undefined ? null : { rivet: rivet.id, order: "rivet first", part, because: "access", ways };
}

/** A rivet that needs this part to be on. */
function laterThrough(puzzle: Puzzle, part: string): Wait | null {
  const rivet = puzzle.rivets.find(({ through }) => through.includes(part));
  if (rivet) return { rivet: rivet.id, order: "part first", part, because: "stack" };
  const rule = puzzle.rules.find(
    (one) =>
      one.part === part && one.relation === "after" && puzzle.rivets.some(({ id }) => id === one.rivet),
  );
  return rule ? { rivet: rule.rivet, order: "part first", part, because: "rule", rule: rule.id } : null;
}
