import type { Condition, Leaf, LeafValue } from "./types.js";

/** The parts of a condition that are conditions; none for a leaf. */
export function childrenOf(condition: Condition): readonly Condition[] {
  if ("all" in condition) return condition.all;
  if ("any" in condition) return condition.any;
  return "not" in condition ? [condition.not] : [];
}

/** How a condition joins its children; "leaf" for a leaf. */
export function opOf(condition: Condition): "all" | "any" | "not" | "leaf" {
  if ("all" in condition) return "all";
  if ("any" in condition) return "any";
  return "not" in condition ? "not" : "leaf";
}

export function isLeaf(condition: Condition): condition is Leaf {
  return "fact" in condition;
}

/** The leaves of a condition tree, in the order in which they are written. */
export function leavesOf(condition: Condition): readonly Leaf[] {
  return isLeaf(condition) ? [condition] : childrenOf(condition).flatMap(leavesOf);
}

/** The fact that a leaf's value stands for; null when the value is written out. */
export function otherFact(value: LeafValue): string | null {
  return typeof value === "object" && value !== null && "fact" in value ? value.fact : null;
}

/** Facts that a condition tree looks at, each once, in order of appearance. */
export function factsIn(condition: Condition): readonly string[] {
  const facts = new Set<string>();
  for (const leaf of leavesOf(condition)) {
    facts.add(leaf.fact);
    const other = otherFact(leaf.value);
    if (other !== null) facts.add(other);
  }
  return [...facts];
}
