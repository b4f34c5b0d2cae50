import { describe, expect, test, vi } from "vitest";
import { NO_WORK } from "../../server/kit/work.js";
import { beforeClosing, walledInNow } from "../../server/order/closing.js";
import { maySet, maySetTogether } from "../../server/order/may-set.js";
import { reachOf } from "../../server/reach/reach.js";
import { type HoleInWords, standing } from "../support/in-words.js";
import { seeded } from "../support/random.js";
import { assembly, kit } from "../support/tailplane.js";

// Thousands of cases: seconds on an idle machine, a minute on a busy one.
vi.setConfig({ testTimeout: 180_000 });

/**
 * Closings beside brute force: on small random assemblies every sequence of rivets that can be set is
 * followed to its end, and what is asked is read off the states that come up. Nothing here knows how
 * server/order finds its answers.
 */
const ASSEMBLIES = 800;

type Bench = Readonly<Record<string, HoleInWords>>;
/** Which rivets are set. */
type State = ReadonlySet<string>;

class Futures {
  readonly start: State;
  private known: readonly State[] | null = null;

  constructor(private readonly bench: Bench) {
    this.start = new Set(Object.keys(bench).filter((id) => bench[id]?.state === "set"));
  }

  /** Every state that some sequence of settable rivets leads to, the start included. */
  get states(): readonly State[] {
    this.known ??= this.follow();
    return this.known;
  }

  private follow(): State[] {
    const found = new Map([[keyOf(this.start), this.start]]);
    const waiting: State[] = [this.start];
    for (let state = waiting.pop(); state; state = waiting.pop()) {
      for (const hole of Object.keys(this.bench)) {
        if (!this.canSet(hole, state)) continue;
        const next = new Set([...state, hole]);
        if (found.has(keyOf(next))) continue;
        found.set(keyOf(next), next);
        waiting.push(next);
      }
    }
    return [...found.values()];
  }

  isClosed(part: string, state: State): boolean {
    return [...state].some((hole) => this.bench[hole]?.through.includes(part));
  }

  /** Approaches of a hole that nothing closed, and nothing of its own stack, stands in. */
  free(hole: string, state: State): string[] {
    const drawn = this.bench[hole];
    if (!drawn) throw new Error(`no hole ${hole}`);
    return Object.entries(drawn.approaches)
      .filter(([, parts]) =>
        parts.every((part) => !drawn.through.includes(part) && !this.isClosed(part, state)),
      )
      .map(([approach]) => approach);
  }

  canSet(hole: string, state: State): boolean {
    return !state.has(hole) && this.free(hole, state).length > 0;
  }

  /** Whether some sequence from here sets every rivet that could be set at the start. */
  canAll(from: State): boolean {
    const wanted = Object.keys(this.bench).filter((id) => this.start.has(id) || this.canSet(id, this.start));
    return this.states.some(
      (state) =>
        wanted.every((id) => state.has(id)) &&
        [...from].every((id) => state.has(id)) &&
        this.leads(from, state),
    );
  }

  /** Whether a sequence of settable rivets leads from one state to another. */
  private leads(from: State, to: State): boolean {
    const seen = new Set([keyOf(from)]);
    const waiting: State[] = [from];
    for (let state = waiting.pop(); state; state = waiting.pop()) {
      if (keyOf(state) === keyOf(to)) return true;
      for (const hole of to) {
        if (!this.canSet(hole, state)) continue;
        const next = new Set([...state, hole]);
        if (seen.has(keyOf(next))) continue;
        seen.add(keyOf(next));
        waiting.push(next);
      }
    }
    return false;
  }

  /** States in which the part is closed and the hole is still open. */
  passedBy(hole: string, part: string): State[] {
    return this.states.filter((state) => this.isClosed(part, state) && !state.has(hole));
  }

  /** States after one more rivet, another than this hole's, that closes the part. */
  closings(hole: string, part: string): State[] {
    return Object.keys(this.bench)
      .filter((other) => other !== hole && this.canSet(other, this.start))
      .map((other) => new Set([...this.start, other]))
      .filter((state) => this.isClosed(part, state));
  }
}

function keyOf(state: State): string {
  return [...state].sort().join(" ");
}

const random = seeded(7_031);
const some = <T>(choices: readonly T[], likely: number): T[] => choices.filter(() => random() < likely);
const upTo = (most: number): number => 1 + Math.floor(random() * most);

/** Three to six parts, up to seven holes, one or two approaches each, and a few rivets set by someone who could. */
function someBench(): Bench {
  const parts = ["A", "B", "C", "D", "E", "F"].slice(0, 2 + upTo(4));
  const holes: Record<string, HoleInWords> = {};
  for (let i = 1, count = 2 + upTo(5); i <= count; i++) {
    const shuffled = parts.map((part) => [random(), part] as const).sort(([a], [b]) => a - b);
    const through = shuffled.slice(0, upTo(3)).map(([, part]) => part);
    const crowded = random() * 0.6;
    const approaches: Record<string, readonly string[]> = { outside: inTheWay(parts, through, crowded) };
    if (random() < 0.5) approaches.inside = inTheWay(parts, through, crowded);
    holes[`${through[0]}.row.${i}`] = { through, approaches };
  }
  let state: State = new Set();
  const bench = new Futures(holes);
  for (let i = Math.floor(random() * 3); i > 0; i--) {
    const [next] = some(
      Object.keys(holes).filter((hole) => bench.canSet(hole, state)),
      0.5,
    );
    if (next !== undefined) state = new Set([...state, next]);
  }
  return Object.fromEntries(
    Object.entries(holes).map(([id, hole]) => [id, state.has(id) ? { ...hole, state: "set" } : hole]),
  );
}

function inTheWay(parts: readonly string[], through: readonly string[], crowded: number): string[] {
  // Its own stack now and then, other parts more often.
  return parts.filter((part) => random() < (through.includes(part) ? crowded / 8 : crowded));
}

function partsOf(bench: Bench): string[] {
  return [...new Set(Object.values(bench).flatMap(({ through }) => through))];
}

const ids = (holes: readonly { readonly hole: string }[]): string[] => holes.map(({ hole }) => hole);

describe(`closings of ${ASSEMBLIES} small random assemblies, beside following every sequence of rivets`, () => {
  const benches = Array.from({ length: ASSEMBLIES }, someBench);

  test("before closing a part, exactly those rivets are named that can never be set once it is closed without them", () => {
    let named = 0;
    let depending = 0;
    let oneSided = 0;
    for (const bench of benches) {
      const { assembly, reach, work } = standing({ holes: bench });
      const futures = new Futures(bench);
      const { start } = futures;
      for (const part of partsOf(bench)) {
        const answer = beforeClosing(assembly, reach, work, part);
        const isClosed = futures.isClosed(part, start);
        const canClose = futures.states.some((state) => futures.isClosed(part, state));
        expect(answer.status).toBe(isClosed ? "closed" : canClose ? "open" : "cannot close");
        const settable = isClosed ? [] : Object.keys(bench).filter((hole) => futures.canSet(hole, start));
        const lost = settable.filter((hole) => {
          const passedBy = futures.passedBy(hole, part);
          return passedBy.length > 0 && passedBy.every((state) => !futures.canSet(hole, state));
        });
        const atRisk = settable.filter(
          (hole) =>
            !lost.includes(hole) &&
            futures.closings(hole, part).some((state) => !futures.canSet(hole, state)),
        );
        const narrowed = settable.filter(
          (hole) =>
            !lost.includes(hole) &&
            !atRisk.includes(hole) &&
            futures
              .closings(hole, part)
              .some((state) => futures.free(hole, state).length < futures.free(hole, start).length),
        );
        expect(ids(answer.mustBefore)).toEqual(lost);
        expect(ids(answer.dependsOnWay)).toEqual(atRisk);
        expect(ids(answer.alsoOneSided)).toEqual(narrowed);
        named += lost.length;
        depending += atRisk.length;
        oneSided += narrowed.length;
      }
    }
    console.log(
      `before closing: ${named} rivets first, ${depending} hang on the way, ${oneSided} lose a side`,
    );
    expect(named).toBeGreaterThan(500);
    expect(depending).toBeGreaterThan(100);
    expect(oneSided).toBeGreaterThan(500);
  });

  test("walled in now are exactly the open rivets that no sequence ever sets", () => {
    let found = 0;
    for (const bench of benches) {
      const { assembly, reach, work } = standing({ holes: bench });
      const futures = new Futures(bench);
      const never = Object.keys(bench).filter((hole) => !futures.states.some((state) => state.has(hole)));
      expect(ids(walledInNow(assembly, reach, work))).toEqual(never);
      found += never.length;
    }
    expect(found).toBeGreaterThan(200);
  });

  test("setting a rivet is refused exactly when it can't be set, or when another could then never be", () => {
    const count = { yes: 0, no: 0 };
    let dead = 0;
    for (const bench of benches) {
      const here = standing({ holes: bench });
      const futures = new Futures(bench);
      for (const hole of Object.keys(bench)) {
        const after = new Set([...futures.start, hole]);
        const lost = Object.keys(bench).filter(
          (other) => other !== hole && futures.canSet(other, futures.start) && !futures.canSet(other, after),
        );
        // All that can be reached now may not go together afterwards: a dead end.
        const isDead = futures.canAll(futures.start) && !futures.canAll(after);
        const expected = futures.canSet(hole, futures.start) && lost.length === 0 && !isDead ? "yes" : "no";
        const { verdict, reasons } = maySet(here, hole);
        const partly = !futures.canAll(futures.start) && reasons.some(({ code }) => code === "dead-end");
        if (!partly) expect(verdict, JSON.stringify({ bench, hole, reasons })).toBe(expected);
        count[expected]++;
        if (isDead && lost.length === 0 && futures.canSet(hole, futures.start)) dead++;
      }
    }
    expect(dead).toBeGreaterThan(0);
    expect(count.yes).toBeGreaterThan(500);
    expect(count.no).toBeGreaterThan(500);
  });

  test("rivets may be set together exactly when some order of them sets them all and walls in no other", () => {
    const count = { yes: 0, no: 0 };
    for (const bench of benches) {
      const here = standing({ holes: bench });
      const futures = new Futures(bench);
      const open = Object.keys(bench).filter((hole) => !futures.start.has(hole));
      const chosen = some(open, 0.6);
      if (chosen.length === 0) continue;
      const all = new Set([...futures.start, ...chosen]);
      // An order exists when the state with exactly these rivets set comes up.
      const canBe = futures.states.some((state) => keyOf(state) === keyOf(all));
      const lost = open.filter(
        (other) =>
          !chosen.includes(other) && futures.canSet(other, futures.start) && !futures.canSet(other, all),
      );
      const answer = maySetTogether(here, chosen);
      const isDead = futures.canAll(futures.start) && canBe && !futures.canAll(all);
      const expected = canBe && lost.length === 0 && !isDead ? "yes" : "no";
      const partly = !futures.canAll(futures.start) && answer.reasons.some(({ code }) => code === "dead-end");
      if (partly) continue;
      expect(answer.verdict, JSON.stringify({ bench, chosen })).toBe(expected);
      count[expected]++;
      const order = answer.reasons.find((reason) => reason.code === "in-this-order");
      if (order?.code === "in-this-order" && canBe) {
        let state = futures.start;
        for (const hole of order.holes) {
          expect(futures.canSet(hole, state)).toBe(true);
          state = new Set([...state, hole]);
        }
        expect(keyOf(state)).toBe(keyOf(all));
      }
    }
    expect(count.yes).toBeGreaterThan(200);
    expect(count.no).toBeGreaterThan(200);
  });
});

test("on the tailplane the rivets named before each closing are those that one more rivet takes out of reach", () => {
  const reach = reachOf(kit, assembly);
  const bench = Object.fromEntries(
    assembly.holes.map(({ id, layers, index }): [string, HoleInWords] => {
      const approaches = reach.holes[index]?.approaches ?? [];
      const inTheWay = approaches.map(({ approach, blockedBy, ownStack }): [string, string[]] => [
        approach,
        [...blockedBy, ...ownStack].map(({ part }) => part),
      ]);
      return [id, { through: layers.map(({ part }) => part), approaches: Object.fromEntries(inTheWay) }];
    }),
  );
  const futures = new Futures(bench);
  let named = 0;
  for (const part of assembly.parts) {
    const answer = beforeClosing(assembly, reach, NO_WORK, part.id);
    const after = (hole: string): State[] => futures.closings(hole, part.id);
    const lost = Object.keys(bench).filter((hole) => {
      const closings = futures.canSet(hole, futures.start) ? after(hole) : [];
      return closings.length > 0 && closings.every((state) => !futures.canSet(hole, state));
    });
    expect(ids(answer.mustBefore), part.id).toEqual(lost);
    named += lost.length;
  }
  expect(named).toBeGreaterThan(20);
});
