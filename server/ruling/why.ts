import type { AttributeTrace, ClaimTrace, ClaimValue, ConditionTrace, Principle } from "./types.js";

/**
 * Views of one trace: why it is so, why it is not otherwise, what is missing. They only filter; nothing is
 * evaluated again.
 */

export type LeafTrace = ConditionTrace & { readonly op: "leaf" };

/** A condition that failed: under a "not" it failed by holding. */
export interface FailedLeaf {
  readonly leaf: LeafTrace;
  readonly negated: boolean;
}

/** One reason why an attribute does not have a value. */
export type WhyNot =
  | { readonly kind: "it is so"; readonly rules: readonly string[] }
  | { readonly kind: "no rule claims it" }
  | { readonly kind: "condition failed"; readonly rule: string; readonly leaves: readonly FailedLeaf[] }
  | {
      readonly kind: "beaten";
      readonly rule: string;
      readonly by: string;
      readonly principle: Principle;
      readonly reason: string | null;
    }
  | { readonly kind: "opposed"; readonly rule: string; readonly by: readonly string[] }
  | { readonly kind: "not known"; readonly rule: string; readonly leaves: readonly LeafTrace[] };

/** The claims that carry a settled value; for a conflict, the ones that oppose each other; undecided, those that are open. */
export function why(trace: AttributeTrace): readonly ClaimTrace[] {
  return trace.claims.filter((claim) => trace.ruleIds.includes(claim.rule));
}

/**
 * Why an attribute does not have a value: a reason for each rule that claims it, the nearest miss first
 * (beaten, opposed, not known, condition failed).
 */
export function whyNot(trace: AttributeTrace, value: ClaimValue): readonly WhyNot[] {
  if (trace.status === "settled" && trace.value === value) {
    return [{ kind: "it is so", rules: trace.ruleIds }];
  }
  const claims = trace.claims.filter((claim) => claim.value === value);
  if (claims.length === 0) return [{ kind: "no rule claims it" }];
  const reasons = claims.flatMap((claim) => reasonsAgainst(claim, trace));
  return reasons.sort((a, b) => ORDER.indexOf(a.kind) - ORDER.indexOf(b.kind));
}

const ORDER: readonly WhyNot["kind"][] = ["beaten", "opposed", "not known", "condition failed"];

function reasonsAgainst(claim: ClaimTrace, trace: AttributeTrace): readonly WhyNot[] {
  const { rule } = claim;
  if (claim.verdict === "false") {
    return [{ kind: "condition failed", rule, leaves: failedLeaves(claim.conditions) }];
  }
  if (claim.verdict === "unknown") {
    return [{ kind: "not known", rule, leaves: unknownLeaves(claim.conditions) }];
  }
  const holding = new Set(
    trace.claims.filter((other) => other.verdict === "true").map((other) => other.rule),
  );
  const beaten = claim.lostTo.filter((lost) => holding.has(lost.rule));
  if (beaten.length > 0) {
    return beaten.map(({ rule: by, principle, reason }) => ({ kind: "beaten", rule, by, principle, reason }));
  }
  // It holds and nobody beats it, so something that none of its side beats stands or may stand against it.
  const beatenByTeam = new Set(
    trace.claims
      .filter((mate) => mate.value === claim.value && mate.verdict === "true")
      .flatMap((mate) => mate.beat.map((other) => other.rule)),
  );
  const against = trace.claims.filter((other) => other.value !== claim.value && other.verdict !== "false");
  const standing = against.filter((other) => !beatenByTeam.has(other.rule));
  const by = (standing.length > 0 ? standing : against).map((other) => other.rule);
  return [{ kind: "opposed", rule, by }];
}

/** The leaves that make a false tree false: any of them, turned, would be a step towards true. */
function failedLeaves(trace: ConditionTrace, negated = false): readonly FailedLeaf[] {
  const failing = negated ? "true" : "false";
  if (trace.verdict !== failing) return [];
  if (trace.op === "leaf") return [{ leaf: trace, negated }];
  return trace.of.flatMap((part) => failedLeaves(part, trace.op === "not" ? !negated : negated));
}

/** The unknown leaves that leave a tree unknown. */
function unknownLeaves(trace: ConditionTrace): readonly LeafTrace[] {
  if (trace.verdict !== "unknown") return [];
  return trace.op === "leaf" ? [trace] : trace.of.flatMap(unknownLeaves);
}
