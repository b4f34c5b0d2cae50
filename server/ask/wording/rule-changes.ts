import type { Condition, Leaf } from "../../ruling/types.js";
import type { RuleChange } from "../../shop/diff.js";
import { attributeLabel, factLabel } from "./measures.js";

/** Operators as they read between a fact and a value. */
const OPERATORS: Readonly<Record<string, string>> = {
  equal: "is",
  notEqual: "is not",
  in: "is one of",
  notIn: "is none of",
  contains: "has in it",
  doesNotContain: "does not have in it",
  lessThan: "is less than",
  lessThanInclusive: "is at most",
  greaterThan: "is more than",
  greaterThanInclusive: "is at least",
};

/** What the parts of a rule are called, by the pointer that leads to them; the first that fits counts. */
const PLACES: readonly (readonly [RegExp, string])[] = [
  [/^\/title$/, "the title"],
  [/^\/family$/, "the family"],
  [/^\/why$/, "the reason"],
  [/^\/basis\/document$/, "the document it stands on"],
  [/^\/basis\/place$/, "the place in the document"],
  [/^\/basis\/dated$/, "the date"],
  [/^\/basis/, "the basis"],
  [/^\/conditions/, "a condition"],
  [/^\/event\/params$/, "what it claims"],
  [/^\/event/, "what it claims"],
  [/^\/overrides\/\d+\/reason$/, "the reason of an override"],
  [/^\/overrides/, "an override"],
  [/^\/departure\/reference$/, "the reference of the kit maker's agreement"],
  [/^\/departure/, "the departure"],
  [/^\/examples/, "an example"],
];

/** Each change in plain words: "The reason was “Thin skins tear.” and is now “Thin skins crack.”." */
export function sayRuleChanges(changes: readonly RuleChange[]): readonly string[] {
  return changes.map(sayRuleChange);
}

function sayRuleChange({ pointer, what, before, after }: RuleChange): string {
  const place = placeAt(pointer);
  const value = (part: unknown): string => sayPart(part, pointer);
  if (what === "added") return `Added ${place}: ${value(after)}.`;
  if (what === "removed") return `Taken out ${place}: ${value(before)}.`;
  return `Changed ${place}: from ${value(before)} to ${value(after)}.`;
}

function placeAt(pointer: string): string {
  const claimed = /^\/event\/params\/([A-Za-z]+)$/.exec(pointer)?.[1];
  if (claimed !== undefined) return `what it claims for ${attributeLabel(claimed)}`;
  return PLACES.find(([pattern]) => pattern.test(pointer))?.[1] ?? `what stands at ${pointer || "the top"}`;
}

function sayPart(part: unknown, pointer: string): string {
  if (typeof part === "string")
    return OPERATORS[part] && pointer.endsWith("/operator") ? `“${OPERATORS[part]}”` : `“${part}”`;
  if (isFields(part)) {
    if (typeof part.fact === "string" && typeof part.operator === "string")
      return sayCondition(part as unknown as Leaf);
    if ("all" in part || "any" in part || "not" in part) return sayCondition(part as unknown as Condition);
    if (typeof part.fires === "boolean") return sayExample(part);
    if (typeof part.rule === "string" && typeof part.reason === "string")
      return `“${part.rule}” because “${part.reason}”`;
    if (typeof part.reference === "string" && Array.isArray(part.from)) {
      return `from ${part.from.join(", ")}, agreed in “${part.reference}”`;
    }
    return Object.entries(part)
      .map(([name, value]) => `${attributeLabel(name)} ${sayPart(value, `${pointer}/${name}`)}`)
      .join(", ");
  }
  return JSON.stringify(part);
}

/** A condition without a hole: "edge distance is at least 2"; joined ones in brackets where they hold several. */
export function sayCondition(condition: Condition): string {
  if ("not" in condition) return `not (${sayCondition(condition.not)})`;
  if ("all" in condition) return joined(condition.all, "and");
  if ("any" in condition) return joined(condition.any, "or");
  const { fact, operator, value } = condition;
  return `${factLabel(fact)} ${OPERATORS[operator] ?? operator} ${sayNeeded(value)}`;
}

function joined(conditions: readonly Condition[], joint: "and" | "or"): string {
  return conditions
    .map((one) => ("fact" in one || conditions.length === 1 ? sayCondition(one) : `(${sayCondition(one)})`))
    .join(` ${joint} `);
}

function sayNeeded(value: Leaf["value"]): string {
  if (Array.isArray(value)) return value.join(", ");
  if (isFields(value)) return `the ${factLabel(String(value.fact))}`;
  return String(value);
}

function sayExample({ hole, facts, fires, why }: Fields): string {
  const where = typeof hole === "string" ? hole : sayFacts(facts);
  return `${fires ? "it holds" : "it does not hold"} for ${where}${typeof why === "string" ? ` (“${why}”)` : ""}`;
}

function sayFacts(facts: unknown): string {
  if (!isFields(facts)) return "nothing";
  const said = Object.entries(facts).map(
    ([name, value]) => `${factLabel(name)} ${[value].flat().join(", ")}`,
  );
  return said.length > 0 ? said.join("; ") : "a hole of which nothing is known";
}

type Fields = Readonly<Record<string, unknown>>;

function isFields(value: unknown): value is Fields {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
