import type { FactOrigin, Family } from "../../facts/types.js";
import type { Operator } from "../../ruling/operators.js";

/** What a rule of each family is for. */
export const FAMILY_WORDS: Readonly<Record<Family, string>> = {
  treatment: "what becomes of a hole: head, treatment, size, rivet",
  hold: "a hole stays open until a milestone",
  order: "a rivet is set before or after a part comes on",
  limit: "a number must lie between two ends",
  caution: "a caution to read before working",
};

/** How a fact stands to a value. */
export const OPERATOR_WORDS: Readonly<Record<Operator, string>> = {
  equal: "is",
  notEqual: "is not",
  lessThan: "is less than",
  lessThanInclusive: "is at most",
  greaterThan: "is more than",
  greaterThanInclusive: "is at least",
  in: "is one of",
  notIn: "is none of",
  contains: "includes",
  doesNotContain: "does not include",
};

/** Where a fact comes from. */
export const ORIGIN_WORDS: Readonly<Record<FactOrigin, string>> = {
  derived: "worked out from the drawing",
  kit: "stated by the kit",
  work: "from the work done so far",
  ruling: "settled by other rules",
};

/** Stands where a rule that is being tried has no words yet. */
export const NOT_WRITTEN_YET = "not written yet";
