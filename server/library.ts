import { join } from "node:path";
import type { FormSpec } from "./ask/form.js";
import { type NoteShelf, shelveNotes } from "./ask/notes.js";
import { loadForms } from "./ask/questions.js";
import { loadDictionary } from "./facts/dictionary.js";
import { givenProblems } from "./facts/given.js";
import type { Dictionary } from "./facts/types.js";
import { foldersWith, PROJECT, pathFrom, readSource, sourcesIn } from "./files.js";
import { loadKit } from "./kit/load.js";
import type { Kit } from "./kit/types.js";
import { gathering, Problem } from "./problem.js";
import { loadRulebook, type Rulebook } from "./ruling/rulebook.js";
import type { SourceFile } from "./source.js";

/** Everything that is read from the project folder at the start: checked, frozen, only asked afterwards. */
export interface Library {
  readonly kits: ReadonlyMap<string, Kit>;
  readonly dictionary: Dictionary;
  readonly forms: readonly FormSpec[];
  /** A note that cannot be read is left out and stands in `notes.problems`; the rest still serves. */
  readonly notes: NoteShelf;
  /** The rules in force for one of the kits. */
  rulebookOf(kit: string): Rulebook;
}

/**
 * Reads kb/ and rules/.
 * @throws the first Problem found, with all further ones in `others`
 */
export function loadLibrary(project = PROJECT): Library {
  const problems: Problem[] = [];
  const attempt = gathering(problems);

  const dictionary = attempt(() => loadDictionary(readSource(join(project, "rules", "facts.json"), project)));
  const forms = attempt(() => loadForms(sourcesIn(join(project, "kb", "questions"), ".json", project)));
  const notes = shelveNotes(sourcesIn(join(project, "kb", "notes"), ".md", project));
  const rules = ruleSources(project);
  const kits = new Map<string, Kit>();
  const rulebooks = new Map<string, Rulebook>();
  for (const folder of foldersWith(join(project, "kb", "kits"), "kit.json")) {
    const sources = attempt(() => kitSources(folder, project));
    const kit = sources && attempt(() => loadKit(sources));
    if (!kit) continue;
    if (dictionary) problems.push(...givenProblems(sources, kit, dictionary));
    if (kits.has(kit.id)) problems.push(twice(kit.id, folder, project));
    kits.set(kit.id, kit);
    const rulebook = dictionary && attempt(() => loadRulebook(rules, dictionary, kit));
    if (rulebook) rulebooks.set(kit.id, rulebook);
  }

  const [first, ...others] = problems;
  if (first) throw new Problem(first.code, first.message, { where: first.where, fix: first.fix, others });
  if (!dictionary || !forms) throw new TypeError("Loaded without a problem, yet not there.");
  return Object.freeze({
    kits,
    dictionary,
    forms,
    notes,
    rulebookOf: (kit: string): Rulebook => {
      const rulebook = rulebooks.get(kit);
      if (rulebook) return rulebook;
      throw new Problem("UNKNOWN_KIT", `There is no kit "${kit}".`, { fix: "Use one of the kits' ids." });
    },
  });
}

function twice(id: string, folder: string, project: string): Problem {
  return new Problem("KIT_DUPLICATE", `There are two kits "${id}".`, {
    where: { file: pathFrom(project, join(folder, "kit.json")), pointer: "/id" },
    fix: "Give one of them another id, or take its folder out.",
  });
}

/** The rule files: all of rules/ but the dictionary. */
export function ruleSources(project = PROJECT): SourceFile[] {
  return sourcesIn(join(project, "rules"), ".json", project).filter(
    ({ path }) => !path.endsWith("/facts.json"),
  );
}

/** One kit's files: every JSON file of its folder and of assemblies/ in it. */
export function kitSources(folder: string, project = PROJECT): SourceFile[] {
  return [folder, join(folder, "assemblies")].flatMap((one) => sourcesIn(one, ".json", project));
}
