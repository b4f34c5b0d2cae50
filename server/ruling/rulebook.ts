import { allowedValues, kitLists } from "../facts/dictionary.js";
import type { Dictionary } from "../facts/types.js";
import { type Findings, Spot } from "../kit/findings.js";
import { deepFreeze } from "../kit/freeze.js";
import { forbiddenKeys, tell, worthTelling } from "../kit/shape.js";
import type { Kit } from "../kit/types.js";
import { Problem } from "../problem.js";
import { shapeChecker } from "../shape-checker.js";
import { parseJson, type SourceFile } from "../source.js";
import { checkAgreements, checkBook, type PlacedRule } from "./check-book.js";
import { checkConditions } from "./check-conditions.js";
import { type ClaimScope, checkEvent } from "./check-event.js";
import { checkExampleForms, type ExampleScope } from "./check-examples.js";
import { type Claim, claimsBy } from "./claims.js";
import { isRealDate } from "./dates.js";
import { departing } from "./departing.js";
import { type Domains, domainsOf } from "./domain.js";
import { isRecord } from "./json.js";
import { type RuleFile, RuleFileSchema, type RuleInFile } from "./schema.js";
import { restsOn, ruledFacts, type Strata, strataOf } from "./strata.js";
import { type Superiority, superiority } from "./superiority.js";
import { Tellings } from "./tellings.js";
import type { Condition, Rule } from "./types.js";

/** The rules in force for one kit, checked against each other and frozen. */
export interface Rulebook {
  /** By id. */
  readonly rules: readonly Rule[];
  readonly byId: ReadonlyMap<string, Rule>;
  readonly dictionary: Dictionary;
  /** Kit that it was loaded for; null = none was at hand. */
  readonly kit: string | null;
  readonly domains: Domains;
  /** Who claims what: every attribute of the dictionary, its claims by rule id. */
  readonly claims: ReadonlyMap<string, readonly Claim[]>;
  /** Attributes in the order in which they are settled. */
  readonly strata: Strata;
  readonly superiority: Superiority;
}

const checkOf = shapeChecker({ allErrors: true, strict: true, allowUnionTypes: true, verbose: true });
const validate = checkOf<RuleFile>(RuleFileSchema);

/**
 * Reads rule files and keeps the rules for any kit and those of this kit.
 * @param kit  null = no kit is at hand: every file's rules are kept, and checked as far as they can be
 * @throws     the first problem with all others in `others`: JSON_MALFORMED, the shape's codes (KEY_UNKNOWN,
 *             KEY_MISSING, VALUE_WRONG …), CONDITION_…, FACT_UNKNOWN, OPERATOR_…, VALUE_…, ATTRIBUTE_…,
 *             CLAIM_…, ORDER_…, LIMIT_…, EXAMPLE…, DATE_UNREAL, RULE_DUPLICATE, OVERRIDE_…, DEPARTURE_…
 */
export function loadRulebook(
  files: readonly SourceFile[],
  dictionary: Dictionary,
  kit: Kit | null,
): Rulebook {
  const findings = new Tellings();
  const domains = domainsOf(dictionary, kit);
  const scope = scopeOf(dictionary, domains, kit);
  const placed = files.flatMap((file) => rulesIn(file, scope, kit, findings));
  if (findings.none) checkBook(placed, dictionary, findings);
  checkAgreements(placed);
  findings.throwAny();
  return bookOf(inOrder(placed), dictionary, domains, kit?.id ?? null);
}

/**
 * The rulebook with more rules, which are checked as if they had been loaded with it; those that are in it
 * already are not checked again by themselves. A departure may still wait for the kit maker's agreement: who
 * accepts it sees to that.
 * @param kit   the kit that the rulebook was loaded for
 * @throws      what `loadRulebook` throws
 */
export function withRules(book: Rulebook, kit: Kit, file: SourceFile): Rulebook {
  const findings = new Tellings();
  const { dictionary, domains } = book;
  const scope = scopeOf(dictionary, domains, kit);
  const here = book.rules.map((rule) => ({ rule, spot: new Spot(findings, rule.file, rule.pointer) }));
  const placed = [...here, ...rulesIn(file, scope, kit, findings)];
  if (findings.none) checkBook(placed, dictionary, findings);
  findings.throwAny();
  return bookOf(inOrder(placed), dictionary, domains, book.kit);
}

/** By id. */
function inOrder(placed: readonly PlacedRule[]): Rule[] {
  return placed.map(({ rule }) => rule).sort((a, b) => (a.id < b.id ? -1 : a.id > b.id ? 1 : 0));
}

function bookOf(
  rules: readonly Rule[],
  dictionary: Dictionary,
  domains: Domains,
  kit: string | null,
): Rulebook {
  const claims = claimsBy(rules, dictionary.attributes.keys());
  return Object.freeze({
    rules: Object.freeze(rules),
    byId: new Map(rules.map((rule) => [rule.id, rule])),
    dictionary,
    kit,
    domains,
    claims,
    strata: deepFreeze(strataOf(restsOn(claims, ruledFacts(dictionary)))),
    superiority: superiority(domains),
  });
}

type FullScope = ClaimScope & ExampleScope;

function scopeOf(dictionary: Dictionary, domains: Domains, kit: Kit | null): FullScope {
  const lists = kit && kitLists(kit);
  return {
    dictionary,
    domains,
    ofKit: true,
    parts: lists?.parts ?? null,
    holes: kit && new Set(kit.assemblies.flatMap((assembly) => assembly.holes.map((hole) => hole.id))),
    claimable: (attribute) => allowedValues(attribute, lists),
  };
}

/** The file's rules that this kit keeps; everything wrong with the file is noted. */
function rulesIn(file: SourceFile, scope: FullScope, kit: Kit | null, findings: Findings): PlacedRule[] {
  const spot = new Spot(findings, file.path, "");
  let json: unknown;
  try {
    json = parseJson(file);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    findings.keep(error);
    return [];
  }
  const forbidden = forbiddenKeys(json);
  for (const pointer of forbidden) {
    spot
      .under(pointer)
      .add("KEY_FORBIDDEN", "This key has a meaning of its own in the language.", "Take the key out.");
  }
  if (forbidden.length > 0) return [];

  const ofAnother = isRecord(json) && typeof json.kit === "string" && kit !== null && json.kit !== kit.id;
  const ownScope = { ...scope, ofKit: isRecord(json) && json.kit !== undefined };
  // A rule of another kit speaks of that kit's parts, so only its shape can be judged here.
  const told = ofAnother ? new Tellings(findings) : checkRules(json, file, ownScope, findings);
  if (!told.tooDeep && validate(json)) {
    if (ofAnother || !told.none) return [];
    return json.rules.map((rule, i) => ({
      rule: ruleOf(rule, json.kit ?? null, file.path, `/rules/${i}`),
      spot: spot.at("rules", i),
    }));
  }
  if (told.tooDeep) return [];
  const errors = (validate.errors ?? []).filter((error) => !told.covers(error.instancePath));
  for (const error of worthTelling(errors.slice(0, 1000))) tell(error, spot);
  return [];
}

/** What a schema cannot say, or says badly, rule by rule; copes with any shape. */
function checkRules(json: unknown, file: SourceFile, scope: FullScope, findings: Findings): Tellings {
  const told = new Tellings(findings);
  if (!isRecord(json) || !Array.isArray(json.rules)) return told;
  json.rules.forEach((rule: unknown, i) => {
    if (!isRecord(rule)) return;
    const spot = new Spot(told, file.path, `/rules/${i}`);
    if (rule.conditions !== undefined) checkConditions(rule.conditions, spot.at("conditions"), scope);
    checkEvent(rule.event, rule.family, spot.at("event"), scope);
    checkExampleForms(rule.examples, spot.at("examples"), scope);
    checkDate(rule.basis, spot.at("basis", "dated"));
  });
  return told;
}

function checkDate(basis: unknown, spot: Spot): void {
  if (!isRecord(basis) || typeof basis.dated !== "string" || isRealDate(basis.dated)) return;
  spot.add(
    "DATE_UNREAL",
    `${JSON.stringify(basis.dated)} is no day of the calendar.`,
    "Write a real day as YYYY-MM-DD.",
  );
}

function ruleOf(rule: RuleInFile, kit: string | null, file: string, pointer: string): Rule {
  const { basis } = rule;
  return deepFreeze({
    ...rule,
    conditions: rule.conditions as Condition,
    basis: { ...basis, revision: basis.revision ?? null, dated: basis.dated ?? null },
    overrides: rule.overrides ?? [],
    departure: departing(rule),
    kit,
    file,
    pointer,
  });
}
