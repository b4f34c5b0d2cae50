import type { Domains } from "./domain.js";
import { shapesOf } from "./shapes.js";
import { type Principle, RANKS, type Rule } from "./types.js";
import { implies } from "./witness.js";

/** Why one rule beats another when they oppose each other. */
export interface Victory {
  readonly principle: Principle;
  /** The declared reason or reference; null when the principle needs none. */
  readonly reason: string | null;
}

/** Which of two opposing rules beats the other. Decided per pair when first asked, then remembered. */
export interface Superiority {
  /** Why `stronger` beats `weaker`; null when it does not. */
  over(stronger: Rule, weaker: Rule): Victory | null;
}

/**
 * The three named principles, in this order; the first that decides a pair decides it alone:
 *
 * 1. *higher basis*: notice, manual, shop, handbook. A shop rule that declares its departure from a rule,
 *    with the reference of the kit maker's agreement, counts as the higher one against exactly that rule.
 * 2. *narrower rule*, between equals: declared in `overrides`; or, when neither declares it, one rule's
 *    conditions imply the other's and not the other way round.
 * 3. *later date*, between equals that both carry one.
 */
export function superiority(domains: Domains): Superiority {
  const shape = shapesOf(domains);
  const narrower = new Map<Rule, Map<Rule, boolean>>();

  const isNarrower = (a: Rule, b: Rule): boolean => {
    let row = narrower.get(a);
    if (!row) {
      row = new Map();
      narrower.set(a, row);
    }
    let known = row.get(b);
    if (known === undefined) {
      const [inner, outer] = [shape(a), shape(b)];
      known =
        inner !== null &&
        outer !== null &&
        implies(inner, outer, domains) === "yes" &&
        implies(outer, inner, domains) === "no";
      row.set(b, known);
    }
    return known;
  };

  return {
    over(stronger, weaker) {
      if (departs(stronger, weaker)) {
        return { principle: "higher basis", reason: stronger.departure?.reference ?? null };
      }
      if (departs(weaker, stronger)) return null;
      const lead = RANKS.indexOf(weaker.basis.rank) - RANKS.indexOf(stronger.basis.rank);
      if (lead > 0) return { principle: "higher basis", reason: null };
      if (lead < 0) return null;
      const declared = stronger.overrides.find(({ rule }) => rule === weaker.id);
      if (declared) return { principle: "narrower rule", reason: declared.reason };
      if (weaker.overrides.some(({ rule }) => rule === stronger.id)) return null;
      if (isNarrower(stronger, weaker)) return { principle: "narrower rule", reason: null };
      if (isNarrower(weaker, stronger)) return null;
      const [later, earlier] = [stronger.basis.dated, weaker.basis.dated];
      return later !== null && earlier !== null && later > earlier
        ? { principle: "later date", reason: null }
        : null;
    },
  };
}

/** Whether a shop rule stands above exactly this other one, by the kit maker's agreement. */
function departs(shop: Rule, from: Rule): boolean {
  return shop.basis.rank === "shop" && shop.departure?.from.includes(from.id) === true;
}
