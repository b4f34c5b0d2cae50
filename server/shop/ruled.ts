import type { Rulebook } from "../ruling/rulebook.js";
import type { ClaimValue, HoleRuling, Rulings } from "../ruling/types.js";

/** What was ruled for some holes, as it is written down beside the work. */
export interface Ruled {
  readonly holes: readonly string[];
  readonly verdict: HoleRuling["verdict"];
  /** What was settled, by attribute. */
  readonly settled: Readonly<Record<string, ClaimValue>>;
  /** Attributes that were not settled: in conflict, undecided, or required and claimed by no rule. */
  readonly open: readonly string[];
  /** Rules that carry what was settled, with the revision that counted then. */
  readonly rules: readonly { readonly rule: string; readonly revision: string | null }[];
}

/** What is ruled for the holes, those with the same together, in the order in which the first of each comes. */
export function ruledFor(rulings: Rulings, rulebook: Rulebook, holes: readonly string[]): readonly Ruled[] {
  const groups = new Map<string, { readonly holes: string[]; readonly ruled: Omit<Ruled, "holes"> }>();
  for (const hole of holes) {
    const ruled = ruledAt(rulings.of(hole), rulebook);
    const key = JSON.stringify(ruled);
    const group = groups.get(key);
    if (group) group.holes.push(hole);
    else groups.set(key, { holes: [hole], ruled });
  }
  return [...groups.values()].map((group) => ({ holes: group.holes, ...group.ruled }));
}

function ruledAt({ attributes, verdict }: HoleRuling, rulebook: Rulebook): Omit<Ruled, "holes"> {
  const settled: Record<string, ClaimValue> = {};
  const open: string[] = [];
  const rules = new Set<string>();
  for (const { attribute, status, value, ruleIds } of Object.values(attributes)) {
    if (status === "settled" && value !== null) {
      settled[attribute] = value;
      for (const id of ruleIds) rules.add(id);
    } else if (status !== "unclaimed" || rulebook.dictionary.attributes.get(attribute)?.required) {
      open.push(attribute);
    }
  }
  const named = [...rules].map((rule) => ({
    rule,
    revision: rulebook.byId.get(rule)?.basis.revision ?? null,
  }));
  return { verdict, settled, open, rules: named };
}
