import type { FactType } from "../facts/types.js";

/** Operators that compare the order of two numbers. */
export const ORDERINGS = ["lessThan", "lessThanInclusive", "greaterThan", "greaterThanInclusive"] as const;

/** The operators of a leaf condition; all of them are the rules library's own. */
export const OPERATORS = [
  "equal",
  "notEqual",
  ...ORDERINGS,
  "in",
  "notIn",
  "contains",
  "doesNotContain",
] as const;
export type Operator = (typeof OPERATORS)[number];

/** Operators that make sense for a fact of each type. */
export const OPERATORS_FOR: Readonly<Record<FactType, readonly Operator[]>> = {
  number: ["equal", "notEqual", ...ORDERINGS, "in", "notIn"],
  text: ["equal", "notEqual", "in", "notIn"],
  flag: ["equal", "notEqual"],
  list: ["contains", "doesNotContain"],
};

export function isOperator(name: string): name is Operator {
  return (OPERATORS as readonly string[]).includes(name);
}

/** Whether the leaf's value is a list to look the fact up in. */
export function takesList(operator: string): boolean {
  return operator === "in" || operator === "notIn";
}

/** Whether the operator compares the order of two numbers. */
export function isOrdering(operator: string): boolean {
  return (ORDERINGS as readonly string[]).includes(operator);
}
