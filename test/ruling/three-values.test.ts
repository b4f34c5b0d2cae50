import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { FactRecord } from "../../server/facts/types.js";
import { ruleOn } from "../../server/ruling/rule.js";
import type { ConditionTrace, Truth } from "../../server/ruling/types.js";
import { all, any, book, is, not, problemsOf, rule } from "./book.js";

/** Truth of one rule's conditions for some facts. */
async function truth(when: Readonly<Record<string, unknown>>, facts: FactRecord): Promise<Truth> {
  return (await traceOf(when, facts)).verdict;
}

async function traceOf(when: Readonly<Record<string, unknown>>, facts: FactRecord): Promise<ConditionTrace> {
  const rulings = await ruleOn(book([rule("r", when, { treatment: "dimple" })]), ["hole"], [facts]);
  return rulings.conditions("hole", "r");
}

describe("a condition on a fact that is not known", () => {
  it.each([
    ["lessThan", 1],
    ["notEqual", 1],
    ["notIn", [1, 2]],
    ["equal", 1],
    ["in", [1]],
  ])("is unknown, whatever the operator: %s", async (operator, value) => {
    expect(await truth(is("gapMm", operator, value), {})).toBe("unknown");
    expect(await truth(all(not(is("gapMm", operator, value))), {})).toBe("unknown");
  });

  it("is unknown when the fact that it is compared with is not known", async () => {
    const narrow = is("gapMm", "lessThan", { fact: "edgeMm" });
    expect(await truth(narrow, { gapMm: 1 })).toBe("unknown");
    expect(await truth(narrow, { edgeMm: 1 })).toBe("unknown");
    expect(await truth(narrow, { gapMm: 1, edgeMm: 2 })).toBe("true");
  });

  it("does not matter below an all that is false anyway, or an any that is true anyway", async () => {
    const gap = is("gapMm", "lessThan", 1);
    expect(await truth(all(is("kind", "rib"), gap), { kind: "skin" })).toBe("false");
    expect(await truth(all(is("kind", "rib"), gap), { kind: "rib" })).toBe("unknown");
    expect(await truth(any(is("kind", "rib"), gap), { kind: "rib" })).toBe("true");
    expect(await truth(any(is("kind", "rib"), gap), { kind: "skin" })).toBe("unknown");
    expect(await truth(not(all(is("kind", "rib"), gap)), { kind: "skin" })).toBe("true");
  });
});

describe("a condition on known facts", () => {
  it("compares as the trade does: less than leaves the limit out", async () => {
    expect(await truth(is("gapMm", "lessThan", 1), { gapMm: 1 })).toBe("false");
    expect(await truth(is("gapMm", "lessThanInclusive", 1), { gapMm: 1 })).toBe("true");
    expect(await truth(is("gapMm", "greaterThan", 1), { gapMm: 1 })).toBe("false");
    expect(await truth(is("gapMm", "greaterThanInclusive", 1), { gapMm: 1 })).toBe("true");
  });

  it("looks for parts in a stack", async () => {
    const through = ["SKIN", "RIB-1"];
    expect(await truth(is("through", "contains", "SKIN"), { through })).toBe("true");
    expect(await truth(is("through", "contains", "SPAR"), { through })).toBe("false");
    expect(await truth(is("through", "doesNotContain", "SPAR"), { through })).toBe("true");
  });

  it("carries the values seen in its trace, each hole its own", async () => {
    const rulings = await ruleOn(
      book([rule("r", all(is("gapMm", "lessThan", 1), is("kind", "rib")), { treatment: "dimple" })]),
      ["a", "b", "c"],
      [{ gapMm: 0.4, kind: "rib" }, { gapMm: 0.7, kind: "rib" }, { kind: "rib" }],
    );
    const seen = rulings.ids.map((id) => {
      const trace = rulings.conditions(id, "r");
      const [gap] = trace.op === "leaf" ? [] : trace.of;
      return [trace.verdict, gap?.op === "leaf" ? gap.actual : undefined];
    });
    expect(seen).toEqual([
      ["true", 0.4],
      ["true", 0.7],
      ["unknown", null],
    ]);
    expect(rulings.runs).toBe(2);
  });

  it("is refused when a record's value is of another type than the dictionary says", async () => {
    const load = book([rule("r", is("gapMm", "lessThan", 1), { treatment: "dimple" })]);
    await expect(ruleOn(load, ["hole"], [{ gapMm: "0.5" }])).rejects.toMatchObject({
      code: "FACT_WRONG_TYPE",
    });
    await expect(ruleOn(load, ["hole"], [{ gapMm: Number.NaN }])).rejects.toMatchObject({
      code: "FACT_WRONG_TYPE",
    });
    expect(problemsOf(() => load)).toEqual([]);
  });
});

describe("one run for each class of holes", () => {
  const KINDS = ["rib", "spar", "skin", "bracket"];
  const leaf = fc.oneof(
    fc.record({
      fact: fc.constantFrom("gapMm", "gripMm", "edgeMm"),
      operator: fc.constantFrom(
        ...["equal", "notEqual", "lessThan", "lessThanInclusive", "greaterThan", "greaterThanInclusive"],
      ),
      value: fc.oneof(
        fc.integer({ min: 0, max: 3 }),
        fc.constantFrom({ fact: "edgeMm" }, { fact: "gripMm" }),
      ),
    }),
    fc.record({
      fact: fc.constant("kind"),
      operator: fc.constantFrom("in", "notIn"),
      value: fc.subarray(KINDS, { minLength: 1 }),
    }),
    fc.record({
      fact: fc.constant("through"),
      operator: fc.constantFrom("contains", "doesNotContain"),
      value: fc.constantFrom("A", "B"),
    }),
    fc.record({ fact: fc.constant("primed"), operator: fc.constant("equal"), value: fc.boolean() }),
  );
  const usable = leaf.filter(
    (one) => !(typeof one.value === "object" && "fact" in one.value && one.value.fact === one.fact),
  );
  const conditions = fc.letrec<{ tree: object }>((tie) => ({
    tree: fc.oneof(
      { maxDepth: 3 },
      usable,
      fc.array(tie("tree"), { minLength: 1, maxLength: 3 }).map((of) => ({ all: of })),
      fc.array(tie("tree"), { minLength: 1, maxLength: 3 }).map((of) => ({ any: of })),
      tie("tree").map((of) => ({ not: of })),
    ),
  })).tree;
  const number = fc.integer({ min: -1, max: 4 });
  const record = fc.record(
    {
      gapMm: number,
      gripMm: number,
      edgeMm: number,
      kind: fc.constantFrom(...KINDS),
      through: fc.subarray(["A", "B", "C"]),
      primed: fc.boolean(),
    },
    { requiredKeys: [] },
  );

  it("says of every hole what a run for that hole alone says", async () => {
    await fc.assert(
      fc.asyncProperty(
        conditions,
        fc.array(record, { minLength: 1, maxLength: 40 }),
        async (tree, records) => {
          const load = book([rule("r", { all: [tree] }, { treatment: "dimple" })]);
          const ids = records.map((_, i) => `${i}`);
          const together = await ruleOn(load, ids, records);
          for (const [i, facts] of records.entries()) {
            const alone = await ruleOn(load, ["alone"], [facts]);
            expect(together.conditions(`${i}`, "r")).toEqual(alone.conditions("alone", "r"));
          }
          expect(together.runs).toBeLessThanOrEqual(records.length);
        },
      ),
      { numRuns: 150 },
    );
  });

  it("finds the same by halving among many numbers as by asking for each", async () => {
    const gaps = Array.from({ length: 200 }, (_, i) => ((i * 37) % 200) / 100);
    for (const operator of ["lessThan", "lessThanInclusive", "greaterThan", "greaterThanInclusive"]) {
      for (const limit of [-1, 0, 0.37, 1.005, 1.99, 5]) {
        const load = book([rule("r", is("gapMm", operator, limit), { treatment: "dimple" })]);
        const rulings = await ruleOn(
          load,
          gaps.map(String),
          gaps.map((gapMm) => ({ gapMm })),
        );
        const holding = gaps.filter((gap) => rulings.conditions(String(gap), "r").verdict === "true");
        const expected = gaps.filter((gap) =>
          operator.startsWith("less")
            ? gap < limit || (operator.endsWith("Inclusive") && gap === limit)
            : gap > limit || (operator.endsWith("Inclusive") && gap === limit),
        );
        expect(holding, `${operator} ${limit}`).toEqual(expected);
      }
    }
  });
});
