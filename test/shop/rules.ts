import type { RuleInFile } from "../../server/ruling/schema.js";
import type { Condition } from "../../server/ruling/types.js";
import { hashOfRule } from "../../server/shop/life.js";
import type {
  LifeEntry,
  RuleRevisionStatement,
  RuleStep,
  RuleStepStatement,
} from "../../server/shop/types.js";

/** A shop rule for tests: thin ribs are dimpled. */
export function shopRule(id: string, changes: Partial<RuleInFile> = {}): RuleInFile {
  return {
    id,
    title: `Rule ${id}`,
    family: "treatment",
    basis: { rank: "shop", document: "Shop book", place: id },
    why: "It worked on the last one.",
    conditions: { all: [{ fact: "rivetMm", operator: "equal", value: 3.2 } as Condition] },
    event: { type: "treatment", params: { treatment: "dimple" } },
    examples: [
      { facts: { rivetMm: 3.2 }, fires: true },
      { facts: { rivetMm: 4 }, fires: false },
    ],
    ...changes,
  };
}

export function revision(
  rule: RuleInFile,
  number: number,
  by = "builder",
  kit = "kit",
): RuleRevisionStatement {
  return { kind: "rule-revision", by, kit, assembly: null, body: { rule, revision: number } };
}

export function step(
  rule: RuleInFile,
  number: number,
  what: RuleStep,
  more: Partial<RuleStepStatement["body"]> & { by?: string; kit?: string } = {},
): RuleStepStatement {
  const { by, kit = "kit", ...body } = more;
  const isReview = what === "accept" || what === "return";
  return {
    kind: "rule-step",
    by: by ?? (isReview ? "mentor" : "builder"),
    kit,
    assembly: null,
    body: {
      rule: rule.id,
      revision: number,
      hash: hashOfRule(rule),
      step: what,
      comments: [],
      ...(isReview && { mentor: "key-1" }),
      ...body,
    },
  };
}

/** The statements as the shop book would number them. */
export function placed(
  statements: readonly (RuleRevisionStatement | RuleStepStatement)[],
): readonly LifeEntry[] {
  return statements.map((statement, i) => ({
    ...statement,
    seq: i + 1,
    at: new Date(Date.UTC(2031, 4, 4, 10, i)).toISOString(),
  }));
}
