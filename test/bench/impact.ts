import { readFileSync } from "node:fs";
import { loadDictionary } from "../../server/facts/dictionary.js";
import type { FactRecord } from "../../server/facts/types.js";
import { anomaliesOf } from "../../server/ruling/anomalies/anomalies.js";
import { ruleOn } from "../../server/ruling/rule.js";
import { loadRulebook, type Rulebook } from "../../server/ruling/rulebook.js";
import { type Impact, impactOf, type Ruled } from "../../server/shop/impact.js";
import { orderImpactOf } from "../../server/shop/order-impact.js";
import { aeroplane, aeroplaneRules, type WrittenRule } from "../support/aeroplane.js";
import { orderPlane, RIVETS_A_PART } from "../support/order-plane.js";

const HOLES = 16_000;
const RULES = 120;
/** Changes that are tried one after the other, as somebody types. */
const CHANGES = 20;

const dictionary = loadDictionary({
  path: "rules/facts.json",
  text: readFileSync(new URL("../../rules/facts.json", import.meta.url), "utf8"),
});

/** What one more rule would do to a whole aeroplane: how long it takes to say so, and that it is still right. */
export async function bench(): Promise<string[]> {
  const written = aeroplaneRules(RULES + CHANGES);
  const rules = written.slice(0, RULES);
  const drawn = orderPlane(HOLES / RIVETS_A_PART);
  const facts = aeroplane(HOLES);
  const before = await ruled(drawn, facts, bookOf(rules), null);

  const times = { load: [], settle: [], impact: [], judge: [] } as Record<string, number[]>;
  let [changed, added, findings] = [0, 0, 0];
  let last: { readonly after: Ruled; readonly impact: Impact } | null = null;
  for (const rule of written.slice(RULES)) {
    const book = timed(times.load, () => bookOf([...rules, rule]));
    const start = performance.now();
    const after = await ruled(drawn, facts, book, before);
    times.settle?.push(performance.now() - start);
    const impact = timed(times.impact, () => impactOf(before, after));
    const judged = book.byId.get(rule.id);
    if (!judged) throw new Error(`${rule.id} was lost`);
    const begun = performance.now();
    findings += (await anomaliesOf(book, judged, [{ rulings: after.rulings, records: facts }])).length;
    times.judge?.push(performance.now() - begun);
    changed += impact.changed.length;
    added += impact.added.reduce((sum, { holes }) => sum + holes.length, 0);
    if (impact.changed.length > 0) last = { after, impact };
  }
  if (!last) throw new Error("no rule changed anything: there is nothing to measure");
  const checked = await checkAnew(before, last.after, last.impact, facts);
  const order: number[] = [];
  const { after, impact } = last;
  timed(order, () => orderImpactOf(before, after, impact));
  timed(order, () => orderImpactOf(before, { ...after }, impact));

  const all = (times.load ?? []).map((_, i) =>
    ["load", "settle", "impact", "judge"].reduce((sum, part) => sum + (times[part]?.[i] ?? 0), 0),
  );
  return [
    `impact: ${CHANGES} rules, each added by itself to ${RULES} rules on ${HOLES.toLocaleString("en-GB")} holes`,
    `  one change, in all  ${spread(all)}`,
    `    rulebook made     ${spread(times.load)}`,
    `    settled anew      ${spread(times.settle)}`,
    `    impact            ${spread(times.impact)}: ${changed} rulings changed, ${added} orders, limits and cautions`,
    `    anomalies         ${spread(times.judge)}: ${findings} findings`,
    `  plans and closings  ${spread(order)}, for ${HOLES / RIVETS_A_PART} parts, asked for by itself`,
    `  the same anew       ${checked} changed rulings compared with a full run, none otherwise`,
  ];
}

async function ruled(
  drawn: ReturnType<typeof orderPlane>,
  facts: readonly FactRecord[],
  rulebook: Rulebook,
  before: Ruled | null,
): Promise<Ruled> {
  const ids = drawn.assembly.holes.map(({ id }) => id);
  return { ...drawn, rulebook, rulings: await ruleOn(rulebook, ids, facts, before?.rulings ?? null) };
}

/** The last change against rulings that took nothing over. */
async function checkAnew(
  before: Ruled,
  after: Ruled,
  impact: Impact,
  facts: readonly FactRecord[],
): Promise<number> {
  const full = await ruleOn(after.rulebook, after.rulings.ids, [...facts]);
  const known = new Set(impact.changed.map(({ hole, attribute }) => `${hole} ${attribute}`));
  for (const hole of full.ids) {
    for (const { attribute, status, value } of Object.values(full.of(hole).attributes)) {
      const was = before.rulings.of(hole).attributes[attribute];
      const differs = was?.status !== status || was.value !== value;
      if (differs && !known.has(`${hole} ${attribute}`))
        throw new Error(`${attribute} of ${hole} was passed over`);
    }
  }
  return known.size;
}

function bookOf(rules: readonly WrittenRule[]): Rulebook {
  const file = { format: "tailroom rules 1", rules };
  return loadRulebook([{ path: "generated.json", text: JSON.stringify(file) }], dictionary, null);
}

function timed<T>(into: number[] | undefined, act: () => T): T {
  const start = performance.now();
  const value = act();
  into?.push(performance.now() - start);
  return value;
}

function spread(times: readonly number[] = []): string {
  const sorted = [...times].sort((a, b) => a - b);
  const ms = (at: number) => `${(sorted[Math.min(sorted.length - 1, at)] ?? 0).toFixed(0)} ms`;
  return `${ms(Math.floor(sorted.length / 2))} (least ${ms(0)}, most ${ms(sorted.length - 1)})`;
}
