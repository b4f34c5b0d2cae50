import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  hashOfRule,
  inForce,
  NO_SHOP_RULES,
  revisionOf,
  rulesAfter,
  shopRules,
  stepAllowed,
} from "../../server/shop/life.js";
import {
  RULE_STEPS,
  type RuleRevisionStatement,
  type RuleStepStatement,
  type ShopRule,
} from "../../server/shop/types.js";
import { placed, revision, shopRule, step } from "./rules.js";

const A = shopRule("a");
const A2 = shopRule("a", { why: "It worked on the last two." });

function only(statements: readonly (RuleRevisionStatement | RuleStepStatement)[]): ShopRule {
  const [rule, ...others] = shopRules(placed(statements), "kit");
  expect(others).toEqual([]);
  if (!rule) throw new Error("no rule");
  return rule;
}

const ACCEPTED = [revision(A, 1), step(A, 1, "propose"), step(A, 1, "accept")];

describe("the life of a shop rule", () => {
  it("begins as a draft, waits for the mentor once proposed, and counts once accepted", () => {
    expect(only(ACCEPTED.slice(0, 1))).toMatchObject({ status: "draft", proposed: null, inForce: null });
    expect(only(ACCEPTED.slice(0, 2))).toMatchObject({ status: "proposed", proposed: 1, inForce: null });
    expect(only(ACCEPTED)).toMatchObject({ status: "in force", proposed: null, inForce: 1 });
  });

  it("a newer draft does not touch the revision in force, nor does its proposal", () => {
    const drafted = [...ACCEPTED, revision(A2, 2)];
    expect(only(drafted)).toMatchObject({ status: "draft", inForce: 1 });
    expect(only([...drafted, step(A2, 2, "propose")])).toMatchObject({
      status: "proposed",
      proposed: 2,
      inForce: 1,
    });
    const accepted = only([...drafted, step(A2, 2, "propose"), step(A2, 2, "accept")]);
    expect(accepted).toMatchObject({ status: "in force", inForce: 2 });
    expect(accepted.revisions.map(({ standing }) => standing)).toEqual(["replaced", "in force"]);
  });

  it("sent back, it keeps the mentor's comments and does not count", () => {
    const comments = [{ at: "/why", text: "On which kit?" }];
    const returned = only([...ACCEPTED.slice(0, 2), step(A, 1, "return", { comments })]);
    expect(returned).toMatchObject({ status: "returned", proposed: null, inForce: null });
    expect(returned.history.at(-1)).toMatchObject({
      step: "return",
      comments,
      by: "mentor",
      mentor: "key-1",
    });
  });

  it("retired, it counts no longer; every revision is kept", () => {
    const retired = only([...ACCEPTED, step(A, 1, "retire")]);
    expect(retired).toMatchObject({ status: "retired", inForce: null });
    expect(retired.revisions).toHaveLength(1);
    expect(only([...ACCEPTED, step(A, 1, "retire"), revision(A2, 2)]).status).toBe("draft");
  });

  it("an earlier revision can be brought back, by a review of its own", () => {
    const two = [...ACCEPTED, revision(A2, 2), step(A2, 2, "propose"), step(A2, 2, "accept")];
    const back = only([...two, step(A, 1, "propose"), step(A, 1, "accept")]);
    expect(back).toMatchObject({ status: "in force", inForce: 1 });
    expect(revisionOf(back, 2)?.standing).toBe("replaced");
  });

  it("of another kit is another rule", () => {
    expect(shopRules(placed([revision(A, 1, "builder", "other")]), "kit")).toEqual([]);
  });

  it("comes into force in the order of acceptance", () => {
    const B = shopRule("b");
    const rules = rulesAfter(
      NO_SHOP_RULES,
      placed([
        revision(A, 1),
        revision(B, 1),
        step(A, 1, "propose"),
        step(B, 1, "propose"),
        step(B, 1, "accept"),
        step(A, 1, "accept"),
      ]),
      "kit",
    );
    expect(inForce(rules).map(({ rule }) => rule.id)).toEqual(["b", "a"]);
  });

  it("stays in force when a rule that it overrides is retired, and overrides it again once that is back", () => {
    const B = shopRule("b", { overrides: [{ rule: "a", reason: "narrower" }] });
    const both = [...ACCEPTED, revision(B, 1), step(B, 1, "propose"), step(B, 1, "accept")];
    const overridesOf = (more: Parameters<typeof placed>[0], also?: string) =>
      inForce(rulesAfter(NO_SHOP_RULES, placed([...both, ...more]), "kit"), also).find(
        ({ rule }) => rule.id === "b",
      )?.rule.overrides;
    const retired = step(A, 1, "retire");
    expect(overridesOf([])).toEqual(B.overrides);
    expect(overridesOf([retired])).toEqual([]);
    expect(overridesOf([retired], "a")).toEqual(B.overrides);
    expect(overridesOf([retired, step(A, 1, "propose"), step(A, 1, "accept")])).toEqual(B.overrides);
  });
});

describe("a step that is not allowed", () => {
  const proposed = only(ACCEPTED.slice(0, 2));
  const inUse = only(ACCEPTED);
  const on = { by: "mentor", revision: 1, hash: hashOfRule(A), mentor: "key-1" };

  it.each([
    [
      "a revision that is not there",
      proposed,
      "accept",
      { ...on, revision: 2 },
      "RULE_STEP_REVISION_UNKNOWN",
    ],
    [
      "another text than was looked at",
      proposed,
      "accept",
      { ...on, hash: hashOfRule(A2) },
      "RULE_STEP_OTHER_RULE",
    ],
    [
      "accepting without a mentor's key",
      proposed,
      "accept",
      { ...on, mentor: null },
      "RULE_STEP_NEEDS_MENTOR",
    ],
    [
      "sending back without a mentor's key",
      proposed,
      "return",
      { ...on, mentor: undefined },
      "RULE_STEP_NEEDS_MENTOR",
    ],
    ["accepting one's own rule", proposed, "accept", { ...on, by: "builder" }, "RULE_STEP_BY_AUTHOR"],
    [
      "accepting one's own rule, the name in other letters",
      proposed,
      "accept",
      { ...on, by: " Builder" },
      "RULE_STEP_BY_AUTHOR",
    ],
    ["proposing twice", proposed, "propose", on, "RULE_STEP_ALREADY_PROPOSED"],
    ["accepting what is not proposed", only(ACCEPTED.slice(0, 1)), "accept", on, "RULE_STEP_NOT_PROPOSED"],
    ["accepting twice", inUse, "accept", on, "RULE_STEP_NOT_PROPOSED"],
    ["withdrawing what is in force", inUse, "withdraw", on, "RULE_STEP_NOT_PROPOSED"],
    ["proposing what is in force", inUse, "propose", on, "RULE_STEP_IN_FORCE"],
    ["retiring what is not in force", proposed, "retire", on, "RULE_STEP_NOT_IN_FORCE"],
  ] as const)("is refused: %s", (_what, rule, what, stepping, code) => {
    const problem = stepAllowed(rule, what, stepping);
    expect(problem?.code).toBe(code);
    expect(problem?.fix).toMatch(/\.$/);
  });

  it("is refused: accepting a departure that names no agreement of the kit maker", () => {
    const away = shopRule("a", { departure: { from: ["manual-1"], reference: " " } });
    const rule = only([revision(away, 1), step(away, 1, "propose")]);
    const stepping = { ...on, hash: hashOfRule(away) };
    expect(stepAllowed(rule, "accept", stepping)?.code).toBe("RULE_STEP_WITHOUT_REFERENCE");
    expect(stepAllowed(rule, "accept", { ...stepping, reference: "letter of 3 May" })).toBeNull();
  });

  it("found in a book changes nothing, and stands in the history as refused", () => {
    const forged = only([...ACCEPTED.slice(0, 2), step(A, 1, "accept", { by: "builder" })]);
    expect(forged).toMatchObject({ status: "proposed", inForce: null });
    expect(forged.history.at(-1)?.refused).toBe("RULE_STEP_BY_AUTHOR");
    expect(only([...ACCEPTED.slice(0, 1), revision(A2, 7)]).revisions).toHaveLength(1);
  });
});

describe("laws of the fold", () => {
  const act = fc.record({
    id: fc.constantFrom("a", "a", "b"),
    what: fc.constantFrom("save", "save", "propose", "propose", "accept", "accept", ...RULE_STEPS),
    by: fc.constantFrom("builder", "mentor", "other"),
    isMentor: fc.boolean(),
    /** How far the number is off the newest revision's, and whether another text was looked at. */
    off: fc.constantFrom(0, 0, 0, 1, -1),
    isOtherText: fc.constantFrom(false, false, false, true),
  });
  const book = fc.array(act, { maxLength: 40, size: "max" }).map((acts) => {
    const newest = new Map<string, number>();
    const written = acts.map(({ id, what, by, isMentor, off, isOtherText }) => {
      const number = newest.get(id) ?? 0;
      if (what === "save") {
        if (off === 0) newest.set(id, number + 1);
        return revision(shopRule(id, { why: `Reason ${number + 1 + off}.` }), number + 1 + off, by);
      }
      const rule = shopRule(id, { why: `Reason ${isOtherText ? "X" : number + off}.` });
      return step(rule, number + off, what, { by, mentor: isMentor ? "key-1" : undefined });
    });
    return placed(written);
  });

  it("it does not matter how the entries are batched", () => {
    fc.assert(
      fc.property(book, fc.array(fc.nat(40), { maxLength: 5 }), (entries, cuts) => {
        const bounds = [0, ...[...cuts].sort((x, y) => x - y), entries.length];
        let rules = NO_SHOP_RULES;
        for (const [i, end] of bounds.entries()) {
          rules = rulesAfter(rules, entries.slice(bounds[i - 1] ?? 0, end), "kit");
        }
        expect([...rules.values()].sort((x, y) => (x.id < y.id ? -1 : 1))).toEqual(shopRules(entries, "kit"));
      }),
    );
  });

  it("a revision in force was proposed and then accepted by a mentor who did not write it; at most one waits", () => {
    let accepted = 0;
    fc.assert(
      fc.property(book, (entries) => {
        for (const one of shopRules(entries, "kit")) {
          expect(one.revisions.map(({ revision: number }) => number)).toEqual(
            one.revisions.map((_, i) => i + 1),
          );
          expect(one.revisions.filter(({ standing }) => standing === "proposed")).toHaveLength(
            one.proposed === null ? 0 : 1,
          );
          const inUse = one.revisions.filter(({ standing }) => standing === "in force");
          expect(inUse.map(({ revision: number }) => number)).toEqual(
            one.inForce === null ? [] : [one.inForce],
          );
          for (const { revision: number, by } of inUse) {
            accepted += 1;
            const steps = one.history.filter((told) => told.revision === number && told.refused === null);
            expect(steps.at(-1)).toMatchObject({ step: "accept", mentor: "key-1" });
            expect(steps.at(-1)?.by).not.toBe(by);
            expect(steps.at(-2)?.step).toBe("propose");
          }
        }
      }),
      { numRuns: 1000, seed: 1 },
    );
    expect(accepted).toBeGreaterThan(20);
  });

  it("what is refused leaves everything but the history as it was", () => {
    const seen = { allowed: new Set<string>(), refused: new Set<string>() };
    fc.assert(
      fc.property(book, (entries) => {
        let before = NO_SHOP_RULES;
        for (const entry of entries) {
          const after = rulesAfter(before, [entry], "kit");
          const id = entry.kind === "rule-step" ? entry.body.rule : "";
          const was = before.get(id);
          before = after;
          if (entry.kind !== "rule-step" || !was) continue;
          const is = after.get(id);
          const allowed = stepAllowed(was, entry.body.step, { by: entry.by, ...entry.body }) === null;
          (allowed ? seen.allowed : seen.refused).add(entry.body.step);
          expect(is?.history.at(-1)?.refused === null).toBe(allowed);
          if (!allowed) expect({ ...is, history: was.history }).toEqual(was);
        }
      }),
      { numRuns: 300, seed: 1 },
    );
    expect([...seen.allowed].sort()).toEqual([...RULE_STEPS].sort());
    expect([...seen.refused].sort()).toEqual([...RULE_STEPS].sort());
  });
});
