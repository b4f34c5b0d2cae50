import type { FactRecord } from "../facts/types.js";
import { type Place, Problem } from "../problem.js";
import { factsIn } from "./conditions.js";
import { runConditions } from "./engine.js";
import { sayValue } from "./json.js";
import { missingIn } from "./missing.js";
import { ruleOn } from "./rule.js";
import type { Rulebook } from "./rulebook.js";
import type { ConditionTrace, Rule, RuleExample } from "./types.js";

/** One example with what came out: null = its hole is not among those given. */
interface Outcome {
  readonly example: RuleExample;
  readonly where: Place;
  readonly trace: ConditionTrace | null;
  readonly missing: readonly string[];
}

/**
 * Runs every rule's own examples: only whether its conditions hold, not whether its claim wins.
 * An example that names a hole sees what is settled there; one that gives facts sees exactly those.
 * @param holes  the fact record of each hole of the kit, by id
 * @returns      EXAMPLE_FAILS (it fires and should not, or the other way round), EXAMPLE_UNDECIDED (it should
 *               fire, but a fact is missing), EXAMPLE_HOLE (no such hole), EXAMPLES_MISSING (wherever it
 *               should not fire, only a fact is missing); empty when all come out
 */
export async function checkExamples(
  rulebook: Rulebook,
  holes: ReadonlyMap<string, FactRecord>,
): Promise<Problem[]> {
  const rulings = await ruleOn(rulebook, [...holes.keys()], [...holes.values()]);
  const seen: Seen = (hole, rule) => {
    const record = holes.get(hole);
    return record ? { record, trace: rulings.conditions(hole, rule.id) } : null;
  };
  const problems: Problem[] = [];
  for (const rule of rulebook.rules) problems.push(...(await checkExamplesOf(rule, seen)));
  return problems;
}

/** What one rule sees at a hole of the kit; null where there is no such hole. */
export type Seen = (
  hole: string,
  rule: Rule,
) => { readonly record: FactRecord; readonly trace: ConditionTrace } | null;

/** The same for one rule. */
export async function checkExamplesOf(rule: Rule, seen: Seen): Promise<Problem[]> {
  const outcomes: Outcome[] = [];
  for (const [i, example] of rule.examples.entries()) {
    const where = { file: rule.file, pointer: `${rule.pointer}/examples/${i}` };
    outcomes.push({ example, where, ...(await tried(rule, example, seen)) });
  }
  const failing = outcomes.flatMap((outcome) => failure(rule, outcome) ?? []);
  if (failing.length > 0 || outcomes.some(({ trace }) => trace?.verdict === "false")) return failing;
  return [
    new Problem("EXAMPLES_MISSING", `No example of ${rule.id} shows a condition that is not met.`, {
      where: { file: rule.file, pointer: `${rule.pointer}/examples` },
      fix: "Add one: that a fact is missing does not show what the rule asks for.",
    }),
  ];
}

async function tried(
  rule: Rule,
  example: RuleExample,
  at: Seen,
): Promise<Pick<Outcome, "trace" | "missing">> {
  const { hole, facts } = example;
  if (hole !== undefined) {
    const found = at(hole, rule);
    if (!found) return { trace: null, missing: [] };
    const { record, trace } = found;
    return { trace, missing: missingIn(trace, (fact) => Object.hasOwn(record, fact)) };
  }
  const seen = (fact: string) => (facts && Object.hasOwn(facts, fact) ? facts[fact] : undefined);
  const [trace = null] = await runConditions(rule.conditions, factsIn(rule.conditions), [seen]);
  return { trace, missing: trace ? missingIn(trace, (fact) => seen(fact) !== undefined) : [] };
}

/** What is wrong with an example's outcome; null when it is as written. */
function failure(rule: Rule, { example, where, trace, missing }: Outcome): Problem | null {
  const subject = example.hole ?? `the facts ${sayValue(example.facts)}`;
  if (trace === null) {
    return new Problem("EXAMPLE_HOLE", `There is no hole "${example.hole}".`, {
      where,
      fix: "Name a hole of the kit.",
    });
  }
  if ((trace.verdict === "true") === example.fires) return null;
  if (trace.verdict === "unknown") {
    return new Problem(
      "EXAMPLE_UNDECIDED",
      `${rule.id} should fire for ${subject}, but is undecided: ${missing.join(", ")} not known.`,
      { where, fix: "Add the missing facts to the example." },
    );
  }
  return new Problem(
    "EXAMPLE_FAILS",
    example.fires
      ? `${rule.id} should fire for ${subject} and does not.`
      : `${rule.id} should not fire for ${subject} and does.`,
    { where, fix: "Mend the rule's conditions, or the example." },
  );
}
