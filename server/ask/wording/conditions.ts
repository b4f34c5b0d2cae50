import type { Dictionary } from "../../facts/types.js";
import type { Units } from "../../kit/units.js";
import type { ConditionTrace } from "../../ruling/types.js";
import { factLabel, isWanted, sayValue } from "./measures.js";
import type { Names } from "./names.js";

export type LeafTrace = Extract<ConditionTrace, { op: "leaf" }>;

/** What saying a condition needs. */
export interface Sayer {
  readonly dictionary: Dictionary;
  readonly names: Names;
  readonly units: Units;
}

/** Operators between numbers, as they read after a value. */
const COMPARES: Readonly<Record<string, string>> = {
  lessThan: "less than",
  lessThanInclusive: "at most",
  greaterThan: "more than",
  greaterThanInclusive: "at least",
};

/**
 * The leaves that decided a condition's verdict: of a true "all" its parts, of a false one only those that failed,
 * of an unknown one only those that are not known; "any" the other way about. Under "not" a leaf keeps its own verdict.
 */
export function decisive(trace: ConditionTrace): readonly LeafTrace[] {
  if (trace.op === "leaf") return [trace];
  const settles =
    trace.op === "all" ? trace.verdict !== "true" : trace.op === "any" && trace.verdict !== "false";
  const counting = settles ? trace.of.filter(({ verdict }) => verdict === trace.verdict) : trace.of;
  return counting.flatMap(decisive);
}

/** One condition with the hole's own value: "headroom 0.6 mm, less than the 1 mm wanted". */
export function sayLeaf(leaf: LeafTrace, { dictionary, names, units }: Sayer): string {
  const entry = dictionary.facts.get(leaf.fact) ?? { name: leaf.fact, unit: null, valuesFrom: null };
  const label = factLabel(leaf.fact);
  const needed = sayValue(leaf.needed, entry, names, units);
  if (leaf.actual === null) return `${label} not known (${asked(leaf, needed)})`;
  const actual = sayValue(leaf.actual, entry, names, units);
  const compare = COMPARES[leaf.operator];
  if (compare) {
    if (leaf.verdict !== "true") return `${label} ${actual}, not ${compare} ${needed}`;
    return `${label} ${actual}, ${compare} ${isWanted(leaf.fact) ? `the ${needed} wanted` : needed}`;
  }
  const met = leaf.verdict === "true";
  switch (leaf.operator) {
    case "contains":
      return `${label}: ${actual}${met ? "" : `, without ${needed}`}`;
    case "doesNotContain":
      return `${label}: ${actual}${met ? `, without ${needed}` : ""}`;
    case "in":
      return `${label}: ${actual}${met ? "" : `, not one of ${needed}`}`;
    case "notIn":
      return `${label}: ${actual}${met ? `, not one of ${needed}` : ", which is left out"}`;
    case "notEqual":
      return `${label}: ${actual}${met ? `, not ${needed}` : ", which is left out"}`;
    default:
      return `${label}: ${actual}${met ? "" : `, not ${needed}`}`;
  }
}

/** What a leaf asks for, in words that stand alone: "less than 1 mm is asked for". */
function asked(leaf: LeafTrace, needed: string): string {
  const compare = COMPARES[leaf.operator];
  if (compare) return `${compare} ${needed} is asked for`;
  switch (leaf.operator) {
    case "contains":
      return `${needed} in it is asked for`;
    case "doesNotContain":
      return `anything without ${needed} is asked for`;
    case "in":
      return `one of ${needed} is asked for`;
    case "notIn":
      return `anything but ${needed} is asked for`;
    case "notEqual":
      return `anything but ${needed} is asked for`;
    default:
      return `${needed} is asked for`;
  }
}

/** The deciding conditions in words, each once. */
export function sayConditions(trace: ConditionTrace, sayer: Sayer): readonly string[] {
  return [...new Set(decisive(trace).map((leaf) => sayLeaf(leaf, sayer)))];
}
