import { otherFact } from "./conditions.js";
import { joinTruths } from "./kleene.js";
import type { ConditionTrace } from "./types.js";

/**
 * Facts whose absence leaves a condition tree unknown, each once.
 * What is unknown below a part that is false or true anyway does not matter and is not named.
 * @param isKnown  whether the hole has a fact: of two compared facts only one may be missing
 */
export function missingIn(trace: ConditionTrace, isKnown: (fact: string) => boolean): readonly string[] {
  if (trace.verdict !== "unknown") return [];
  if (trace.op !== "leaf") return [...new Set(trace.of.flatMap((part) => missingIn(part, isKnown)))];
  return factsOfLeaf(trace).filter((fact) => !isKnown(fact));
}

/** The same tree with every leaf unknown that looks at an attribute in conflict or unclaimed. */
export function withUnsettledUnknown(
  trace: ConditionTrace,
  isUnsettled: (fact: string) => boolean,
): ConditionTrace {
  if (trace.op === "leaf") {
    return factsOfLeaf(trace).some(isUnsettled) ? { ...trace, verdict: "unknown" } : trace;
  }
  const of = trace.of.map((part) => withUnsettledUnknown(part, isUnsettled));
  const verdicts = of.map((part) => part.verdict);
  return { ...trace, of, verdict: joinTruths(trace.op, verdicts) };
}

function factsOfLeaf(leaf: ConditionTrace & { readonly op: "leaf" }): readonly string[] {
  const other = otherFact(leaf.needed);
  return other === null ? [leaf.fact] : [leaf.fact, other];
}
