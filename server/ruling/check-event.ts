import type { AttributeEntry, Family } from "../facts/types.js";
import type { Spot } from "../kit/findings.js";
import { checkText, type Scope } from "./check-conditions.js";
import { isRecord, sayValue } from "./json.js";
import { nearest } from "./nearest.js";
import { ACTS } from "./schema.js";

/** What claims may speak of. */
export interface ClaimScope extends Scope {
  /** Parts of the kit; null = no kit is at hand. */
  readonly parts: readonly string[] | null;
  /** Texts that an attribute may be claimed to have; null = any. */
  claimable(attribute: AttributeEntry): readonly string[] | null;
}

type Json = Readonly<Record<string, unknown>>;

/** Notes everything that is wrong with a rule's event: its type and what it claims. */
export function checkEvent(event: unknown, family: unknown, spot: Spot, scope: ClaimScope): void {
  if (!isRecord(event) || !isRecord(event.params)) return; // the schema says so
  if (event.type !== family) {
    spot
      .at("type")
      .add(
        "EVENT_FAMILY",
        `The event is ${sayValue(event.type)}, the rule's family ${sayValue(family)}.`,
        "Make the two equal.",
      );
    return;
  }
  const params = spot.at("params");
  if (family === "treatment" || family === "hold") checkClaims(event.params, family, params, scope);
  else if (family === "order") checkOrder(event.params, params, scope);
  else if (family === "limit") checkLimit(event.params, params, scope);
  else if (family === "caution") checkCaution(event.params, params);
}

function checkClaims(claims: Json, family: Family, spot: Spot, scope: ClaimScope): void {
  if (Object.keys(claims).length === 0) {
    spot.add("CLAIM_NONE", "The rule claims nothing.", "Name at least one attribute and its value.");
  }
  const { attributes } = scope.dictionary;
  for (const [name, value] of Object.entries(claims)) {
    const here = spot.at(name);
    const attribute = attributes.get(name);
    if (!attribute) {
      const near = nearest(name, attributes.keys());
      here.add(
        "ATTRIBUTE_UNKNOWN",
        `There is no attribute "${name}" to claim.`,
        near ? `Did you mean "${near}"?` : `Use one of ${[...attributes.keys()].join(", ")}.`,
      );
    } else if (attribute.family !== family) {
      here.add(
        "ATTRIBUTE_FAMILY",
        `"${name}" belongs to ${attribute.family} rules, not to ${family} rules.`,
        `Claim it in a rule of the family ${attribute.family}.`,
      );
    } else checkClaim(attribute, value, here, scope);
  }
}

function checkClaim(attribute: AttributeEntry, value: unknown, here: Spot, scope: ClaimScope): void {
  const wanted = { number: "a finite number", text: "a text", flag: "true or false" }[attribute.type];
  const typed =
    attribute.type === "number"
      ? Number.isFinite(value)
      : typeof value === (attribute.type === "text" ? "string" : "boolean");
  if (!typed) {
    here.add(
      "CLAIM_TYPE",
      `${sayValue(value)} does not fit "${attribute.name}": ${wanted} is needed.`,
      "Write such a value.",
    );
  } else checkText(attribute.name, value, scope.claimable(attribute), here);
}

function checkOrder(params: Json, spot: Spot, scope: ClaimScope): void {
  checkKeys(params, ["before", "after", "strength"], spot);
  const sides = ["before", "after"].filter((side) => Object.hasOwn(params, side));
  if (sides.length === 0) {
    spot.add("ORDER_OPEN", "The rule names no part.", `Say "before" or "after" which part.`);
  }
  for (const side of sides) {
    if (typeof params[side] !== "string") {
      spot.at(side).add("CLAIM_TYPE", "A part id is needed.", "Write the id of a part.");
    } else checkText(side, params[side], scope.parts, spot.at(side));
  }
  if (sides.length === 2 && params.before === params.after) {
    spot.add("ORDER_LOOP", "Nothing is both before and after the same part.", "Keep one of the two.");
  }
  if (params.strength !== "must" && params.strength !== "prefer") {
    spot
      .at("strength")
      .add("CLAIM_TYPE", `The strength cannot be ${sayValue(params.strength)}.`, `Write "must" or "prefer".`);
  }
}

function checkLimit(params: Json, spot: Spot, scope: ClaimScope): void {
  checkKeys(params, ["fact", "min", "max"], spot);
  const name = params.fact;
  const fact = typeof name === "string" ? scope.dictionary.facts.get(name) : undefined;
  if (!fact) {
    const near = typeof name === "string" ? nearest(name, scope.dictionary.facts.keys()) : null;
    spot
      .at("fact")
      .add(
        "FACT_UNKNOWN",
        `There is no fact ${sayValue(name)}.`,
        near ? `Did you mean "${near}"?` : "Use a fact of rules/facts.json.",
      );
  } else if (fact.type !== "number") {
    spot.at("fact").add("CLAIM_TYPE", `"${fact.name}" is not a number.`, "Limit a number.");
  }
  const ends = ["min", "max"].filter((end) => Object.hasOwn(params, end));
  if (ends.length === 0) spot.add("LIMIT_OPEN", "The limit has no end.", `Give "min", "max" or both.`);
  for (const end of ends) {
    if (!Number.isFinite(params[end])) {
      spot
        .at(end)
        .add(
          "CLAIM_TYPE",
          `${sayValue(params[end])} is not a finite number.`,
          "Write the number without quotes.",
        );
    }
  }
  if (Number(params.min) > Number(params.max)) {
    spot.add("LIMIT_EMPTY", "No number is above the minimum and below the maximum.", "Swap the two.");
  }
}

function checkCaution(params: Json, spot: Spot): void {
  checkKeys(params, ["text", "acts"], spot);
  if (typeof params.text !== "string" || params.text.trim() === "") {
    spot.at("text").add("CLAIM_TYPE", "The caution says nothing.", "Write its text.");
  }
  const { acts } = params;
  if (!Array.isArray(acts) || acts.length === 0) {
    spot.at("acts").add("CLAIM_TYPE", "The caution belongs to no act.", `List acts: ${ACTS.join(", ")}.`);
    return;
  }
  acts.forEach((act, i) => {
    if (!(ACTS as readonly unknown[]).includes(act)) {
      spot
        .at("acts", i)
        .add("CLAIM_TYPE", `There is no act ${sayValue(act)}.`, `Use one of ${ACTS.join(", ")}.`);
    }
  });
}

function checkKeys(params: Json, known: readonly string[], spot: Spot): void {
  for (const key of Object.keys(params)) {
    if (!known.includes(key)) {
      spot
        .at(key)
        .add("KEY_UNKNOWN", `"${key}" has no place here.`, `Take it out; known are ${known.join(", ")}.`);
    }
  }
}
