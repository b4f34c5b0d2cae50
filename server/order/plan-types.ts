import type { Truth } from "../ruling/types.js";
import type { Impossible } from "./impossible.js";
import type { Misfit } from "./misfit.js";
import type { BenchSide } from "./puzzle.js";
import type { Hold, PrepGateState } from "./types.js";

/** Why a step stands where it does. */
export type StepReason =
  /** The part that comes on later would wall these in. */
  | { readonly code: "walled-in-by"; readonly part: string; readonly holes: readonly string[] }
  | {
      readonly code: "rule";
      readonly rule: string;
      readonly relation: "before" | "after";
      readonly part: string;
      readonly holes: readonly string[];
    }
  /** A step of the kit's manual puts it here. */
  | { readonly code: "manual"; readonly step: string }
  /** Rivets of which this part is the last that was missing. */
  | { readonly code: "unlocks"; readonly holes: readonly string[] };

/** One thing that a person does. */
export type PlanStep = {
  readonly reasons: readonly StepReason[];
  /**
   * Steps of the same generation could be done side by side; those of generation 0 wait for nothing. Going
   * through the generations one after the other, each in any order, is an order as good as the plan's own.
   */
  readonly generation: number;
} & (
  | { readonly kind: "turn-over"; readonly side: BenchSide }
  /** Temporary fasteners hold a part that has to be off for now: out with them. */
  | { readonly kind: "take-off"; readonly part: string; readonly holes: readonly string[] }
  | { readonly kind: "prep"; readonly part: string; readonly gates: readonly PrepGateState[] }
  | { readonly kind: "part"; readonly part: string }
  | { readonly kind: "rivets"; readonly row: string; readonly holes: readonly string[] }
);

/** A hole that the plan leaves open, and why. */
export type LeftOpen = { readonly hole: string } & (
  | { readonly code: "held"; readonly hold: Hold }
  /** What is done to it is not settled. */
  | {
      readonly code: "not-settled";
      readonly attributes: readonly string[];
      readonly missing: readonly string[];
    }
  | { readonly code: "rule-unknown"; readonly rule: string }
  /** A number of it is outside a limit, or may be for all that is known. */
  | { readonly code: "limit"; readonly rule: string; readonly fact: string; readonly verdict: Truth }
  /** The ruled rivet does not go in. */
  | { readonly code: "misfit"; readonly misfit: Misfit }
  /** Walled in already: only drilling gets it back. */
  | { readonly code: "walled-in"; readonly never: boolean }
  /** A layer that no longer comes off has yet to be dimpled or enlarged. */
  | { readonly code: "layers-together"; readonly part: string; readonly gate: string }
  /** Its part stays off for now. */
  | { readonly code: "part-off"; readonly part: string }
  /** A must rule wanted it set before a part that is closed. */
  | { readonly code: "late"; readonly rule: string; readonly part: string }
);

/** A part that stays off for now. */
export interface LeftOff {
  readonly part: string;
  /** Open holes that it would wall in … */
  readonly wouldWallIn: readonly string[];
  /** … open holes that a must rule wants set before it … */
  readonly wantedBefore: readonly string[];
  /**
   * … and holes through it that may yet have to be dimpled: what lies under it is on already. All three empty: all
   * of its own rivets stay open.
   */
  readonly keepApart: readonly string[];
}

/** A preference that no order with so few turn-overs keeps. */
export interface BrokenPreference {
  readonly rule: string;
  readonly relation: "before" | "after";
  readonly part: string;
  readonly holes: readonly string[];
}

export interface Plan {
  /** `done`: nothing is left to do for now. `impossible`: what is stuck has no order. */
  readonly status: "open" | "done" | "impossible";
  readonly steps: readonly PlanStep[];
  readonly turnOvers: number;
  readonly broken: readonly BrokenPreference[];
  /** Whether no order of so few turn-overs breaks fewer preferences; false when there were too many to try. */
  readonly fewestBroken: boolean;
  readonly leftOpen: readonly LeftOpen[];
  readonly leftOff: readonly LeftOff[];
  /** Why no order exists; null when one does. */
  readonly impossible: Impossible | null;
}
