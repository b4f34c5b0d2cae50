import highsModule, { type LegacyHighs } from "highs";
import type { ReworkPuzzle, ReworkRivet } from "../../server/order/rework-types.js";

/**
 * Rework as a mixed-integer program: every set rivet is drilled or not (x), uses one of its ways to the head (y);
 * what is set again uses one of its approaches (z); times keep the order (t drilling, s setting, p a part coming
 * on). A part closed by a rivet that stays blocks for good. Solved by HiGHS; it shares nothing with the
 * answer-set program but the puzzle's words.
 */

const MISSING = "m";

class LinearProgram {
  private readonly rows: string[] = [];
  private readonly binaries = new Set<string>();
  private readonly times = new Set<string>();

  binary(name: string): string {
    this.binaries.add(name);
    return name;
  }

  time(name: string): string {
    this.times.add(name);
    return name;
  }

  /** Σ coefficient · variable ≥ bound. */
  atLeast(terms: readonly (readonly [number, string])[], bound: number): void {
    const sum = new Map<string, number>();
    for (const [factor, name] of terms) sum.set(name, (sum.get(name) ?? 0) + factor);
    this.rows.push(
      `c${this.rows.length}: ${said([...sum].map(([name, factor]) => [factor, name]))} >= ${bound}`,
    );
  }

  text(cost: readonly (readonly [number, string])[], mostTime: number): string {
    return [
      "Minimize",
      `cost: ${said([...cost, [0, this.time("none")]])}`,
      "Subject To",
      ...this.rows,
      "Bounds",
      ...[...this.times].map((name) => `0 <= ${name} <= ${mostTime}`),
      "Binary",
      ...this.binaries,
      "End",
    ].join("\n");
  }
}

function said(terms: readonly (readonly [number, string])[]): string {
  return terms.map(([factor, name]) => `${factor < 0 ? "-" : "+"} ${Math.abs(factor)} ${name}`).join(" ");
}

/** The program of a puzzle in the LP file format. */
export function milpOf(puzzle: ReworkPuzzle): string {
  const { set, missing, rules } = puzzle;
  const all: readonly ReworkRivet[] = [...set, ...missing];
  const numberOf = new Map(all.map(({ id }, i) => [id, i]));
  const parts = [...new Set(all.flatMap(({ through }) => through))];
  const partNumber = new Map(parts.map((part, i) => [part, i]));
  const throughSet = (part: string): number[] =>
    set.flatMap(({ id, through }) => (through.includes(part) ? [numberOf.get(id) ?? -1] : []));
  const most = all.length + parts.length + 2;
  const program = new LinearProgram();
  const drilled = (i: number): string => program.binary(`x${i}`);

  set.forEach(({ drillWays }, i) => {
    const x = drilled(i);
    const ways = drillWays.map((_, n) => program.binary(`y${i}_${n}`));
    program.atLeast([...ways.map((way) => [1, way] as const), [-1, x]], 0);
    drillWays.forEach((way, n) => {
      for (const other of way.flatMap(throughSet)) {
        const y = `y${i}_${n}`;
        program.atLeast(
          [
            [1, drilled(other)],
            [-1, y],
          ],
          0,
        );
        program.atLeast(
          [
            [1, program.time(`t${i}`)],
            [-1, program.time(`t${other}`)],
            [-most, y],
          ],
          1 - most,
        );
      }
    });
  });

  all.forEach(({ id, through, approaches }, i) => {
    const isMissing = i >= set.length;
    // A missing rivet is set for certain, one that was set only if it was drilled.
    const again = isMissing ? program.binary(`${MISSING}${i}`) : drilled(i);
    if (isMissing) program.atLeast([[1, again]], 1);
    const at = program.time(`s${i}`);
    for (const part of through) {
      program.atLeast(
        [
          [1, at],
          [-1, program.time(`p${partNumber.get(part)}`)],
          [-most, again],
        ],
        -most,
      );
    }
    const ways = approaches.map((_, n) => program.binary(`z${i}_${n}`));
    program.atLeast([...ways.map((way) => [1, way] as const), [-1, again]], 0);
    approaches.forEach((way, n) => {
      for (const part of way) comesLater(part, at, `z${i}_${n}`);
    });
    for (const { rivet, relation, part } of rules) {
      if (rivet !== id || !partNumber.has(part)) continue;
      if (relation === "before") comesLater(part, at, again);
      else
        program.atLeast(
          [
            [1, at],
            [-1, program.time(`p${partNumber.get(part)}`)],
            [-most, again],
          ],
          -most,
        );
    }
  });

  /** If the choice holds: no rivet that stays keeps the part on, and it comes on after that time. */
  function comesLater(part: string, at: string, choice: string): void {
    const number = partNumber.get(part);
    if (number === undefined) return;
    for (const other of throughSet(part))
      program.atLeast(
        [
          [1, drilled(other)],
          [-1, choice],
        ],
        0,
      );
    program.atLeast(
      [
        [1, program.time(`p${number}`)],
        [-1, at],
        [-most, choice],
      ],
      1 - most,
    );
  }

  return program.text(
    set.map(({ weight }, i) => [weight, drilled(i)] as const),
    most,
  );
}

// The package types its ES module as if it were CommonJS: what comes is the loader itself.
const loadHighs = highsModule as unknown as typeof highsModule.default;
let highs: Promise<LegacyHighs> | null = null;

/** The least weight of a choice that works; null when none does. */
export async function leastByMilp(puzzle: ReworkPuzzle): Promise<number | null> {
  highs ??= loadHighs();
  const { Status, ObjectiveValue } = (await highs).solve(milpOf(puzzle), { mip_rel_gap: 0, time_limit: 20 });
  if (Status === "Infeasible") return null;
  if (Status !== "Optimal") throw new Error(`HiGHS ended with ${Status}`);
  return Math.round(ObjectiveValue);
}
