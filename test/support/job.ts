import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { shelveNotes } from "../../server/ask/notes.js";
import type { Job } from "../../server/ask/types.js";
import { factsOf } from "../../server/facts/derive.js";
import { loadDictionary } from "../../server/facts/dictionary.js";
import { loadKit } from "../../server/kit/load.js";
import type { Assembly, Kit } from "../../server/kit/types.js";
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
}

/** A job from the files on disk, with these marks made: what an answer draws on. */
export async function jobFromDisk({
  kit: kitId = "sedge-two",
  assembly: assemblyId,
  marks = [],
  rules = ruleFiles(),
  moreRules = [],
}: JobPlan = {}): Promise<Job> {
  const kit = kits.get(kitId) ?? kitFromDisk(kitId);
  kits.set(kitId, kit);
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
