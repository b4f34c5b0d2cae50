import { createHash } from "node:crypto";
import { canonicalJson } from "../canonical.js";
import { Problem } from "../problem.js";
import type { RuleInFile } from "../ruling/schema.js";
import { isSameName } from "../same-name.js";
import type {
  HistoryStep,
  LifeEntry,
  Placed,
  Revision,
  RuleRevisionStatement,
  RuleStep,
  RuleStepStatement,
  ShopRule,
  Standing,
} from "./types.js";

/** Shop rules by id. */
export type ShopRules = ReadonlyMap<string, ShopRule>;

export const NO_SHOP_RULES: ShopRules = new Map();

/** SHA-256 (hex) of the rule's canonical JSON: two revisions with the same hash say the same. */
export function hashOfRule(rule: RuleInFile): string {
  return createHash("sha256").update(canonicalJson(rule)).digest("hex");
}

/** A kit's shop rules as the entries of the shop book leave them, by id. */
export function shopRules(entries: readonly LifeEntry[], kit: string): readonly ShopRule[] {
  return [...rulesAfter(NO_SHOP_RULES, entries, kit).values()].sort((a, b) => (a.id < b.id ? -1 : 1));
}

/**
 * The rules after more entries, however these are cut into batches. What does not fit (a revision out of its
 * turn, a step that was not allowed) changes nothing: a rule that nobody rightly accepted must not count.
 * @returns the same map when none of the entries is about a rule of this kit
 */
export function rulesAfter(rules: ShopRules, entries: readonly LifeEntry[], kit: string): ShopRules {
  let after: Map<string, ShopRule> | null = null;
  for (const entry of entries) {
    if (entry.kind !== "rule-revision" && entry.kind !== "rule-step") continue;
    if (entry.kit !== kit) continue;
    after ??= new Map(rules);
    const id = entry.kind === "rule-revision" ? entry.body.rule.id : entry.body.rule;
    const before = after.get(id) ?? null;
    const now = entry.kind === "rule-revision" ? revised(before, entry) : before && stepped(before, entry);
    if (now) after.set(id, now);
  }
  return after ?? rules;
}

/** The number that the next revision must carry. */
export function nextRevision(rule: ShopRule | null): number {
  return (rule?.revisions.length ?? 0) + 1;
}

/** A revision in force, by the agreement that it was accepted with. */
export interface Accepted extends Revision {
  /** Reference of the kit maker's agreement; null where the rule departs from nothing. */
  readonly agreement: string | null;
}

/**
 * The revisions in force, in the order in which they came into force. An override of a shop rule that is not in
 * force goes before nothing and is left out of the text: a rule must not fall with the one that it stood against.
 * @param also  id of a shop rule that counts as in force: the one that is tried
 */
export function inForce(rules: ShopRules, also?: string): readonly Accepted[] {
  const isGone = (id: string): boolean => id !== also && rules.get(id)?.inForce === null;
  return [...rules.values()]
    .flatMap((rule) => {
      const revision = revisionOf(rule, rule.inForce ?? 0);
      const accepted = rule.history.findLast(
        ({ step, revision: number, refused }) =>
          step === "accept" && number === rule.inForce && refused === null,
      );
      if (!revision || !accepted) return [];
      const { departure } = revision.rule;
      const agreement = departure ? (accepted.reference ?? departure.reference ?? null) : null;
      const text = withoutOverrides(revision.rule, isGone);
      return [{ revision: { ...revision, rule: text, agreement }, since: accepted.version }];
    })
    .sort((a, b) => a.since - b.since)
    .map(({ revision }) => revision);
}

function withoutOverrides(rule: RuleInFile, isGone: (id: string) => boolean): RuleInFile {
  const { overrides } = rule;
  if (!overrides?.some((one) => isGone(one.rule))) return rule;
  return { ...rule, overrides: overrides.filter((one) => !isGone(one.rule)) };
}

export function revisionOf(rule: ShopRule, revision: number): Revision | null {
  return rule.revisions.find((one) => one.revision === revision) ?? null;
}

/** The step with which the revision that waits was proposed; null when none waits. */
export function proposalIn({ history, proposed }: ShopRule): HistoryStep | null {
  const found = history.findLast(
    ({ step, revision, refused }) => step === "propose" && revision === proposed && refused === null,
  );
  return found ?? null;
}

/** Who takes a step, and on what. */
export interface Stepping {
  readonly by: string;
  readonly revision: number;
  /** `hashOfRule` of what the person looked at. */
  readonly hash: string;
  /** Id of the mentor's key; accepting and sending back take one. */
  readonly mentor?: string | null;
  /** Reference of the kit maker's agreement; stands in for the one that the rule itself names. */
  readonly reference?: string | null;
}

/**
 * Why a step may not be taken where the rule stands; null = it may.
 * @returns RULE_STEP_REVISION_UNKNOWN, RULE_STEP_OTHER_RULE (the hash is another's), RULE_STEP_NOT_PROPOSED,
 *          RULE_STEP_ALREADY_PROPOSED, RULE_STEP_IN_FORCE, RULE_STEP_NOT_IN_FORCE, RULE_STEP_NEEDS_MENTOR,
 *          RULE_STEP_BY_AUTHOR, RULE_STEP_WITHOUT_REFERENCE
 */
export function stepAllowed(rule: ShopRule, step: RuleStep, stepping: Stepping): Problem | null {
  const revision = revisionOf(rule, stepping.revision);
  if (!revision) {
    return refusal(
      "RULE_STEP_REVISION_UNKNOWN",
      `Rule "${rule.id}" has no revision ${stepping.revision}.`,
      `Its revisions go from 1 to ${rule.revisions.length}.`,
    );
  }
  if (revision.hash !== stepping.hash) {
    return refusal(
      "RULE_STEP_OTHER_RULE",
      `What was looked at is not revision ${revision.revision} of "${rule.id}".`,
      "Look at the revision again, and take the step on what it says.",
    );
  }
  if (step === "propose") return proposeAllowed(rule, revision);
  if (step === "retire") {
    return rule.inForce === revision.revision
      ? null
      : refusal(
          "RULE_STEP_NOT_IN_FORCE",
          `Revision ${revision.revision} of "${rule.id}" is not in force.`,
          rule.inForce === null ? "Nothing is to be retired." : `Retire revision ${rule.inForce}.`,
        );
  }
  if (rule.proposed !== revision.revision) {
    return refusal(
      "RULE_STEP_NOT_PROPOSED",
      `Revision ${revision.revision} of "${rule.id}" is not proposed.`,
      rule.proposed === null ? "Propose it first." : `Revision ${rule.proposed} is.`,
    );
  }
  return step === "withdraw" ? null : reviewAllowed(rule, revision, step, stepping);
}

function proposeAllowed(rule: ShopRule, { revision, standing }: Revision): Problem | null {
  if (rule.proposed !== null) {
    return refusal(
      "RULE_STEP_ALREADY_PROPOSED",
      `Revision ${rule.proposed} of "${rule.id}" waits for the mentor already.`,
      "Withdraw it first, or wait for the review.",
    );
  }
  if (standing !== "in force") return null;
  return refusal(
    "RULE_STEP_IN_FORCE",
    `Revision ${revision} of "${rule.id}" is in force already.`,
    "Save a new revision and propose that.",
  );
}

function reviewAllowed(
  rule: ShopRule,
  revision: Revision,
  step: RuleStep,
  { by, mentor, reference }: Stepping,
): Problem | null {
  if (!mentor) {
    return refusal(
      "RULE_STEP_NEEDS_MENTOR",
      `To ${step} a proposal takes a mentor's key.`,
      "Let the mentor do it with the key.",
    );
  }
  if (step !== "accept") return null;
  if (isSameName(by, revision.by)) {
    return refusal(
      "RULE_STEP_BY_AUTHOR",
      `${by} wrote revision ${revision.revision} of "${rule.id}" and cannot accept it.`,
      "Let another mentor review it.",
    );
  }
  const { departure } = revision.rule;
  if (departure && (reference ?? departure.reference ?? "").trim() === "") {
    return refusal(
      "RULE_STEP_WITHOUT_REFERENCE",
      `"${rule.id}" departs from ${departure.from.join(", ")} without the kit maker's agreement.`,
      "Name the letter or message in which the kit maker agreed.",
    );
  }
  return null;
}

function refusal(code: string, what: string, fix: string): Problem {
  return new Problem(code, what, { fix });
}

function revised(before: ShopRule | null, entry: Placed<RuleRevisionStatement>): ShopRule | null {
  const { rule, revision } = entry.body;
  if (revision !== nextRevision(before)) return null;
  const { by, at, seq: version, kit } = entry;
  const added: Revision = { revision, rule, hash: hashOfRule(rule), by, at, version, standing: "draft" };
  return standingAt({
    id: rule.id,
    kit,
    revisions: [...(before?.revisions ?? []), added],
    proposed: before?.proposed ?? null,
    inForce: before?.inForce ?? null,
    history: before?.history ?? [],
  });
}

function stepped(before: ShopRule, entry: Placed<RuleStepStatement>): ShopRule {
  const { step, revision, hash, comments, reference = null, mentor = null } = entry.body;
  const refused = stepAllowed(before, step, { by: entry.by, revision, hash, mentor, reference });
  const told: HistoryStep = {
    step,
    revision,
    by: entry.by,
    at: entry.at,
    version: entry.seq,
    comments,
    mentor,
    reference,
    refused: refused?.code ?? null,
  };
  const history = [...before.history, told];
  if (refused) return { ...before, history };

  const standings: Readonly<Record<RuleStep, Standing>> = {
    propose: "proposed",
    withdraw: "draft",
    accept: "in force",
    return: "returned",
    retire: "retired",
  };
  const revisions = before.revisions.map((one): Revision => {
    if (one.revision === revision) return { ...one, standing: standings[step] };
    if (step === "accept" && one.revision === before.inForce) return { ...one, standing: "replaced" };
    return one;
  });
  return standingAt({
    ...before,
    revisions,
    history,
    proposed: step === "propose" ? revision : step === "retire" ? before.proposed : null,
    inForce: step === "accept" ? revision : step === "retire" ? null : before.inForce,
  });
}

function standingAt(rule: Omit<ShopRule, "status">): ShopRule {
  const newest = rule.revisions.at(-1)?.standing ?? "draft";
  // The newest is replaced only where an older one was accepted again: then that is what the rule is.
  const own = newest === "replaced" ? (rule.inForce === null ? "retired" : "in force") : newest;
  return { ...rule, status: rule.proposed === null ? own : "proposed" };
}
