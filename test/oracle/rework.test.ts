import { afterAll, describe, expect, it } from "vitest";
import { mostDrilled, relevantTo, someDrilled, tried } from "../../server/order/rework-feasible.js";
import { programOf } from "../../server/order/rework-program.js";
import type { ReworkPuzzle, ReworkRivet, SetRivet } from "../../server/order/rework-types.js";
import { reworkSolver } from "../../server/rework-solver.js";
import { seeded } from "../support/random.js";
import { randomCovers, randomRework } from "../support/random-rework.js";
import { leastByMilp } from "./rework-milp.js";
import { leastByTrying } from "./rework-search.js";

const solver = reworkSolver({ timeLimitMs: 60_000 });
afterAll(() => solver.close());

const weightOf = ({ set }: ReworkPuzzle, drill: ReadonlySet<string>): number =>
  set.reduce((sum, { id, weight }) => sum + (drill.has(id) ? weight : 0), 0);

/** The way back as the program finds it: its weight; null when there is none. What it says is tried out. */
async function leastFound(whole: ReworkPuzzle): Promise<number | null> {
  const puzzle = relevantTo(whole);
  const { drill: most, stuck } = mostDrilled(puzzle);
  if (stuck.length > 0) return null;
  const program = programOf(puzzle, most);
  const { open, proved } = await solver.solve(program.text);
  expect(proved).toBe(true);
  const quick = someDrilled(puzzle);
  if (open === null) {
    expect(quick).toBeNull();
    return null;
  }
  const drill = program.drillFor(open);
  expect(tried(whole, drill).works, JSON.stringify(whole)).toBe(true);
  if (quick) {
    expect(tried(whole, quick).works, JSON.stringify(whole)).toBe(true);
    expect(weightOf(puzzle, quick)).toBeGreaterThanOrEqual(weightOf(puzzle, drill));
  }
  return weightOf(puzzle, drill);
}

/** How many cases had no way back, needed nothing, needed something. */
class Tally {
  none = 0;
  nothing = 0;
  some = 0;

  count(least: number | null): void {
    if (least === null) this.none += 1;
    else if (least === 0) this.nothing += 1;
    else this.some += 1;
  }
}

describe("the least to drill out, beside trying every choice", () => {
  it("is the same on 800 random benches of 4 to 11 rivets, and where nothing works both say so", async () => {
    const random = seeded(31);
    const tally = new Tally();
    for (let i = 0; i < 800; i += 1) {
      const elements = 4 + Math.floor(random() * 8);
      const puzzle =
        i % 2 === 0
          ? randomCovers(random, elements)
          : randomRework(random, Math.min(elements, 9), 3 + Math.floor(random() * 4), 0.25 + 0.2 * random());
      const least = leastByTrying(puzzle);
      expect(await leastFound(puzzle), JSON.stringify(puzzle)).toBe(least);
      tally.count(least);
    }
    // All kinds were really met.
    expect(tally.some).toBeGreaterThan(200);
    expect(tally.none).toBeGreaterThan(100);
    expect(tally.nothing).toBeGreaterThan(50);
  }, 120_000);
});

describe("the least to drill out, beside a mixed-integer program solved by HiGHS", () => {
  for (const [elements, cases] of [
    [5, 40],
    [10, 40],
    [20, 40],
    [40, 30],
    [60, 30],
  ] as const) {
    it(`is the same on ${cases} random benches of ${elements} rivets`, async () => {
      const random = seeded(1000 + elements);
      const tally = new Tally();
      for (let i = 0; i < cases; i += 1) {
        const puzzle = randomCovers(random, elements);
        const least = await leastByMilp(puzzle);
        expect(await leastFound(puzzle), JSON.stringify(puzzle)).toBe(least);
        tally.count(least);
      }
      expect(tally.some).toBeGreaterThan(cases / 8);
    }, 120_000);
  }
});

/** A set rivet that holds one cover on and can be drilled at any time. */
const holding = (id: string, cover: string, weight: number): SetRivet => ({
  id,
  run: id,
  side: null,
  through: [cover],
  approaches: [[]],
  weight,
  drillWays: [[]],
});

const behind = (id: string, ...ways: readonly (readonly string[])[]): ReworkRivet => ({
  id,
  run: id,
  side: null,
  through: ["frame"],
  approaches: ways,
});

describe("cases from the literature", () => {
  it("two rivets, each behind a cover of its own of weight 2 or one that they share of weight 3: the shared one", async () => {
    // What each rivet alone would take (its own cover) costs 4 for both; together the shared cover costs 3.
    // That the cheapest for each is not the cheapest for all is what makes such problems hard: Goldwasser and
    // Motwani, "Intractability of Assembly Sequencing: Unit Disks in the Plane", WADS 1997; Möhring, Skutella
    // and Stork, "Scheduling with AND/OR Precedence Constraints", SIAM J. Comput. 33(2), 2004.
    const puzzle: ReworkPuzzle = {
      set: [holding("own a", "cover a", 2), holding("own b", "cover b", 2), holding("both", "shared", 3)],
      missing: [behind("a", ["cover a"], ["shared"]), behind("b", ["cover b"], ["shared"])],
      rules: [],
      rank: new Map(),
    };
    const alone = async (id: string): Promise<number | null> =>
      leastFound({ ...puzzle, missing: puzzle.missing.filter((rivet) => rivet.id === id) });
    expect([await alone("a"), await alone("b")]).toEqual([2, 2]);
    expect(await leastFound(puzzle)).toBe(3);
    expect(await leastByMilp(puzzle)).toBe(3);
    expect(leastByTrying(puzzle)).toBe(3);
  });

  it("covers whose rivets wait for each other's opening can't be drilled: no circle counts as a reason", async () => {
    const locked = (id: string, cover: string, other: string): SetRivet => ({
      ...holding(id, cover, 1),
      drillWays: [[other]],
    });
    const puzzle: ReworkPuzzle = {
      set: [locked("a", "cover a", "cover b"), locked("b", "cover b", "cover a")],
      missing: [behind("lost", ["cover a"])],
      rules: [],
      rank: new Map(),
    };
    expect(await leastFound(puzzle)).toBeNull();
    expect(await leastByMilp(puzzle)).toBeNull();
    // The program itself finds none either, were it asked without the check before it.
    const { open, proved } = await solver.solve(programOf(puzzle, new Set(["a", "b"])).text);
    expect({ open, proved }).toEqual({ open: null, proved: true });
  });
});
