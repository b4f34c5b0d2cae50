import type { PuzzleRule } from "./puzzle.js";
import type { Ranks } from "./rank.js";

/** A rivet as rework sees it: what it goes through, and what stands in the way of setting it. */
export interface ReworkRivet {
  readonly id: string;
  /** Rivets of one run are kept together where nothing speaks against it. */
  readonly run: string;
  readonly side: "up" | "over" | null;
  /** Parts it goes through. */
  readonly through: readonly string[];
  /** For each approach that can work at all: parts that block it while they are on. */
  readonly approaches: readonly (readonly string[])[];
}

/** A rivet that is set and may be drilled out. */
export interface SetRivet extends ReworkRivet {
  /** What drilling it out counts: a whole number, 1 or more. */
  readonly weight: number;
  /** For each way of getting a drill at its head: parts that block it while they are closed. None: it stays. */
  readonly drillWays: readonly (readonly string[])[];
}

/**
 * The bare question behind rework: which set rivets to drill out, at least weight, so that every missing rivet
 * can be set and every drilled one again. A part is closed while a set rivet goes through it. Nothing of the
 * kit is left in it but ids, so that it can be checked by exhaustive search and by solvers.
 */
export interface ReworkPuzzle {
  readonly set: readonly SetRivet[];
  readonly missing: readonly ReworkRivet[];
  /** Must rules for setting: rivet before, or after, a part comes on. Those of set rivets count if they are drilled. */
  readonly rules: readonly PuzzleRule[];
  readonly rank: Ranks;
}

/** What a solver says of a puzzle's program. */
export interface ReworkSolution {
  /** Parts to be opened, by their number in the program; null when none was found. */
  readonly open: readonly number[] | null;
  /** Whether it is certain: nothing lighter exists, or nothing at all. False when a time limit came first. */
  readonly proved: boolean;
}
