import type { FactRecord } from "../../server/facts/types.js";
import type { Condition } from "../../server/ruling/types.js";

/** Plain two-valued evaluation of conditions on known facts, written for tests alone. */
export function meetsPlainly(condition: Condition, facts: FactRecord): boolean {
  if ("all" in condition) return condition.all.every((one) => meetsPlainly(one, facts));
  if ("any" in condition) return condition.any.some((one) => meetsPlainly(one, facts));
  if ("not" in condition) return !meetsPlainly(condition.not, facts);
  const actual = facts[condition.fact] as never;
  const needed = condition.value as never;
  switch (condition.operator) {
    case "lessThan":
      return actual < needed;
    case "lessThanInclusive":
      return actual <= needed;
    case "greaterThan":
      return actual > needed;
    case "greaterThanInclusive":
      return actual >= needed;
    case "equal":
      return actual === needed;
    case "notEqual":
      return actual !== needed;
    case "in":
      return (needed as unknown[]).includes(actual);
    case "notIn":
      return !(needed as unknown[]).includes(actual);
    default:
      throw new Error(`no plain ${condition.operator}`);
  }
}
