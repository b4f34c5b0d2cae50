import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { shelveNotes } from "../../server/ask/notes.js";
import type { Job } from "../../server/ask/types.js";
import { factsOf } from "../../server/facts/derive.js";
import { loadDictionary } from "../../server/facts/dictionary.js";
import { loadKit } from "../../server/kit/load.js";
import type { Assembly, Hole, Kit, Rivet } from "../../server/kit/types.js";
import { type Mark, NO_WORK, withMarks } from "../../server/kit/work.js";
import { reachOf } from "../../server/reach/reach.js";
import { ruleOn } from "../../server/ruling/rule.js";
import { loadRulebook } from "../../server/ruling/rulebook.js";
import type { SourceFile } from "../../server/source.js";

const PROJECT = fileURLToPath(new URL("../../", import.meta.url));

/** Files of a project folder with that ending, by name. */
export function filesIn(folder: string, ending: string): SourceFile[] {
  return readdirSync(join(PROJECT, folder))
    .filter((name) => name.endsWith(ending))
    .sort()
    .map((name) => ({ path: `${folder}/${name}`, text: readFileSync(join(PROJECT, folder, name), "utf8") }));
}

/** A demo kit as it is on disk. */
export function kitFromDisk(id: string): Kit {
  const folder = `kb/kits/${id}`;
  return loadKit([...filesIn(folder, "kit.json"), ...filesIn(`${folder}/assemblies`, ".json")]);
}

/** Rule files on disk, the fact dictionary left out. */
export function ruleFiles(): SourceFile[] {
  return filesIn("rules", ".json").filter(({ path }) => !path.endsWith("/facts.json"));
}

const kits = new Map<string, Kit>();
const reaches = new Map<Assembly, ReturnType<typeof reachOf>>();

export interface JobPlan {
  readonly kit?: string;
  readonly assembly?: string;
  readonly marks?: readonly Mark[];
  /** In place of the rules on disk, or added to them. */
  readonly rules?: readonly SourceFile[];
  readonly moreRules?: readonly SourceFile[];
  /** The kit's drawing changed before anything is worked out from it. */
  readonly redrawn?: (kit: Kit) => Kit;
}

/** A job from the files on disk, with these marks made: what an answer draws on. */
export async function jobFromDisk({
  kit: kitId = "sedge-two",
  assembly: assemblyId,
  marks = [],
  rules = ruleFiles(),
  moreRules = [],
  redrawn = (drawn) => drawn,
}: JobPlan = {}): Promise<Job> {
  const onDisk = kits.get(kitId) ?? kitFromDisk(kitId);
  kits.set(kitId, onDisk);
  const kit = redrawn(onDisk);
  const assembly = kit.assemblies.find(({ id }) => assemblyId === undefined || id === assemblyId);
  if (!assembly) throw new Error(`no assembly ${assemblyId}`);
  const [dictionaryFile] = filesIn("rules", "facts.json");
  if (!dictionaryFile) throw new Error("no rules/facts.json");
  const rulebook = loadRulebook([...rules, ...moreRules], loadDictionary(dictionaryFile), kit);
  const work = withMarks(NO_WORK, marks);
  const facts = factsOf(assembly, work);
  const rulings = await ruleOn(
    rulebook,
    assembly.holes.map(({ id }) => id),
    facts,
  );
  const reach = reaches.get(assembly) ?? reachOf(kit, assembly);
  reaches.set(assembly, reach);
  const notes = shelveNotes(filesIn("kb/notes", ".md"));
  return { kit, assembly, work, version: marks.length, facts, rulebook, rulings, reach, notes };
}

/** A rule for a test: what it says, where, and two holes that show it. */
export interface TrialRule {
  readonly id: string;
  readonly family: "treatment" | "hold" | "order" | "limit" | "caution";
  readonly params: Readonly<Record<string, unknown>>;
  readonly conditions: unknown;
  readonly fires: string;
  readonly spares: string;
  readonly rank?: "notice" | "manual" | "shop" | "handbook";
  readonly dated?: string;
  readonly title?: string;
  readonly departure?: { readonly from: readonly string[]; readonly reference: string };
}

/** A rule file of the tailplane's kit that holds these rules. */
export function trialRules(...rules: readonly TrialRule[]): SourceFile {
  return trialRulesOf("sedge-two", ...rules);
}

/** The same for another kit. */
export function trialRulesOf(kit: string, ...rules: readonly TrialRule[]): SourceFile {
  const written = rules.map((rule) => ({
    id: rule.id,
    title: rule.title ?? rule.id,
    family: rule.family,
    basis: {
      rank: rule.rank ?? "manual",
      document: "Trial manual",
      place: `paragraph ${rule.id}`,
      dated: rule.dated ?? "2024-03-01",
    },
    why: `Because ${rule.id} says so.`,
    conditions: rule.conditions,
    event: { type: rule.family, params: rule.params },
    ...(rule.departure ? { departure: rule.departure } : {}),
    examples: [
      { hole: rule.fires, fires: true },
      { hole: rule.spares, fires: false },
    ],
  }));
  return {
    path: "rules/trial.json",
    text: JSON.stringify({ format: "tailroom rules 1", kit, rules: written }),
  };
}

/** The tailplane once the gap that its kit leaves open has been measured: room enough, so heads stay protruding there. */
export const GAP_MEASURED: SourceFile = trialRules({
  id: "trial-gap-measured",
  family: "treatment",
  rank: "notice",
  params: { head: "protruding" },
  conditions: {
    any: [
      {
        all: [
          { fact: "rowId", operator: "equal", value: "REAR-SPAR.top" },
          { fact: "number", operator: "greaterThanInclusive", value: 28 },
        ],
      },
      {
        all: [
          { fact: "rowId", operator: "equal", value: "RIB-7.top" },
          { fact: "number", operator: "greaterThanInclusive", value: 7 },
        ],
      },
    ],
  },
  fires: "RIB-7.top.7",
  spares: "RIB-7.top.1",
});

/** Every gate of every part done: what is left is rivets. */
export function allGatesDone({ kit, assembly }: Pick<Job, "kit" | "assembly">): Mark[] {
  return assembly.parts.flatMap(({ id }) =>
    kit.prepGates.map((gate): Mark => ({ kind: "prep", part: id, gate: gate.id, done: true })),
  );
}

/** Holes of a row marked. */
export function rowMarks(job: Pick<Job, "assembly">, row: string, state: "set" | "pinned"): Mark[] {
  return job.assembly.holes
    .filter(({ rowId }) => rowId === row)
    .map(({ id }): Mark => ({ kind: "hole", hole: id, state }));
}

/** A kit with its holes drawn otherwise. */
export function redrawnHoles(kit: Kit, change: (hole: Hole) => Hole): Kit {
  const assemblies = kit.assemblies.map((one) => ({ ...one, holes: one.holes.map(change) }));
  return { ...kit, assemblies };
}

/** A hole with its layers' thicknesses changed, head side first, and the stack with them. */
export function withLayers(hole: Hole, thicknessesMm: readonly number[]): Hole {
  const layers = hole.layers.map((layer, i) => ({
    ...layer,
    thicknessMm: thicknessesMm[i] ?? layer.thicknessMm,
  }));
  return { ...hole, layers, gripMm: layers.reduce((sum, { thicknessMm }) => sum + thicknessMm, 0) };
}

/**
 * The tailplane's web doubler with its two rows nearer to each other: 9 mm apart, staggered, holes every 11 mm. For 3.2 mm
 * rivets that is enough to the nearest hole (3 D, 9.6 mm) and too little along one of two rows (4 D, 12.8 mm).
 */
export function crowdedDoubler(kit: Kit): Kit {
  return redrawnHoles(kit, (hole) => {
    if (hole.part !== "WEB-DOUBLER") return hole;
    const isUpper = hole.row === "upper";
    const y = 130 + 11 * (hole.number - 1) + (isUpper ? 0 : 5.5);
    return { ...hole, at: [hole.at[0], y, isUpper ? 4.5 : -4.5], pitchMm: 11, nearestMm: Math.hypot(9, 5.5) };
  });
}

/** A job on the same work and rulings, its kit's rivets changed. */
export function edited(job: Job, change: (rivet: Rivet) => Rivet): Job {
  return { ...job, kit: { ...job.kit, rivets: job.kit.rivets.map(change) } };
}
