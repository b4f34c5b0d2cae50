import type { HoleRuling } from "../ruling/types.js";
import type { Reason } from "./types.js";

/** Attributes that say how a rivet goes in; a hold is looked at by itself. */
function isTreatment(attribute: string): boolean {
  return attribute !== "hold";
}

/** Attributes that a hole need not have: where nobody claims one, the others say it all. */
const OPTIONAL: ReadonlySet<string> = new Set(["under"]);

/** Reasons that come from attributes of a hole which the rules leave open. */
export function unsettled(hole: string, ruling: HoleRuling): Reason[] {
  return Object.values(ruling.attributes).flatMap(({ attribute, status, ruleIds, missing }): Reason[] => {
    if (!isTreatment(attribute) || status === "settled") return [];
    // An attribute that nobody claims is missing only where the hole's ruling says so.
    if (status === "unclaimed" && (ruling.verdict === "settled" || OPTIONAL.has(attribute))) return [];
    const weight = status === "conflict" ? "conflict" : "undecided";
    return [{ weight, code: "not-settled", hole, attribute, status, ruleIds, missing }];
  });
}

/** Limits that the hole breaks, or may break for all we know. */
export function limitsBroken(hole: string, ruling: HoleRuling): Reason[] {
  return ruling.limits.flatMap(({ rule, fact, min = null, max = null, actual, verdict }): Reason[] =>
    verdict === "true"
      ? []
      : [
          {
            weight: verdict === "false" ? "no" : "undecided",
            code: "limit",
            hole,
            rule,
            fact,
            min,
            max,
            actual,
            verdict,
          },
        ],
  );
}
