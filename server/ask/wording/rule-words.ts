import { childrenOf, isLeaf, opOf, otherFact } from "../../ruling/conditions.js";
import { departing } from "../../ruling/departing.js";
import type { RuleInFile } from "../../ruling/schema.js";
import type {
  CautionClaim,
  ClaimValue,
  Condition,
  Leaf,
  LimitClaim,
  OrderClaim,
  Rule,
} from "../../ruling/types.js";
import type { Sayer } from "./conditions.js";
import { listed, sentence, sentences } from "./grammar.js";
import { attributeLabel, factLabel, sayFlag, sayValue, theFact } from "./measures.js";
import { sayBasis, sayClaim, sayRule } from "./rulings.js";

/** What saying a rule needs: names, units, and the titles of the rules that it speaks of. */
export interface RuleSayer extends Sayer {
  /** Title of a rule by id; null for one that is not known. */
  titleOf(rule: string): string | null;
}

/** One line of a rule's conditions; what stands under it is one level deeper. */
export interface ConditionLine {
  readonly depth: number;
  readonly said: string;
}

/** A rule in the builder's words, as it goes onto a review sheet and the page. */
export interface RuleWords {
  readonly title: string;
  /** Where it holds, in one sentence. */
  readonly where: string;
  /** The same as a list that can be indented, for conditions that are long. */
  readonly conditions: readonly ConditionLine[];
  /** What it says there, one sentence for each claim. */
  readonly says: readonly string[];
  readonly basis: string;
  readonly why: string;
  /** Rules that it goes before, and why. */
  readonly overrides: readonly string[];
  /** Stronger rules that it departs from, with the reference of the agreement; null when it departs from none. */
  readonly departure: string | null;
  /** All of it in running text. */
  readonly said: string;
}

type Said = Pick<
  Rule,
  "title" | "family" | "basis" | "why" | "conditions" | "event" | "overrides" | "departure"
>;

/** A rule as it is written in a file, with what was left out filled in, ready to be said. */
export function ruleToSay(rule: RuleInFile): Said {
  const { basis } = rule;
  return {
    ...rule,
    conditions: rule.conditions as Condition,
    basis: { ...basis, revision: basis.revision ?? null, dated: basis.dated ?? null },
    overrides: rule.overrides ?? [],
    departure: departing(rule),
  };
}

/** The whole rule in words. */
export function ruleInWords(rule: Said, sayer: RuleSayer): RuleWords {
  const where = sentence(`where ${sayCondition(rule.conditions, sayer)}`);
  const says = claimsOf(rule, sayer).map(sentence);
  const overrides = rule.overrides.map(({ rule: other, reason }) =>
    sentence(`goes before ${titled(other, sayer)}: ${reason}`),
  );
  const departure =
    rule.departure &&
    sentences(
      `departs from ${listed(rule.departure.from.map((id) => titled(id, sayer)))}`,
      sayAgreement(rule.departure.reference),
    );
  const basis = sentence(sayBasis(rule.basis));
  const why = sentence(rule.why);
  return {
    title: rule.title,
    where,
    conditions: linesOf(rule.conditions, sayer),
    says,
    basis,
    why,
    overrides,
    departure,
    said: sentences(where, ...says, ...overrides, departure, why, basis),
  };
}

/** By what a rule departs from a stronger one; null = nothing that is named yet. */
export function sayAgreement(reference: string | null): string {
  return reference === null
    ? "the kit maker's agreement is not named yet, and without it nobody may accept the departure"
    : `the kit maker's agreement: ${reference}`;
}

function titled(rule: string, { titleOf }: RuleSayer): string {
  const title = titleOf(rule);
  return title === null ? `the rule ${rule}` : sayRule(title);
}

/** Conditions in running text: "the head is flush, and either the rivet … or the sheet …". */
export function sayCondition(condition: Condition, sayer: Sayer): string {
  return said(condition, sayer, false, false);
}

function said(condition: Condition, sayer: Sayer, negated: boolean, inner: boolean): string {
  if (isLeaf(condition)) return sayAsked(condition, sayer, negated);
  const op = opOf(condition);
  const children = childrenOf(condition);
  const [child] = children;
  if (op === "not" && child) return said(child, sayer, !negated, inner);
  // Not all of them is one of them not; none of them is each of them not.
  const all = (op === "all") !== negated;
  const parts = groupsOf(children, all, negated).map((one) =>
    isRange(one) ? sayRange(one, sayer) : said(one, sayer, negated, children.length > 1),
  );
  if (parts.length < 2) return parts[0] ?? "";
  const text = all ? joined(parts, "and") : `either ${joined(parts, "or")}`;
  return inner ? `(${text})` : text;
}

/** A lower and an upper end of one number, in this order. */
interface Range {
  readonly lower: Leaf;
  readonly upper: Leaf;
}

function isRange(one: Condition | Range): one is Range {
  return "lower" in one;
}

/** The children of a join, a lower and an upper end of the same number that both must be kept taken together. */
function groupsOf(children: readonly Condition[], all: boolean, negated: boolean): (Condition | Range)[] {
  if (!all || negated) return [...children];
  const isEnd = (one: Condition, operator: string): one is Leaf =>
    isLeaf(one) && one.operator === operator && typeof one.value === "number";
  const lowers = children.filter((one) => isEnd(one, "greaterThanInclusive")) as readonly Leaf[];
  const ranges = lowers.flatMap((lower): Range[] => {
    const uppers = children.filter((one) => isEnd(one, "lessThanInclusive") && one.fact === lower.fact);
    const isOnly = uppers.length === 1 && lowers.filter(({ fact }) => fact === lower.fact).length === 1;
    return isOnly ? [{ lower, upper: uppers[0] as Leaf }] : [];
  });
  return children.flatMap((one): readonly (Condition | Range)[] => {
    const range = ranges.find(({ lower, upper }) => lower === one || upper === one);
    return range === undefined ? [one] : range.lower === one ? [range] : [];
  });
}

/** "the rivet diameter on the drawing is from 2.38 mm to 2.39 mm". */
function sayRange({ lower, upper }: Range, sayer: Sayer): string {
  return `${theFact(lower.fact)} is from ${sayNeeded(lower, sayer)} to ${sayNeeded(upper, sayer)}`;
}

/** Parts that hold an "and" or an "or" of their own are kept apart by commas. */
function joined(parts: readonly string[], joint: "and" | "or"): string {
  const isLong = parts.some((part) => / (and|or) |,/.test(part));
  if (!isLong) return listed(parts, joint);
  return `${parts.slice(0, -1).join(", ")}, ${joint} ${parts.at(-1)}`;
}

/** Conditions as indented lines, each group under what joins it. */
function linesOf(condition: Condition, sayer: Sayer): readonly ConditionLine[] {
  const lines: ConditionLine[] = [];
  const visit = (one: Condition, depth: number, negated: boolean): void => {
    if (isLeaf(one)) {
      lines.push({ depth, said: sayAsked(one, sayer, negated) });
      return;
    }
    const op = opOf(one);
    const children = childrenOf(one);
    if (op === "not" || children.length === 1) {
      for (const child of children) visit(child, depth, op === "not" ? !negated : negated);
      return;
    }
    const all = (op === "all") !== negated;
    lines.push({ depth, said: all ? "all of these:" : "at least one of these:" });
    for (const child of groupsOf(children, all, negated)) {
      if (isRange(child)) lines.push({ depth: depth + 1, said: sayRange(child, sayer) });
      else visit(child, depth + 1, negated);
    }
  };
  visit(condition, 0, false);
  return lines;
}

const OPPOSITES: Readonly<Record<string, string>> = {
  equal: "notEqual",
  notEqual: "equal",
  in: "notIn",
  notIn: "in",
  contains: "doesNotContain",
  doesNotContain: "contains",
  lessThan: "greaterThanInclusive",
  lessThanInclusive: "greaterThan",
  greaterThan: "lessThanInclusive",
  greaterThanInclusive: "lessThan",
};

/** What a leaf's fact is compared with. */
function sayNeeded({ fact, value }: Leaf, sayer: Sayer): string {
  return sayExactly(value, sayer.dictionary.facts.get(fact) ?? plainEntry(fact), sayer);
}

type Entry = Parameters<typeof sayValue>[1];

function plainEntry(name: string): Entry {
  return { name, unit: null, valuesFrom: null };
}

/** A value with nothing rounded away, since a rule is reviewed by its numbers: "1.016 mm", "0.04 in (1.016 mm)". */
function sayExactly(value: Leaf["value"] | ClaimValue, entry: Entry, { names, units }: Sayer): string {
  if (entry.unit !== "mm" || typeof value !== "number") return sayValue(value, entry, names, units);
  return units === "mm" ? `${value} mm` : `${sayValue(value, entry, names, units)} (${value} mm)`;
}

/** One condition as it is asked for: "the head is flush", "headroom is less than 1 mm", "the gap is more than the grip". */
function sayAsked(leaf: Leaf, sayer: Sayer, negated: boolean): string {
  const { fact, value } = leaf;
  const operator = negated ? (OPPOSITES[leaf.operator] ?? leaf.operator) : leaf.operator;
  const entry = sayer.dictionary.facts.get(fact) ?? plainEntry(fact);
  const say = (one: Leaf["value"]): string => sayExactly(one, entry, sayer);
  const subject = theFact(fact);
  if (value === "none") {
    if (operator === "equal") return `there is no ${factLabel(fact)}`;
    if (operator === "notEqual") return `there is a ${factLabel(fact)}`;
  }
  if (typeof value === "boolean" && (operator === "equal" || operator === "notEqual")) {
    const clause = sayFlag(fact, (operator === "equal") === value);
    if (clause !== null) return clause;
  }
  const options = (Array.isArray(value) ? (value as readonly (string | number)[]) : []).map(say);
  const [only] = options;
  const isSame = otherFact(value) === null ? "" : "the same as ";
  switch (operator) {
    case "equal":
      return `${subject} is ${isSame}${say(value)}`;
    case "notEqual":
      return `${subject} is not ${isSame}${say(value)}`;
    case "in":
      return options.length === 1 ? `${subject} is ${only}` : `${subject} is ${oneOf(options)}`;
    case "notIn":
      return options.length === 1
        ? `${subject} is not ${only}`
        : `${subject} is neither ${listed(options, "or").replace(/ or ([^ ].*)$/, " nor $1")}`;
    case "contains":
      return `${say(value)} is in ${subject}`;
    case "doesNotContain":
      return `${say(value)} is not in ${subject}`;
    case "lessThan":
      return `${subject} is less than ${say(value)}`;
    case "lessThanInclusive":
      return `${subject} is at most ${say(value)}`;
    case "greaterThan":
      return `${subject} is more than ${say(value)}`;
    case "greaterThanInclusive":
      return `${subject} is at least ${say(value)}`;
    default:
      return `${subject} ${operator} ${say(value)}`;
  }
}

function oneOf(options: readonly string[]): string {
  return options.length > 3 ? `one of ${listed(options, "or")}` : listed(options, "or");
}

/** What the rule says where it holds, without full stops. */
function claimsOf({ family, event }: Said, sayer: Sayer): readonly string[] {
  const { params } = event;
  switch (family) {
    case "treatment":
    case "hold":
      return Object.entries(params).map(([attribute, value]) =>
        sayRuled(attribute, value as ClaimValue, sayer),
      );
    case "order":
      return ordersOf(params as unknown as OrderClaim, sayer);
    case "limit":
      return [limitOf(params as unknown as LimitClaim, sayer)];
    case "caution": {
      const { text, acts } = params as unknown as CautionClaim;
      return [`before you ${listed(acts, "or")}: ${text}`];
    }
  }
}

const TREATMENTS: Readonly<Record<string, string>> = {
  "as punched": "the hole stays as punched",
  enlarge: "the hole is enlarged",
  dimple: "the hole is dimpled in every layer",
  countersink: "the hole is countersunk",
};

function sayRuled(attribute: string, value: ClaimValue, sayer: Sayer): string {
  const { names, units, dictionary } = sayer;
  switch (attribute) {
    case "head":
      return `the head is ${value}`;
    case "treatment":
      return TREATMENTS[String(value)] ?? `the treatment is ${value}`;
    case "under":
      return value === "countersink"
        ? "under its dimples the first thick layer is countersunk for them"
        : "the layers under the head are dimpled too";
    case "finalDiameterMm":
      return `the finished hole is ${sayExactly(value, { name: attribute, unit: "mm", valuesFrom: null }, sayer)}`;
    case "rivet":
      return `the rivet is ${names.rivet(String(value))}`;
    case "hold":
      return value === "none"
        ? "the hole need not stay open"
        : `the hole ${sayClaim(attribute, value, names, units)}`;
    default: {
      const entry = dictionary.attributes.get(attribute) ?? plainEntry(attribute);
      return `the ${attributeLabel(attribute)} is ${sayExactly(value, entry, sayer)}`;
    }
  }
}

function ordersOf({ before, after, strength }: OrderClaim, { names }: Sayer): readonly string[] {
  const act = strength === "must" ? "the rivet is set" : "the rivet had better be set";
  return [
    ...(before === undefined ? [] : [`${act} before ${names.thePart(before)} comes on`]),
    ...(after === undefined ? [] : [`${act} after ${names.thePart(after)} is on`]),
  ];
}

function limitOf({ fact, min, max }: LimitClaim, sayer: Sayer): string {
  const entry = sayer.dictionary.facts.get(fact) ?? plainEntry(fact);
  const say = (value: number): string => sayExactly(value, entry, sayer);
  const subject = theFact(fact);
  if (min === undefined) return `${subject} must be at most ${say(max ?? 0)}`;
  if (max === undefined) return `${subject} must be at least ${say(min)}`;
  return `${subject} must be from ${say(min)} to ${say(max)}`;
}
