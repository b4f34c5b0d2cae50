import { describe, expect, it } from "vitest";
import { sayRuleChanges } from "../../server/ask/wording/rule-changes.js";
import { sayerFor } from "../../server/preview.js";
import type { RuleInFile } from "../../server/ruling/schema.js";
import { diffRules } from "../../server/shop/diff.js";
import { memoryBook } from "../../server/store/memory.js";
import { openWorkshop } from "../../server/workshop.js";
import { shopRule } from "../shop/rules.js";
import { library, place } from "../support/library.js";

const sayer = sayerFor(await openWorkshop(library, memoryBook()).job(place.kit, place.assembly));
const base = shopRule("thin-ribs");
const said = (changes: Partial<RuleInFile>) =>
  sayRuleChanges(diffRules(base, { ...base, ...changes }), sayer);

describe("what changed in a rule", () => {
  it("is nothing where nothing did", () => {
    expect(said({})).toEqual([]);
  });

  it("is told by the part of the rule, with what stood there and what stands there now", () => {
    expect(said({ why: "It tore twice." })).toEqual([
      "Changed the reason: from “It worked on the last one.” to “It tore twice.”.",
    ]);
    expect(said({ event: { type: "treatment", params: { treatment: "enlarge" } } })).toEqual([
      "Changed what it claims for treatment: from “dimple” to “enlarge”.",
    ]);
  });

  it("tells conditions, examples, overrides and departures in words", () => {
    const more = {
      conditions: {
        all: [
          { fact: "rivetMm", operator: "equal", value: 3.2 },
          { fact: "layers", operator: "greaterThan", value: 2 },
        ],
      } as RuleInFile["conditions"],
      examples: [...base.examples, { facts: { rivetMm: 2.4 }, fires: false, why: "Smaller." }],
      overrides: [{ rule: "other", reason: "It is older." }],
      departure: { from: ["manual-rule"], reference: "Letter of 3 May 2031" },
    };
    const lines = said(more);
    expect(lines).toHaveLength(4);
    expect(lines.join(" ")).toMatch(/Added a condition: [^{}]*layers[^{}]* 2\./);
    expect(lines.join(" ")).toMatch(
      /Added an example: it does not hold for a hole with [^{}]*2\.4 mm \(“Smaller\.”\)/,
    );
    expect(lines.join(" ")).toMatch(/Added an override: [^{}]*“other” because “It is older\.”/);
    expect(lines.join(" ")).toMatch(
      /Added the departure: from manual-rule, agreed in “Letter of 3 May 2031”/,
    );
  });
});
