import type { Job } from "./ask/types.js";
import { type ImpactLine, sayImpact } from "./ask/wording/impact-words.js";
import { namesOf } from "./ask/wording/names.js";
import { sayExample } from "./ask/wording/rule-changes.js";
import { type RuleSayer, type RuleWords, ruleInWords } from "./ask/wording/rule-words.js";
import { NOT_WRITTEN_YET } from "./ask/wording/rule-writing.js";
import { Problem } from "./problem.js";
import type { Finding } from "./ruling/anomalies/finding.js";
import type { RuleInFile } from "./ruling/schema.js";
import type { Departure } from "./shop/departures.js";
import { type Impact, impactOf } from "./shop/impact.js";
import { type OrderImpact, orderImpactOf } from "./shop/order-impact.js";
import { reservedId } from "./shop/rule-id.js";
import { type Trial, tryRule } from "./trial.js";
import type { Workshop } from "./workshop.js";

/** What a rule would do in one assembly. */
export interface Sight {
  readonly job: Job;
  /** Holes at which it holds … */
  readonly holds: readonly string[];
  /** … and those at which a missing fact leaves it open. */
  readonly mayHold: readonly string[];
  readonly impact: Impact;
  /** Null: plan and closings were not worked out. */
  readonly order: OrderImpact | null;
  readonly said: readonly ImpactLine[];
}

/** One of the rule's own examples, with what came out. */
export interface ExampleSeen {
  readonly said: string;
  readonly comesOut: boolean;
}

/** A rule as it would be, were it in force. */
export interface Preview {
  readonly words: RuleWords;
  readonly findings: readonly Finding[];
  readonly departures: readonly Departure[];
  readonly examples: readonly ExampleSeen[];
  readonly sights: readonly Sight[];
}

/** Which assemblies are looked at, and how closely. */
export interface Looking {
  /** Ids; null = all of the kit. */
  readonly assemblies: readonly string[] | null;
  /** Whether plan and closings are worked out too. */
  readonly order: boolean;
}

/**
 * What a rule says and would do, with everything odd about it; records nothing.
 * @param text  any JSON object: it may be half written
 * @returns     what keeps it from being tried (pointers into the rule), or the preview
 * @throws      UNKNOWN_KIT, UNKNOWN_ASSEMBLY
 */
export async function previewRule(
  workshop: Workshop,
  kit: string,
  text: object,
  { assemblies, order }: Looking,
): Promise<Preview | readonly Problem[]> {
  const ids = assemblies ?? workshop.kit(kit).assemblies.map(({ id }) => id);
  for (const id of ids) workshop.assembly(kit, id);
  let trial: Trial;
  try {
    trial = await tryRule(workshop, kit, text as RuleInFile);
  } catch (error) {
    if (!(error instanceof Problem) || isOfTheBook(error)) throw error;
    return [error, ...error.others];
  }
  const { rule, jobs, findings, departures } = trial;
  const sights: Sight[] = [];
  for (const job of jobs.filter(({ assembly }) => ids.includes(assembly.id))) {
    sights.push(sightOf(await workshop.job(kit, job.assembly.id), job, rule.id, order));
  }
  const sayer = sayerFor(sights.find(({ holds }) => holds.length > 0)?.job ?? jobs[0]);
  const failing = new Set(
    findings.filter(({ kind }) => kind === "example fails").map(({ pointer }) => pointer),
  );
  return {
    words: ruleInWords(rule, sayer),
    findings,
    departures,
    examples: rule.examples.map((example, i) => ({
      said: sayExample({ ...example }, sayer),
      comesOut: !failing.has(`/examples/${i}`),
    })),
    sights,
  };
}

/** A rule as it is being written: what is still wrong with it, and what it would do as far as that can be told. */
export interface DraftPreview {
  readonly problems: readonly Problem[];
  /** Null while something is wrong that the rest hangs on. */
  readonly seen: Preview | null;
}

/**
 * The same for a rule that is being written. What it would do hangs on its family, conditions and claims
 * alone: while only its words are wanting (title, reason, basis, examples), that is told too.
 * @throws UNKNOWN_KIT, UNKNOWN_ASSEMBLY
 */
export async function previewDraft(
  workshop: Workshop,
  kit: string,
  text: object,
  looking: Looking,
): Promise<DraftPreview> {
  const reserved = reservedId((text as Fields).id);
  const { problems, seen } = await previewUnnamed(workshop, kit, text, looking);
  return { problems: reserved ? [reserved, ...problems] : problems, seen };
}

/** What there is to see whatever the rule is called. */
async function previewUnnamed(
  workshop: Workshop,
  kit: string,
  text: object,
  looking: Looking,
): Promise<DraftPreview> {
  const first = await previewRule(workshop, kit, text, looking);
  if ("words" in first) return { problems: [], seen: first };
  const filled = withWordsFilledIn(text as Fields, first);
  const seen = await previewRule(workshop, kit, filled, looking);
  if (!("words" in seen)) return { problems: first, seen: null };
  if (filled.examples === (text as Fields).examples) return { problems: first, seen };
  const findings = seen.findings.filter(({ kind }) => kind !== "example fails");
  return { problems: first, seen: { ...seen, findings, examples: [] } };
}

type Fields = Readonly<Record<string, unknown>>;

/** Examples that say nothing, for a rule that has none yet. */
const NO_EXAMPLES = [
  { facts: {}, fires: true },
  { facts: {}, fires: false },
];

function withWordsFilledIn(text: Fields, problems: readonly Problem[]): Fields {
  const isWrong = (pointer: string): boolean =>
    problems.some(({ where }) => where.pointer === pointer || where.pointer?.startsWith(`${pointer}/`));
  const written = (value: unknown): unknown =>
    value === undefined || value === "" ? NOT_WRITTEN_YET : value;
  const { id, title, why, basis, overrides, examples } = text;
  const { dated, ...place } = isFields(basis) ? basis : {};
  return {
    ...text,
    id: id === undefined || isWrong("/id") ? "draft" : id,
    title: written(title),
    why: written(why),
    basis: {
      ...place,
      rank: place.rank ?? "shop",
      document: written(place.document),
      place: written(place.place),
      ...(dated !== undefined && !isWrong("/basis/dated") && { dated }),
    },
    ...(Array.isArray(overrides) && {
      overrides: overrides.map((one) => (isFields(one) ? { ...one, reason: written(one.reason) } : one)),
    }),
    examples: examples === undefined || isWrong("/examples") ? NO_EXAMPLES : examples,
  };
}

function isFields(value: unknown): value is Fields {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** A book that cannot be read says nothing about the rule. */
function isOfTheBook({ code }: Problem): boolean {
  return code.startsWith("SHOPBOOK_");
}

function sightOf(before: Job, after: Job, rule: string, withOrder: boolean): Sight {
  const truths = after.rulings.truths(rule);
  const where = (truth: string) => after.rulings.ids.filter((_, i) => truths[i] === truth);
  const impact = impactOf(before, after);
  const order = withOrder ? orderImpactOf(before, after, impact) : null;
  const said = sayImpact(impact, order, sayerFor(after, before));
  return { job: after, holds: where("true"), mayHold: where("unknown"), impact, order, said };
}

/** What saying a rule needs of a job; a rule that is no longer there is named as it was before. */
export function sayerFor(job: Job | undefined, before: Job | undefined = job): RuleSayer {
  if (!job) throw new TypeError("The kit has no assembly.");
  return {
    dictionary: job.rulebook.dictionary,
    names: namesOf(job),
    units: job.kit.units,
    titleOf: (id) => (job.rulebook.byId.get(id) ?? before?.rulebook.byId.get(id))?.title ?? null,
  };
}
