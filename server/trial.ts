import type { Job } from "./ask/types.js";
import { findingWords } from "./ask/wording/finding-words.js";
import { namesOf } from "./ask/wording/names.js";
import { Problem } from "./problem.js";
import { anomaliesOf } from "./ruling/anomalies/anomalies.js";
import type { Finding } from "./ruling/anomalies/finding.js";
import type { FindingWords } from "./ruling/anomalies/words.js";
import type { RuleInFile } from "./ruling/schema.js";
import type { Rule } from "./ruling/types.js";
import { type Departure, departuresOf } from "./shop/departures.js";
import type { Workshop } from "./workshop.js";

/** A rule as if it were in force, in every assembly of its kit. */
export interface Trial {
  readonly rule: Rule;
  /** One for each assembly, in the kit's order. */
  readonly jobs: readonly Job[];
  readonly findings: readonly Finding[];
  /** Where it contradicts the manual or a notice. */
  readonly departures: readonly Departure[];
}

/**
 * Tries a rule in the whole kit, and looks at what is odd about it there.
 * @throws UNKNOWN_KIT, and what is wrong with the rule, with pointers into it
 */
export async function tryRule(workshop: Workshop, kit: string, text: RuleInFile): Promise<Trial> {
  const { assemblies } = workshop.kit(kit);
  const jobs: Job[] = [];
  for (const { id } of assemblies) jobs.push(await workshop.trying(kit, id, text));
  const rulebook = jobs[0]?.rulebook;
  const rule = rulebook?.byId.get(text.id);
  if (!rulebook || !rule) throw new TypeError(`The rule "${text.id}" was tried and is not there.`);
  const sites = jobs.map(({ rulings, facts }) => ({ rulings, records: facts }));
  return {
    rule,
    jobs,
    findings: await anomaliesOf(rulebook, rule, sites, wordsFor(jobs)),
    departures: departuresOf(
      rulebook,
      rule.id,
      jobs.map(({ rulings }) => rulings),
    ),
  };
}

function wordsFor(jobs: readonly Job[]): FindingWords | undefined {
  const [first, ...others] = jobs.map((job) => ({
    holes: job.rulings.ids,
    sayer: { dictionary: job.rulebook.dictionary, names: namesOf(job), units: job.kit.units },
  }));
  return first && findingWords([first, ...others]);
}

/**
 * What keeps a rule from coming into force, whoever accepts it: it does not fit, cannot be right as it stands,
 * or contradicts the manual or a notice without saying so.
 * @throws RULE_NOT_READY with one entry in `others` for each reason (pointers from /rule on), and UNKNOWN_KIT
 */
export async function refuseUnready(workshop: Workshop, kit: string, text: RuleInFile): Promise<void> {
  const others = await reasonsAgainst(workshop, kit, text);
  const [first] = others;
  if (!first) return;
  throw new Problem("RULE_NOT_READY", `"${text.id}" cannot come into force as it stands: ${first.message}`, {
    where: first.where,
    fix: first.fix,
    others,
  });
}

async function reasonsAgainst(
  workshop: Workshop,
  kit: string,
  text: RuleInFile,
): Promise<readonly Problem[]> {
  let trial: Trial;
  try {
    trial = await tryRule(workshop, kit, text);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    return [error, ...error.others].map(({ code, message, where, fix }) =>
      against(code, message, where.pointer ?? "", fix),
    );
  }
  const wrong = trial.findings.filter(({ severity }) => severity === "error");
  const hidden = trial.departures.filter(({ declared }) => !declared);
  return [
    ...wrong.map(({ said, pointer, fix }) => against("RULE_NOT_READY", said, pointer, fix)),
    ...hidden.map(({ from, holes }) =>
      against(
        "DEPARTURE_UNDECLARED",
        `It contradicts ${from} at ${holes.length} ${holes.length === 1 ? "hole" : "holes"} without declaring a departure.`,
        "/departure",
        `Leave those holes out; or, with the kit maker's agreement, declare a departure from ${from} with its reference.`,
      ),
    ),
  ];
}

function against(code: string, what: string, pointer: string, fix: string): Problem {
  return new Problem(code, what, { where: { pointer: `/rule${pointer}` }, fix });
}
