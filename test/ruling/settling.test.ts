import { describe, expect, it } from "vitest";
import type { FactRecord } from "../../server/facts/types.js";
import { ruleOn } from "../../server/ruling/rule.js";
import type { AttributeRuling, AttributeTrace, Rulings } from "../../server/ruling/types.js";
import { all, any, book, is, rule } from "./book.js";

type Json = Readonly<Record<string, unknown>>;

async function rulingsFor(facts: FactRecord, ...rules: readonly Json[]): Promise<Rulings> {
  return ruleOn(book(rules), ["hole"], [facts]);
}

async function settled(
  facts: FactRecord,
  attribute: string,
  ...rules: readonly Json[]
): Promise<AttributeRuling> {
  const ruling = (await rulingsFor(facts, ...rules)).of("hole").attributes[attribute];
  if (!ruling) throw new Error(`no ruling for ${attribute}`);
  return ruling;
}

async function traced(facts: FactRecord, ...rules: readonly Json[]): Promise<AttributeTrace> {
  return (await rulingsFor(facts, ...rules)).trace("hole", "head");
}

/** "a beat b by higher basis" for every victory in a trace. */
function victories(trace: AttributeTrace): string[] {
  return trace.claims.flatMap(({ rule: id, beat }) =>
    beat.map((lost) => `${id} beat ${lost.rule} by ${lost.principle}`),
  );
}

const RIB: FactRecord = { kind: "rib", gapMm: 1.5 };
const onRibs = is("kind", "rib");
const FLUSH = { head: "flush" };
const DOMED = { head: "protruding" };

describe("opposing rules", () => {
  it("a notice beats the manual, the manual a shop rule, and that the handbook", async () => {
    const ranks = ["notice", "manual", "shop", "handbook"];
    for (const [i, rank] of ranks.entries()) {
      for (const lower of ranks.slice(i + 1)) {
        const trace = await traced(
          RIB,
          rule("upper", onRibs, FLUSH, { rank }),
          rule("lower", onRibs, DOMED, { rank: lower }),
        );
        expect(trace).toMatchObject({ status: "settled", value: "flush", ruleIds: ["upper"] });
        expect(victories(trace)).toEqual(["upper beat lower by higher basis"]);
      }
    }
  });

  it("of the same basis, the narrower rule wins: one rib is the exception to all ribs", async () => {
    const trace = await traced(
      RIB,
      rule("all-ribs", onRibs, FLUSH),
      rule("near-ribs", all(onRibs, is("gapMm", "lessThan", 2)), DOMED),
    );
    expect(trace.value).toBe("protruding");
    expect(victories(trace)).toEqual(["near-ribs beat all-ribs by narrower rule"]);
  });

  it("a declared override beats the rule that it names, and says why", async () => {
    const trace = await traced(
      RIB,
      rule("general", onRibs, FLUSH),
      rule("special", is("gapMm", "greaterThan", 1), DOMED, {
        overrides: [{ rule: "general", reason: "the fairing covers it" }],
      }),
    );
    expect(trace.value).toBe("protruding");
    expect(trace.claims.find((claim) => claim.rule === "general")?.lostTo).toEqual([
      { rule: "special", principle: "narrower rule", reason: "the fairing covers it" },
    ]);
  });

  it("a declared override stands even against a rule with narrower conditions", async () => {
    const wide = rule("wide", onRibs, FLUSH, { overrides: [{ rule: "narrow", reason: "withdrawn" }] });
    const narrow = rule("narrow", all(onRibs, is("gapMm", "lessThan", 2)), DOMED);
    expect((await settled(RIB, "head", wide, narrow)).value).toBe("flush");
  });

  it("a narrower rule of a lower basis does not beat a wider one of a higher", async () => {
    const trace = await traced(
      RIB,
      rule("manual", onRibs, FLUSH),
      rule("shop", all(onRibs, is("gapMm", "lessThan", 2)), DOMED, { rank: "shop" }),
    );
    expect(trace.value).toBe("flush");
    expect(victories(trace)).toEqual(["manual beat shop by higher basis"]);
  });

  it("of two notices, the later one wins", async () => {
    const trace = await traced(
      RIB,
      rule("first", onRibs, FLUSH, { rank: "notice", dated: "2023-04-01" }),
      rule("second", onRibs, DOMED, { rank: "notice", dated: "2023-04-02" }),
    );
    expect(trace.value).toBe("protruding");
    expect(victories(trace)).toEqual(["second beat first by later date"]);
  });

  it("a later date does not help against a narrower rule", async () => {
    const wide = rule("wide", onRibs, FLUSH, { dated: "2024-01-01" });
    const narrow = rule("narrow", all(onRibs, is("gapMm", "lessThan", 2)), DOMED, { dated: "2020-01-01" });
    expect((await settled(RIB, "head", wide, narrow)).value).toBe("protruding");
  });

  it("an undated rule is not older than a dated one", async () => {
    const undated = rule("undated", onRibs, FLUSH);
    const dated = rule("dated", onRibs, DOMED, { dated: "2020-01-01" });
    expect(await settled(RIB, "head", undated, dated)).toMatchObject({ status: "conflict", value: null });
  });

  it("that no principle decides are a conflict: both are shown and nothing is picked", async () => {
    const rulings = await rulingsFor(RIB, rule("a", onRibs, FLUSH), rule("b", onRibs, DOMED));
    expect(rulings.of("hole").attributes.head).toMatchObject({
      status: "conflict",
      value: null,
      ruleIds: ["a", "b"],
    });
    expect(rulings.of("hole").verdict).toBe("conflict");
    expect(rulings.trace("hole", "head").claims.map((claim) => claim.tiedWith)).toEqual([["b"], ["a"]]);
  });

  it("the same conditions in other words are not narrower", async () => {
    const plain = rule("plain", all(is("layers", "greaterThan", 1)), FLUSH);
    const other = rule("other", all(is("layers", "greaterThanInclusive", 2)), DOMED);
    expect((await settled({ layers: 2 }, "head", plain, other)).status).toBe("conflict");
  });

  it("rules that claim the same value do not oppose each other", async () => {
    const ruling = await settled(
      RIB,
      "head",
      rule("a", onRibs, FLUSH),
      rule("b", is("gapMm", "lessThan", 2), FLUSH),
    );
    expect(ruling).toMatchObject({ status: "settled", value: "flush", ruleIds: ["a", "b"] });
  });

  it("that beat each other in a circle are a conflict", async () => {
    const dated = (day: number) => ({ dated: `2023-01-0${day}` });
    const ruling = await settled(
      { ...RIB, gripMm: 1, edgeMm: 1 },
      "head",
      rule("a", is("gapMm", "lessThan", 2), FLUSH, dated(4)),
      rule("b", is("gripMm", "lessThan", 2), DOMED, dated(3)),
      rule("c", is("edgeMm", "lessThan", 2), FLUSH, dated(2)),
      rule("d", onRibs, DOMED, { ...dated(1), overrides: [{ rule: "a", reason: "exception" }] }),
    );
    expect(ruling.status).toBe("conflict");
    expect(ruling.ruleIds).toEqual(["a", "b", "c", "d"]);
  });
});

describe("a departure of the shop from the manual", () => {
  const manual = rule("manual", onRibs, FLUSH);
  const departure = { from: ["manual"], reference: "kit maker's letter of 3 May" };
  const shop = rule("shop", onRibs, DOMED, { rank: "shop", departure });

  it("beats exactly the rule that it departs from, by the kit maker's agreement", async () => {
    const trace = await traced(RIB, manual, shop);
    expect(trace.value).toBe("protruding");
    expect(trace.claims.find((claim) => claim.rule === "manual")?.lostTo).toEqual([
      { rule: "shop", principle: "higher basis", reason: "kit maker's letter of 3 May" },
    ]);
  });

  it("does not beat another rule of the manual", async () => {
    const second = rule("second", is("gapMm", "lessThan", 2), FLUSH);
    expect((await settled(RIB, "head", manual, second, shop)).value).toBe("flush");
  });
});

describe("a fact that is not known", () => {
  const near = is("gapMm", "lessThan", 1);
  const unknown: FactRecord = { kind: "rib" };

  it("leaves the ruling undecided, not allowed, and is named", async () => {
    const rulings = await rulingsFor(
      unknown,
      rule("general", onRibs, DOMED, { rank: "handbook" }),
      rule("near", near, FLUSH),
    );
    expect(rulings.of("hole").attributes.head).toMatchObject({
      status: "undecided",
      value: null,
      ruleIds: ["near"],
      missing: ["gapMm"],
    });
    expect(rulings.of("hole").verdict).toBe("undecided");
  });

  it("does not matter when a stronger rule settles it anyway", async () => {
    const ruling = await settled(
      unknown,
      "head",
      rule("notice", onRibs, DOMED, { rank: "notice" }),
      rule("near", near, FLUSH),
    );
    expect(ruling).toMatchObject({ status: "settled", value: "protruding", missing: [] });
  });

  it("does not matter when every rule that waits for it claims what is settled", async () => {
    const ruling = await settled(unknown, "head", rule("general", onRibs, FLUSH), rule("near", near, FLUSH));
    expect(ruling).toMatchObject({ status: "settled", value: "flush", ruleIds: ["general"] });
  });

  it("does not hide a conflict that no knowledge would end", async () => {
    const ruling = await settled(
      unknown,
      "head",
      rule("a", onRibs, FLUSH, { rank: "notice" }),
      rule("b", onRibs, DOMED, { rank: "notice" }),
      rule("near", near, FLUSH),
    );
    expect(ruling.status).toBe("conflict");
  });

  it("is named only where it matters: not below a part that fails anyway", async () => {
    const ruling = await settled(
      unknown,
      "head",
      rule("a", any(near, all(is("kind", "skin"), is("gripMm", "lessThan", 1))), FLUSH),
    );
    expect(ruling.missing).toEqual(["gapMm"]);
  });

  it("is named at the root: what a settled attribute waits for, not the attribute", async () => {
    const rulings = await rulingsFor(
      unknown,
      rule("near", near, FLUSH),
      rule("dimple", is("head", "flush"), { treatment: "dimple" }),
    );
    expect(rulings.of("hole").attributes.treatment).toMatchObject({
      status: "undecided",
      missing: ["gapMm"],
    });
  });

  it("of a claim that could not change anything is not asked for", async () => {
    const ruling = await settled(
      unknown,
      "head",
      rule("manual", is("edgeMm", "lessThan", 5), FLUSH, { rank: "notice" }),
      rule("general", onRibs, DOMED),
      rule("weak", near, FLUSH, { rank: "handbook" }),
    );
    expect(ruling).toMatchObject({
      status: "undecided",
      ruleIds: ["manual", "weak"],
      missing: ["edgeMm", "gapMm"],
    });
  });
});

describe("attributes that nobody claims", () => {
  it("leave a hole undecided when it must have them, and do not when it need not", async () => {
    const rulings = await rulingsFor(RIB, rule("r", onRibs, { ...FLUSH, treatment: "dimple" }));
    expect(rulings.of("hole").attributes.hold?.status).toBe("unclaimed");
    expect(rulings.of("hole").verdict).toBe("settled");
    const without = await rulingsFor(RIB, rule("r", onRibs, FLUSH));
    expect(without.of("hole").attributes.treatment?.status).toBe("unclaimed");
    expect(without.of("hole").verdict).toBe("undecided");
  });
});

describe("conditions on settled attributes", () => {
  const dimple = rule("dimple", is("head", "flush"), { treatment: "dimple" });

  it("see the value that was settled", async () => {
    const ruling = await settled(RIB, "treatment", rule("near", onRibs, FLUSH), dimple);
    expect(ruling).toMatchObject({ status: "settled", value: "dimple" });
  });

  it("do not hold where the attribute is in conflict, even when they ask for something else", async () => {
    const rulings = await rulingsFor(
      RIB,
      rule("a", onRibs, FLUSH),
      rule("b", onRibs, DOMED),
      dimple,
      rule("other", is("head", "notEqual", "flush"), { treatment: "as punched" }),
    );
    expect(rulings.conditions("hole", "dimple").verdict).toBe("false");
    expect(rulings.conditions("hole", "other").verdict).toBe("false");
    const { attributes, verdict } = rulings.of("hole");
    expect(attributes.treatment).toMatchObject({ status: "unclaimed", unsettled: ["head"] });
    expect(verdict).toBe("conflict");
  });

  it("do not hold where the attribute is unclaimed", async () => {
    const rulings = await rulingsFor({ kind: "skin" }, rule("near", onRibs, FLUSH), dimple);
    expect(rulings.conditions("hole", "dimple").verdict).toBe("false");
    expect(rulings.of("hole").verdict).toBe("undecided");
  });

  it("say so when a value stands only because an attribute below it is in conflict", async () => {
    const rulings = await rulingsFor(
      RIB,
      rule("a", onRibs, FLUSH),
      rule("b", onRibs, DOMED),
      dimple,
      rule("general", onRibs, { treatment: "as punched" }, { rank: "handbook" }),
    );
    expect(rulings.of("hole").attributes.treatment).toMatchObject({
      status: "settled",
      value: "as punched",
      unsettled: ["head"],
    });
    expect(rulings.of("hole").verdict).toBe("conflict");
  });
});

describe("claims that add up", () => {
  const order = { before: "SKIN", strength: "must" };
  it("orders and cautions that hold or may hold are all listed", async () => {
    const rulings = await rulingsFor(
      { kind: "rib" },
      rule("yes", onRibs, order, { family: "order" }),
      rule("maybe", is("gapMm", "lessThan", 1), { after: "SPAR", strength: "prefer" }, { family: "order" }),
      rule("no", is("kind", "skin"), order, { family: "order" }),
      rule("care", onRibs, { text: "Wear eye protection.", acts: ["drill"] }, { family: "caution" }),
    );
    expect(rulings.of("hole").orders).toEqual([
      { after: "SPAR", strength: "prefer", rule: "maybe", verdict: "unknown" },
      { before: "SKIN", strength: "must", rule: "yes", verdict: "true" },
    ]);
    expect(rulings.of("hole").cautions).toEqual([
      { text: "Wear eye protection.", acts: ["drill"], rule: "care", verdict: "true" },
    ]);
  });

  it.each([
    ["a ratio that keeps the limit", { kind: "rib", edgeRatio: 2 }, "true"],
    ["a ratio below it", { kind: "rib", edgeRatio: 1.9 }, "false"],
    ["a ratio that is not known", { kind: "rib" }, "unknown"],
    ["a ratio below it where the rule may not apply", { edgeRatio: 1.9 }, "unknown"],
    ["a ratio that keeps it where the rule may not apply", { edgeRatio: 2.5 }, "true"],
  ])("a limit for %s", async (_, facts, verdict) => {
    const limit = rule("edge", onRibs, { fact: "edgeRatio", min: 2 }, { family: "limit" });
    expect((await rulingsFor(facts as FactRecord, limit)).of("hole").limits).toEqual([
      {
        fact: "edgeRatio",
        min: 2,
        rule: "edge",
        actual: (facts as { edgeRatio?: number }).edgeRatio ?? null,
        verdict,
      },
    ]);
  });

  it("a limit whose rule does not apply is not listed", async () => {
    const limit = rule("edge", onRibs, { fact: "edgeRatio", min: 2 }, { family: "limit" });
    expect((await rulingsFor({ kind: "skin", edgeRatio: 1 }, limit)).of("hole").limits).toEqual([]);
  });
});

describe("asking for what is not there", () => {
  it("is told, not answered", async () => {
    const rulings = await rulingsFor(RIB, rule("r", onRibs, FLUSH));
    expect(() => rulings.of("other")).toThrow(`No ruling was made for a hole "other".`);
    expect(() => rulings.trace("hole", "colour")).toThrow(`There is no attribute "colour".`);
    expect(() => rulings.conditions("hole", "other")).toThrow(`There is no rule "other".`);
  });
});
