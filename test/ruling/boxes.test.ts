import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { boxesOf, MOST_BOXES, remainder, shared } from "../../server/ruling/boxes.js";
import type { Domains, FactDomain } from "../../server/ruling/domain.js";
import type { Condition } from "../../server/ruling/types.js";
import {
  complement,
  intersect,
  isEmpty,
  isWithin,
  type NumberSet,
  numbers,
  theNumbers,
  theTexts,
  type ValueSet,
} from "../../server/ruling/value-set.js";
import { implies, witnessOf } from "../../server/ruling/witness.js";
import { all, any, is, not } from "./book.js";

const number = (whole: boolean): FactDomain => ({
  type: "number",
  unit: whole ? "count" : "mm",
  whole,
  ruled: false,
});
const text = (texts: readonly string[] | null, ruled = false): FactDomain => ({
  type: "text",
  texts,
  kitTexts: false,
  ruled,
});
const DOMAINS: Domains = new Map<string, FactDomain>([
  ["gap", number(false)],
  ["grip", number(false)],
  ["edge", number(false)],
  ["layers", number(true)],
  ["kind", text(["rib", "skin", "spar"])],
  ["zone", text(null)],
  ["primed", { type: "flag", ruled: false }],
  ["through", { type: "list", texts: ["A", "B"], kitTexts: false, ruled: false }],
  ["head", text(["flush", "protruding"], true)],
]);

const condition = (json: unknown) => json as Condition;

function implication(a: unknown, b: unknown): string {
  const [inner, outer] = [boxesOf(condition(a), DOMAINS), boxesOf(condition(b), DOMAINS)];
  if (!inner || !outer) return "not shown";
  return implies(inner, outer, DOMAINS);
}

describe("one condition implies another", () => {
  const cases: readonly (readonly [string, unknown, unknown, string])[] = [
    [
      "a smaller gap than one that is small",
      all(is("gap", "lessThan", 1)),
      all(is("gap", "lessThan", 2)),
      "yes",
    ],
    [
      "less than implies at most",
      all(is("gap", "lessThan", 1)),
      all(is("gap", "lessThanInclusive", 1)),
      "yes",
    ],
    [
      "at most does not imply less than",
      all(is("gap", "lessThanInclusive", 1)),
      all(is("gap", "lessThan", 1)),
      "no",
    ],
    ["one kind of several", all(is("kind", "rib")), all(is("kind", "in", ["rib", "spar"])), "yes"],
    [
      "not the others is the last one",
      all(is("kind", "notIn", ["rib", "skin"])),
      all(is("kind", "spar")),
      "yes",
    ],
    [
      "where there is no end of texts, not the others is not one",
      all(is("zone", "notIn", ["a", "b"])),
      all(is("zone", "c")),
      "no",
    ],
    [
      "more than one layer is at least two",
      all(is("layers", "greaterThan", 1)),
      all(is("layers", "greaterThanInclusive", 2)),
      "yes",
    ],
    [
      "more than 1 mm is not at least 2 mm",
      all(is("gap", "greaterThan", 1)),
      all(is("gap", "greaterThanInclusive", 2)),
      "no",
    ],
    [
      "two halves cover the whole",
      all(is("kind", "rib")),
      any(is("gap", "lessThan", 1), is("gap", "greaterThanInclusive", 1)),
      "yes",
    ],
    [
      "two halves without their border do not",
      all(is("kind", "rib")),
      any(is("gap", "lessThan", 1), is("gap", "greaterThan", 1)),
      "no",
    ],
    [
      "a part in the stack with another",
      all(is("through", "contains", "A"), is("through", "contains", "B")),
      all(is("through", "contains", "A")),
      "yes",
    ],
    [
      "a part that the kit has not is in no stack",
      all(is("through", "contains", "C")),
      all(is("kind", "rib")),
      "yes",
    ],
    [
      "less than another fact is not equal to it",
      all(is("gap", "lessThan", { fact: "grip" })),
      all(is("grip", "notEqual", { fact: "gap" })),
      "yes",
    ],
    [
      "what follows from three comparisons",
      all(is("gap", "lessThan", { fact: "grip" }), is("grip", "lessThan", { fact: "edge" })),
      all(is("gap", "lessThan", { fact: "edge" })),
      "yes",
    ],
    [
      "what follows from comparisons and limits",
      all(is("gap", "lessThan", 1), is("edge", "greaterThan", 2)),
      all(is("gap", "lessThan", { fact: "edge" })),
      "yes",
    ],
    ["a flag that is not false", all(is("primed", "notEqual", false)), all(is("primed", true)), "yes"],
    [
      "not of both is either not",
      not(all(is("kind", "rib"), is("gap", "lessThan", 1))),
      any(not(is("kind", "rib")), is("gap", "greaterThanInclusive", 1)),
      "yes",
    ],
    [
      "either head form is a settled one, which not every hole has",
      all(is("kind", "rib")),
      all(is("head", "in", ["flush", "protruding"])),
      "no",
    ],
    [
      "one head form is a settled one",
      all(is("head", "flush")),
      all(is("head", "notEqual", "protruding")),
      "yes",
    ],
  ];
  it.each(cases)("%s", (_, a, b, answer) => {
    expect(implication(a, b)).toBe(answer);
  });

  it("is not shown when it would take too many boxes, and nothing is claimed then", () => {
    // Not (this gap in that zone), for twelve of them: each way to choose is a box that no other holds.
    const apart = (i: number) => any(is("gap", "notEqual", i), is("zone", "notEqual", `zone ${i}`));
    const few = all(...Array.from({ length: 6 }, (_, i) => apart(i)));
    const many = all(...Array.from({ length: 12 }, (_, i) => apart(i)));
    expect(boxesOf(condition(few), DOMAINS)).toHaveLength(2 ** 6);
    expect(2 ** 12).toBeGreaterThan(MOST_BOXES);
    expect(boxesOf(condition(many), DOMAINS)).toBeNull();
    expect(implication(all(is("kind", "rib"), many), many)).toBe("not shown");
    expect(implication(all(is("kind", "rib"), few), few)).toBe("yes");
  });
});

describe("boxes", () => {
  it("a condition that can never hold has none", () => {
    expect(boxesOf(condition(all(is("gap", "lessThan", 1), is("gap", "greaterThan", 2))), DOMAINS)).toEqual(
      [],
    );
    expect(
      boxesOf(condition(all(is("layers", "greaterThan", 1), is("layers", "lessThan", 2))), DOMAINS),
    ).toEqual([]);
    expect(boxesOf(condition(all(is("kind", "wing"))), DOMAINS)).toEqual([]);
  });

  it("a condition that always holds has one without sides", () => {
    const always = boxesOf(
      condition(any(is("gap", "lessThan", 1), is("gap", "greaterThanInclusive", 1))),
      DOMAINS,
    );
    expect(always && remainder([new Map()], always)).toEqual([]);
  });

  it("share what two conditions have in common, with a witness", () => {
    const a = boxesOf(condition(all(is("kind", "rib"), is("gap", "lessThan", 2))), DOMAINS) ?? [];
    const b = boxesOf(condition(all(is("gap", "greaterThan", 1))), DOMAINS) ?? [];
    const both = shared(a, b) ?? [];
    expect(both).toHaveLength(1);
    const witness = witnessOf(both, DOMAINS);
    expect(witness).toMatchObject({ kind: "rib" });
    expect((witness as { gap: number }).gap).toBeGreaterThan(1);
    expect((witness as { gap: number }).gap).toBeLessThan(2);
  });
});

/** Values that tell apart everything the random conditions below can say. */
const GRID: Readonly<Record<string, readonly unknown[]>> = {
  gap: [0.2, 0.4, 1, 1.3, 1.6, 2, 2.3, 2.6],
  grip: [0.2, 0.4, 1, 1.3, 1.6, 2, 2.3, 2.6],
  layers: [0, 1, 2, 3, 4],
  kind: ["rib", "skin", "spar"],
  zone: ["a", "b", "other"],
  primed: [true, false],
  through: [[], ["A"], ["B"], ["A", "B"]],
};

type Point = Readonly<Record<string, unknown>>;
const POINTS: readonly Point[] = Object.entries(GRID).reduce<readonly Point[]>(
  (points, [fact, values]) => points.flatMap((point) => values.map((value) => ({ ...point, [fact]: value }))),
  [{}],
);

const numeric = fc.constantFrom(
  "lessThan",
  "lessThanInclusive",
  "greaterThan",
  "greaterThanInclusive",
  "equal",
  "notEqual",
);
const leaf = fc.oneof(
  fc.record({
    fact: fc.constant("gap"),
    operator: numeric,
    value: fc.constantFrom<unknown>(1, 2, { fact: "grip" }),
  }),
  fc.record({ fact: fc.constant("grip"), operator: numeric, value: fc.constantFrom(1, 2) }),
  fc.record({ fact: fc.constant("layers"), operator: numeric, value: fc.constantFrom(1, 1.5, 2, 3) }),
  fc.record({
    fact: fc.constant("kind"),
    operator: fc.constantFrom("in", "notIn"),
    value: fc.subarray(["rib", "skin", "spar"], { minLength: 1 }),
  }),
  fc.record({
    fact: fc.constant("zone"),
    operator: fc.constantFrom("equal", "notEqual"),
    value: fc.constantFrom("a", "b"),
  }),
  fc.record({
    fact: fc.constant("primed"),
    operator: fc.constantFrom("equal", "notEqual"),
    value: fc.boolean(),
  }),
  fc.record({
    fact: fc.constant("through"),
    operator: fc.constantFrom("contains", "doesNotContain"),
    value: fc.constantFrom("A", "B"),
  }),
);
const tree = fc.letrec<{ tree: object }>((tie) => ({
  tree: fc.oneof(
    { maxDepth: 3, withCrossShrink: true },
    leaf,
    fc.array(tie("tree"), { minLength: 1, maxLength: 3 }).map((of) => ({ all: of })),
    fc.array(tie("tree"), { minLength: 1, maxLength: 3 }).map((of) => ({ any: of })),
    tie("tree").map((of) => ({ not: of })),
  ),
})).tree;

/** Plain evaluation, written for this test alone. */
function meets(json: unknown, point: Point): boolean {
  const node = json as Record<string, unknown>;
  if (node.all) return (node.all as unknown[]).every((part) => meets(part, point));
  if (node.any) return (node.any as unknown[]).some((part) => meets(part, point));
  if (node.not) return !meets(node.not, point);
  const actual = point[node.fact as string] as number;
  const other = (node.value as { fact?: string }).fact;
  const needed = (other ? point[other] : node.value) as number;
  const list = (value: unknown) => value as unknown[];
  switch (node.operator) {
    case "lessThan":
      return actual < needed;
    case "lessThanInclusive":
      return actual <= needed;
    case "greaterThan":
      return actual > needed;
    case "greaterThanInclusive":
      return actual >= needed;
    case "equal":
      return actual === needed;
    case "notEqual":
      return actual !== needed;
    case "in":
      return list(needed).includes(actual);
    case "notIn":
      return !list(needed).includes(actual);
    case "contains":
      return list(actual).includes(needed);
    default:
      return !list(actual).includes(needed);
  }
}

describe("for any two conditions", () => {
  it("implication is what trying every value says, and a witness shows when there is none", () => {
    const seen = { yes: 0, no: 0, "not shown": 0 };
    fc.assert(
      fc.property(tree, tree, (a, b) => {
        // A condition with more of its own implies the first: without this hardly any pair would.
        for (const [one, other] of [
          [a, b],
          [{ all: [a, b] }, a],
          [a, { any: [b, a] }],
        ]) {
          const [inner, outer] = [boxesOf(condition(one), DOMAINS), boxesOf(condition(other), DOMAINS)];
          if (!inner || !outer) continue;
          const answer = implies(inner, outer, DOMAINS);
          seen[answer]++;
          const counterexample = POINTS.find((point) => meets(one, point) && !meets(other, point));
          expect(answer).toBe(counterexample ? "no" : "yes");
          const rest = remainder(inner, outer) ?? [];
          const witness = witnessOf(rest, DOMAINS);
          if (typeof witness === "object") {
            const point = { ...POINTS[0], ...witness };
            expect([meets(one, point), meets(other, point)]).toEqual([true, false]);
          }
        }
      }),
      { numRuns: 80 },
    );
    expect(seen["not shown"]).toBe(0);
    expect(Math.min(seen.yes, seen.no)).toBeGreaterThan(30);
  });
});

describe("sets of numbers", () => {
  const end = fc.record({ at: fc.integer({ min: -3, max: 3 }), closed: fc.boolean() });
  const set = (whole: boolean) =>
    fc
      .array(fc.oneof(fc.record({ from: end, to: end }), fc.record({ from: end }), fc.record({ to: end })), {
        maxLength: 3,
      })
      .map((intervals) =>
        intervals.reduce<ValueSet>(
          (sum, interval) => complement(intersect(complement(sum), complement(numbers(whole, interval)))),
          theNumbers(whole, []),
        ),
      );
  const has = (numberSet: ValueSet, at: number) =>
    (numberSet as NumberSet).intervals.some((interval) =>
      isWithin(theNumbers(false, [at]), numbers(false, interval)),
    );

  it("keep the laws of set algebra, at every number and between", () => {
    fc.assert(
      fc.property(set(false), set(false), (a, b) => {
        for (let at = -4; at <= 4; at += 0.25) {
          expect(has(complement(a), at)).toBe(!has(a, at));
          expect(has(intersect(a, b), at)).toBe(has(a, at) && has(b, at));
        }
        expect(isEmpty(intersect(a, complement(a)))).toBe(true);
        expect(complement(complement(a))).toEqual(a);
      }),
    );
  });

  it("of a range keep the same laws within it, and hold nothing outside", () => {
    fc.assert(
      fc.property(end, end, end, end, (from, to, low, high) => {
        const range = { from: low, to: high };
        const within = (at: number) => has(numbers(false, range), at);
        const a = numbers(false, { from, to }, range);
        for (let at = -4; at <= 4; at += 0.25) {
          expect(has(a, at)).toBe(within(at) && has(numbers(false, { from, to }), at));
          expect(has(complement(a), at)).toBe(within(at) && !has(a, at));
        }
        expect(complement(complement(a))).toEqual(a);
      }),
    );
  });

  it("of counts have nothing between two neighbours", () => {
    fc.assert(
      fc.property(set(true), (a) => {
        expect(complement(complement(a))).toEqual(a);
        for (const { from, to } of (a as NumberSet).intervals) {
          for (const { at } of [from, to]) expect(Number.isInteger(at) || !Number.isFinite(at)).toBe(true);
        }
      }),
    );
    expect(isEmpty(numbers(true, { from: { at: 1, closed: false }, to: { at: 2, closed: false } }))).toBe(
      true,
    );
  });

  it("of texts are the ones listed or all but those", () => {
    const others = complement(theTexts(null, ["a"]));
    expect(isWithin(theTexts(null, ["b"]), others)).toBe(true);
    expect(isWithin(theTexts(null, ["a"]), others)).toBe(false);
    expect(complement(theTexts(["a", "b"], ["a"]))).toEqual(theTexts(["a", "b"], ["b"]));
  });
});
