import type { FactRecord } from "../../server/facts/types.js";
import { seeded } from "./random.js";

/** A small set of rules and the facts of one hole, drawn from a seed: opposing claims, ties, overrides, gaps. */
export interface RandomCase {
  readonly rules: readonly WrittenRule[];
  readonly facts: FactRecord;
}

export interface WrittenRule {
  readonly id: string;
  readonly title: string;
  readonly family: string;
  readonly basis: {
    readonly rank: string;
    readonly document: string;
    readonly place: string;
    readonly dated: string | null;
  };
  readonly why: string;
  readonly conditions: WrittenCondition;
  readonly event: { readonly type: string; readonly params: Readonly<Record<string, string>> };
  readonly overrides: readonly { readonly rule: string; readonly reason: string }[];
  readonly departure: { readonly from: readonly string[]; readonly reference: string } | null;
  readonly examples: readonly object[];
}

export type WrittenCondition =
  | { readonly all: readonly WrittenCondition[] }
  | { readonly any: readonly WrittenCondition[] }
  | { readonly not: WrittenCondition }
  | WrittenLeaf;
export interface WrittenLeaf {
  readonly fact: string;
  readonly operator: string;
  readonly value: unknown;
}

/** The dictionary that the random rules speak of, as its file. `high` may look at `mid` and `low`, `mid` at `low`. */
export const RANDOM_DICTIONARY = {
  format: "tailroom facts 1",
  facts: [
    { name: "a", meaning: "a", type: "number", unit: "mm", from: "derived" },
    { name: "b", meaning: "b", type: "number", unit: "mm", from: "derived" },
    { name: "n", meaning: "n", type: "number", unit: "count", from: "derived" },
    { name: "k", meaning: "k", type: "text", from: "derived", values: ["x", "y", "z"] },
    { name: "m", meaning: "m", type: "text", from: "derived", values: ["x", "y", "z"] },
    { name: "free", meaning: "any text", type: "text", from: "derived" },
    { name: "f", meaning: "f", type: "flag", from: "derived" },
    { name: "parts", meaning: "parts", type: "list", from: "derived", values: ["p", "q", "r"] },
    { name: "low", meaning: "low", type: "text", from: "ruling", values: ["one", "two", "three"] },
    { name: "mid", meaning: "mid", type: "text", from: "ruling", values: ["one", "two", "three"] },
  ],
  attributes: ["low", "mid", "high"].map((name) => ({
    name,
    meaning: name,
    family: "treatment",
    type: "text",
    values: ["one", "two", "three"],
    required: name !== "high",
  })),
};

const ATTRIBUTES = ["low", "mid", "high"];
const VALUES = ["one", "two", "three"];
const ORDERINGS = ["lessThan", "lessThanInclusive", "greaterThan", "greaterThanInclusive"];
const RANKS = ["manual", "manual", "manual", "manual", "manual", "notice", "shop", "handbook"];
const STRENGTH = ["notice", "manual", "shop", "handbook"];
const DATES = [null, null, null, null, "2022-05-01", "2023-05-01", "2023-05-01", "2024-05-01"];

export function randomCase(seed: number): RandomCase {
  const random = seeded(seed);
  const draw = new Draw(random);
  const count = 4 + draw.below(7);
  const rules: WrittenRule[] = [];
  for (let i = 0; i < count; i++) rules.push(randomRule(draw, i, rules));
  return { rules, facts: randomFacts(draw) };
}

/** Facts of one hole, about a fifth of them not known. */
export function randomFacts(draw: Draw): FactRecord {
  const facts: Record<string, FactRecord[string]> = {
    a: draw.below(9) / 2,
    b: draw.below(9) / 2,
    n: draw.below(5),
    k: draw.of(["x", "y", "z"]),
    m: draw.of(["x", "y", "z"]),
    free: draw.of(["u", "v", "w"]),
    f: draw.chance(0.5),
    parts: ["p", "q", "r"].filter(() => draw.chance(0.5)),
  };
  for (const name of Object.keys(facts)) if (draw.chance(0.2)) delete facts[name];
  return facts;
}

function randomRule(draw: Draw, i: number, before: readonly WrittenRule[]): WrittenRule {
  const attribute = draw.of(["low", ...ATTRIBUTES]);
  const below = ATTRIBUTES.slice(0, ATTRIBUTES.indexOf(attribute));
  const kin = before.filter((rule) => Object.hasOwn(rule.event.params, attribute));
  const rank = draw.of(RANKS);
  const related = kin.length > 0 && draw.chance(0.5) ? draw.of(kin) : null;
  // Conditions taken from another rule, and more: that makes narrower rules, and equal ones.
  const conditions: WrittenCondition =
    related === null
      ? { all: [randomTree(draw, below, 2)] }
      : draw.chance(0.5)
        ? related.conditions
        : { all: [related.conditions, randomLeaf(draw, below)] };
  const weaker = before.filter((rule) => STRENGTH.indexOf(rule.basis.rank) >= STRENGTH.indexOf(rank));
  const stronger = before.filter((rule) => STRENGTH.indexOf(rule.basis.rank) < STRENGTH.indexOf(rank));
  const overridden = weaker.length > 0 && draw.chance(0.3) ? draw.of(weaker).id : null;
  const left = rank === "shop" && stronger.length > 0 && draw.chance(0.5) ? draw.of(stronger).id : null;
  return {
    id: `r${i}`,
    title: `Rule ${i}`,
    family: "treatment",
    basis: { rank, document: "random", place: `${i}`, dated: draw.of(DATES) },
    why: "drawn at random",
    conditions,
    event: { type: "treatment", params: { [attribute]: draw.of(["one", "two", ...VALUES]) } },
    overrides: overridden === null ? [] : [{ rule: overridden, reason: "drawn" }],
    departure: left === null ? null : { from: [left], reference: "drawn" },
    examples: [
      { facts: {}, fires: true },
      { facts: {}, fires: false },
    ],
  };
}

function randomTree(draw: Draw, below: readonly string[], depth: number): WrittenCondition {
  if (depth === 0 || draw.chance(0.4)) return randomLeaf(draw, below);
  const kind = draw.below(5);
  if (kind === 0) return { not: randomTree(draw, [], depth - 1) };
  const of = Array.from({ length: 1 + draw.below(2) }, () => randomTree(draw, below, depth - 1));
  return kind < 3 ? { all: of } : { any: of };
}

function randomLeaf(draw: Draw, below: readonly string[]): WrittenLeaf {
  if (below.length > 0 && draw.chance(0.5)) return textLeaf(draw, draw.of(below), VALUES);
  switch (draw.below(8)) {
    case 0:
    case 1:
      return {
        fact: draw.of(["a", "b"]),
        operator: draw.of([...ORDERINGS, "equal", "notEqual"]),
        value: 1 + draw.below(3),
      };
    case 2:
      return { fact: "a", operator: draw.of([...ORDERINGS, "equal", "notEqual"]), value: { fact: "b" } };
    case 3:
      return {
        fact: "n",
        operator: draw.of([...ORDERINGS, "equal"]),
        value: draw.below(4) + draw.below(2) / 2,
      };
    case 4:
      return { fact: "k", operator: draw.of(["equal", "notEqual"]), value: { fact: "m" } };
    case 5:
      return { fact: "parts", operator: draw.of(["contains", "doesNotContain"]), value: draw.of(["p", "q"]) };
    case 6:
      return { fact: "f", operator: draw.of(["equal", "notEqual"]), value: draw.chance(0.5) };
    default:
      return draw.chance(0.5)
        ? textLeaf(draw, draw.of(["k", "m"]), ["x", "y", "z"])
        : textLeaf(draw, "free", ["u", "v"]);
  }
}

function textLeaf(draw: Draw, fact: string, values: readonly string[]): WrittenLeaf {
  if (draw.chance(0.5)) return { fact, operator: draw.of(["equal", "notEqual"]), value: draw.of(values) };
  const some = values.filter(() => draw.chance(0.6));
  return { fact, operator: draw.of(["in", "notIn"]), value: some.length > 0 ? some : [values[0]] };
}

export function leavesOf(condition: WrittenCondition): readonly WrittenLeaf[] {
  if ("all" in condition) return condition.all.flatMap(leavesOf);
  if ("any" in condition) return condition.any.flatMap(leavesOf);
  return "not" in condition ? leavesOf(condition.not) : [condition];
}

/** Choices drawn from a stream of numbers. */
export class Draw {
  readonly #random: () => number;

  constructor(random: () => number) {
    this.#random = random;
  }

  below(limit: number): number {
    return Math.floor(this.#random() * limit);
  }

  chance(share: number): boolean {
    return this.#random() < share;
  }

  of<T>(list: readonly T[]): T {
    return list[this.below(list.length)] as T;
  }
}
