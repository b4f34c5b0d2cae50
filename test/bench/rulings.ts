import { readFileSync } from "node:fs";
import { Engine } from "json-rules-engine";
import { loadDictionary } from "../../server/facts/dictionary.js";
import type { FactRecord } from "../../server/facts/types.js";
import { Evaluations } from "../../server/ruling/evaluations.js";
import { ruleOn } from "../../server/ruling/rule.js";
import { loadRulebook, type Rulebook } from "../../server/ruling/rulebook.js";
import type { Rulings } from "../../server/ruling/types.js";
import { aeroplane, aeroplaneRules, type WrittenRule } from "../support/aeroplane.js";

const HOLES = 16_000;
const RULES = 120;
/** Holes that the plain library is run for; fewer = its time is scaled up, and the output says so. */
const PLAIN_HOLES = Number(process.env.BENCH_PLAIN_HOLES ?? HOLES);

const dictionary = loadDictionary({
  path: "rules/facts.json",
  text: readFileSync(new URL("../../rules/facts.json", import.meta.url), "utf8"),
});

/**
 * Rules on a whole aeroplane beside the plain rules library, which is run once per hole with all rules, in
 * the same process. Both get the same rules and records, and must fire the same rules at the same holes.
 * Ours keeps its traces; the plain library's results are counted and dropped.
 */
export async function bench(): Promise<string[]> {
  const records = aeroplane(HOLES);
  const ids = records.map((_, i) => `hole-${i}`);
  // The plain library has no settled attributes to look at, so the two are compared without such rules.
  const written = aeroplaneRules(RULES + 3);
  const comparable = written.filter((rule) => !JSON.stringify(rule.conditions).includes(`"head"`));
  const rules = comparable.slice(0, RULES);
  const book = bookOf(rules);

  const first = await timed(() => evaluated(book, records));
  const settledFirst = await timed(() => ruleOn(book, ids, records));
  const half = async () => ({
    evaluated: await timed(() => evaluated(book, records)),
    settled: await timed(() => ruleOn(book, ids, records)),
  });
  const runs = [await half(), await half(), await half()];
  const rulings = settledFirst.value;

  const plain = await timed(() => plainly(rules, records.slice(0, PLAIN_HOLES)));
  runs.push(await half(), await half());
  const plainMs = plain.ms * (HOLES / PLAIN_HOLES);
  const compared = compare(plain.value, rulings, rules);
  const evaluatedMs = median(runs.map((run) => run.evaluated.ms));
  const settledMs = median(runs.map((run) => run.settled.ms));

  const read = await timed(async () => ids.map((id) => rulings.of(id)));
  const more = bookOf([...rules, ...comparable.slice(RULES, RULES + 1)]);
  const alone = await timed(() => ruleOn(more, ids, records, rulings));

  return [
    `rulings: ${count(HOLES)} holes under ${RULES} rules`,
    `  plain library       ${ms(plainMs)}, ${count(HOLES * RULES)} rule runs${PLAIN_HOLES < HOLES ? ` (scaled up from ${count(PLAIN_HOLES)} holes)` : ""}`,
    `  ours, evaluated     ${ms(evaluatedMs)}, ${count(rulings.runs)} library runs, traces kept: ${times(plainMs / evaluatedMs)} (first run, cold: ${ms(first.ms)}, ${times(plainMs / first.ms)})`,
    `  ours, settled too   ${ms(settledMs)}: ${times(plainMs / settledMs)} (first run: ${ms(settledFirst.ms)})`,
    `  same fired set      ${count(compared.fired)} fired in both, none in one only; ${count(compared.unknown)} unknown to ours, ${count(compared.rash)} of which the plain library fires on absent facts`,
    `  every ruling read   ${ms(read.ms)}`,
    `  one rule added      ${ms(alone.ms)}, ${alone.value.runs} library runs`,
  ];
}

async function evaluated(book: Rulebook, records: readonly FactRecord[]): Promise<Evaluations> {
  const evaluations = new Evaluations(records, book.domains, null);
  for (const rule of book.rules) await evaluations.evaluate(rule.conditions);
  return evaluations;
}

async function plainly(
  rules: readonly WrittenRule[],
  records: readonly FactRecord[],
): Promise<Set<string>[]> {
  const engine = new Engine(
    rules.map(({ id, conditions }) => ({ conditions: conditions as never, event: { type: id } })),
    { allowUndefinedFacts: true },
  );
  const fired: Set<string>[] = [];
  for (const record of records) {
    const { events } = await engine.run(record);
    fired.push(new Set(events.map((event) => event.type)));
  }
  return fired;
}

/** Both must say the same wherever ours knows; where ours is unknown, what the library fires is counted. */
function compare(plain: readonly Set<string>[], rulings: Rulings, rules: readonly WrittenRule[]) {
  let [fired, unknown, rash] = [0, 0, 0];
  plain.forEach((events, hole) => {
    for (const { id } of rules) {
      const { verdict } = rulings.conditions(rulings.ids[hole] ?? "", id);
      if (verdict === "unknown") {
        unknown++;
        if (events.has(id)) rash++;
      } else if ((verdict === "true") !== events.has(id)) {
        throw new Error(`${id} at ${rulings.ids[hole]}: ours ${verdict}, plain fired ${events.has(id)}`);
      } else if (verdict === "true") fired++;
    }
  });
  return { fired, unknown, rash };
}

function bookOf(rules: readonly WrittenRule[]): Rulebook {
  const file = { format: "tailroom rules 1", rules };
  return loadRulebook([{ path: "generated.json", text: JSON.stringify(file) }], dictionary, null);
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;
}

function times(ratio: number): string {
  return `${ratio.toFixed(0)} times faster`;
}

function ms(value: number): string {
  return value < 1000 ? `${value.toFixed(value < 10 ? 1 : 0)} ms` : `${(value / 1000).toFixed(2)} s`;
}

function count(value: number): string {
  return value.toLocaleString("en-GB");
}

async function timed<T>(act: () => Promise<T>): Promise<{ value: T; ms: number }> {
  const start = performance.now();
  const value = await act();
  return { value, ms: performance.now() - start };
}
