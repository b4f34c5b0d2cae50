import { figureOf } from "../../facts/figures.js";
import { finder } from "../../kit/find.js";
import { type ClaimTrace, RANKS } from "../../ruling/types.js";
import type { Alike } from "../trace.js";
import type { Job } from "../types.js";
import { decisive, joinConditions, type Sayer, sayConditions, sayLeaf } from "../wording/conditions.js";
import { listed, sentences } from "../wording/grammar.js";
import { attributeLabel } from "../wording/measures.js";
import { namesOf } from "../wording/names.js";
import {
  sayBasis,
  sayClaim,
  sayConflict,
  sayPrinciple,
  sayRank,
  sayRule,
  sayUndecided,
  sayWasHeld,
} from "../wording/rulings.js";
import { sayOpen } from "./open.js";
import { ruledAt } from "./ruled.js";

/** Why an attribute came out as it did at holes that are alike. */
export interface Explanation {
  /** "flush head, because headroom 0.6 mm, less than the 1 mm wanted"; no full stop. */
  readonly short: string;
  /** What it is, without the reason: "flush head". */
  readonly is: string;
  /** The rule that settles it, as quoted; null where none does. */
  readonly by: string | null;
  /** Rule, basis, conditions with values, what it beat: in sentences. */
  readonly full: string;
  /** Attributes settled before, on which the reason rests: `head` when the treatment follows from the head. */
  readonly restsOn: readonly string[];
}

export function sayerOf(job: Job): Sayer {
  const find = finder(job.assembly);
  return {
    dictionary: job.rulebook.dictionary,
    names: namesOf(job),
    units: job.kit.units,
    figureAt: (hole, fact) => figureOf(find.hole(hole), fact),
  };
}

export function explain(job: Job, group: Alike): Explanation {
  const { status, value } = group.first;
  const says = sayClaim(group.attribute, value, namesOf(job), job.kit.units);
  const carrying = carriers(group);
  if (status === "settled") {
    const [main, ...others] = carrying;
    if (!main) return { short: says, is: says, by: null, full: sentences(says), restsOn: [] };
    const reasons = because(job, group, main.rule);
    const reached = isReached(job, group);
    const now = reached ? sayWasHeld(String(value), namesOf(job)) : says;
    return {
      short: `${now}${reasons.length > 0 ? `, because ${joinConditions(reasons)}` : ""}`,
      is: now,
      by: sayRule(main.title),
      full: sentences(
        carried(job, group, main, says),
        others.length > 0 &&
          `the same says ${listed(others.map(({ title, basis }) => `${sayRule(title)} (${sayRank(basis.rank)})`))}`,
        mayChange(group),
        reached && "that is reached, so it need not stay open any longer",
      ),
      restsOn: restsOn(job, carrying),
    };
  }
  const open = sayOpen(job, ruledAt(job, group.first.hole), [group.attribute]);
  if (status === "unclaimed") {
    const required = job.rulebook.dictionary.attributes.get(group.attribute)?.required ?? false;
    const short = required ? sayUndecided([group.attribute], [], null) : NOT_CLAIMED[group.attribute];
    const said = short ?? "no rule speaks of it";
    return { short: said, is: said, by: null, full: open || sentences(short), restsOn: [] };
  }
  const short =
    status === "conflict"
      ? sayConflict(group.attribute, carrying, namesOf(job), job.kit.units)
      : sayUndecided(
          [group.attribute],
          ruledAt(job, group.first.hole).of(group.attribute).missing,
          finder(job.assembly).hole(group.first.hole),
        );
  const grounds = restsOn(job, carrying);
  return {
    short,
    is: short,
    by: null,
    full: sentences(
      open,
      ...carrying.map((claim) => hanging(job, group, claim)),
      grounds.length > 0 && `it follows from the ${listed(grounds.map(attributeLabel))}`,
    ),
    restsOn: grounds,
  };
}

/** Whether a hold's milestone has come: the rule still says so, and the hole is free all the same. */
function isReached(job: Job, { attribute, first }: Alike): boolean {
  return attribute === "hold" && first.value !== null && job.work.milestones.has(String(first.value));
}

const NOT_CLAIMED: Readonly<Record<string, string>> = { hold: "no rule holds it open" };

/** The claims that carry a settled value, oppose each other or leave it undecided; strongest first. */
function carriers({ first: { claims, ruleIds, status } }: Alike): readonly ClaimTrace[] {
  return claims
    .filter(({ rule, verdict }) => ruleIds.includes(rule) && (status !== "settled" || verdict === "true"))
    .sort(byRank);
}

/** Ambiguity blocking: a claim that hangs on a conflict elsewhere was left out. */
function mayChange({ first: { unsettled } }: Alike): string {
  if (unsettled.length === 0) return "";
  return `this may change: the ${listed(unsettled.map(attributeLabel))} ${unsettled.length === 1 ? "is" : "are"} not settled`;
}

function byRank(a: ClaimTrace, b: ClaimTrace): number {
  return (
    RANKS.indexOf(a.basis.rank) - RANKS.indexOf(b.basis.rank) ||
    b.beat.length - a.beat.length ||
    (a.rule < b.rule ? -1 : 1)
  );
}

/** The conditions that decided one rule's claim, over all holes of the group. */
export function because(job: Job, group: Pick<Alike, "traces">, rule: string): readonly string[] {
  const placed = group.traces.flatMap(({ hole, claims }) =>
    claims.filter((claim) => claim.rule === rule).map(({ conditions }) => ({ hole, conditions })),
  );
  return sayConditions(
    placed.map(({ conditions }) => conditions),
    sayerOf(job),
    placed.map(({ hole }) => hole),
  );
}

/** "“Heads are flush …” (manual: …) says flush head: headroom is 0.6 mm, less than the 1 mm wanted. It beats “…”." */
function carried(job: Job, group: Alike, claim: ClaimTrace, says: string): string {
  const reasons = because(job, group, claim.rule);
  return sentences(
    `${sayRule(claim.title)} (${sayBasis(claim.basis)}) says ${says}${reasons.length > 0 ? `: ${joinConditions(reasons)}` : ""}`,
    claim.why,
    ...claim.beat.map((win) => sayBeat(job, group, claim, win)),
  );
}

/** "It beats “…”, which says protruding head: the manual goes before the handbook". */
function sayBeat(
  job: Job,
  group: Pick<Alike, "attribute" | "first">,
  claim: ClaimTrace,
  { rule, principle, reason }: ClaimTrace["beat"][number],
): string {
  const loser = group.first.claims.find((other) => other.rule === rule);
  if (!loser) return "";
  const other = sayClaim(group.attribute, loser.value, namesOf(job), job.kit.units);
  const ground = sayPrinciple(principle, claim.basis, loser.basis, reason);
  return `it beats ${sayRule(loser.title)}, which ${loser.verdict === "unknown" ? "may say" : "says"} ${other}: ${ground}${reason ? ` (${trimmed(reason)})` : ""}`;
}

/** What a claim that does not decide hangs on; empty when it hangs on another ruling alone. */
function hanging(job: Job, group: Alike, claim: ClaimTrace): string {
  if (claim.verdict !== "unknown") return "";
  const own = decisive(claim.conditions).filter(
    ({ fact }) => job.rulebook.dictionary.facts.get(fact)?.from !== "ruling",
  );
  if (own.length === 0) return "";
  const says = sayClaim(group.attribute, claim.value, namesOf(job), job.kit.units);
  return `${sayRule(claim.title)} (${sayBasis(claim.basis)}) would say ${says}: ${joinConditions(own.map((leaf) => sayLeaf(leaf, sayerOf(job), group.first.hole)))}`;
}

export function trimmed(text: string): string {
  return text.trim().replace(/\.$/, "");
}

function restsOn(job: Job, claims: readonly ClaimTrace[]): readonly string[] {
  const facts = claims.flatMap(({ conditions }) => decisive(conditions)).map(({ fact }) => fact);
  return [...new Set(facts)].filter((fact) => job.rulebook.dictionary.facts.get(fact)?.from === "ruling");
}
