import { contradictionsBetween } from "../ruling/anomalies/claims-kept.js";
import type { Rulebook } from "../ruling/rulebook.js";
import { RANKS, type Rule, type Rulings } from "../ruling/types.js";

/** A shop rule against a rule of the manual or a notice, at holes where both hold or may hold. */
export interface Departure {
  readonly rule: string;
  /** The stronger rule. */
  readonly from: string;
  /** Attribute on which they contradict each other; null for an order or a limit. */
  readonly attribute: string | null;
  readonly holes: readonly string[];
  /** Whether the shop rule declares it. */
  readonly declared: boolean;
  /** The kit maker's agreement to it; null while none is named. */
  readonly reference: string | null;
}

/**
 * Where a shop rule contradicts stronger ones. Without a declared departure the stronger rule stands, and the shop
 * rule must not be accepted as it is.
 * @param rulings  of the kit's assemblies under this rulebook
 */
export function departuresOf(
  rulebook: Rulebook,
  id: string,
  rulings: readonly Rulings[],
): readonly Departure[] {
  const rule = rulebook.byId.get(id);
  if (rule?.basis.rank !== "shop") return [];
  const own = rulings.map((one) => one.truths(id));
  return rulebook.rules
    .filter((other) => isStronger(other, rule))
    .flatMap((other) =>
      contradictionsBetween(rule, other)
        .filter(({ binding }) => binding)
        .flatMap(({ attribute }) => {
          const holes = rulings.flatMap((one, site) => {
            const theirs = one.truths(other.id);
            return one.ids.filter((_, i) => own[site]?.[i] !== "false" && theirs[i] !== "false");
          });
          const declared = rule.departure?.from.includes(other.id) ?? false;
          const reference = declared ? (rule.departure?.reference ?? null) : null;
          return holes.length > 0
            ? [{ rule: id, from: other.id, attribute, holes, declared, reference }]
            : [];
        }),
    );
}

function isStronger(other: Rule, shop: Rule): boolean {
  return RANKS.indexOf(other.basis.rank) < RANKS.indexOf(shop.basis.rank);
}
