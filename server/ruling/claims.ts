import type { ClaimValue, Rule } from "./types.js";

/** One rule's claim on one attribute. */
export interface Claim {
  readonly rule: Rule;
  readonly value: ClaimValue;
}

/** Every attribute's claims, in the order of the rules. Attributes that nobody claims have an empty list. */
export function claimsBy(
  rules: readonly Rule[],
  attributes: Iterable<string>,
): ReadonlyMap<string, readonly Claim[]> {
  const claims = new Map<string, Claim[]>([...attributes].map((attribute) => [attribute, []]));
  for (const rule of rules) {
    if (rule.family !== "treatment" && rule.family !== "hold") continue;
    for (const [attribute, value] of Object.entries(rule.event.params)) {
      claims.get(attribute)?.push({ rule, value: value as ClaimValue });
    }
  }
  return claims;
}
