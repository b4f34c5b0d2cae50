import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { FactRecord } from "../../server/facts/types.js";
import { anomaliesOf } from "../../server/ruling/anomalies/anomalies.js";
import type { Finding } from "../../server/ruling/anomalies/finding.js";
import type { Site } from "../../server/ruling/anomalies/look.js";
import { findingsOf } from "../../server/ruling/anomalies/refused.js";
import { ruleOn } from "../../server/ruling/rule.js";
import type { Rulebook } from "../../server/ruling/rulebook.js";
import type { Condition } from "../../server/ruling/types.js";
import { assembly, hole, kit, part } from "../support/by-hand.js";
import { jobFromDisk } from "../support/job.js";
import { all, any, book, is, not, problemsOf, rule } from "./book.js";
import { meetsPlainly } from "./plain-conditions.js";

type Json = Readonly<Record<string, unknown>>;

async function siteOf(rulebook: Rulebook, records: readonly FactRecord[]): Promise<Site> {
  const ids = records.map((_, i) => `H${i + 1}`);
  return { rulings: await ruleOn(rulebook, ids, records), records };
}

/** What is found about the first of these rules, its examples left aside. */
async function found(
  rules: readonly Json[],
  records: readonly FactRecord[] = [],
): Promise<readonly Finding[]> {
  const rulebook = book(rules);
  const judged = rulebook.byId.get(String(rules[0]?.id));
  if (!judged) throw new Error("no rule to judge");
  const findings = await anomaliesOf(rulebook, judged, [await siteOf(rulebook, records)]);
  return findings.filter(({ kind }) => kind !== "example fails");
}

const brief = (findings: readonly Finding[]): string[] =>
  findings.map(({ severity, kind, rules, attribute }) =>
    [severity, kind, ...rules.slice(1), attribute ?? ""].join(" ").trim(),
  );

const flush = { head: "flush" };
const protruding = { head: "protruding" };
const small = is("gapMm", "lessThan", 1);

describe("a rule by itself", () => {
  it("can never hold when two of its conditions rule each other out, and these two are named", async () => {
    const [one] = await found([
      rule("r", all(is("kind", "rib"), small, is("gapMm", "greaterThan", 2)), flush),
    ]);
    expect(one).toMatchObject({ kind: "never holds", severity: "error", pointer: "/conditions" });
    expect(one?.said).toContain("gapMm lessThan 1 and gapMm greaterThan 2");
  });

  it("can never hold with fewer than two and more than one layer", async () => {
    expect(
      brief(
        await found([rule("r", all(is("layers", "greaterThan", 1), is("layers", "lessThan", 2)), flush)]),
      ),
    ).toEqual(["error never holds"]);
  });

  it.each([
    ["a room below nothing", is("roomMm", "lessThan", 0)],
    ["a hole without a diameter", is("punchedMm", "lessThanInclusive", 0)],
    ["a hole larger than any rivet's", is("punchedMm", "greaterThan", 13)],
    ["one of two sizes that no hole has", is("punchedMm", "in", [0, -3])],
    ["the place before the first", is("place", "lessThan", 1)],
    ["anything but a room", not(is("roomMm", "greaterThanInclusive", 0))],
  ])("can never hold where it asks for %s, and no hole shows it", async (_, impossible) => {
    const [one, ...rest] = await found([rule("r", all(is("kind", "rib"), impossible), flush)]);
    expect(one).toMatchObject({ kind: "never holds", severity: "error", witness: null });
    expect(rest).toEqual([]);
  });

  it("that asks for a number that no kit has is told what the number can be", async () => {
    const said = async (...when: readonly Json[]): Promise<string | undefined> =>
      (await found([rule("r", all(...when), flush)]))[0]?.said;
    expect(await said(is("punchedMm", "greaterThan", 13))).toContain(
      "punchedMm greaterThan 13 cannot be. In any kit punchedMm is more than 0 and at most 13.",
    );
    expect(await said(is("place", "lessThan", 1))).toContain("In any kit place is 1 or more.");
    const apart = await said(is("place", "lessThan", 2), is("place", "greaterThan", 4));
    expect(apart).toContain("at once cannot be.");
    expect(apart).not.toContain("In any kit");
  });

  it.each([
    ["no room at all", is("roomMm", "lessThanInclusive", 0)],
    ["the largest hole there is", is("punchedMm", "greaterThanInclusive", 13)],
    ["the first place", is("place", "lessThanInclusive", 1)],
  ])("may ask for %s", async (_, least) => {
    const kinds = (await found([rule("r", all(least), flush)])).map(({ kind }) => kind);
    expect(kinds).not.toContain("never holds");
    expect(kinds).not.toContain("always holds");
  });

  it("that asks for a room of nothing or more asks that it be known, and does not always hold", async () => {
    const known = rule("known", all(is("roomMm", "greaterThanInclusive", 0)), flush);
    expect(brief(await found([known]))).toEqual([]);
    // Narrower than "known" is what looks at the room, and nothing else.
    const small = rule("small", all(is("roomMm", "lessThan", 1)), flush);
    const ribs = rule("ribs", all(is("kind", "rib")), flush);
    expect(brief(await found([known, small, ribs]))).toEqual(["warning subsumes small"]);
  });

  it("that can never hold is not told to lie within others", async () => {
    const never = rule("r", all(small, is("gapMm", "greaterThan", 2)), flush);
    const findings = await found([never, rule("wide", all(small), flush)], [{ gapMm: 0.5 }]);
    expect(brief(findings)).toEqual(["error never holds"]);
  });

  it("has a dead alternative, which is pointed at", async () => {
    const dead = all(is("kind", "rib"), is("kind", "spar"));
    const [one] = await found([rule("r", all(any(small, dead)), flush)], [{ gapMm: 0.5 }, { gapMm: 2 }]);
    expect(one).toMatchObject({
      kind: "never holds",
      severity: "warning",
      pointer: "/conditions/all/0/any/1",
    });
  });

  it("holds at every hole when its alternatives leave nothing out", async () => {
    const either = any(small, is("gapMm", "greaterThanInclusive", 1));
    expect(brief(await found([rule("r", either, flush)]))).toEqual(["warning always holds"]);
  });

  it("holds at every hole of the kit, which may be meant", async () => {
    expect(brief(await found([rule("r", all(small), flush)], [{ gapMm: 0.1 }, { gapMm: 0.2 }]))).toContain(
      "note always holds",
    );
  });

  it("holds at no hole of the kit, and what such a hole would be is said", async () => {
    const [one] = await found([rule("r", all(small), flush)], [{ gapMm: 2 }]);
    expect(one).toMatchObject({ kind: "holds nowhere here", severity: "note", witness: null });
    expect(one?.said).toMatch(/gapMm -?\d/);
  });

  it("holds at no hole for certain where the fact is missing", async () => {
    const [one] = await found([rule("r", all(small), flush)], [{ gapMm: 2 }, {}]);
    expect(one).toMatchObject({ kind: "holds nowhere here", witness: { hole: "H2" }, holes: ["H2"] });
  });

  it("is cut off when its conditions come to too many cases, and that is said", async () => {
    const apart = Array.from({ length: 12 }, (_, i) =>
      any(is("gapMm", "notEqual", i), is("zone", "notEqual", `zone ${i}`)),
    );
    const [one] = await found([rule("r", all(...apart), flush), rule("s", all(small), protruding)]);
    expect(one).toMatchObject({ kind: "cut off", severity: "warning" });
    expect(one?.said).toContain("500");
  });
});

describe("a rule for any kit", () => {
  const small = kit([], [assembly([part("RIB-1")], [hole("RIB-1.top.1", ["RIB-1"])])]);
  const wing = (id: string, name: string) => rule(id, all(is("part", name)), flush);
  const judged = async (rules: readonly Json[], file: Json = {}) => {
    const rulebook = book(rules, small, file);
    const [first] = rulebook.rules;
    if (!first) throw new Error("no rule");
    const findings = await anomaliesOf(rulebook, first, [await siteOf(rulebook, [{ part: "RIB-1" }])]);
    return brief(findings.filter(({ kind }) => kind !== "example fails" && kind !== "gap"));
  };

  it("may name a part that this kit lacks: it holds nowhere here, which is no fault", async () => {
    expect(await judged([wing("r", "SPAR-9"), wing("s", "SKIN-9")])).toEqual(["note holds nowhere here"]);
  });

  it("is there twice all the same when it says the same of a part that this kit lacks", async () => {
    expect(await judged([wing("r", "SPAR-9"), wing("s", "SPAR-9")])).toEqual([
      "warning duplicate s",
      "note holds nowhere here",
    ]);
  });
});

describe("rules that say the same", () => {
  it("are duplicates when they hold at the same holes, however that is written", async () => {
    const rules = [
      rule("r", all(is("kind", "in", ["rib", "spar"])), flush),
      rule("s", not(is("kind", "in", ["skin", "bracket"])), flush),
    ];
    expect(brief(await found(rules))).toEqual(["warning duplicate s"]);
  });

  it("are one within the other when one holds at some holes of the other", async () => {
    const rules = [rule("r", all(is("kind", "rib"), small), flush), rule("s", all(small), flush)];
    expect(brief(await found(rules))).toEqual(["warning subsumed s"]);
    expect(brief(await found([...rules].reverse()))).toEqual(["warning subsumes r"]);
  });

  it("may both be needed: a notice that repeats the manual counts more", async () => {
    const rules = [
      rule("r", all(is("kind", "rib"), small), flush, { rank: "notice" }),
      rule("s", all(small), flush),
    ];
    expect(brief(await found(rules))).toEqual(["note subsumed s"]);
  });

  it("may both be needed: the narrower one stands against a third, which the wider one does not", async () => {
    const rules = [
      rule("r", all(is("kind", "rib"), small), flush),
      rule("s", all(small), flush),
      rule("t", all(is("kind", "in", ["rib", "spar"]), small), protruding),
    ];
    expect(brief(await found(rules))).toContain("note subsumed s");
  });

  it("are not alike when one claims more, or something else", async () => {
    const rules = [
      rule("r", all(small), { head: "flush", treatment: "dimple" }),
      rule("s", all(small), { head: "flush", finalDiameterMm: 4.1 }),
    ];
    expect(brief(await found(rules))).toEqual([]);
  });

  it("are one within the other at the holes of this kit, whatever their conditions say elsewhere", async () => {
    const rules = [rule("r", all(is("part", "RIB-1")), flush), rule("s", all(is("kind", "rib")), flush)];
    const rib = { part: "RIB-1", kind: "rib" };
    expect(
      brief(await found(rules, [rib, { part: "RIB-2", kind: "rib" }, { part: "X", kind: "spar" }])),
    ).toContain("note subsumed s");
    expect(brief(await found(rules, [rib, { part: "RIB-1", kind: "spar" }])).join()).not.toContain(
      "subsumed",
    );
    expect(brief(await found(rules, [rib, { part: "RIB-1" }])).join()).not.toContain("subsumed");
  });

  it("a limit within a tighter one adds nothing", async () => {
    const limit = (id: string, min: number, when = all(small)) =>
      rule(id, when, { fact: "edgeMm", min }, { family: "limit" });
    expect(brief(await found([limit("r", 8), limit("s", 10)]))).toEqual(["warning subsumed s"]);
    expect(brief(await found([limit("r", 10), limit("s", 8)]))).toEqual(["warning subsumes s"]);
    expect(brief(await found([limit("r", 8), limit("s", 8)]))).toEqual(["warning duplicate s"]);
  });

  it("a wish is within a demand", async () => {
    const order = (id: string, strength: string) =>
      rule(id, all(small), { before: "SKIN", strength }, { family: "order" });
    expect(brief(await found([order("r", "prefer"), order("s", "must")]))).toEqual(["warning subsumed s"]);
  });

  it("a caution for the same act in the same words is there twice", async () => {
    const caution = (id: string, text: string, acts: string[]) =>
      rule(id, all(small), { text, acts }, { family: "caution" });
    const rules = [
      caution("r", "Mind the  chips.", ["drill"]),
      caution("s", "mind the chips.", ["drill", "rivet"]),
    ];
    expect(brief(await found(rules))).toEqual(["warning subsumed s"]);
  });
});

describe("rules that say otherwise", () => {
  const ribs = rule("ribs", all(is("kind", "rib")), flush);
  const near = rule("near", all(small), protruding);

  it("are in conflict at a hole of the kit where nothing decides between them", async () => {
    const [one] = await found(
      [ribs, near],
      [
        { kind: "spar", gapMm: 0.5 },
        { kind: "rib", gapMm: 0.5 },
      ],
    );
    expect(one).toMatchObject({
      kind: "opposes",
      severity: "warning",
      rules: ["ribs", "near"],
      attribute: "head",
      witness: { hole: "H2" },
      holes: ["H2"],
    });
    expect(one?.said).toContain("conflict");
    expect(one?.fix).toContain("overrides");
  });

  it("leave a hole undecided where a missing fact may bring them together", async () => {
    const findings = await found([ribs, near], [{ kind: "rib" }, { kind: "spar", gapMm: 3 }]);
    expect(brief(findings)).toContain("warning opposes near head");
    expect(findings.find(({ kind }) => kind === "opposes")).toMatchObject({ witness: { hole: "H1" } });
  });

  it("meet at an invented hole when the kit has none", async () => {
    const findings = await found(
      [ribs, near],
      [
        { kind: "rib", gapMm: 2 },
        { kind: "spar", gapMm: 0.5 },
      ],
    );
    const one = findings.find(({ kind }) => kind === "opposes");
    expect(one).toMatchObject({ severity: "note", holes: [] });
    expect(one?.witness).toMatchObject({ facts: { kind: "rib", gapMm: expect.closeTo(0, 0) } });
  });

  it("never meet when their conditions rule each other out", async () => {
    const far = rule("far", all(is("gapMm", "greaterThanInclusive", 1)), flush);
    expect(brief(await found([near, far]))).toEqual([]);
  });

  it.each([
    ["the higher basis", { rank: "notice" }, {}, "higher basis"],
    ["the later date", { dated: "2024-05-01" }, { dated: "2023-05-01" }, "later date"],
    [
      "an override",
      { overrides: [{ rule: "near", reason: "the seal is notched" }] },
      {},
      "the seal is notched",
    ],
  ])("%s decides, and the finding says so", async (_, own, theirs, said) => {
    const rules = [
      { ...rule("ribs", all(is("kind", "rib")), flush, own) },
      rule("near", all(small), protruding, theirs),
    ];
    const hole = [{ kind: "rib", gapMm: 0.5 }];
    const [won] = (await found(rules, hole)).filter(({ kind }) => kind === "opposes");
    expect(won).toMatchObject({ severity: "note", witness: { hole: "H1" } });
    expect(won?.said).toContain("This rule goes before");
    expect(won?.said).toContain(said);
    const [lost] = (await found([...rules].reverse(), hole)).filter(({ kind }) => kind === "opposes");
    expect(lost?.said).toContain("The other rule goes before");
  });

  it("a third rule may settle what the two do not", async () => {
    const notice = rule("notice", all(small), protruding, { rank: "notice" });
    const findings = await found([ribs, near, notice], [{ kind: "rib", gapMm: 0.5 }]);
    const one = findings.find(({ rules }) => rules.includes("near"));
    expect(one?.severity).toBe("note");
    expect(one?.said).toContain("settled by “Rule near”, “Rule notice”");
  });

  it("a shop rule against the manual is a departure that must be declared", async () => {
    const shop = rule("shop", all(small), flush, { rank: "shop" });
    const [one] = await found([shop, near], [{ gapMm: 0.5 }, { gapMm: 2 }]);
    expect(one).toMatchObject({ kind: "opposes", severity: "warning", rules: ["shop", "near"] });
    expect(one?.said).toContain("never counts");
    expect(one?.fix).toContain("departure from near");
    const agreed = { ...shop, departure: { from: ["near"], reference: "letter 12" } };
    const findings = await found([agreed, near], [{ gapMm: 0.5 }, { gapMm: 2 }]);
    const other = findings.find(({ kind }) => kind === "opposes");
    expect(other?.severity).toBe("note");
    expect(other?.said).toContain("letter 12");
  });

  it("a shop rule against the manual at no hole of the kit is no departure yet", async () => {
    const shop = rule("shop", all(is("kind", "rib")), flush, { rank: "shop" });
    const findings = await found(
      [shop, near],
      [
        { kind: "rib", gapMm: 2 },
        { kind: "spar", gapMm: 0.5 },
      ],
    );
    expect(brief(findings)).toContain("note opposes near head");
  });

  it("a demand before and a demand after the same part cannot both be met", async () => {
    const order = (id: string, params: Json) => rule(id, all(small), params, { family: "order" });
    const before = order("r", { before: "SKIN", strength: "must" });
    const findings = await found(
      [before, order("s", { after: "SKIN", strength: "must" })],
      [{ gapMm: 0.5 }, { gapMm: 2 }],
    );
    expect(brief(findings)).toEqual(["warning opposes s"]);
    const wish = await found(
      [before, order("s", { after: "SKIN", strength: "prefer" })],
      [{ gapMm: 0.5 }, {}],
    );
    expect(brief(wish)).toEqual(["note opposes s"]);
  });

  it("a rivet through a part cannot be set before that part comes on", async () => {
    const order = (params: Json) => [rule("r", all(small), params, { family: "order" })];
    const records = [
      { gapMm: 0.5, through: ["SKIN", "RIB-1"] },
      { gapMm: 0.5, through: ["RIB-1"] },
      { gapMm: 2, through: ["SKIN"] },
    ];
    const [one] = await found(order({ before: "SKIN", strength: "must" }), records);
    expect(one).toMatchObject({ kind: "cannot be kept", severity: "error", holes: ["H1"] });
    expect(brief(await found(order({ before: "SKIN", strength: "prefer" }), records))).toEqual([
      "warning cannot be kept",
    ]);
    expect(await found(order({ after: "SKIN", strength: "must" }), records)).toEqual([]);
    expect(await found(order({ before: "MOUNT", strength: "must" }), records)).toEqual([]);
  });

  it("two limits that no number keeps", async () => {
    const limit = (id: string, params: Json) =>
      rule(id, all(small), { fact: "edgeMm", ...params }, { family: "limit" });
    const findings = await found(
      [limit("r", { max: 5 }), limit("s", { min: 6 })],
      [{ gapMm: 0.5 }, { gapMm: 2 }],
    );
    expect(brief(findings)).toEqual(["warning opposes s"]);
    expect(brief(await found([limit("r", { max: 5 }), limit("s", { min: 5 })]))).toEqual([]);
  });
});

describe("circles", () => {
  it("of overrides, departures and ranks are found where the kit has a hole at which all may hold", async () => {
    const rules = [
      rule("shop-a", all(small), flush, {
        rank: "shop",
        departure: { from: ["manual"], reference: "letter 3" },
      }),
      rule("manual", all(small), protruding),
      rule("shop-b", all(is("kind", "rib")), flush, { rank: "shop" }),
      rule("shop-c", all(is("kind", "rib")), protruding, {
        rank: "shop",
        overrides: [{ rule: "shop-a", reason: "here not" }],
      }),
    ];
    // shop-a before manual before shop-b; shop-b does not stand against shop-a, so this is no circle.
    expect(brief(await found(rules, [{ kind: "rib", gapMm: 0.5 }])).join()).not.toContain("loop");
    const treated = rules.map((one, i) => ({
      ...one,
      event: {
        type: "treatment",
        params: { treatment: ["dimple", "enlarge", "as punched", "countersink"][i] },
      },
    }));
    const circle = [
      treated[0],
      treated[1],
      { ...treated[2], overrides: [{ rule: "shop-a", reason: "here not" }] },
    ] as Json[];
    const loop = (await found(circle, [{ kind: "rib", gapMm: 0.5 }])).find(
      ({ kind }) => kind === "override loop",
    );
    expect(loop).toMatchObject({
      severity: "warning",
      rules: ["shop-a", "manual", "shop-b"],
      attribute: "treatment",
      witness: { hole: "H1" },
    });
    const apart = await found(circle, [
      { kind: "spar", gapMm: 0.5 },
      { kind: "rib", gapMm: 2 },
    ]);
    expect(brief(apart).join()).not.toContain("loop");
  });

  it("of overrides alone are refused at loading, and are a finding too", () => {
    const rules = [
      rule("r", all(small), flush, { overrides: [{ rule: "s", reason: "one" }] }),
      rule("s", all(small), protruding, { overrides: [{ rule: "r", reason: "two" }] }),
    ];
    const [one] = findingsOf(
      "r",
      problemsOf(() => book(rules)),
      { file: "rules/test.json", pointer: "/rules/0" },
    );
    expect(one).toMatchObject({ kind: "override loop", severity: "error", pointer: "/overrides" });
    expect(one?.said).toContain("r → s → r");
  });
});

describe("gaps", () => {
  it("between less than and more than: the number itself", async () => {
    const rules = [rule("r", all(small), flush), rule("s", all(is("gapMm", "greaterThan", 1)), protruding)];
    const [one] = await found(rules);
    expect(one).toMatchObject({
      kind: "gap",
      severity: "warning",
      attribute: "head",
      witness: { facts: { gapMm: 1 } },
    });
    expect(one?.said).toContain("gapMm is exactly 1");
  });

  it("between two ranges that do not touch", async () => {
    const rules = [
      rule("r", all(small, is("kind", "rib")), flush),
      rule("s", all(is("gapMm", "greaterThanInclusive", 1.5)), protruding),
    ];
    const gaps = (await found(rules)).filter(({ kind }) => kind === "gap");
    expect(gaps.map(({ said }) => said).join()).toContain("from 1 and below 1.5");
  });

  it("not where a general rule stands behind them", async () => {
    const rules = [
      rule("r", all(small), flush),
      rule("s", all(is("gapMm", "greaterThan", 1)), protruding),
      rule("t", all(is("gapMm", "notEqual", -1)), protruding, { rank: "handbook" }),
    ];
    expect(brief(await found(rules)).join()).not.toContain("gap");
  });

  it("not beside a table of sizes: open country is no slice", async () => {
    const size = (id: string, from: number, to: number) =>
      rule(id, all(is("gripMm", "greaterThanInclusive", from), is("gripMm", "lessThanInclusive", to)), {
        finalDiameterMm: from,
      });
    expect(brief(await found([size("r", 2, 2.1), size("s", 3, 3.1)]))).toEqual([]);
  });

  it("at the rule's own holes: a flush head, and nobody says what is done for it", async () => {
    const findings = await found(
      [rule("r", all(small), flush)],
      [{ gapMm: 0.5 }, { gapMm: 0.7 }, { gapMm: 2 }],
    );
    expect(findings.find(({ attribute }) => attribute === "treatment")).toMatchObject({
      kind: "gap",
      severity: "warning",
      witness: { hole: "H1" },
      holes: ["H1", "H2"],
    });
  });

  it("not where a conflict keeps the rest from being said", async () => {
    const rules = [
      rule("r", all(is("kind", "rib")), flush),
      rule("s", all(small), protruding),
      rule("t", all(is("head", "in", ["flush", "protruding"])), { treatment: "dimple" }),
    ];
    const findings = await found(rules, [
      { kind: "rib", gapMm: 0.5 },
      { kind: "rib", gapMm: 2 },
    ]);
    expect(findings.filter(({ kind, severity }) => kind === "gap" && severity === "warning")).toEqual([]);
  });

  it("elsewhere in the kit: holes for which nobody claims what the rule claims", async () => {
    const findings = await found([rule("r", all(small), flush)], [{ gapMm: 0.5 }, { gapMm: 2 }]);
    expect(findings.filter(({ severity }) => severity === "note")).toMatchObject([
      { kind: "gap", attribute: "head", holes: ["H2"] },
    ]);
  });
});

describe("what a rule names", () => {
  it("is a finding with the nearest right name when there is no such thing", () => {
    const wrong = rule("r", all(is("gapmm", "lessThan", 1), is("kind", "ribb")), { hed: "flush" });
    const place = { file: "rules/test.json", pointer: "/rules/0" };
    const findings = findingsOf(
      "r",
      problemsOf(() => book([wrong])),
      place,
    );
    expect(findings.map(({ kind, pointer, fix }) => [kind, pointer, fix])).toEqual([
      ["unknown name", "/conditions/all/0/fact", 'Did you mean "gapMm"?'],
      ["unknown name", "/conditions/all/1/value", 'Did you mean "rib"?'],
      ["unknown name", "/event/params/hed", 'Did you mean "head"?'],
    ]);
  });

  it("fails in its examples, each pointed at", async () => {
    const judged = rule("r", all(small), flush, {
      examples: [
        { facts: { gapMm: 2 }, fires: true },
        { facts: { gapMm: 0.5 }, fires: false },
      ],
    });
    const rulebook = book([judged]);
    const [first] = rulebook.rules;
    if (!first) throw new Error("no rule");
    const failing = (await anomaliesOf(rulebook, first)).filter(({ kind }) => kind === "example fails");
    expect(failing.map(({ severity, pointer }) => [severity, pointer])).toEqual([
      ["error", "/examples/0"],
      ["error", "/examples/1"],
    ]);
  });
});

describe("the demo kits' own rules", () => {
  it.each(["sedge-two", "vetch-six"])("of %s are clean: no error, no warning", async (id) => {
    const { rulebook, rulings, facts } = await jobFromDisk({ kit: id });
    const odd: string[] = [];
    for (const one of rulebook.rules) {
      const findings = await anomaliesOf(rulebook, one, [{ rulings, records: facts }]);
      odd.push(...findings.filter(({ severity }) => severity !== "note").map(({ said }) => said));
    }
    expect(odd).toEqual([]);
  });
});

/** Values that tell apart everything the conditions below can say. */
const POINTS: readonly FactRecord[] = ["rib", "spar", "skin", "bracket"].flatMap((kind) =>
  [0.5, 1, 1.5, 2, 2.5].flatMap((gapMm) =>
    [0, 1, 2, 3].flatMap((layers) => [true, false].map((primed) => ({ kind, gapMm, layers, primed }))),
  ),
);
const leaf = fc.oneof(
  fc
    .tuple(
      fc.constantFrom("lessThan", "lessThanInclusive", "greaterThan", "equal", "notEqual"),
      fc.constantFrom(1, 2),
    )
    .map(([operator, value]) => is("gapMm", operator, value)),
  fc
    .tuple(fc.constantFrom("lessThan", "greaterThanInclusive"), fc.constantFrom(1, 2))
    .map(([operator, value]) => is("layers", operator, value)),
  fc
    .tuple(fc.constantFrom("in", "notIn"), fc.subarray(["rib", "spar", "skin"], { minLength: 1 }))
    .map(([operator, value]) => is("kind", operator, value)),
  fc.boolean().map((value) => is("primed", value)),
);
const joined = fc.array(leaf, { minLength: 1, maxLength: 3 });
const conditions = fc.oneof(
  joined.map((of) => all(...of)),
  joined.map((of) => any(...of)),
  leaf.map((of) => not(of)),
  fc.tuple(joined, joined).map(([some, more]) => all(any(...some), not(all(...more)))),
);

/** A second rule's conditions: its own, the first rule's written otherwise, or the first rule's and more. */
const twin: fc.Arbitrary<(first: Json) => Json> = fc.oneof(
  conditions.map((own) => () => own),
  fc.constant((first: Json) => not(not(first))),
  conditions.map((more) => (first: Json) => all(first, more)),
  conditions.map((more) => (first: Json) => any(more, first)),
);

describe("for any two rules", () => {
  it("what is found is what trying every hole finds", async () => {
    const seen: Record<string, number> = {};
    await fc.assert(
      fc.asyncProperty(conditions, twin, fc.boolean(), async (a, second, same) => {
        const b = second(a);
        const rules = [rule("r", a, flush), rule("s", b, same ? flush : protruding)];
        const findings = await found(rules);
        const [own, theirs] = [a, b].map((when) =>
          POINTS.map((point) => meetsPlainly(when as Condition, point)),
        ) as [boolean[], boolean[]];
        const within = own.every((met, i) => !met || theirs[i]);
        const around = theirs.every((met, i) => !met || own[i]);
        // Of a rule that never holds nothing else is told.
        const kinship = !(same && own.includes(true))
          ? []
          : within && around
            ? ["duplicate"]
            : within
              ? ["subsumed"]
              : around
                ? ["subsumes"]
                : [];
        const expected = [
          ...(own.includes(true) ? [] : ["never holds"]),
          ...(own.includes(false) ? [] : ["always holds"]),
          ...kinship,
          ...(!same && own.some((met, i) => met && theirs[i]) ? ["opposes"] : []),
        ];
        for (const kind of expected) seen[kind] = (seen[kind] ?? 0) + 1;
        // A dead alternative is told beside a rule that holds somewhere; gaps have tests of their own.
        const kinds = findings
          .filter(
            ({ kind, severity }) => kind !== "gap" && !(kind === "never holds" && severity === "warning"),
          )
          .map(({ kind }) => kind);
        expect([...kinds].sort()).toEqual([...expected].sort());
        for (const { kind, witness } of findings) {
          if (kind !== "opposes" || !witness || !("facts" in witness)) continue;
          const point = { ...POINTS[0], ...witness.facts };
          expect([meetsPlainly(a as Condition, point), meetsPlainly(b as Condition, point)]).toEqual([
            true,
            true,
          ]);
        }
      }),
      { numRuns: 400 },
    );
    for (const kind of ["never holds", "duplicate", "subsumed", "subsumes", "opposes"]) {
      expect(seen[kind] ?? 0, kind).toBeGreaterThan(2);
    }
  });
});
