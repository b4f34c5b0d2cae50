import {
  REVIEW_WORDS,
  sayComment,
  sayDeparture,
  sayExampleSeen,
  sayFinding,
} from "../ask/wording/review-words.js";
import { sayRuleChanges } from "../ask/wording/rule-changes.js";
import { type RuleSayer, type RuleWords, ruleInWords, ruleToSay } from "../ask/wording/rule-words.js";
import { type Preview, previewRule, sayerFor } from "../preview.js";
import { Problem } from "../problem.js";
import { shopRule } from "../rule-life.js";
import type { RuleInFile } from "../ruling/schema.js";
import { diffRules } from "../shop/diff.js";
import { proposalIn, revisionOf } from "../shop/life.js";
import type { HistoryStep, Revision, ShopRule } from "../shop/types.js";
import type { Workshop } from "../workshop.js";
import { REVIEW_FORMAT, type Review, type Shown } from "./types.js";

/** Longest list on a sheet and in a file; what is left out is counted. */
const MOST_LINES = 200;

/** A rule that waits for a mentor. */
export interface Waiting {
  readonly rule: ShopRule;
  readonly revision: Revision;
  readonly proposed: HistoryStep;
}

/** Proposals that wait for a mentor, the longest waiting first. @throws UNKNOWN_KIT */
export function queueOf(workshop: Workshop, kit: string): readonly Waiting[] {
  return [...workshop.shopRules(kit).rules.values()]
    .flatMap((rule) => waiting(rule) ?? [])
    .sort((a, b) => a.proposed.version - b.proposed.version);
}

/** The proposal of a rule; null when none waits. */
function waiting(rule: ShopRule): Waiting | null {
  const revision = revisionOf(rule, rule.proposed ?? 0);
  const proposed = proposalIn(rule);
  return revision && proposed ? { rule, revision, proposed } : null;
}

/** @throws UNKNOWN_KIT, UNKNOWN_RULE, REVIEW_NOT_PROPOSED */
export function proposalOf(workshop: Workshop, kit: string, id: string): Waiting {
  const found = waiting(shopRule(workshop, kit, id));
  if (found) return found;
  throw new Problem("REVIEW_NOT_PROPOSED", `No revision of "${id}" waits for a mentor.`, {
    fix: "Propose it first; what waits is listed at /api/reviews.",
  });
}

/** Everything that a mentor needs to judge a proposal. @throws what `proposalOf` throws */
export async function reviewOf(workshop: Workshop, kitId: string, id: string): Promise<Review> {
  const { rule, revision, proposed } = proposalOf(workshop, kitId, id);
  const kit = workshop.kit(kitId);
  const { version } = workshop.shopRules(kitId);
  const seen = await previewRule(workshop, kitId, revision.rule, { assemblies: null, order: true });
  const [first] = kit.assemblies;
  const sayer = sayerFor(first && (await workshop.job(kitId, first.id)));
  return {
    format: REVIEW_FORMAT,
    kit: { id: kit.id, name: kit.name, revision: kit.revision },
    rule: id,
    revision: revision.revision,
    hash: revision.hash,
    proposal: proposed.version,
    author: revision.by,
    proposedBy: proposed.by,
    proposedAt: proposed.at,
    comments: cut(proposed.comments.map((comment) => sayComment(comment, null))),
    version,
    text: revision.rule,
    shown: shownOf(rule, revision, seen, sayer),
  };
}

function shownOf(
  rule: ShopRule,
  { rule: text }: Revision,
  seen: Preview | readonly Problem[],
  sayer: RuleSayer,
): Shown {
  const inForce = revisionOf(rule, rule.inForce ?? 0);
  const base = {
    changes: inForce && cut(sayRuleChanges(diffRules(inForce.rule, text), sayer)),
    earlier: cut(earlierComments(rule)),
  };
  if (!("words" in seen)) {
    return {
      ...base,
      words: linesOf(ruleInWords(ruleToSay(text), sayer)),
      problems: cut(seen.map(({ message, fix }) => `${message} ${fix}`)),
      departures: [],
      findings: [],
      examples: [],
      impact: [],
    };
  }
  return {
    ...base,
    words: linesOf(seen.words),
    problems: [],
    departures: cut(seen.departures.map((departure) => sayDeparture(departure, sayer))),
    findings: cut(seen.findings.map(sayFinding)),
    examples: cut(seen.examples.map(sayExampleSeen)),
    impact: seen.sights.map(({ job, said, holds, mayHold }) => ({
      assembly: job.assembly.name,
      lines: cut([
        REVIEW_WORDS.holdsAt(holds.length, mayHold.length),
        ...(said.length > 0 ? said.map((line) => line.said) : [REVIEW_WORDS.nothingChanges]),
      ]),
    })),
  };
}

function linesOf({ where, says, overrides, departure, why, basis }: RuleWords): readonly string[] {
  return cut([where, ...says, ...overrides, ...(departure ? [departure] : []), why, basis]);
}

function earlierComments({ history }: ShopRule): readonly string[] {
  return history
    .filter(({ step, refused }) => step === "return" && refused === null)
    .flatMap((step) => step.comments.map((comment) => sayComment(comment, step)));
}

function cut(lines: readonly string[]): readonly string[] {
  if (lines.length <= MOST_LINES) return lines;
  return [...lines.slice(0, MOST_LINES), REVIEW_WORDS.more(lines.length - MOST_LINES)];
}

/** Parts of a rule that a comment can point at, with what stands there. */
export function commentable(text: RuleInFile): readonly string[] {
  return [
    "/title",
    "/conditions",
    "/event",
    "/why",
    "/basis",
    "/overrides",
    "/departure",
    "/examples",
  ].filter((pointer) => {
    const part = (text as unknown as Readonly<Record<string, unknown>>)[pointer.slice(1)];
    return part !== undefined && part !== null && (!Array.isArray(part) || part.length > 0);
  });
}
