import { Heap } from "./heap.js";
import type { BenchSide, Puzzle, PuzzleMove, PuzzleSolution } from "./puzzle.js";
import { compareByRank } from "./rank.js";

/**
 * A complete order found backwards. Going backwards is monotone: taking something off only ever frees
 * others, so removing whatever can be removed finds an order whenever there is one, and what never comes
 * off has no order. Removing all that one side allows before each turn gives the fewest turn-overs; both
 * starting sides are tried.
 *
 * Ties: the element of highest rank comes off first (so the lowest rank is done first), runs of rivets
 * stay together, then ids decide. Same puzzle, same order, however its lists are shuffled.
 * Cost: every element and every blocking pair is touched once; a heap keeps the choice.
 */
export function solve(puzzle: Puzzle): PuzzleSolution {
  const table = tableOf(puzzle);
  const one = remove(table, "up");
  const other = remove(table, "over");
  return one.turnOvers <= other.turnOvers ? one : other;
}

/** Elements numbered so that a smaller number comes off earlier, with what each waits for. */
interface Table {
  readonly ids: readonly string[];
  readonly kinds: readonly PuzzleMove["kind"][];
  readonly sides: readonly (BenchSide | null)[];
  readonly runs: readonly (string | null)[];
  /** Things that must be off before it: for a part its rivets and those set after it, for a rivet parts it goes before. */
  readonly waitsFor: readonly number[];
  /** By element: elements that wait for it. */
  readonly waiters: readonly (readonly number[])[];
  /** By approach: its rivet, and how many parts that can come off block it; those that never do are left out. */
  readonly approachOf: readonly number[];
  readonly approachBlocks: readonly number[];
  /** By element (a part): approaches that it blocks. */
  readonly blocks: readonly (readonly number[])[];
  /** Rivets with an approach that nothing blocks from the start. */
  readonly freeAtOnce: readonly boolean[];
}

function tableOf(puzzle: Puzzle): Table {
  const rivets = new Map(puzzle.rivets.map((rivet) => [rivet.id, rivet]));
  const sorted = [
    ...puzzle.parts.map((id) => ({ id, kind: "part" as const })),
    ...puzzle.rivets.map(({ id }) => ({ id, kind: "rivet" as const })),
  ].sort((a, b) => compareByRank(puzzle.rank, b.id, a.id));
  const placeOf = new Map(sorted.map(({ id, kind }, place) => [`${kind} ${id}`, place]));
  const partAt = (id: string): number | undefined => placeOf.get(`part ${id}`);
  const rivetAt = (id: string): number | undefined => placeOf.get(`rivet ${id}`);
  const on = new Set(puzzle.on);
  const waitsFor: number[] = sorted.map(() => 0);
  const waiters: number[][] = sorted.map(() => []);
  const blocks: number[][] = sorted.map(() => []);
  const approachOf: number[] = [];
  const approachBlocks: number[] = [];
  const freeAtOnce: boolean[] = sorted.map(() => false);
  const wait = (who: number, whom: number): void => {
    waitsFor[who] = (waitsFor[who] ?? 0) + 1;
    waiters[whom]?.push(who);
  };
  for (const rivet of puzzle.rivets) {
    const place = rivetAt(rivet.id);
    if (place === undefined) continue;
    for (const part of new Set(rivet.through)) {
      const partPlace = partAt(part);
      if (partPlace !== undefined) wait(partPlace, place);
    }
    for (const approach of rivet.approaches) {
      if (approach.some((part) => on.has(part))) continue;
      const blockers = [...new Set(approach)].flatMap((part) => partAt(part) ?? []);
      if (blockers.length === 0) freeAtOnce[place] = true;
      for (const blocker of blockers) blocks[blocker]?.push(approachOf.length);
      approachOf.push(place);
      approachBlocks.push(blockers.length);
    }
  }
  for (const rule of puzzle.rules) {
    const rivet = rivetAt(rule.rivet);
    const part = partAt(rule.part);
    if (rivet === undefined) continue;
    if (rule.relation === "after") {
      // The rivet comes off first, then the part. A part that is on already is before it anyway.
      if (part !== undefined) wait(part, rivet);
    } else if (part !== undefined) wait(rivet, part);
    // Set before a part that is on for good: no order keeps it.
    else if (on.has(rule.part)) waitsFor[rivet] = (waitsFor[rivet] ?? 0) + 1;
  }
  return {
    ids: sorted.map(({ id }) => id),
    kinds: sorted.map(({ kind }) => kind),
    sides: sorted.map(({ id, kind }) => (kind === "rivet" ? (rivets.get(id)?.side ?? null) : null)),
    runs: sorted.map(({ id, kind }) => (kind === "rivet" ? (rivets.get(id)?.run ?? null) : null)),
    waitsFor,
    waiters,
    approachOf,
    approachBlocks,
    blocks,
    freeAtOnce,
  };
}

/** The state of a removal: what is off, and what that frees. */
interface Removal {
  /** Takes an element off and tells which elements become free to come off by it. */
  release(place: number): readonly number[];
  /** Elements that can come off with everything on. */
  readonly free: readonly number[];
}

function removal(table: Table): Removal {
  const waitsFor = [...table.waitsFor];
  const approachBlocks = [...table.approachBlocks];
  const reachable = table.kinds.map((kind, place) => kind === "part" || (table.freeAtOnce[place] ?? false));
  const isFree = (place: number): boolean => (reachable[place] ?? false) && waitsFor[place] === 0;
  return {
    free: table.ids.flatMap((_, place) => (isFree(place) ? [place] : [])),
    release: (place) => {
      const freed: number[] = [];
      for (const waiter of table.waiters[place] ?? []) {
        waitsFor[waiter] = (waitsFor[waiter] ?? 0) - 1;
        if (isFree(waiter)) freed.push(waiter);
      }
      for (const approach of table.blocks[place] ?? []) {
        approachBlocks[approach] = (approachBlocks[approach] ?? 0) - 1;
        const rivet = table.approachOf[approach] ?? -1;
        if (approachBlocks[approach] === 0 && !reachable[rivet]) {
          reachable[rivet] = true;
          if (isFree(rivet)) freed.push(rivet);
        }
      }
      return freed;
    },
  };
}

/** Takes off all that comes off, the given side up first (so last in the order). */
function remove(table: Table, first: BenchSide): PuzzleSolution {
  const { free, release } = removal(table);
  const gone: boolean[] = table.ids.map(() => false);
  const queues = { up: new Heap(), over: new Heap(), either: new Heap() };
  const byRun = new Map<string, Heap>();

  const enqueue = (place: number): void => {
    queues[table.sides[place] ?? "either"].push(place);
    const run = table.runs[place];
    if (!run) return;
    const heap = byRun.get(run) ?? new Heap();
    heap.push(place);
    byRun.set(run, heap);
  };
  const take = (heap: Heap | undefined): number | undefined => {
    for (let place = heap?.pop(); place !== undefined; place = heap?.pop()) if (!gone[place]) return place;
    return undefined;
  };
  /** The next to come off with this side up: the run at hand goes on, else whatever ranks last. */
  const next = (side: BenchSide, run: string | null): number | undefined => {
    const same = run === null ? undefined : take(byRun.get(run));
    if (same !== undefined) {
      if (table.sides[same] === null || table.sides[same] === side) return same;
      byRun.get(run ?? "")?.push(same);
    }
    const own = take(queues[side]);
    const either = take(queues.either);
    if (own === undefined || either === undefined) return own ?? either;
    queues[own < either ? "either" : side].push(Math.max(own, either));
    return Math.min(own, either);
  };

  free.forEach(enqueue);
  const taken: { readonly place: number; readonly side: BenchSide }[] = [];
  let side = first;
  let turnOvers = 0;
  let run: string | null = null;
  for (;;) {
    let place = next(side, run);
    if (place === undefined) {
      const back: BenchSide = side === "up" ? "over" : "up";
      place = next(back, null);
      if (place === undefined) break;
      // Nothing came off on the first side: then it was never up.
      if (taken.length > 0) turnOvers += 1;
      side = back;
    }
    gone[place] = true;
    run = table.runs[place] ?? null;
    taken.push({ place, side });
    release(place).forEach(enqueue);
  }
  return {
    moves: taken.reverse().map((move) => ({
      kind: table.kinds[move.place] ?? "part",
      id: table.ids[move.place] ?? "",
      side: move.side,
    })),
    turnOvers,
    stuck: table.ids.filter((_, place) => !gone[place]).sort(),
  };
}
