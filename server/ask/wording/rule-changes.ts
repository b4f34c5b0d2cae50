import type { FactValue } from "../../kit/types.js";
import type { Condition } from "../../ruling/types.js";
import type { RuleChange } from "../../shop/diff.js";
import type { Sayer } from "./conditions.js";
import { sentence } from "./grammar.js";
import { attributeLabel, factLabel, sayValue } from "./measures.js";
import { sayCondition } from "./rule-words.js";

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

/** Each change in plain words: "Changed the reason: from “Thin skins tear.” to “Thin skins crack.”." */
export function sayRuleChanges(changes: readonly RuleChange[], sayer: Sayer): readonly string[] {
  return changes.map((change) => sayRuleChange(change, sayer));
}

function sayRuleChange({ pointer, what, before, after }: RuleChange, sayer: Sayer): string {
  const place = placeAt(pointer);
  const value = (part: unknown): string => sayPart(part, sayer);
  if (what === "added") return sentence(`added ${place}: ${value(after)}`);
  if (what === "removed") return sentence(`taken out ${place}: ${value(before)}`);
  return sentence(`changed ${place}: from ${value(before)} to ${value(after)}`);
}

function placeAt(pointer: string): string {
  const claimed = /^\/event\/params\/([A-Za-z]+)$/.exec(pointer)?.[1];
  if (claimed !== undefined) return `what it claims for ${attributeLabel(claimed)}`;
  return PLACES.find(([pattern]) => pattern.test(pointer))?.[1] ?? `what stands at ${pointer || "the top"}`;
}

function sayPart(part: unknown, sayer: Sayer): string {
  if (typeof part === "string") return `“${part}”`;
  if (Array.isArray(part)) return part.map((one) => sayPart(one, sayer)).join(", ");
  if (!isFields(part)) return JSON.stringify(part);
  if (isCondition(part)) return sayCondition(part, sayer);
  if (typeof part.fires === "boolean") return sayExample(part, sayer);
  if (typeof part.rule === "string" && typeof part.reason === "string") {
    return `“${part.rule}” because “${part.reason}”`;
  }
  if (Array.isArray(part.from)) {
    const agreed = typeof part.reference === "string" && part.reference.trim() !== "";
    return `from ${part.from.join(", ")}${agreed ? `, agreed in “${part.reference}”` : ", not agreed yet"}`;
  }
  return Object.entries(part)
    .map(([name, value]) => `${attributeLabel(name)} ${sayPart(value, sayer)}`)
    .join(", ");
}

function isCondition(part: Fields): part is Fields & Condition {
  const isLeaf = typeof part.fact === "string" && typeof part.operator === "string";
  return isLeaf || Array.isArray(part.all) || Array.isArray(part.any) || isFields(part.not);
}

/** One example of a rule: "it holds for rib 3, top flange row, hole 8 from the front". */
export function sayExample({ hole, facts, fires, why }: Fields, sayer: Sayer): string {
  const where = typeof hole === "string" ? sayer.names.hole(hole) : `a hole with ${sayFacts(facts, sayer)}`;
  return `${fires ? "it holds" : "it does not hold"} for ${where}${typeof why === "string" ? ` (“${why}”)` : ""}`;
}

function sayFacts(facts: unknown, { dictionary, names, units }: Sayer): string {
  const said = Object.entries(isFields(facts) ? facts : {}).map(([name, value]) => {
    const entry = dictionary.facts.get(name) ?? { name, unit: null, valuesFrom: null };
    return `${factLabel(name)} ${sayValue(value as FactValue, entry, names, units)}`;
  });
  return said.length > 0 ? said.join(", ") : "nothing known about it";
}

type Fields = Readonly<Record<string, unknown>>;

function isFields(value: unknown): value is Fields {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
