import type { FactRecord } from "../facts/types.js";
import { type EvaluatedClaim, groundOf, type SettledAttribute, settleAttribute } from "./attribute.js";
import { type Evaluation, Evaluations } from "./evaluations.js";
import type { Rulebook } from "./rulebook.js";
import { RulingsOfHoles } from "./rulings.js";
import type { Rule, Rulings } from "./types.js";

/** What stands behind rulings, for the next ones to take over and for telling how two of them differ. */
export interface Behind {
  readonly rulebook: Rulebook;
  readonly evaluations: Evaluations;
  readonly byRule: ReadonlyMap<string, Evaluation>;
  readonly settled: ReadonlyMap<string, SettledAttribute>;
}

const behind = new WeakMap<Rulings, Behind>();

/** @throws Error for rulings that were not made by `ruleOn` */
export function behindOf(rulings: Rulings): Behind {
  const found = behind.get(rulings);
  if (!found) throw new Error("these rulings were not made by ruleOn");
  return found;
}

/**
 * What the rulebook settles for each hole.
 * @param ids      hole ids
 * @param records  what rules can see of each, in the same order; not changed afterwards
 * @param before   rulings of the same holes under other rules or in an earlier state: what rests on the same
 *                 rules and facts is taken over, so that a changed rule is the only one to be run
 * @throws         FACT_WRONG_TYPE when a record does not fit the dictionary
 */
export async function ruleOn(
  rulebook: Rulebook,
  ids: readonly string[],
  records: readonly FactRecord[],
  before: Rulings | null = null,
): Promise<Rulings> {
  if (ids.length !== records.length) throw new Error("there must be one fact record for each hole");
  const earlier = (before && behind.get(before)) ?? null;
  const evaluations = new Evaluations(records, rulebook.domains, earlier?.evaluations ?? null);
  const byRule = new Map<string, Evaluation>();
  const evaluate = async (rule: Rule): Promise<Evaluation> => {
    const made = byRule.get(rule.id) ?? (await evaluations.evaluate(rule.conditions));
    byRule.set(rule.id, made);
    return made;
  };

  const settled = new Map<string, SettledAttribute>();
  for (const attribute of rulebook.strata.flat()) {
    const claims: EvaluatedClaim[] = [];
    for (const claim of rulebook.claims.get(attribute) ?? []) {
      claims.push({ claim, evaluation: await evaluate(claim.rule) });
    }
    const ground = groundOf(claims, settled, records.length, rulebook);
    const known = earlier?.settled.get(attribute);
    const made = known?.standsOn(ground)
      ? known
      : settleAttribute(attribute, claims, ground, evaluations, settled, rulebook.superiority);
    settled.set(attribute, made);
    if (rulebook.dictionary.facts.get(attribute)?.from === "ruling") evaluations.settle(made.column());
  }
  for (const rule of rulebook.rules) await evaluate(rule);
  evaluations.forgetBefore();

  const rulings = new RulingsOfHoles(rulebook, ids, evaluations, byRule, settled);
  behind.set(rulings, { rulebook, evaluations, byRule, settled });
  return rulings;
}
