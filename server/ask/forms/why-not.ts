import { finder } from "../../kit/find.js";
import { type Hole, TREATMENTS } from "../../kit/types.js";
import { isLarger } from "../../order/prep.js";
import { type ClaimTrace, type ClaimValue, RANKS } from "../../ruling/types.js";
import { cautionsFor } from "../cautions.js";
import { briefFor } from "../first-line.js";
import type { Form } from "../form.js";
import { entryOf, ruleSources, rulesIn } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots } from "../types.js";
import { decisive, joinConditions, nearestMiss, sayConditions } from "../wording/conditions.js";
import { capital, counted, listed, plural, sentences } from "../wording/grammar.js";
import { type Names, namesOf } from "../wording/names.js";
import { TREATED } from "../wording/readings.js";
import { sayBasis, sayClaim, sayGround, sayPrinciple, sayRule } from "../wording/rulings.js";
import { sayerOf, trimmed } from "./explain.js";
import { ACTS, mayI } from "./may-i.js";
import { isOpen } from "./open.js";
import { grouped, openVerdict, ruledAt } from "./ruled.js";
import { askOn, chosenSlot, missing, scopeOf, textSlot } from "./slots.js";

/** Why something was not ruled: the four ways, and the two in which the question itself is off. */
export type Ground =
  | "it is so"
  | "no rule claims it"
  | "a condition fails"
  | "beaten"
  | "a fact is not known"
  | "opposed, nothing decides";

/** What was asked for. */
interface Wanted {
  readonly attribute: string;
  readonly said: string;
  readonly is: (value: ClaimValue, hole: Hole) => boolean;
}

/** One hole's answer. */
interface Not {
  readonly hole: string;
  readonly attribute: string;
  readonly ground: Ground;
  /** Claims of the wanted value that the ground rests on. */
  readonly claims: readonly ClaimTrace[];
  readonly trace: ReturnType<Job["rulings"]["trace"]>;
}

/** Why a hole is not treated, headed or held in some way, or why something may not be done there. */
export const whyNot: Form = {
  id: "why-not",
  answer(job: Job, slots: Slots): FormAnswer {
    const act = chosenSlot(slots, "act", ACTS);
    // "What stops me?": a no would be read as nothing.
    if (act) return mayI.answer(job, { ...slots, sense: "open" });
    const wanted = wantedOf(job, slots);
    const scope = scopeOf(job, slots, { orAll: false });
    const nots = scope.holes.map((hole) => notAt(job, hole, wanted));
    const groups = groupNots(nots);
    // A treatment that fails on the head is asked on: why not that head?
    const deeper = groups.flatMap((group) => deeperOf(job, group));
    const rows = [...groups, ...deeper].map((group) => rowOf(job, group, wanted));
    const trace = [...groups, ...deeper].map((group) => {
      const [first] = group as readonly [Not, ...Not[]];
      const traces = group.map((one) => one.trace);
      return entryOf({
        attribute: first.attribute,
        holes: group.map(({ hole }) => hole),
        traces,
        first: first.trace,
      });
    });
    const headline = headlineOf(job, scope.said, wanted, groups, deeper);
    const unsure = groups.some(
      ([first]) => first?.ground === "a fact is not known" || first?.ground === "opposed, nothing decides",
    );
    return {
      verdict: unsure ? openVerdict(scope.holes.map((id) => ruledAt(job, id))) : undefined,
      headline,
      ...briefFor(headline, briefOf(job, scope.said, wanted, groups, deeper)),
      holes: scope.holes,
      rows,
      trace,
      cautions: cautionsFor(job, [], [], trace),
      sources: ruleSources(job, [
        ...rulesIn(trace),
        ...nots.flatMap(({ claims }) => claims.map(({ rule }) => rule)),
      ]),
      followUps: followUps(job, slots, scope.holes, wanted),
    };
  },
};

function wantedOf(job: Job, slots: Slots): Wanted {
  const names = namesOf(job);
  const same = (attribute: string, wanted: string): Wanted => ({
    attribute,
    said:
      TREATED[wanted] ?? (attribute === "head" ? wanted : sayClaim(attribute, wanted, names, job.kit.units)),
    is: (value) => value === wanted,
  });
  const treatment = chosenSlot(slots, "treatment", TREATMENTS);
  if (treatment === "enlarge") {
    return {
      attribute: "finalDiameterMm",
      said: "enlarged",
      is: (value, hole) => typeof value === "number" && isLarger(value, hole.punchedMm),
    };
  }
  if (treatment) return same("treatment", treatment);
  const head = chosenSlot(slots, "head", ["protruding", "flush"]);
  if (head) return same("head", head);
  const attribute = textSlot(slots, "attribute");
  if (attribute !== "hold")
    throw missing("treatment", "Say which treatment or head you expected, or what you want to do.");
  const milestone = textSlot(slots, "milestone");
  return milestone
    ? { ...same("hold", milestone), said: `held open until ${names.milestone(milestone)}` }
    : { attribute: "hold", said: "held open", is: (value) => value !== "none" };
}

/** Of the claims of the wanted value, those that came nearest to carrying it decide the ground. */
function notAt(job: Job, hole: string, { attribute, is: isWanted }: Wanted): Not {
  const at = finder(job.assembly).hole(hole);
  const is = (value: ClaimValue): boolean => isWanted(value, at);
  const trace = job.rulings.trace(hole, attribute);
  const found = (ground: Ground, claims: readonly ClaimTrace[]): Not => ({
    hole,
    attribute,
    ground,
    claims,
    trace,
  });
  const claims = trace.claims.filter(({ value }) => is(value)).sort((a, b) => rank(a) - rank(b));
  if (trace.status === "settled" && trace.value !== null && is(trace.value)) {
    return found(
      "it is so",
      claims.filter(({ rule }) => trace.ruleIds.includes(rule)),
    );
  }
  const fired = claims.filter(({ verdict }) => verdict === "true");
  const beaten = fired.filter(({ lostTo }) => lostTo.length > 0);
  const opposed = fired.filter(({ lostTo }) => lostTo.length === 0);
  const unknown = claims.filter(({ verdict }) => verdict === "unknown");
  if (opposed.length > 0) return found("opposed, nothing decides", opposed);
  if (unknown.length > 0 && trace.status !== "settled") return found("a fact is not known", unknown);
  const outdone = unknown.filter(({ lostTo }) => lostTo.length > 0);
  if (beaten.length > 0 || outdone.length > 0) return found("beaten", [...beaten, ...outdone]);
  if (unknown.length > 0) return found("a fact is not known", unknown);
  if (claims.length === 0) return found("no rule claims it", []);
  return found("a condition fails", nearest(claims));
}

/** Facts that say which hole it is: a rule that fails on one of them is about other holes. */
const WHICH: ReadonlySet<string> = new Set([
  "part",
  "row",
  "rowId",
  "number",
  "fromEnd",
  "kind",
  "family",
  "member",
  "headPart",
  "tailPart",
]);

function isAboutOthers({ conditions }: ClaimTrace): boolean {
  return decisive(conditions).some(({ fact }) => WHICH.has(fact));
}

/** Of the rules that did not hold, one about such holes that lacked least; among equals the strongest. */
function nearest(claims: readonly ClaimTrace[]): readonly ClaimTrace[] {
  const lacking = claims.map((claim) => ({
    claim,
    lacks: decisive(claim.conditions).length + (isAboutOthers(claim) ? 1000 : 0),
  }));
  return lacking
    .sort(
      (a, b) => a.lacks - b.lacks || rank(a.claim) - rank(b.claim) || (a.claim.rule < b.claim.rule ? -1 : 1),
    )
    .slice(0, 1)
    .map(({ claim }) => claim);
}

function rank({ basis }: ClaimTrace): number {
  return RANKS.indexOf(basis.rank);
}

/** Holes with the same reason together; the larger groups first, those where it is so after the others. */
function groupNots(nots: readonly Not[]): readonly (readonly Not[])[] {
  const groups = grouped(nots, ({ attribute, ground, claims, trace }) => [
    attribute,
    ground,
    trace.status,
    trace.value,
    claims.map(({ rule, lostTo, tiedWith, conditions }) => [
      rule,
      lostTo,
      tiedWith,
      decisive(conditions).map(({ fact, operator, needed, verdict }) => [fact, operator, needed, verdict]),
    ]),
  ]);
  const isSo = ([first]: readonly Not[]): number => (first?.ground === "it is so" ? 1 : 0);
  return [...groups].sort((a, b) => isSo(a) - isSo(b) || b.length - a.length);
}

/** Where a rule fails on an attribute that was settled before (the head), why that one is not as needed. */
function deeperOf(job: Job, group: readonly Not[]): readonly (readonly Not[])[] {
  const [first] = group;
  if (!first || (first.ground !== "a condition fails" && first.ground !== "a fact is not known")) return [];
  const leaves = first.claims.flatMap(({ conditions }) => decisive(conditions));
  const ground = leaves.find(
    ({ fact, operator, needed }) =>
      job.rulebook.dictionary.facts.get(fact)?.from === "ruling" &&
      operator === "equal" &&
      typeof needed === "string",
  );
  if (!ground || ground.fact === first.attribute) return [];
  const wanted: Wanted = { attribute: ground.fact, said: "", is: (value) => value === ground.needed };
  return groupNots(group.map(({ hole }) => notAt(job, hole, wanted)));
}

/** Why not, in a clause: "“…” would say so, but headroom is 1.4 mm, not less than 1 mm". */
function becauseOf(job: Job, group: readonly Not[], rule: (claim: ClaimTrace) => string): string {
  const [first] = group as readonly [Not, ...Not[]];
  const names = namesOf(job);
  const { units } = job.kit;
  const [claim] = first.claims;
  const said = joinConditions(failing(job, group));
  switch (first.ground) {
    case "it is so":
      return claim ? `${rule(claim)} says so` : "";
    case "no rule claims it":
      return "no rule says so for any hole";
    case "a condition fails":
      if (!claim) return "";
      return isAboutOthers(claim)
        ? `the rules that say so are about other holes, such as ${rule(claim)}: ${said}`
        : `${rule(claim)} does not apply: ${said}`;
    case "a fact is not known":
      if (!claim) return "";
      return first.trace.status === "settled"
        ? `${rule(claim)} may or may not apply (${said}), but something stronger settles it anyway`
        : `${rule(claim)} hangs on what is not known: ${said}`;
    case "opposed, nothing decides": {
      const others = listed(
        first.trace.claims.filter((other) => claim?.tiedWith.includes(other.rule)).map(rule),
      );
      return claim
        ? `${rule(claim)} says so, ${others} says otherwise, and nothing decides between them`
        : "";
    }
    case "beaten":
      return (claim?.lostTo ?? [])
        .map(({ rule: by, principle, reason }) => {
          const winner = first.trace.claims.find((other) => other.rule === by);
          if (!claim || !winner) return "";
          const says = sayClaim(first.attribute, winner.value, names, units);
          return `${rule(claim)} ${claim.verdict === "true" ? "says so" : "may say so"}, but ${rule(winner)} says ${says}: ${sayPrinciple(principle, winner.basis, claim.basis, reason)}${reason ? ` (${trimmed(reason)})` : ""}`;
        })
        .join("; ");
  }
}

/**
 * What fails, or is not known, of the claim that came nearest: each condition in words.
 * @param told  what is told of a hole's conditions; all of them when left out
 */
function failing(
  job: Job,
  group: readonly Not[],
  told: (conditions: ClaimTrace["conditions"]) => ClaimTrace["conditions"] = (all) => all,
): ReturnType<typeof sayConditions> {
  const nearest = group[0]?.claims[0]?.rule;
  const placed = group.flatMap(({ hole, claims }) =>
    claims.filter(({ rule }) => rule === nearest).map(({ conditions }) => ({ hole, conditions })),
  );
  return sayConditions(
    placed.map(({ conditions }) => told(conditions)),
    sayerOf(job),
    placed.map(({ hole }) => hole),
  );
}

function sayTitle({ title }: ClaimTrace): string {
  return sayRule(title);
}

/** Settled otherwise, or nothing claims what need not be claimed. */
function isCertain(job: Job, { attribute, trace: { status } }: Not): boolean {
  return !isOpen(job, attribute, status);
}

/** Of the reasons behind a group's reason, the exception before the everyday: a rule that was beaten says most. */
function tellingGround(
  deeper: readonly (readonly Not[])[],
  group: readonly Not[],
): readonly Not[] | undefined {
  const holes = new Set(group.map(({ hole }) => hole));
  const own = deeper.filter(([one]) => one && holes.has(one.hole) && one.ground !== "it is so");
  return own.find(([one]) => one?.ground === "beaten") ?? own[0];
}

/** Where a reason holds, when it is not for all the holes just spoken of. */
function elsewhere(names: Names, group: readonly Not[], spokenOf: readonly Not[]): string {
  if (group.length === spokenOf.length) return "";
  return `${names.where(
    group.map(({ hole }) => hole),
    2,
  )}: `;
}

function headlineOf(
  job: Job,
  said: string,
  wanted: Wanted,
  groups: readonly (readonly Not[])[],
  deeper: readonly (readonly Not[])[],
): string {
  const [main, ...others] = groups;
  const first = main?.[0];
  if (!main || !first) return `${capital(said)} has no holes.`;
  const names = namesOf(job);
  const where =
    others.length === 0
      ? said
      : names.where(
          main.map(({ hole }) => hole),
          2,
        );
  const status =
    first.ground === "it is so"
      ? `${where}: it is ${wanted.said}`
      : `${where}: not ${wanted.said}${isCertain(job, first) ? "" : " for certain"}`;
  const ground = tellingGround(deeper, main);
  return sentences(
    `${status}, because ${becauseOf(job, main, sayTitle)}`.replace(/, because $/, ""),
    others.length === 0 && ground && `${elsewhere(names, ground, main)}${becauseOf(job, ground, sayTitle)}`,
    ...sayOthers(wanted, others.flat()),
  );
}

/** The other holes: those that are so after all, and those that are not for reasons of their own. */
function sayOthers(wanted: Wanted, others: readonly Not[]): readonly string[] {
  const so = others.filter(({ ground }) => ground === "it is so").length;
  const rest = others.length - so;
  return [
    so > 0 ? `${counted(so, "hole")} ${plural(so, "is", "are")} ${wanted.said}` : "",
    rest > 0 ? `${counted(rest, "more hole")} for other reasons` : "",
  ];
}

/** The same in brief: the first condition that fails, or the rule; and which rule settles on what it fails on. */
function briefOf(
  job: Job,
  said: string,
  wanted: Wanted,
  groups: readonly (readonly Not[])[],
  deeper: readonly (readonly Not[])[],
): string {
  const [main = [], ...others] = groups;
  const [first] = main;
  if (!first) return "";
  const rest = others.reduce((sum, group) => sum + group.length, 0);
  const where =
    others.length === 0 ? said : `${main.length} of the ${counted(main.length + rest, "hole")} of ${said}`;
  const so =
    first.ground === "it is so"
      ? `it is ${wanted.said}`
      : `not ${wanted.said}${isCertain(job, first) ? "" : " for certain"}`;
  const ground = tellingGround(deeper, main);
  return sentences(
    `${where}: ${so}, because ${shortOf(job, main)}`.replace(/, because $/, ""),
    others.length === 0 && ground && sayDecider(job, ground, main),
    ...sayOthers(wanted, others.flat()),
  );
}

/** The first condition that fails where least is lacking, where one of the rule's own does; else what came of the rule. */
function shortOf(job: Job, group: readonly Not[]): string {
  const [first] = group as readonly [Not, ...Not[]];
  const [claim] = first.claims;
  const [fails] =
    first.ground === "a condition fails" && claim && !isAboutOthers(claim)
      ? failing(job, group, nearestMiss)
      : [];
  return fails ?? sayGround(first.ground, claim?.title ?? null);
}

/** The rule that beat the one behind what fails: "“Rib 4's heads stay protruding” decides that at 3 of them". */
function sayDecider(job: Job, ground: readonly Not[], main: readonly Not[]): string {
  const [first] = ground;
  const winners = (first?.claims[0]?.lostTo ?? []).map(({ rule }) =>
    sayRule(job.rulebook.byId.get(rule)?.title ?? rule),
  );
  if (first?.ground !== "beaten" || winners.length === 0) return "";
  const where =
    ground.length < main.length ? ` at ${ground.length} of the ${counted(main.length, "hole")}` : "";
  return `${listed(winners)} ${winners.length === 1 ? "decides" : "decide"} that${where}`;
}

function rowOf(job: Job, group: readonly Not[], wanted: Wanted): AnswerRow {
  const [first] = group as readonly [Not, ...Not[]];
  const names = namesOf(job);
  const holes = group.map(({ hole }) => hole);
  const { value, status } = first.trace;
  const isAsked = first.attribute === wanted.attribute;
  return {
    holes,
    where: names.everywhere(holes),
    what: sentences(
      status === "settled" &&
        value !== null &&
        `ruled: ${sayClaim(first.attribute, value, names, job.kit.units)}`,
      becauseOf(job, group, ({ title, basis }) => `${sayRule(title)} (${sayBasis(basis)})`),
    ),
    attribute: first.attribute,
    ground: first.ground,
    value,
    status,
    rules: first.claims.map(({ rule }) => rule),
    asked: isAsked,
  };
}

function followUps(
  job: Job,
  slots: Slots,
  holes: readonly string[],
  { attribute }: Wanted,
): readonly Reading[] {
  return [...askOn(job, "why", slots, holes, { attribute }), ...askOn(job, "treatment", slots, holes)];
}
