import { existsSync, statSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { factsOf } from "./facts/derive.js";
import { loadDictionary } from "./facts/dictionary.js";
import { givenProblems } from "./facts/given.js";
import type { FactRecord } from "./facts/types.js";
import { foldersWith, PROJECT, pathFrom, readSource, sourcesIn } from "./files.js";
import { loadKit } from "./kit/load.js";
import type { Kit } from "./kit/types.js";
import { NO_WORK } from "./kit/work.js";
import { kitSources, loadLibrary, ruleSources } from "./library.js";
import { Problem } from "./problem.js";
import { anomaliesOf } from "./ruling/anomalies/anomalies.js";
import type { Finding } from "./ruling/anomalies/finding.js";
import type { Site } from "./ruling/anomalies/look.js";
import { checkExamples } from "./ruling/examples.js";
import { ruleOn } from "./ruling/rule.js";
import { loadRulebook, type Rulebook } from "./ruling/rulebook.js";
import type { Rule } from "./ruling/types.js";
import { parseJson, type SourceFile } from "./source.js";

/** What a check came to. */
export interface Checked {
  readonly problems: readonly Problem[];
  /** What is odd about a rule and yet may be meant; as "RULE_" and the finding's kind. */
  readonly warnings: readonly Problem[];
  /** Rules that were not looked at for oddities: there was not the time. */
  readonly notJudged: number;
  readonly kits: number;
  readonly holes: number;
  readonly rules: number;
  readonly examples: number;
}

/**
 * Checks kits and rules, and runs the rules' own examples against the holes of each kit.
 * @param paths  kit folders, rule files, or folders of these; they are checked together with the project's own,
 *               since rules can contradict each other. None = the project's own and its notes and question forms
 */
export async function check(paths: readonly string[], project = PROJECT): Promise<Checked> {
  const problems = new ProblemList();
  const given = sortOut(paths, project, problems);
  const dictionary = problems.attempt(() =>
    loadDictionary(readSource(join(project, "rules", "facts.json"), project)),
  );
  if (paths.length === 0) checkTheRest(project, problems);

  const kits = new Map<string, Kit>();
  for (const folder of new Set([...ownKits(project), ...given.kits])) {
    const sources = problems.attempt(() => kitSources(folder, project));
    const kit = sources && problems.attempt(() => loadKit(sources));
    if (!kit) continue;
    kits.set(kit.id, kit);
    if (dictionary) problems.add(givenProblems(sources, kit, dictionary));
  }
  const own = ruleSources(project).filter(({ path }) => !given.rules.some((file) => file.path === path));
  const files = [...own, ...given.rules];
  const rules = new Map<string, number>();
  const warnings = new ProblemList();
  const judging = new Judging(given.rules.length > 0 ? given.rules : files, problems, warnings);
  if (dictionary) {
    for (const kit of kits.values()) {
      const rulebook = problems.attempt(() => loadRulebook(files, dictionary, kit));
      if (!rulebook) continue;
      for (const rule of rulebook.rules) rules.set(rule.id, rule.examples.length);
      await judging.judge(rulebook, await checkRules(rulebook, kit, problems));
    }
    problems.add(files.flatMap((file) => strayRules(file, kits)));
  }
  return {
    problems: problems.all,
    warnings: warnings.all,
    notJudged: judging.left,
    kits: kits.size,
    holes: [...kits.values()]
      .flatMap(({ assemblies }) => assemblies)
      .reduce((n, { holes }) => n + holes.length, 0),
    rules: rules.size,
    examples: [...rules.values()].reduce((sum, examples) => sum + examples, 0),
  };
}

/**
 * Whether the rules' own examples come out.
 * @returns what is settled in each of its assemblies
 */
async function checkRules(rulebook: Rulebook, kit: Kit, problems: ProblemList): Promise<readonly Site[]> {
  const sites: Site[] = [];
  const holes = new Map<string, FactRecord>();
  for (const assembly of kit.assemblies) {
    const facts = factsOf(assembly, NO_WORK);
    const ids = assembly.holes.map(({ id }) => id);
    for (const { id, index } of assembly.holes) holes.set(id, facts[index] ?? {});
    const rulings = await ruleOn(rulebook, ids, facts);
    sites.push({ rulings, records: facts });
  }
  problems.add(await checkExamples(rulebook, holes));
  return sites;
}

/** Time spent on it after which no further rule is looked at for oddities: a check is run again and again. */
const PATIENCE_MS = 4000;

/** What is odd about the rules of some files: errors go to the problems, what may be meant to the warnings. */
class Judging {
  readonly #files: ReadonlySet<string>;
  readonly #problems: ProblemList;
  readonly #warnings: ProblemList;
  /** Findings told already, from the other rule's side or under another kit. */
  readonly #told = new Set<string>();
  #spentMs = 0;
  /** Rules that there was no time for. */
  left = 0;

  constructor(files: readonly SourceFile[], problems: ProblemList, warnings: ProblemList) {
    this.#files = new Set(files.map(({ path }) => path));
    this.#problems = problems;
    this.#warnings = warnings;
  }

  /** @param sites  of one kit, under this rulebook */
  async judge(rulebook: Rulebook, sites: readonly Site[]): Promise<void> {
    for (const rule of rulebook.rules.filter(({ file }) => this.#files.has(file))) {
      if (this.#spentMs > PATIENCE_MS) {
        this.left++;
        continue;
      }
      const start = performance.now();
      for (const finding of await anomaliesOf(rulebook, rule, sites)) this.#tell(finding, rule);
      this.#spentMs += performance.now() - start;
    }
  }

  #tell({ kind, severity, rules, attribute, said, pointer, fix }: Finding, rule: Rule): void {
    // Examples are checked by themselves, all kits' holes together.
    if (severity === "note" || kind === "example fails") return;
    const about = [...rules].sort().join(" ");
    const key = `${kind === "subsumes" ? "subsumed" : kind} ${about} ${attribute} ${rules.length > 1 ? "" : pointer}`;
    if (this.#told.has(key)) return;
    this.#told.add(key);
    const code = `RULE_${kind.toUpperCase().replaceAll(" ", "_")}`;
    const where = { file: rule.file, pointer: rule.pointer + pointer };
    (severity === "error" ? this.#problems : this.#warnings).add([new Problem(code, said, { where, fix })]);
  }
}

/** Rules for a kit that is not there are in force nowhere, and nothing else would say so. */
function strayRules(file: SourceFile, kits: ReadonlyMap<string, Kit>): Problem[] {
  let kit: unknown;
  try {
    kit = (parseJson(file) as { readonly kit?: unknown } | null)?.kit;
  } catch {
    return [];
  }
  if (typeof kit !== "string" || kits.has(kit)) return [];
  return [
    new Problem("KIT_UNKNOWN", `The rules are for kit "${kit}", which is not there.`, {
      where: { file: file.path, pointer: "/kit" },
      fix: `Name one of: ${[...kits.keys()].join(", ") || "no kit could be read"}; or give the kit's folder too.`,
    }),
  ];
}

/** Problems found so far, each once: the same rule file is read for every kit. */
class ProblemList {
  readonly #byText = new Map<string, Problem>();

  get all(): readonly Problem[] {
    return [...this.#byText.values()];
  }

  add(problems: Iterable<Problem>): void {
    for (const problem of problems) this.#byText.set(String(problem), problem);
  }

  attempt<T>(act: () => T): T | undefined {
    try {
      return act();
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      this.add([error, ...error.others]);
      return undefined;
    }
  }
}

interface Given {
  readonly kits: string[];
  readonly rules: SourceFile[];
}

function sortOut(paths: readonly string[], project: string, problems: ProblemList): Given {
  const given: Given = { kits: [], rules: [] };
  for (const path of paths.map((one) => resolve(one))) {
    const folder = existsSync(path) && statSync(path).isDirectory() ? path : null;
    const kits = folder ? [folder].filter(isKit).concat(foldersWith(folder, "kit.json")) : [];
    const rules = folder && kits.length === 0 ? sourcesIn(folder, ".json", project).filter(isRuleFile) : [];
    if (!existsSync(path)) {
      problems.add([refused(path, project, "There is no such file or folder.", "Check the path.")]);
    } else if (!folder) {
      const owner = [dirname(path), dirname(dirname(path))].find(isKit);
      if (owner) given.kits.push(owner);
      else given.rules.push(readSource(path, project));
    } else if (kits.length + rules.length === 0) {
      const fix = "Name a kit's folder (with kit.json in it), a rule file, or a folder of these.";
      problems.add([refused(path, project, "There is neither a kit nor a rule file in this folder.", fix)]);
    }
    given.kits.push(...kits);
    given.rules.push(...rules);
  }
  return given;
}

function isKit(folder: string): boolean {
  return existsSync(join(folder, "kit.json"));
}

function isRuleFile({ path }: SourceFile): boolean {
  return basename(path) !== "facts.json";
}

function refused(path: string, project: string, what: string, fix: string): Problem {
  return new Problem("PATH_INVALID", what, { where: { file: pathFrom(project, path) }, fix });
}

function ownKits(project: string): string[] {
  return foldersWith(join(project, "kb", "kits"), "kit.json");
}

/** What the start would refuse besides kits and rules, and the notes that it would leave out. */
function checkTheRest(project: string, problems: ProblemList): void {
  const library = problems.attempt(() => loadLibrary(project));
  if (library) problems.add(library.notes.problems);
}
