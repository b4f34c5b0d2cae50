import { describe, expect, it } from "vitest";
import type { FactRecord } from "../../server/facts/types.js";
import { ruleOn } from "../../server/ruling/rule.js";
import type { AttributeTrace } from "../../server/ruling/types.js";
import { why, whyNot } from "../../server/ruling/why.js";
import { all, any, book, is, not, rule } from "./book.js";

async function trace(
  facts: FactRecord,
  ...rules: readonly Readonly<Record<string, unknown>>[]
): Promise<AttributeTrace> {
  return (await ruleOn(book(rules), ["hole"], [facts])).trace("hole", "head");
}

const onRibs = is("kind", "rib");
const general = rule("general", onRibs, { head: "protruding" });
const near = rule("near", all(onRibs, is("gapMm", "lessThan", 1)), { head: "flush" });

describe("why", () => {
  it("names the rules that carry what was settled, with their basis and the values seen", async () => {
    const [claim, ...more] = why(await trace({ kind: "rib", gapMm: 0.4 }, general, near));
    expect(more).toEqual([]);
    expect(claim).toMatchObject({
      rule: "near",
      verdict: "true",
      basis: { rank: "manual", document: "Manual", place: "page 1" },
      beat: [{ rule: "general", principle: "narrower rule", reason: null }],
      conditions: {
        of: [
          { fact: "kind", actual: "rib" },
          { fact: "gapMm", actual: 0.4 },
        ],
      },
    });
  });

  it("shows both sides of a conflict", async () => {
    const other = rule("other", onRibs, { head: "flush" });
    expect(why(await trace({ kind: "rib", gapMm: 2 }, general, other)).map((claim) => claim.rule)).toEqual([
      "general",
      "other",
    ]);
  });
});

describe("why not", () => {
  it("because no rule claims it", async () => {
    expect(whyNot(await trace({ kind: "rib" }, general), "flush")).toEqual([{ kind: "no rule claims it" }]);
  });

  it("because this condition failed: what was needed, and what is there", async () => {
    expect(whyNot(await trace({ kind: "rib", gapMm: 1.5 }, general, near), "flush")).toEqual([
      {
        kind: "condition failed",
        rule: "near",
        leaves: [
          {
            negated: false,
            leaf: {
              op: "leaf",
              verdict: "false",
              fact: "gapMm",
              operator: "lessThan",
              needed: 1,
              actual: 1.5,
            },
          },
        ],
      },
    ]);
  });

  it("because a condition under a not held, or none of an any did", async () => {
    const tricky = rule(
      "tricky",
      all(not(is("primed", true)), any(is("kind", "skin"), is("gapMm", "lessThan", 1))),
      {
        head: "flush",
      },
    );
    const [reason] = whyNot(await trace({ kind: "rib", gapMm: 2, primed: true }, tricky), "flush");
    expect(
      reason?.kind === "condition failed" && reason.leaves.map(({ leaf, negated }) => [leaf.fact, negated]),
    ).toEqual([
      ["primed", true],
      ["kind", false],
      ["gapMm", false],
    ]);
  });

  it("because it was beaten, by which rule and through which principle", async () => {
    expect(whyNot(await trace({ kind: "rib", gapMm: 0.4 }, general, near), "protruding")).toEqual([
      { kind: "beaten", rule: "general", by: "near", principle: "narrower rule", reason: null },
    ]);
  });

  it("because a fact is not known", async () => {
    const [reason] = whyNot(await trace({ kind: "rib" }, general, near), "flush");
    expect(reason).toMatchObject({
      kind: "not known",
      rule: "near",
      leaves: [{ fact: "gapMm", actual: null }],
    });
  });

  it("because another rule stands against it and nothing decides", async () => {
    const other = rule("other", onRibs, { head: "flush" });
    expect(whyNot(await trace({ kind: "rib", gapMm: 2 }, general, other), "flush")).toEqual([
      { kind: "opposed", rule: "other", by: ["general"] },
    ]);
  });

  it("because a stronger rule may hold: that one is named", async () => {
    expect(whyNot(await trace({ kind: "rib" }, general, near), "protruding")).toEqual([
      { kind: "opposed", rule: "general", by: ["near"] },
    ]);
  });

  it("the nearest miss comes first", async () => {
    const far = rule("far", is("kind", "skin"), { head: "flush" });
    const unknown = rule("unknown", is("gripMm", "lessThan", 1), { head: "flush" });
    const beaten = rule("beaten", onRibs, { head: "flush" }, { rank: "handbook" });
    const reasons = whyNot(await trace({ kind: "rib", gapMm: 2 }, general, far, unknown, beaten), "flush");
    expect(reasons.map(({ kind }) => kind)).toEqual(["beaten", "not known", "condition failed"]);
  });

  it("is answered with 'it is so' when it is", async () => {
    expect(whyNot(await trace({ kind: "rib", gapMm: 0.4 }, general, near), "flush")).toEqual([
      { kind: "it is so", rules: ["near"] },
    ]);
  });
});
