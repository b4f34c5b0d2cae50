import type { FactValue } from "../kit/types.js";

/** What a rule can see of one hole. A fact that is not known is absent: never 0, "" or null. */
export type FactRecord = Readonly<Record<string, FactValue>>;

/** Where a fact's value comes from. `ruling` facts are attributes that were settled before. */
export type FactOrigin = "derived" | "kit" | "work" | "ruling";
export type FactType = "number" | "text" | "flag" | "list";
/** Lists of allowed texts that only the kit knows. */
export type KitList =
  | "parts"
  | "rows"
  | "families"
  | "kinds"
  | "materials"
  | "rivets"
  | "milestones"
  | "neighbours";

/** Ends of what a number can be. */
export interface FactRange {
  readonly min: number | null;
  /** The number is larger than this one: a thickness than 0. */
  readonly above: number | null;
  readonly max: number | null;
}

export interface FactEntry {
  readonly name: string;
  readonly meaning: string;
  readonly type: FactType;
  readonly unit: string | null;
  /** What a number can be in any kit; null = no end on that side. */
  readonly range: FactRange;
  readonly from: FactOrigin;
  /** Allowed texts, when they are few and fixed. */
  readonly values: readonly string[] | null;
  /** Allowed texts come from the kit, plus those in `values` (such as "none"). */
  readonly valuesFrom: KitList | null;
}

export type Family = "treatment" | "hold" | "order" | "limit" | "caution";

/** Something about a hole that rules may claim and that settling decides. */
export interface AttributeEntry {
  readonly name: string;
  readonly meaning: string;
  readonly family: Family;
  readonly type: "number" | "text" | "flag";
  readonly unit: string | null;
  readonly values: readonly string[] | null;
  readonly valuesFrom: KitList | null;
  /** True: a hole for which no rule claims it is undecided. False: then it simply has none. */
  readonly required: boolean;
}

export interface Dictionary {
  readonly facts: ReadonlyMap<string, FactEntry>;
  readonly attributes: ReadonlyMap<string, AttributeEntry>;
}
