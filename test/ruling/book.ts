import { loadDictionary } from "../../server/facts/dictionary.js";
import type { Dictionary } from "../../server/facts/types.js";
import type { Kit } from "../../server/kit/types.js";
import { Problem } from "../../server/problem.js";
import { loadRulebook, type Rulebook } from "../../server/ruling/rulebook.js";

/** A small dictionary and rules with everything filled in that a test does not care about. */

const text = (name: string, more: object = {}) => ({
  name,
  meaning: name,
  type: "text",
  from: "derived",
  ...more,
});
const number = (name: string, unit: string, range: object = {}) => ({
  name,
  meaning: name,
  type: "number",
  unit,
  from: "derived",
  ...range,
});

export const DICTIONARY: Dictionary = loadDictionary({
  path: "rules/facts.json",
  text: JSON.stringify({
    format: "tailroom facts 1",
    facts: [
      text("part", { valuesFrom: "parts" }),
      text("kind", { values: ["rib", "spar", "skin", "bracket"] }),
      text("overlap"),
      text("headPart"),
      number("gapMm", "mm"),
      number("gripMm", "mm"),
      number("edgeMm", "mm"),
      number("roomMm", "mm", { min: 0 }),
      number("punchedMm", "mm", { above: 0, max: 13 }),
      number("place", "count", { min: 1 }),
      number("edgeRatio", "diameters"),
      number("layers", "count"),
      { name: "through", meaning: "parts in the stack", type: "list", from: "derived", valuesFrom: "parts" },
      { name: "primed", meaning: "primed", type: "flag", from: "derived" },
      text("zone", { from: "kit", values: ["none"] }),
      text("head", { from: "ruling", values: ["protruding", "flush"] }),
      text("treatment", {
        from: "ruling",
        values: ["as punched", "enlarge", "dimple", "countersink"],
      }),
    ],
    attributes: [
      {
        name: "head",
        meaning: "head form",
        family: "treatment",
        type: "text",
        values: ["protruding", "flush"],
        required: true,
      },
      {
        name: "treatment",
        meaning: "treatment",
        family: "treatment",
        type: "text",
        values: ["as punched", "enlarge", "dimple", "countersink"],
        required: true,
      },
      { name: "finalDiameterMm", meaning: "size", family: "treatment", type: "number", required: false },
      {
        name: "hold",
        meaning: "hold",
        family: "hold",
        type: "text",
        values: ["none"],
        valuesFrom: "milestones",
        required: false,
      },
    ],
  }),
});

type Json = Readonly<Record<string, unknown>>;

/** `is("kind", "rib")`, `is("gapMm", "lessThan", 1)`. */
export function is(fact: string, ...rest: readonly unknown[]): Json {
  const [operator, value] = rest.length > 1 ? rest : ["equal", rest[0]];
  return { fact, operator, value };
}

export const all = (...of: readonly Json[]): Json => ({ all: of });
export const any = (...of: readonly Json[]): Json => ({ any: of });
export const not = (of: Json): Json => ({ not: of });

/** A manual's rule that claims something where something holds. */
export function rule(id: string, when: Json, claims: Json, more: Json = {}): Json {
  const { rank = "manual", dated = null, ...others } = more;
  return {
    id,
    title: `Rule ${id}`,
    family: "treatment",
    basis: { rank, document: "Manual", place: "page 1", dated },
    why: "because",
    conditions: "fact" in when ? all(when) : when,
    event: { type: others.family ?? "treatment", params: claims },
    examples: [
      { facts: {}, fires: true },
      { facts: {}, fires: false },
    ],
    ...others,
  };
}

export function book(rules: readonly Json[], kit: Kit | null = null, file: Json = {}): Rulebook {
  const json = { format: "tailroom rules 1", rules, ...file };
  return loadRulebook([{ path: "rules/test.json", text: JSON.stringify(json) }], DICTIONARY, kit);
}

/** Everything that loading refuses, as "CODE pointer". */
export function refusals(load: () => unknown): string[] {
  return problemsOf(load).map((problem) => `${problem.code} ${problem.where.pointer}`);
}

export function problemsOf(load: () => unknown): readonly Problem[] {
  try {
    load();
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    return [error, ...error.others];
  }
  return [];
}
