import type { Dictionary } from "../facts/types.js";
import type { Spot } from "../kit/findings.js";
import { claimsBy } from "./claims.js";
import { factsIn } from "./conditions.js";
import { findLoop } from "./loop.js";
import { nearest } from "./nearest.js";
import { attributeLoop, restsOn, ruledFacts } from "./strata.js";
import type { Tellings } from "./tellings.js";
import { RANKS, type Rule } from "./types.js";

/** A rule with the place that it was read from. */
export interface PlacedRule {
  readonly rule: Rule;
  readonly spot: Spot;
}

/** Notes what is wrong between the rules of a book: ids, overrides, departures, loops. */
export function checkBook(placed: readonly PlacedRule[], dictionary: Dictionary, findings: Tellings): void {
  const byId = new Map<string, PlacedRule>();
  for (const entry of placed) {
    const other = byId.get(entry.rule.id);
    if (other) {
      entry.spot
        .at("id")
        .add(
          "RULE_DUPLICATE",
          `"${entry.rule.id}" is also the id of a rule in ${other.spot.file}#${other.spot.pointer}.`,
          "Give one of the two another id.",
        );
    } else byId.set(entry.rule.id, entry);
  }
  for (const entry of placed) {
    checkOverrides(entry, byId);
    checkDeparture(entry, byId);
  }
  if (!findings.none) return;
  checkOverrideLoop(byId);
  checkAttributeLoop(placed, dictionary);
}

function checkOverrides({ rule, spot }: PlacedRule, byId: ReadonlyMap<string, PlacedRule>): void {
  rule.overrides.forEach((override, i) => {
    const here = spot.at("overrides", i, "rule");
    const other = knownRule(override.rule, here, "OVERRIDE_UNKNOWN", byId);
    if (!other) return;
    if (isStronger(other, rule) && !rule.departure?.from.includes(other.id)) {
      here.add(
        "OVERRIDE_OF_STRONGER",
        `"${other.id}" stands on a ${other.basis.rank}; a ${rule.basis.rank} rule cannot override it.`,
        rule.basis.rank === "shop"
          ? "Declare a departure with the reference of the kit maker's agreement."
          : "Take the override out: the higher basis decides.",
      );
    }
  });
}

function checkDeparture({ rule, spot }: PlacedRule, byId: ReadonlyMap<string, PlacedRule>): void {
  if (!rule.departure) return;
  const here = spot.at("departure");
  if (rule.basis.rank !== "shop") {
    here.add(
      "DEPARTURE_NOT_SHOP",
      `A ${rule.basis.rank} rule does not depart; shop rules do.`,
      "Take the departure out.",
    );
    return;
  }
  rule.departure.from.forEach((id, i) => {
    const from = here.at("from", i);
    const other = knownRule(id, from, "DEPARTURE_UNKNOWN", byId);
    if (other && !isStronger(other, rule)) {
      from.add(
        "DEPARTURE_NEEDLESS",
        `"${id}" stands on a ${other.basis.rank} and is no stronger than a shop rule.`,
        `Use "overrides" where it is a shop rule; take it out where it is weaker.`,
      );
    }
  });
}

/** Notes departures that name no agreement of the kit maker's. */
export function checkAgreements(placed: readonly PlacedRule[]): void {
  for (const { rule, spot } of placed) {
    if (rule.departure === null || rule.departure.reference !== null) continue;
    spot
      .at("departure", "reference")
      .add("DEPARTURE_WITHOUT_REFERENCE", "No reference is named.", "Name the kit maker's agreement.");
  }
}

function isStronger(a: Rule, b: Rule): boolean {
  return RANKS.indexOf(a.basis.rank) < RANKS.indexOf(b.basis.rank);
}

function knownRule(id: string, here: Spot, code: string, byId: ReadonlyMap<string, PlacedRule>): Rule | null {
  const found = byId.get(id);
  if (found) return found.rule;
  const near = nearest(id, byId.keys());
  here.add(
    code,
    `There is no rule "${id}".`,
    near ? `Did you mean "${near}"?` : "Name a rule of this kit or for any kit.",
  );
  return null;
}

function checkOverrideLoop(byId: ReadonlyMap<string, PlacedRule>): void {
  const edges = new Map([...byId].map(([id, { rule }]) => [id, rule.overrides.map((one) => one.rule)]));
  const loop = findLoop(edges);
  if (!loop) return;
  byId
    .get(loop[0] ?? "")
    ?.spot.at("overrides")
    .add(
      "OVERRIDE_LOOP",
      `These rules override each other in a circle: ${loop.join(" → ")}.`,
      "Take one of these overrides out.",
    );
}

function checkAttributeLoop(placed: readonly PlacedRule[], dictionary: Dictionary): void {
  const rules = placed.map(({ rule }) => rule);
  const claims = claimsBy(rules, dictionary.attributes.keys());
  const loop = attributeLoop(restsOn(claims, ruledFacts(dictionary)));
  if (!loop) return;
  const steps = loop.slice(1).map((below, i) => {
    const above = loop[i] ?? "";
    const rule = claims.get(above)?.find((claim) => factsIn(claim.rule.conditions).includes(below))?.rule;
    return { above, below, rule };
  });
  const first = placed.find(({ rule }) => rule === steps[0]?.rule);
  first?.spot
    .at("conditions")
    .add(
      "ATTRIBUTE_LOOP",
      `These attributes wait for each other: ${steps.map(({ above, below, rule }) => `${above} for ${below} (${rule?.id})`).join(", ")}.`,
      "Let one of these rules ask for other facts.",
    );
}
