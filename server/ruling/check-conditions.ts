import type { Dictionary, FactEntry } from "../facts/types.js";
import type { Spot } from "../kit/findings.js";
import { type Domains, misfit } from "./domain.js";
import { isRecord, sayValue } from "./json.js";
import { nearest } from "./nearest.js";
import { isOperator, isOrdering, OPERATORS, OPERATORS_FOR, takesList } from "./operators.js";
import { MAX_DEPTH, MAX_LEAVES } from "./schema.js";

/** What a rule may speak of. */
export interface Scope {
  readonly dictionary: Dictionary;
  readonly domains: Domains;
  /** True for a rule of this very kit: its texts must be ones that the kit has. */
  readonly ofKit: boolean;
}

type Json = Readonly<Record<string, unknown>>;

const JOINS = ["all", "any", "not"] as const;
const LEAF_KEYS = ["fact", "operator", "value"] as const;
/** Keys that the rules library would obey, and why no rule may use them. */
const REFUSED_KEYS: ReadonlyMap<string, string> = new Map([
  ["path", "A path runs expressions inside a value."],
  ["params", "Facts take no parameters."],
  ["priority", "With priorities the library skips conditions, and the trace would have gaps."],
  ["condition", "Conditions are written out, not named."],
  ["name", "Conditions have no names."],
]);

/** Notes everything that is wrong with a condition tree, whatever its shape. */
export function checkConditions(root: unknown, spot: Spot, scope: Scope): void {
  let leaves = 0;

  const visit = (node: unknown, here: Spot, depth: number, negated: boolean): void => {
    if (depth > MAX_DEPTH) {
      here.add(
        "CONDITION_TOO_DEEP",
        `Conditions are nested more than ${MAX_DEPTH} deep.`,
        "Split the rule, or write the conditions flatter.",
      );
      return;
    }
    if (!isRecord(node)) {
      here.add(
        "CONDITION_MALFORMED",
        "A condition must be an object.",
        `Write {"fact", "operator", "value"}, or one of {"all": […]}, {"any": […]}, {"not": {…}}.`,
      );
      return;
    }
    const joins = JOINS.filter((key) => Object.hasOwn(node, key));
    checkKeys(node, joins.length > 0 ? joins : LEAF_KEYS, here);
    const [join, ...more] = joins;
    if (join === undefined && Object.hasOwn(node, "condition")) return;
    if (join === undefined) {
      leaves++;
      if (depth === 1) {
        here.add(
          "CONDITION_MALFORMED",
          "The conditions must start with all, any or not.",
          `Put the condition into {"all": [ … ]}.`,
        );
      }
      checkLeaf(node, here, negated, scope);
      return;
    }
    if (more.length > 0) {
      here.add(
        "CONDITION_MALFORMED",
        `A condition has one of ${joins.join(", ")}, not several.`,
        "Nest one inside the other.",
      );
    }
    const below = here.at(join);
    if (join === "not") {
      visit(node.not, below, depth + 1, true);
      return;
    }
    const children = node[join];
    if (!Array.isArray(children)) {
      below.add("CONDITION_MALFORMED", `"${join}" must be a list.`, "Write it as a list.");
      return;
    }
    if (children.length === 0) {
      below.add(
        "CONDITION_EMPTY",
        `An empty "${join}" would hold everywhere.`,
        "Say when the rule holds, or take the list out.",
      );
    }
    children.forEach((child, i) => {
      visit(child, below.at(i), depth + 1, negated);
    });
  };

  visit(root, spot, 1, false);
  if (leaves > MAX_LEAVES) {
    spot.add(
      "CONDITION_TOO_MANY",
      `The rule has ${leaves} conditions; ${MAX_LEAVES} are allowed.`,
      `Split the rule, or use "in" with a list.`,
    );
  }
}

function checkKeys(node: Json, known: readonly string[], here: Spot): void {
  for (const key of Object.keys(node)) {
    const refusal = REFUSED_KEYS.get(key);
    if (refusal) here.at(key).add("CONDITION_KEY_REFUSED", refusal, `Take out "${key}".`);
    else if (!known.includes(key)) {
      here
        .at(key)
        .add("CONDITION_MALFORMED", `"${key}" has no place in this condition.`, `Take out "${key}".`);
    }
  }
}

function checkLeaf(leaf: Json, here: Spot, negated: boolean, scope: Scope): void {
  for (const key of LEAF_KEYS) {
    if (!Object.hasOwn(leaf, key)) {
      here.add("CONDITION_MALFORMED", `The condition has no "${key}".`, `Add "${key}".`);
    }
  }
  if (!Object.hasOwn(leaf, "fact") || !Object.hasOwn(leaf, "operator")) return;
  const fact = factNamed(leaf.fact, here.at("fact"), negated, scope);
  const { operator } = leaf;
  if (typeof operator !== "string" || !isOperator(operator)) {
    const near = typeof operator === "string" ? nearest(operator, OPERATORS) : null;
    here
      .at("operator")
      .add(
        "OPERATOR_UNKNOWN",
        `There is no operator ${sayValue(operator)}.`,
        near ? `Did you mean "${near}"?` : `Use one of ${OPERATORS.join(", ")}.`,
      );
    return;
  }
  if (!fact) return;
  if (!OPERATORS_FOR[fact.type].includes(operator)) {
    here
      .at("operator")
      .add(
        "OPERATOR_UNFIT",
        `"${operator}" does not fit "${fact.name}", which is a ${fact.type}.`,
        `Use one of ${OPERATORS_FOR[fact.type].join(", ")}.`,
      );
    return;
  }
  if (Object.hasOwn(leaf, "value")) checkNeeded(fact, operator, leaf.value, here.at("value"), negated, scope);
}

/** The value of a leaf: one value, a list of them, or another fact. */
function checkNeeded(
  fact: FactEntry,
  operator: string,
  needed: unknown,
  here: Spot,
  negated: boolean,
  scope: Scope,
): void {
  if (isRecord(needed)) {
    checkOtherFact(fact, operator, needed, here, negated, scope);
  } else if (!takesList(operator)) {
    checkValue(fact, needed, here, scope);
  } else if (!Array.isArray(needed) || needed.length === 0) {
    here.add(
      "VALUE_TYPE",
      `"${operator}" needs a list with at least one value.`,
      "Write the values as a list.",
    );
  } else {
    needed.forEach((value, i) => {
      checkValue(fact, value, here.at(i), scope);
    });
  }
}

/** One value (for a list fact, one element) against the fact's type and its allowed texts. */
function checkValue(fact: FactEntry, value: unknown, here: Spot, scope: Scope): void {
  const domain = scope.domains.get(fact.name);
  if (!domain) return;
  const wrong = misfit(domain.type === "list" ? { ...domain, type: "text" } : domain, value);
  if (wrong) {
    here.add(
      "VALUE_TYPE",
      `${sayValue(value)} does not fit "${fact.name}": ${wrong}.`,
      fact.type === "number" ? "Write the number without quotes and without a unit." : "Write such a value.",
    );
  } else if ((domain.type === "text" || domain.type === "list") && (scope.ofKit || !domain.kitTexts)) {
    checkText(fact.name, value, domain.texts, here);
  }
}

/** A text against the ones allowed (null = any); suggests the nearest. */
export function checkText(name: string, value: unknown, allowed: readonly string[] | null, here: Spot): void {
  if (allowed === null || typeof value !== "string" || allowed.includes(value)) return;
  const near = nearest(value, allowed);
  const some = allowed.slice(0, 12).join(", ") + (allowed.length > 12 ? " …" : "");
  here.add(
    "VALUE_UNKNOWN",
    `"${name}" is never ${sayValue(value)}.`,
    near ? `Did you mean "${near}"?` : allowed.length > 0 ? `Use one of ${some}.` : "This kit has none.",
  );
}

function checkOtherFact(
  fact: FactEntry,
  operator: string,
  needed: Json,
  here: Spot,
  negated: boolean,
  scope: Scope,
): void {
  for (const key of Object.keys(needed)) {
    if (key !== "fact") {
      here.at(key).add("CONDITION_KEY_REFUSED", `"${key}" has no place here.`, `Take out "${key}".`);
    }
  }
  const other = factNamed(needed.fact, here.at("fact"), negated, scope);
  if (!other) return;
  const comparable = fact.type === "number" || fact.type === "text";
  const fits = operator === "equal" || operator === "notEqual" || isOrdering(operator);
  if (!comparable || !fits || other.type !== fact.type || other.unit !== fact.unit) {
    here.add(
      "VALUE_TYPE",
      `"${fact.name}" (${fact.unit ?? fact.type}) cannot be compared with "${other.name}" (${other.unit ?? other.type}) by "${operator}".`,
      "Compare two numbers of the same unit, or two texts by equal or notEqual.",
    );
  } else if (other.name === fact.name) {
    here.add("VALUE_TYPE", `"${fact.name}" is compared with itself.`, "Name another fact.");
  }
}

function factNamed(name: unknown, here: Spot, negated: boolean, scope: Scope): FactEntry | null {
  const entry = typeof name === "string" ? scope.dictionary.facts.get(name) : undefined;
  if (!entry) {
    const near = typeof name === "string" ? nearest(name, scope.dictionary.facts.keys()) : null;
    here.add(
      "FACT_UNKNOWN",
      `There is no fact ${sayValue(name)}.`,
      near ? `Did you mean "${near}"?` : "Use a fact of rules/facts.json.",
    );
    return null;
  }
  if (negated && entry.from === "ruling") {
    here.add(
      "CONDITION_NOT_OVER_RULED",
      `"not" over "${entry.name}" would also hold where ${entry.name} is in conflict.`,
      "Use the opposite operator (notEqual, notIn), which asks for a settled value.",
    );
  }
  return entry;
}
