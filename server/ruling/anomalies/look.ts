import type { Dictionary, FactRecord } from "../../facts/types.js";
import type { Boxes } from "../boxes.js";
import { type Domains, domainsOf } from "../domain.js";
import type { Rulebook } from "../rulebook.js";
import { shapesOf } from "../shapes.js";
import type { Rule, Rulings, Truth } from "../types.js";
import { FILE_WORDS, type FindingWords } from "./words.js";

/** The holes of one assembly, with what the rulebook settles for them. */
export interface Site {
  readonly rulings: Rulings;
  /** What rules see of each hole, in the rulings' order. */
  readonly records: readonly FactRecord[];
}

/** Everything that one look at a rule rests on. */
export interface Look {
  readonly rulebook: Rulebook;
  readonly rule: Rule;
  readonly sites: readonly Site[];
  readonly words: FindingWords;
  shape(rule: Rule): Boxes | null;
  /** Values and shapes by which these rules are compared as such: those of any kit when none is for this kit alone. */
  scope(rules: readonly Rule[]): Scope;
  /** Truth of a rule at every hole of every site, in one list. */
  truths(rule: Rule): readonly Truth[];
  /** Every hole of every site, as `truths` numbers them. */
  readonly holes: readonly Spot[];
  /** Rules that could not be compared with this one within the limits. */
  readonly notCompared: Set<string>;
}

/** Rules of any kit may name parts and materials that this kit lacks; that says nothing against the rule. */
export interface Scope {
  readonly domains: Domains;
  shape(rule: Rule): Boxes | null;
}

/** One hole of one site. */
export interface Spot {
  readonly id: string;
  readonly site: Site;
  readonly record: FactRecord;
}

export function lookAt(
  rulebook: Rulebook,
  rule: Rule,
  sites: readonly Site[],
  words: FindingWords = FILE_WORDS,
): Look {
  const truths = new Map<string, readonly Truth[]>();
  const here: Scope = { domains: rulebook.domains, shape: shapesOf(rulebook.domains) };
  const anywhere = domainsAnywhere(rulebook.dictionary);
  const everywhere: Scope = { domains: anywhere, shape: shapesOf(anywhere) };
  return {
    rulebook,
    rule,
    sites,
    words,
    shape: here.shape,
    scope: (rules) => (rules.every(({ kit }) => kit === null) ? everywhere : here),
    truths({ id }) {
      let made = truths.get(id);
      if (!made) {
        made = sites.flatMap(({ rulings }) => rulings.truths(id));
        truths.set(id, made);
      }
      return made;
    },
    holes: sites.flatMap((site) =>
      site.rulings.ids.map((id, i) => ({ id, site, record: site.records[i] ?? {} })),
    ),
    notCompared: new Set(),
  };
}

const known = new WeakMap<Dictionary, Domains>();

/** The values that facts can take in any kit, made once. */
function domainsAnywhere(dictionary: Dictionary): Domains {
  const domains = known.get(dictionary) ?? domainsOf(dictionary, null);
  known.set(dictionary, domains);
  return domains;
}

/** The rules beside the one looked at. */
export function othersIn({ rulebook, rule }: Look): readonly Rule[] {
  return rulebook.rules.filter(({ id }) => id !== rule.id);
}

/** Holes at which all these rules hold; with `mayHold`, also those where a missing fact leaves one of them open. */
export function holesWhere(look: Look, rules: readonly Rule[], mayHold = false): readonly Spot[] {
  const { holes } = look;
  const lists = rules.map((rule) => look.truths(rule));
  const found: Spot[] = [];
  for (let i = 0; i < holes.length; i++) {
    if (lists.every((truths) => truths[i] === "true" || (mayHold && truths[i] === "unknown"))) {
      found.push(holes[i] as Spot);
    }
  }
  return found;
}

/** A rule by its title, in quotes. */
export function titled({ title }: Pick<Rule, "title">): string {
  return `“${title}”`;
}

/** Holes by their names; "no hole" when there are none. */
export function sayHoles({ words }: Look, spots: readonly Spot[]): string {
  return spots.length === 0 ? "no hole" : words.holes(spots.map(({ id }) => id));
}
