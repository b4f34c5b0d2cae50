import type { Ranks } from "./rank.js";

/**
 * The bare order problem behind a plan: parts come on, rivets are set. Nothing of the kit is left in it
 * but ids, so that it can be checked by exhaustive search and by solvers.
 */
export interface Puzzle {
  /** Parts that have yet to come on. */
  readonly parts: readonly string[];
  /** Parts that are on for good; they never come off. */
  readonly on: readonly string[];
  readonly rivets: readonly PuzzleRivet[];
  /** Rivet set before, or after, a part comes on. */
  readonly rules: readonly PuzzleRule[];
  /** Ranks for breaking ties, by element id: lower comes earlier. Elements of equal rank go by id. */
  readonly rank: Ranks;
}

export interface PuzzleRivet {
  readonly id: string;
  /** Rivets of one run are kept together where nothing speaks against it. */
  readonly run: string;
  /** Parts it goes through. */
  readonly through: readonly string[];
  /** For each approach that can work at all: parts that block it while they are on. */
  readonly approaches: readonly (readonly string[])[];
  /** Side of the bench that must be up; null = either. */
  readonly side: BenchSide | null;
}

export interface PuzzleRule {
  readonly id: string;
  readonly rivet: string;
  readonly relation: "before" | "after";
  readonly part: string;
}

export type BenchSide = "up" | "over";

/** One thing done: a part comes on or a rivet is set, with the side of the bench that is up. */
export interface PuzzleMove {
  readonly kind: "part" | "rivet";
  readonly id: string;
  readonly side: BenchSide;
}

export interface PuzzleSolution {
  readonly moves: readonly PuzzleMove[];
  readonly turnOvers: number;
  /** Elements that no order reaches; empty when the order is complete. */
  readonly stuck: readonly string[];
}
