import type { FactRecord, Family } from "../facts/types.js";
import type { FactValue } from "../kit/types.js";

export const RANKS = ["notice", "manual", "shop", "handbook"] as const;
/** Highest first: a notice beats the manual, the manual an accepted shop rule, that the handbook. */
export type Rank = (typeof RANKS)[number];

export interface Basis {
  readonly rank: Rank;
  readonly document: string;
  readonly place: string;
  readonly revision: string | null;
  /** YYYY-MM-DD. */
  readonly dated: string | null;
}

/** A condition tree exactly as the rules engine takes it (without `path`, `params`, `priority` and named conditions). */
export type Condition =
  | { readonly all: readonly Condition[] }
  | { readonly any: readonly Condition[] }
  | { readonly not: Condition }
  | Leaf;
export interface Leaf {
  readonly fact: string;
  readonly operator: string;
  readonly value: LeafValue;
}
export type LeafValue = FactValue | readonly number[] | { readonly fact: string };

export type ClaimValue = string | number | boolean;

/** What a rule says when it holds; which fields are allowed depends on its family. */
export interface RuleEvent {
  readonly type: Family;
  readonly params: Readonly<Record<string, unknown>>;
}
/** `params` of an order rule: the hole it holds for is set before or after a part comes on. */
export interface OrderClaim {
  readonly before?: string;
  readonly after?: string;
  readonly strength: "must" | "prefer";
}
/** `params` of a limit rule: a number of the hole must lie between. */
export interface LimitClaim {
  readonly fact: string;
  readonly min?: number;
  readonly max?: number;
}
/** `params` of a caution rule. */
export interface CautionClaim {
  readonly text: string;
  /** Acts that it belongs to: "drill", "dimple", "countersink", "rivet", "clean", "prime". */
  readonly acts: readonly string[];
}

export interface RuleExample {
  /** A hole of the kit, or … */
  readonly hole?: string;
  /** … an invented fact record. */
  readonly facts?: FactRecord;
  readonly fires: boolean;
  readonly why?: string;
}

export interface Rule {
  readonly id: string;
  readonly title: string;
  readonly family: Family;
  readonly basis: Basis;
  readonly why: string;
  readonly conditions: Condition;
  readonly event: RuleEvent;
  readonly overrides: readonly { readonly rule: string; readonly reason: string }[];
  readonly examples: readonly RuleExample[];
  /** Kit that it is written for; null = any kit. */
  readonly kit: string | null;
  /** When a shop rule departs from stronger rules: from which, and by which agreement of the kit maker's. */
  readonly departure: Departing | null;
  /** File it was read from, relative to the project. */
  readonly file: string;
  /** Its place in that file, as a JSON pointer. */
  readonly pointer: string;
}

export interface Departing {
  readonly from: readonly string[];
  /** Null = not named yet: a draft that is tried, never a rule in force. */
  readonly reference: string | null;
}

/** Kleene's three values. */
export type Truth = "true" | "false" | "unknown";

/** A rule's condition tree with what came out, for one hole. */
export type ConditionTrace =
  | { readonly op: "all" | "any" | "not"; readonly verdict: Truth; readonly of: readonly ConditionTrace[] }
  | {
      readonly op: "leaf";
      readonly verdict: Truth;
      readonly fact: string;
      readonly operator: string;
      readonly needed: LeafValue;
      /**
       * The hole's own value; null = not known. For a fact that is a settled attribute, null with the
       * verdict "false" = in conflict or unclaimed: a condition on it asks for a settled value.
       */
      readonly actual: FactValue | null;
    };

export const PRINCIPLES = ["higher basis", "narrower rule", "later date"] as const;
export type Principle = (typeof PRINCIPLES)[number];

/** One rule's claim on one attribute of one hole. */
export interface ClaimTrace {
  readonly rule: string;
  readonly title: string;
  readonly basis: Basis;
  readonly why: string;
  readonly value: ClaimValue;
  readonly verdict: Truth;
  readonly conditions: ConditionTrace;
  readonly beat: readonly {
    readonly rule: string;
    readonly principle: Principle;
    readonly reason: string | null;
  }[];
  readonly lostTo: readonly {
    readonly rule: string;
    readonly principle: Principle;
    readonly reason: string | null;
  }[];
  /** Opposing claims that neither beat this one nor lost to it. */
  readonly tiedWith: readonly string[];
}

export type Status = "settled" | "undecided" | "conflict" | "unclaimed";

/** What was settled for one attribute of one hole. */
export interface AttributeRuling {
  readonly attribute: string;
  readonly status: Status;
  /** Set only when settled. */
  readonly value: ClaimValue | null;
  /** Rules whose claims carry the value (settled), oppose each other (conflict) or are unknown (undecided). */
  readonly ruleIds: readonly string[];
  /** The highest basis among the rules that carry it; null unless settled. */
  readonly rank: Rank | null;
  /** Facts whose absence leaves it undecided. */
  readonly missing: readonly string[];
  /**
   * Attributes in conflict or unclaimed that kept a claim on this one from holding: what was settled here
   * stands without it (ambiguity blocking), but may change once they are settled.
   */
  readonly unsettled: readonly string[];
}

/** Every attribute's ruling for one hole, with the claims that add up. */
export interface HoleRuling {
  readonly attributes: Readonly<Record<string, AttributeRuling>>;
  /** The worst of the required attributes' and the claimed ones' statuses; unclaimed required = undecided. */
  readonly verdict: "settled" | "undecided" | "conflict";
  readonly orders: readonly (OrderClaim & { readonly rule: string; readonly verdict: Truth })[];
  readonly limits: readonly (LimitClaim & {
    readonly rule: string;
    readonly actual: number | null;
    /** Whether the number keeps the limit. */
    readonly verdict: Truth;
  })[];
  readonly cautions: readonly (CautionClaim & { readonly rule: string; readonly verdict: Truth })[];
}

/** The full record behind one attribute of one hole: every rule that can claim it, with its verdict. */
export interface AttributeTrace extends AttributeRuling {
  readonly hole: string;
  readonly claims: readonly ClaimTrace[];
}

/** Rulings of a list of holes, in their order. Traces are made when asked for. */
export interface Rulings {
  readonly ids: readonly string[];
  of(hole: string): HoleRuling;
  /** One attribute of a hole alone: what `of` says of it, without the rest being worked out. */
  attribute(hole: string, attribute: string): AttributeRuling | null;
  trace(hole: string, attribute: string): AttributeTrace;
  /** Truth of one rule's conditions at one hole, with the values seen there. */
  conditions(hole: string, rule: string): ConditionTrace;
  /** Truth of one rule's conditions at every hole, in the order of `ids`. */
  truths(rule: string): readonly Truth[];
  /** How many times the rules library was run. */
  readonly runs: number;
}
