import type { LayerWork } from "../fastener/layer-work.js";
import type { Treatment } from "../kit/types.js";
import { rulesIn } from "./trace.js";
import type { Job, TraceEntry } from "./types.js";
import { listed, sentences } from "./wording/grammar.js";
import { sayAgreement } from "./wording/rule-words.js";
import { sayRule } from "./wording/rulings.js";

/** What a builder does with a hole, as caution rules name it. */
export type Act = "drill" | "dimple" | "countersink" | "rivet" | "clean" | "prime";

/** Said with every answer that somebody may act on. */
export const GOVERNS =
  "The kit maker's data and current notices govern. The inspector or a licensed person decides on departures and repairs; this program advises, it does not approve.";

/** Said when no caution rule that fired speaks of it. */
const EYES_AND_EARS =
  "Wear eye and ear protection, and keep chips and dust out of the joint and off your skin.";
const SOLVENTS =
  "Solvents and primers: ventilate, protect eyes and lungs, keep flames away, follow the data sheet.";

/**
 * The cautions that apply to acts on holes, each once: those whose rules hold there, or may hold for all that is
 * known, then departures among the rules that the answer rests on, then the fixed ones. No acts: no tools' cautions.
 */
export function cautionsFor(
  job: Job,
  holes: readonly string[],
  acts: readonly Act[],
  trace: readonly TraceEntry[] = [],
): readonly string[] {
  const wanted: ReadonlySet<string> = new Set(acts);
  const texts = new Set<string>();
  if (wanted.size > 0) {
    for (const hole of holes) {
      for (const caution of job.rulings.of(hole).cautions) {
        if (caution.verdict !== "false" && caution.acts.some((act) => wanted.has(act)))
          texts.add(caution.text);
      }
    }
  }
  const said = [...texts].join(" ");
  const tools = acts.some((act) => act !== "clean" && act !== "prime");
  if (tools && !/\beyes?\b/i.test(said)) texts.add(EYES_AND_EARS);
  if (acts.some((act) => act === "clean" || act === "prime") && !/ventilat|open/i.test(said))
    texts.add(SOLVENTS);
  return [...texts, ...sayDepartures(job, rulesIn(trace)), GOVERNS];
}

/** Of these rules, the shop's that depart from stronger ones. */
export function sayDepartures(job: Job, ruleIds: readonly string[]): readonly string[] {
  return ruleIds.flatMap((id) => {
    const rule = job.rulebook.byId.get(id);
    if (!rule?.departure) return [];
    const { from, reference } = rule.departure;
    const titles = from.map((other) => sayRule(job.rulebook.byId.get(other)?.title ?? other));
    return [
      sentences(
        `${sayRule(rule.title)} is a shop rule that departs from ${listed(titles)}`,
        sayAgreement(reference),
      ),
    ];
  });
}

/** Acts that a hole takes, up to the set rivet. */
export function actsOf(
  layers: readonly Pick<LayerWork, "act">[],
  treatment: Treatment,
  enlarges: boolean,
): readonly Act[] {
  const forming = layers.flatMap(({ act }) => act ?? []);
  return [
    ...new Set<Act>([
      ...(enlarges || treatment === "enlarge" ? ["drill" as const] : []),
      ...forming,
      "rivet",
    ]),
  ];
}

/** What the kit's usual gates take; a gate of another name takes nothing that a caution is known for. */
const GATE_ACTS: ReadonlyMap<string, Act> = new Map([
  ["enlarge", "drill"],
  ["deburr", "drill"],
  ["dimple", "dimple"],
  ["countersink", "countersink"],
  ["clean", "clean"],
  ["prime", "prime"],
]);

/** Acts that gates still to be done take. */
export function actsOfGates(gates: readonly { readonly gate: string }[]): readonly Act[] {
  return gates.flatMap(({ gate }) => GATE_ACTS.get(gate) ?? []);
}
