import { describe, expect, it } from "vitest";
import { solve } from "../../server/order/backward.js";
import { early } from "../../server/order/early.js";
import { whyImpossible } from "../../server/order/impossible.js";
import type { Wish } from "../../server/order/plan.js";
import { fewestBroken } from "../../server/order/preferences.js";
import type { BenchSide, Puzzle, PuzzleRivet, PuzzleRule } from "../../server/order/puzzle.js";
import { seeded } from "../support/random.js";

/**
 * Backward removal against exhaustive search that goes forwards over every state: an order is found
 * exactly when there is one, and with the fewest turn-overs. The search knows only the puzzle's words.
 */
interface Found {
  readonly possible: boolean;
  readonly turnOvers: number;
}

/** Breadth-first over (what is done, which side is up): fewest turns to do everything. */
function search(puzzle: Puzzle): Found {
  const ids = [...puzzle.parts, ...puzzle.rivets.map((rivet) => rivet.id)];
  const bit = new Map(ids.map((id, i) => [id, 1 << i]));
  const rivetOf = new Map(puzzle.rivets.map((rivet) => [rivet.id, rivet]));
  const on = new Set(puzzle.on);
  const all = (1 << ids.length) - 1;
  const isOn = (done: number, part: string): boolean => on.has(part) || (done & (bit.get(part) ?? 0)) !== 0;
  const allowed = (done: number, id: string, side: BenchSide): boolean => {
    const rivet = rivetOf.get(id);
    if (!rivet) {
      return puzzle.rules.every(
        (rule) => rule.part !== id || rule.relation === "after" || (done & (bit.get(rule.rivet) ?? 0)) !== 0,
      );
    }
    return (
      (rivet.side === null || rivet.side === side) &&
      rivet.through.every((part) => isOn(done, part)) &&
      rivet.approaches.some((parts) => parts.every((part) => !isOn(done, part))) &&
      puzzle.rules.every((rule) => rule.rivet !== id || isOn(done, rule.part) === (rule.relation === "after"))
    );
  };
  let layer = new Set(["0 up", "0 over"]);
  const seen = new Set<string>();
  for (let turns = 0; layer.size > 0; turns += 1) {
    const stack = [...layer];
    const turned = new Set<string>();
    while (stack.length > 0) {
      const state = stack.pop() ?? "";
      if (seen.has(state)) continue;
      seen.add(state);
      const [done = 0, side = "up"] = [Number(state.split(" ")[0]), state.split(" ")[1] as BenchSide];
      if (done === all) return { possible: true, turnOvers: turns };
      for (const id of ids) {
        const mask = bit.get(id) ?? 0;
        if ((done & mask) === 0 && allowed(done, id, side)) stack.push(`${done | mask} ${side}`);
      }
      turned.add(`${done} ${side === "up" ? "over" : "up"}`);
    }
    layer = new Set([...turned].filter((state) => !seen.has(state)));
  }
  return { possible: false, turnOvers: 0 };
}

function randomPuzzle(random: () => number): Puzzle {
  const pick = (count: number): number => Math.floor(random() * count);
  const parts = Array.from({ length: 2 + pick(3) }, (_, i) => `P${i}`);
  const on = random() < 0.3 ? ["Q"] : [];
  const known = [...parts, ...on];
  const some = (share: number): string[] => known.filter(() => random() < share);
  const rivets: PuzzleRivet[] = Array.from({ length: 2 + pick(4) }, (_, i) => {
    const through = new Set([known[pick(known.length)] ?? "P0", known[pick(known.length)] ?? "P0"]);
    const clear = (blockers: string[]): string[] => blockers.filter((part) => !through.has(part));
    return {
      id: `r${i}`,
      run: `run${pick(2)}`,
      through: [...through],
      approaches: Array.from({ length: 1 + pick(2) }, () => clear(some(0.4))),
      side: ([null, "up", "over"] as const)[pick(3)] ?? null,
    };
  });
  const rules: PuzzleRule[] = Array.from({ length: pick(3) }, (_, i) => ({
    id: `rule${i}`,
    rivet: `r${pick(rivets.length)}`,
    relation: random() < 0.6 ? "before" : "after",
    part: parts[pick(parts.length)] ?? "P0",
  }));
  return { parts, on, rivets, rules, rank: new Map() };
}

/** Whether the moves keep every word of the puzzle. */
function keeps(puzzle: Puzzle, moves: ReturnType<typeof solve>["moves"]): boolean {
  const on = new Set(puzzle.on);
  const done = new Set<string>();
  for (const move of moves) {
    if (move.kind === "part") {
      if (on.has(move.id)) return false;
      const late = puzzle.rules.some(
        (rule) => rule.part === move.id && rule.relation === "before" && !done.has(rule.rivet),
      );
      if (late) return false;
      on.add(move.id);
    } else {
      const rivet = puzzle.rivets.find((one) => one.id === move.id);
      if (!rivet || done.has(move.id)) return false;
      if (rivet.side !== null && rivet.side !== move.side) return false;
      if (!rivet.through.every((part) => on.has(part))) return false;
      if (!rivet.approaches.some((parts) => parts.every((part) => !on.has(part)))) return false;
      const early = puzzle.rules.some(
        (rule) => rule.rivet === move.id && rule.relation === "after" && !on.has(rule.part),
      );
      if (early) return false;
      done.add(move.id);
    }
  }
  return true;
}

function turns(moves: ReturnType<typeof solve>["moves"]): number {
  return moves.filter((move, i) => i > 0 && moves[i - 1]?.side !== move.side).length;
}

describe("an order found backwards, beside exhaustive search forwards", () => {
  it("is found exactly when there is one, with the fewest turn-overs, on 4,000 random assemblies", () => {
    const random = seeded(20261);
    let possible = 0;
    let impossible = 0;
    for (let i = 0; i < 4000; i += 1) {
      const puzzle = randomPuzzle(random);
      const found = search(puzzle);
      const solution = solve(puzzle);
      expect(solution.stuck.length === 0, JSON.stringify(puzzle)).toBe(found.possible);
      if (found.possible) {
        expect(keeps(puzzle, solution.moves), JSON.stringify({ puzzle, solution })).toBe(true);
        expect(solution.turnOvers, JSON.stringify(puzzle)).toBe(found.turnOvers);
        const sooner = early(puzzle, solution.moves);
        expect(sooner.length).toBe(solution.moves.length);
        expect(keeps(puzzle, sooner), JSON.stringify({ puzzle, sooner })).toBe(true);
        expect(turns(sooner)).toBeLessThanOrEqual(found.turnOvers);
        expect(solution.moves.length).toBe(puzzle.parts.length + puzzle.rivets.length);
        possible += 1;
      } else impossible += 1;
    }
    // Both kinds were really met.
    expect(possible).toBeGreaterThan(500);
    expect(impossible).toBeGreaterThan(500);
  });
});

describe("preferences, beside trying every selection of them with the exhaustive search", () => {
  it("as few as possible are broken, and never at the price of a turn-over", () => {
    const random = seeded(4711);
    const pick = (count: number): number => Math.floor(random() * count);
    let broken = 0;
    let kept = 0;
    for (let i = 0; i < 500; i += 1) {
      const puzzle = randomPuzzle(random);
      const base = solve(puzzle);
      if (base.stuck.length > 0) continue;
      const wishes = Array.from({ length: 1 + pick(3) }, (_, n): Wish => {
        const relation = random() < 0.6 ? "before" : "after";
        const part = puzzle.parts[pick(puzzle.parts.length)] ?? "P0";
        const rivets = puzzle.rivets.filter(() => random() < 0.4);
        const rules = rivets.map(({ id }) => ({ id: `wish${n}`, rivet: id, relation, part }) as const);
        const preference = { rule: `wish${n}`, relation, part, holes: rivets.map(({ id }) => id) } as const;
        return { preference, rules, canBeKept: true };
      });
      const most = Math.max(
        ...Array.from({ length: 1 << wishes.length }, (_, chosen) => {
          const some = wishes.filter((_, n) => (chosen & (1 << n)) !== 0);
          const found = search({
            ...puzzle,
            rules: [...puzzle.rules, ...some.flatMap(({ rules }) => rules)],
          });
          return found.possible && found.turnOvers === base.turnOvers ? some.length : -1;
        }),
      );
      const best = fewestBroken(puzzle, base, wishes);
      expect(best.proved).toBe(true);
      expect(wishes.length - best.broken.length, JSON.stringify({ puzzle, wishes })).toBe(most);
      expect(best.solution.turnOvers).toBe(base.turnOvers);
      broken += best.broken.length;
      kept += most;
    }
    expect(broken).toBeGreaterThan(50);
    expect(kept).toBeGreaterThan(50);
  });
});

describe("why there is no order", () => {
  it("names rivets none of which could be left out: the rest could be built without any one of them", () => {
    const random = seeded(815);
    let met = 0;
    for (let i = 0; i < 2500; i += 1) {
      const puzzle = randomPuzzle(random);
      const { stuck } = solve(puzzle);
      if (stuck.length === 0) continue;
      const { core } = whyImpossible(puzzle, stuck);
      const only = (ids: readonly string[]): Puzzle => ({
        ...puzzle,
        rivets: puzzle.rivets.filter(({ id }) => ids.includes(id)),
        rules: puzzle.rules.filter(({ rivet }) => ids.includes(rivet)),
      });
      expect(core.length).toBeGreaterThan(0);
      expect(search(only(core)).possible, JSON.stringify(puzzle)).toBe(false);
      for (const rivet of core) {
        expect(search(only(core.filter((id) => id !== rivet))).possible, JSON.stringify(puzzle)).toBe(true);
      }
      met += 1;
    }
    expect(met).toBeGreaterThan(300);
  });

  it("two brackets that each wall in the other's rivet: the loop names both", () => {
    const rivet = (id: string, part: string, blocker: string): PuzzleRivet => ({
      id,
      run: id,
      through: [part],
      approaches: [[blocker]],
      side: null,
    });
    const puzzle: Puzzle = {
      parts: ["A", "B", "C"],
      on: [],
      rivets: [rivet("a", "A", "B"), rivet("b", "B", "A"), rivet("c", "C", "A")],
      rules: [],
      rank: new Map(),
    };
    const why = whyImpossible(puzzle, solve(puzzle).stuck);
    expect(why.core).toEqual(["a", "b"]);
    expect(new Set(why.loop.map(({ part }) => part))).toEqual(new Set(["A", "B"]));
    expect(why.rulesOnly).toBe(false);
  });

  it("rules that wait on each other are named as the loop of rules", () => {
    const free = (id: string, part: string): PuzzleRivet => ({
      id,
      run: id,
      through: [part],
      approaches: [[]],
      side: null,
    });
    const puzzle: Puzzle = {
      parts: ["A", "B"],
      on: [],
      rivets: [free("a", "A"), free("b", "B")],
      rules: [
        { id: "R-1", rivet: "a", relation: "before", part: "B" },
        { id: "R-2", rivet: "b", relation: "before", part: "A" },
      ],
      rank: new Map(),
    };
    const why = whyImpossible(puzzle, solve(puzzle).stuck);
    expect(why.rulesOnly).toBe(true);
    expect(why.loop.flatMap((wait) => (wait.because === "rule" ? [wait.rule] : [])).sort()).toEqual([
      "R-1",
      "R-2",
    ]);
  });
});

/**
 * Linear extensions of a poset, asked of the solver: one part per element, and for "low under high" a rivet
 * through low that high walls in, so low must come on before high. An order of the parts counts when, after
 * each part, the solver still finds an order for the rest.
 */
function countExtensions(size: number, pairs: readonly (readonly [low: number, high: number])[]): number {
  const rivets: readonly PuzzleRivet[] = pairs.map(([low, high], i) => ({
    id: `r${i}`,
    run: `r${i}`,
    through: [`P${low}`],
    approaches: [[`P${high}`]],
    side: null,
  }));
  const orders = (on: readonly string[], left: readonly string[], open: readonly PuzzleRivet[]): number =>
    left.length === 0
      ? 1
      : left.reduce((sum, part) => {
          const now = [...on, part];
          const isOn = (one: string): boolean => now.includes(one);
          // Whatever can be set at once is set at once: it blocks nobody.
          const still = open.filter(
            ({ through, approaches }) =>
              !(through.every(isOn) && approaches.some((parts) => !parts.some(isOn))),
          );
          const parts = left.filter((one) => one !== part);
          const rest: Puzzle = { parts, on: now, rivets: still, rules: [], rank: new Map() };
          return solve(rest).stuck.length === 0 ? sum + orders(now, parts, still) : sum;
        }, 0);
  return orders(
    [],
    Array.from({ length: size }, (_, i) => `P${i}`),
    rivets,
  );
}

describe("counts from the literature", () => {
  it("fence posets of 1 to 7 elements have 1, 1, 2, 5, 16, 61, 272 linear extensions", () => {
    // Euler's zigzag numbers; Stanley, Enumerative Combinatorics 1, 2nd ed., ch. 3 (cited from memory).
    const fences = [1, 2, 3, 4, 5, 6, 7].map((size) =>
      countExtensions(
        size,
        Array.from({ length: size - 1 }, (_, i): [number, number] => (i % 2 === 0 ? [i, i + 1] : [i + 1, i])),
      ),
    );
    expect(fences).toEqual([1, 1, 2, 5, 16, 61, 272]);
  });

  it("the Boolean lattice on three atoms has 48 linear extensions", () => {
    const pairs = Array.from({ length: 8 }, (_, low) =>
      [1, 2, 4].flatMap((bit) => ((low & bit) === 0 ? [[low, low | bit] as const] : [])),
    ).flat();
    expect(countExtensions(8, pairs)).toBe(48);
  });
});
