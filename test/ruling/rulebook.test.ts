import { describe, expect, it } from "vitest";
import { loadRulebook } from "../../server/ruling/rulebook.js";
import { assembly, hole, kit, part } from "../support/by-hand.js";
import { all, any, book, DICTIONARY, is, not, problemsOf, refusals, rule } from "./book.js";

const FLUSH = { head: "flush" };
const RIB = is("kind", "rib");
const good = (more: object = {}) => rule("r", RIB, FLUSH, more as Readonly<Record<string, unknown>>);
const nested = (depth: number): Readonly<Record<string, unknown>> =>
  depth === 0 ? RIB : { all: [nested(depth - 1)] };

/** A rib with one hole, in a kit with a zone. */
const SMALL = kit(
  [],
  [
    assembly(
      [part("RIB-1"), part("SKIN")],
      [hole("RIB-1.top.1", ["SKIN", "RIB-1"], { given: { zone: "tip" } })],
    ),
  ],
);
const OWN = { kit: SMALL.id };

describe("a rule file is refused, naming the place,", () => {
  const conditions: readonly (readonly [string, object, string])[] = [
    ["an empty all, which would hold everywhere", all(), "CONDITION_EMPTY /rules/0/conditions/all"],
    ["an empty any deeper down", all(any()), "CONDITION_EMPTY /rules/0/conditions/all/0/any"],
    [
      "a fact that is not in the dictionary",
      all(is("gapMn", "lessThan", 1)),
      "FACT_UNKNOWN /rules/0/conditions/all/0/fact",
    ],
    [
      "a fact that every object has",
      all(is("constructor", "x")),
      "FACT_UNKNOWN /rules/0/conditions/all/0/fact",
    ],
    [
      "an operator that there is not",
      all(is("gapMm", "less", 1)),
      "OPERATOR_UNKNOWN /rules/0/conditions/all/0/operator",
    ],
    [
      "an operator that does not fit the fact",
      all(is("kind", "lessThan", "rib")),
      "OPERATOR_UNFIT /rules/0/conditions/all/0/operator",
    ],
    [
      "a list asked for equality",
      all(is("through", "equal", "RIB-1")),
      "OPERATOR_UNFIT /rules/0/conditions/all/0/operator",
    ],
    ["a number in quotes", all(is("gapMm", "lessThan", "0.5")), "VALUE_TYPE /rules/0/conditions/all/0/value"],
    [
      "not a number at all",
      all(is("gapMm", "lessThan", Number.NaN)),
      "VALUE_TYPE /rules/0/conditions/all/0/value",
    ],
    ["a number where a flag is", all(is("primed", 1)), "VALUE_TYPE /rules/0/conditions/all/0/value"],
    ["in without a list", all(is("kind", "in", "rib")), "VALUE_TYPE /rules/0/conditions/all/0/value"],
    ["in with an empty list", all(is("kind", "in", [])), "VALUE_TYPE /rules/0/conditions/all/0/value"],
    [
      "a text that the fact never is",
      all(is("kind", "in", ["rib", "rbi"])),
      "VALUE_UNKNOWN /rules/0/conditions/all/0/value/1",
    ],
    [
      "a path, which runs expressions",
      all({ ...RIB, path: "$.x" }),
      "CONDITION_KEY_REFUSED /rules/0/conditions/all/0/path",
    ],
    ["params", all({ ...RIB, params: {} }), "CONDITION_KEY_REFUSED /rules/0/conditions/all/0/params"],
    ["a priority", { all: [RIB], priority: 2 }, "CONDITION_KEY_REFUSED /rules/0/conditions/priority"],
    [
      "a named condition",
      all({ condition: "x" }),
      "CONDITION_KEY_REFUSED /rules/0/conditions/all/0/condition",
    ],
    ["all and any side by side", { all: [RIB], any: [RIB] }, "CONDITION_MALFORMED /rules/0/conditions"],
    ["a leaf without all, any or not around it", RIB, "CONDITION_MALFORMED /rules/0/conditions"],
    ["a list as a not", { not: [RIB] }, "CONDITION_MALFORMED /rules/0/conditions/not"],
    ["null among conditions", { all: [null] }, "CONDITION_MALFORMED /rules/0/conditions/all/0"],
    [
      "more nesting than anyone can read",
      nested(13),
      "CONDITION_TOO_DEEP /rules/0/conditions/all/0/all/0/all/0/all/0/all/0/all/0/all/0/all/0/all/0/all/0/all/0/all/0",
    ],
    [
      "more conditions than anyone can read",
      all(...Array.from({ length: 65 }, () => RIB)),
      "CONDITION_TOO_MANY /rules/0/conditions",
    ],
    [
      "not over a settled attribute",
      all(not(is("head", "flush"))),
      "CONDITION_NOT_OVER_RULED /rules/0/conditions/all/0/not/fact",
    ],
    [
      "two facts of different units",
      all(is("gapMm", "lessThan", { fact: "edgeRatio" })),
      "VALUE_TYPE /rules/0/conditions/all/0/value",
    ],
    [
      "a number beside a text",
      all(is("gapMm", "equal", { fact: "kind" })),
      "VALUE_TYPE /rules/0/conditions/all/0/value",
    ],
    [
      "a fact beside itself",
      all(is("gapMm", "equal", { fact: "gapMm" })),
      "VALUE_TYPE /rules/0/conditions/all/0/value",
    ],
    [
      "a path beside another fact",
      all(is("gapMm", "lessThan", { fact: "edgeMm", path: "$" })),
      "CONDITION_KEY_REFUSED /rules/0/conditions/all/0/value/path",
    ],
    [
      "another fact that is not there",
      all(is("gapMm", "lessThan", { fact: "edgeMn" })),
      "FACT_UNKNOWN /rules/0/conditions/all/0/value/fact",
    ],
  ];
  it.each(conditions)("for %s", (_, when, refusal) => {
    const treatment = rule("r", RIB, { treatment: "dimple" }, { conditions: when });
    expect(refusals(() => book([treatment]))).toEqual([refusal]);
  });

  const rules: readonly (readonly [string, object, string])[] = [
    [
      "an attribute that there is not",
      { event: { type: "treatment", params: { heads: "flush" } } },
      "ATTRIBUTE_UNKNOWN /rules/0/event/params/heads",
    ],
    [
      "a value that the attribute never has",
      { event: { type: "treatment", params: { head: "round" } } },
      "VALUE_UNKNOWN /rules/0/event/params/head",
    ],
    [
      "a claim of the wrong type",
      { event: { type: "treatment", params: { finalDiameterMm: "4" } } },
      "CLAIM_TYPE /rules/0/event/params/finalDiameterMm",
    ],
    [
      "a claim of another family's attribute",
      { event: { type: "treatment", params: { hold: "none" } } },
      "ATTRIBUTE_FAMILY /rules/0/event/params/hold",
    ],
    ["a claim of nothing", { event: { type: "treatment", params: {} } }, "CLAIM_NONE /rules/0/event/params"],
    [
      "an event of another family",
      { event: { type: "hold", params: { hold: "none" } } },
      "EVENT_FAMILY /rules/0/event/type",
    ],
    [
      "no example where it fires",
      {
        examples: [
          { facts: {}, fires: false },
          { facts: {}, fires: false },
        ],
      },
      "EXAMPLES_MISSING /rules/0/examples",
    ],
    [
      "no example where it does not",
      {
        examples: [
          { facts: {}, fires: true },
          { facts: {}, fires: true },
        ],
      },
      "EXAMPLES_MISSING /rules/0/examples",
    ],
    [
      "an example with an unknown fact",
      {
        examples: [
          { facts: { kinds: "rib" }, fires: true },
          { facts: {}, fires: false },
        ],
      },
      "FACT_UNKNOWN /rules/0/examples/0/facts/kinds",
    ],
    [
      "an example with a value of the wrong type",
      {
        examples: [
          { facts: { gapMm: "1" }, fires: true },
          { facts: {}, fires: false },
        ],
      },
      "VALUE_TYPE /rules/0/examples/0/facts/gapMm",
    ],
    [
      "an example with a text that the fact never is",
      {
        examples: [
          { facts: { kind: "wing" }, fires: true },
          { facts: {}, fires: false },
        ],
      },
      "VALUE_UNKNOWN /rules/0/examples/0/facts/kind",
    ],
    [
      "an example with both a hole and facts",
      {
        examples: [
          { hole: "A.b.1", facts: {}, fires: true },
          { facts: {}, fires: false },
        ],
      },
      "EXAMPLE_MALFORMED /rules/0/examples/0",
    ],
    [
      "an example hole in a rule for any kit",
      {
        examples: [
          { hole: "A.b.1", fires: true },
          { facts: {}, fires: false },
        ],
      },
      "EXAMPLE_HOLE /rules/0/examples/0/hole",
    ],
    [
      "a day that is not in the calendar",
      { basis: { rank: "manual", document: "M", place: "1", dated: "2023-02-29" } },
      "DATE_UNREAL /rules/0/basis/dated",
    ],
    [
      "an override of a rule that is not there",
      { overrides: [{ rule: "q", reason: "x" }] },
      "OVERRIDE_UNKNOWN /rules/0/overrides/0/rule",
    ],
    [
      "an override of itself",
      { overrides: [{ rule: "r", reason: "x" }] },
      "OVERRIDE_LOOP /rules/0/overrides",
    ],
    [
      "a departure by the manual",
      { departure: { from: ["r"], reference: "letter" } },
      "DEPARTURE_NOT_SHOP /rules/0/departure",
    ],
    ["a missing reason", { why: undefined }, "KEY_MISSING /rules/0"],
    ["a key that nobody knows", { priority: 3 }, "KEY_UNKNOWN /rules/0/priority"],
  ];
  it.each(rules)("for %s", (_, more, refusal) => {
    expect(refusals(() => book([good(more)]))).toEqual([refusal]);
  });

  const others: readonly (readonly [string, string, object, string])[] = [
    ["an order without a part", "order", { strength: "must" }, "ORDER_OPEN /rules/0/event/params"],
    [
      "an order of no known strength",
      "order",
      { before: "SKIN", strength: "may" },
      "CLAIM_TYPE /rules/0/event/params/strength",
    ],
    [
      "an order before and after the same part",
      "order",
      { before: "SKIN", after: "SKIN", strength: "must" },
      "ORDER_LOOP /rules/0/event/params",
    ],
    [
      "an order with a key too many",
      "order",
      { before: "SKIN", strength: "must", why: "x" },
      "KEY_UNKNOWN /rules/0/event/params/why",
    ],
    ["a limit without an end", "limit", { fact: "edgeRatio" }, "LIMIT_OPEN /rules/0/event/params"],
    [
      "a limit that nothing keeps",
      "limit",
      { fact: "edgeRatio", min: 3, max: 2 },
      "LIMIT_EMPTY /rules/0/event/params",
    ],
    ["a limit in quotes", "limit", { fact: "edgeRatio", min: "2" }, "CLAIM_TYPE /rules/0/event/params/min"],
    ["a limit of a text", "limit", { fact: "kind", min: 2 }, "CLAIM_TYPE /rules/0/event/params/fact"],
    [
      "a limit of nothing known",
      "limit",
      { fact: "edgeRation", min: 2 },
      "FACT_UNKNOWN /rules/0/event/params/fact",
    ],
    [
      "a caution that says nothing",
      "caution",
      { text: " ", acts: ["drill"] },
      "CLAIM_TYPE /rules/0/event/params/text",
    ],
    [
      "a caution for an unknown act",
      "caution",
      { text: "Mind.", acts: ["sing"] },
      "CLAIM_TYPE /rules/0/event/params/acts/0",
    ],
    ["a caution for no act", "caution", { text: "Mind.", acts: [] }, "CLAIM_TYPE /rules/0/event/params/acts"],
  ];
  it.each(others)("for %s", (_, family, params, refusal) => {
    const written = rule("r", RIB, params as Readonly<Record<string, unknown>>, { family });
    expect(refusals(() => book([written]))).toEqual([refusal]);
  });

  it("for a second rule with the same id", () => {
    expect(refusals(() => book([good(), good()]))).toEqual(["RULE_DUPLICATE /rules/1/id"]);
  });

  it("for overrides that run in a circle, naming the circle", () => {
    const over = (id: string, other: string) =>
      rule(id, RIB, FLUSH, { overrides: [{ rule: other, reason: "x" }] });
    const [problem] = problemsOf(() => book([over("a", "b"), over("b", "c"), over("c", "a")]));
    expect(problem?.code).toBe("OVERRIDE_LOOP");
    expect(problem?.message).toContain("a → b → c → a");
  });

  it("for an override of a rule with a higher basis, which it could never beat", () => {
    const weaker = rule("shop", RIB, FLUSH, { rank: "shop", overrides: [{ rule: "manual", reason: "x" }] });
    expect(refusals(() => book([weaker, rule("manual", RIB, FLUSH)]))).toEqual([
      "OVERRIDE_OF_STRONGER /rules/0/overrides/0/rule",
    ]);
  });

  it("for a departure from a rule that is no stronger", () => {
    const shop = rule("shop", RIB, FLUSH, {
      rank: "shop",
      departure: { from: ["book"], reference: "letter" },
    });
    expect(refusals(() => book([shop, rule("book", RIB, FLUSH, { rank: "handbook" })]))).toEqual([
      "DEPARTURE_NEEDLESS /rules/0/departure/from/0",
    ]);
  });

  it("for attributes that wait for each other, naming the rules", () => {
    const byHead = rule("by-head", is("head", "flush"), { treatment: "dimple" });
    const byTreatment = rule("by-treatment", is("treatment", "dimple"), { head: "flush" });
    const [problem, ...more] = problemsOf(() => book([byHead, byTreatment]));
    expect(problem?.code).toBe("ATTRIBUTE_LOOP");
    expect(problem?.message).toContain("head for treatment (by-treatment), treatment for head (by-head)");
    expect(more).toEqual([]);
  });

  it("for an attribute that waits for itself", () => {
    const circular = rule("r", is("head", "flush"), { head: "flush", treatment: "dimple" });
    expect(refusals(() => book([circular]))).toEqual(["ATTRIBUTE_LOOP /rules/0/conditions"]);
  });

  it("for keys that reach into every object", () => {
    const file = JSON.stringify({ format: "tailroom rules 1", rules: [good()] }).replace(
      `"why"`,
      `"__proto__":{"polluted":true},"why"`,
    );
    expect(refusals(() => loadRulebook([{ path: "r.json", text: file }], DICTIONARY, null))).toEqual([
      "KEY_FORBIDDEN /rules/0/__proto__",
    ]);
    expect(({} as { polluted?: boolean }).polluted).toBeUndefined();
  });

  it("for a file that is no JSON, or is nested without end", () => {
    const load = (text: string) => () => loadRulebook([{ path: "r.json", text }], DICTIONARY, null);
    expect(refusals(load("{"))).toEqual(["JSON_MALFORMED "]);
    const deep = `{"format":"tailroom rules 1","rules":[{"conditions":${`{"not":`.repeat(5000)}1${"}".repeat(5000)}}]}`;
    expect(problemsOf(load(deep))[0]?.code).toBe("CONDITION_TOO_DEEP");
  });
});

describe("loading rules", () => {
  it("tells every problem at once, in all files", () => {
    const bad = rule("a", is("gapMn", 1), { heads: "flush" });
    const files = ["one", "two"].map((name) => ({
      path: `rules/${name}.json`,
      text: JSON.stringify({ format: "tailroom rules 1", rules: [bad] }),
    }));
    const problems = problemsOf(() => loadRulebook(files, DICTIONARY, null));
    expect(problems.map(({ code, where }) => `${where.file} ${code}`)).toEqual([
      "rules/one.json FACT_UNKNOWN",
      "rules/one.json ATTRIBUTE_UNKNOWN",
      "rules/two.json FACT_UNKNOWN",
      "rules/two.json ATTRIBUTE_UNKNOWN",
    ]);
  });

  it("suggests the nearest name", () => {
    const fixes = (load: () => unknown) => problemsOf(load).map((problem) => problem.fix);
    expect(fixes(() => book([rule("r", is("gapMn", "lessThan", 1), FLUSH)]))).toEqual([
      `Did you mean "gapMm"?`,
    ]);
    expect(fixes(() => book([rule("r", is("kind", "bracet"), FLUSH)]))).toEqual([`Did you mean "bracket"?`]);
    expect(fixes(() => book([rule("r", RIB, { head: "flsh" })]))).toEqual([`Did you mean "flush"?`]);
    expect(fixes(() => book([rule("r", is("gapMm", "lesThan", 1), FLUSH)]))).toEqual([
      `Did you mean "lessThan"?`,
    ]);
  });

  it("lets a kit's own rule name only the kit's parts, zones and holes", () => {
    const wrong = [
      rule("a", is("part", "RIB-9"), FLUSH),
      rule("b", is("zone", "root"), FLUSH),
      rule("c", RIB, FLUSH, {
        examples: [
          { hole: "RIB-1.top.2", fires: true },
          { facts: {}, fires: false },
        ],
      }),
      rule("d", RIB, { before: "SPAR", strength: "must" }, { family: "order" }),
      rule("e", RIB, { hold: "aligned" }, { family: "hold" }),
    ];
    expect(refusals(() => book(wrong, SMALL, OWN))).toEqual([
      "VALUE_UNKNOWN /rules/0/conditions/all/0/value",
      "VALUE_UNKNOWN /rules/1/conditions/all/0/value",
      "EXAMPLE_HOLE /rules/2/examples/0/hole",
      "VALUE_UNKNOWN /rules/3/event/params/before",
      "VALUE_UNKNOWN /rules/4/event/params/hold",
    ]);
    const right = [
      rule("a", is("part", "RIB-1"), FLUSH),
      rule("b", is("zone", "tip"), FLUSH, {
        examples: [
          { hole: "RIB-1.top.1", fires: true },
          { facts: { zone: "none" }, fires: false },
        ],
      }),
    ];
    expect(book(right, SMALL, OWN).rules.map(({ id }) => id)).toEqual(["a", "b"]);
  });

  it("lets a rule for any kit name parts that this kit lacks, but claim only what it has", () => {
    const general = rule("a", is("part", "SPAR"), FLUSH);
    expect(book([general], SMALL).rules).toHaveLength(1);
    expect(refusals(() => book([rule("a", RIB, { hold: "aligned" }, { family: "hold" })], SMALL))).toEqual([
      "VALUE_UNKNOWN /rules/0/event/params/hold",
    ]);
  });

  it("leaves out another kit's rules, but not their faults of shape", () => {
    const another = { kit: "other" };
    expect(book([rule("a", is("part", "RIB-9"), FLUSH)], SMALL, another).rules).toEqual([]);
    expect(refusals(() => book([good({ extra: 1 })], SMALL, another))).toEqual([
      "KEY_UNKNOWN /rules/0/extra",
    ]);
  });

  it("freezes what it returns, and lists it by id whatever the order of writing", () => {
    const loaded = book([rule("b", RIB, FLUSH), rule("a", RIB, FLUSH)]);
    expect(loaded.rules.map(({ id }) => id)).toEqual(["a", "b"]);
    expect(Object.isFrozen(loaded)).toBe(true);
    expect(Object.isFrozen(loaded.rules[0]?.conditions)).toBe(true);
    expect(() => {
      (loaded.rules[0] as { id: string }).id = "c";
    }).toThrow(TypeError);
  });

  it("settles attributes in the order in which they rest on each other", () => {
    const loaded = book([
      rule("a", is("treatment", "dimple"), { finalDiameterMm: 4 }),
      rule("b", is("head", "flush"), { treatment: "dimple" }),
      rule("c", RIB, FLUSH),
    ]);
    expect(loaded.strata).toEqual([["head", "hold"], ["treatment"], ["finalDiameterMm"]]);
  });
});
