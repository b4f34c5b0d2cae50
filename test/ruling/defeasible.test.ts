import { describe, expect, it } from "vitest";
import { loadDictionary } from "../../server/facts/dictionary.js";
import type { FactRecord } from "../../server/facts/types.js";
import { ruleOn } from "../../server/ruling/rule.js";
import { loadRulebook } from "../../server/ruling/rulebook.js";

/**
 * Benchmark theories of defeasible logic with published results, as rules of ours: a literal is an attribute
 * that is true or false, a conclusion that is not provable either way is a conflict.
 *
 * @source G. Antoniou, D. Billington, G. Governatori, M. J. Maher, "Representation results for defeasible
 *         logic", ACM Transactions on Computational Logic 2(2), 2001. The theories are cited from memory.
 */

interface Theory {
  /** What is given. */
  readonly facts: FactRecord;
  /** `name: [premises, conclusion]`; a premise or conclusion may start with "not ". */
  readonly rules: Readonly<Record<string, readonly [premises: readonly string[], conclusion: string]>>;
  /** Pairs [stronger, weaker]. */
  readonly superior?: readonly (readonly [string, string])[];
}

function literal(text: string): readonly [name: string, value: boolean] {
  return text.startsWith("not ") ? [text.slice(4), false] : [text, true];
}

/** What is concluded of each attribute: true, false, "conflict" or "unclaimed". */
async function conclusions({ facts, rules, superior = [] }: Theory): Promise<Record<string, unknown>> {
  const concluded = [...new Set(Object.values(rules).map(([, conclusion]) => literal(conclusion)[0]))];
  const flag = (name: string, more: object) => ({ name, meaning: name, type: "flag", ...more });
  const dictionary = loadDictionary({
    path: "facts.json",
    text: JSON.stringify({
      format: "tailroom facts 1",
      facts: [
        flag("always", { from: "derived" }),
        ...Object.keys(facts).map((name) => flag(name, { from: "derived" })),
        ...concluded.map((name) => flag(name, { from: "ruling" })),
      ],
      attributes: concluded.map((name) => flag(name, { family: "treatment", required: true })),
    }),
  });
  const written = Object.entries(rules).map(([id, [premises, conclusion]]) => {
    const [name, value] = literal(conclusion);
    const leaves = (premises.length > 0 ? premises : ["always"]).map((premise) => {
      const [fact, wanted] = literal(premise);
      return { fact, operator: "equal", value: wanted };
    });
    return {
      id,
      title: id,
      family: "treatment",
      basis: { rank: "manual", document: "theory", place: id },
      why: "theory",
      conditions: { all: leaves },
      event: { type: "treatment", params: { [name]: value } },
      overrides: superior.filter(([s]) => s === id).map(([, rule]) => ({ rule, reason: "superior" })),
      examples: [
        { facts: {}, fires: true },
        { facts: {}, fires: false },
      ],
    };
  });
  const text = JSON.stringify({ format: "tailroom rules 1", rules: written });
  const book = loadRulebook([{ path: "theory.json", text }], dictionary, null);
  const { attributes } = (await ruleOn(book, ["case"], [{ always: true, ...facts }])).of("case");
  return Object.fromEntries(
    concluded.map((name) => [name, attributes[name]?.value ?? attributes[name]?.status]),
  );
}

describe("benchmark theories of defeasible logic", () => {
  it("a penguin, though a bird, does not fly, since the rule for penguins is superior", async () => {
    const theory: Theory = {
      facts: { bird: true, penguin: true },
      rules: { r1: [["bird"], "flies"], r2: [["penguin"], "not flies"] },
      superior: [["r2", "r1"]],
    };
    expect(await conclusions(theory)).toEqual({ flies: false });
    expect(await conclusions({ ...theory, facts: { bird: true, penguin: false } })).toEqual({ flies: true });
  });

  it("two equal defaults that oppose (a quaker who is a republican): neither is concluded", async () => {
    const theory: Theory = {
      facts: { quaker: true, republican: true },
      rules: { r1: [["quaker"], "pacifist"], r2: [["republican"], "not pacifist"] },
    };
    expect(await conclusions(theory)).toEqual({ pacifist: "conflict" });
  });

  it("team defeat: a platypus is a mammal, since every rule against is beaten by some rule for it", async () => {
    const theory: Theory = {
      facts: { monotreme: true, hasFur: true, laysEggs: true, hasBill: true },
      rules: {
        r1: [["monotreme"], "mammal"],
        r2: [["hasFur"], "mammal"],
        r3: [["laysEggs"], "not mammal"],
        r4: [["hasBill"], "not mammal"],
      },
      superior: [
        ["r1", "r3"],
        ["r2", "r4"],
      ],
    };
    expect(await conclusions(theory)).toEqual({ mammal: true });
    // No rule for it beats both: a logic without teams would conclude nothing.
    expect(await conclusions({ ...theory, superior: [["r1", "r3"]] })).toEqual({ mammal: "conflict" });
  });

  it("ambiguity blocking: who is not provably responsible is not guilty", async () => {
    const theory: Theory = {
      facts: { evidenceA: true, evidenceB: true },
      rules: {
        r1: [["evidenceA"], "responsible"],
        r2: [["evidenceB"], "not responsible"],
        r3: [["responsible"], "guilty"],
        r4: [[], "not guilty"],
      },
      superior: [["r3", "r4"]],
    };
    expect(await conclusions(theory)).toEqual({ responsible: "conflict", guilty: false });
    expect(await conclusions({ ...theory, facts: { evidenceA: true, evidenceB: false } })).toEqual({
      responsible: true,
      guilty: true,
    });
  });

  it("a chain is concluded step by step, and ends where a premise is not provable", async () => {
    const theory: Theory = {
      facts: { a: true, c: false },
      rules: { r1: [["a"], "b"], r2: [["b"], "d"], r3: [["c"], "e"], r4: [["e"], "not d"] },
    };
    expect(await conclusions(theory)).toEqual({ b: true, d: true, e: "unclaimed" });
  });
});
