import { finder } from "../../kit/find.js";
import type { Misfit } from "../../order/misfit.js";
import type {
  ApproachAfter,
  ApproachNow,
  Hold,
  HoleBefore,
  May,
  OrderRule,
  PrepGateState,
  Reason,
} from "../../order/types.js";
import type { Blocker } from "../../reach/types.js";
import type { Job } from "../types.js";
import { sayPerhapsReady, treatedBy } from "./gates.js";
import { counted, listed, plural, ranges, sentences } from "./grammar.js";
import { attributeLabel, saySize, sayValue, theFact } from "./measures.js";
import { namesOf } from "./names.js";
import { sayBasis, sayClaim, sayMissing, sayRule, sayUndecided } from "./rulings.js";
import { sayLimits } from "./sizes.js";

/**
 * A reason for or against an act, as a sentence without its full stop; "it" is the hole or the part asked about.
 * @param asked  holes asked about: an order rule on one of them speaks of "it", on any other hole by name
 */
function sayReason(job: Job, reason: Reason, asked: readonly string[] = []): string {
  const names = namesOf(job);
  const { units } = job.kit;
  switch (reason.code) {
    case "already-set":
      return "it is set already";
    case "already-closed":
      return `${names.thePart(reason.part)} is closed already: a rivet through it is set`;
    case "nothing-closes-it":
      return `no rivet through ${names.thePart(reason.part)} can be set: all are set, walled in, or there are none`;
    case "walled-in":
      return reason.never
        ? `no tool ever gets at it: ${sayApproachesNow(job, reason.approaches)}`
        : `it is walled in: ${sayApproachesNow(job, reason.approaches)}`;
    case "pinned-in-the-way":
      return `${names.parts(reason.parts)} ${plural(reason.parts.length, "is", "are")} pinned in the way: take ${plural(reason.parts.length, "it", "them")} off first`;
    case "held":
      return sayHold(job, reason.hold);
    case "would-wall-in":
      return `it would wall in ${sayRivets(
        job,
        reason.holes.map(({ hole }) => hole),
      )}`;
    case "dead-end":
      return `afterwards no order could set ${sayRivets(job, reason.holes)} any more`;
    case "keep-apart":
      return `whether ${names.where(reason.holes, 2)} ${plural(reason.holes.length, "is", "are")} dimpled is not decided, and the layers would no longer come apart: find it out first`;
    case "walls-in-held": {
      const holds = reason.contradictions.map(({ hold }) => hold);
      const untils = [...new Set(holds.map(({ until }) => until))].map((until) =>
        until === null ? "a milestone that is not decided" : names.milestone(until),
      );
      return `it would wall in holes that stay open until ${listed(untils)}: ${names.where(holds.map(({ hole }) => hole))}`;
    }
    case "every-way-walls-in":
      return `every way of closing it walls something in: ${reason.ways
        .slice(0, 3)
        .map((way) => `setting ${names.where(way.holes, 1)} walls in ${sayRivets(job, way.wallsIn)}`)
        .join("; ")}`;
    case "choose-way":
      return `close it by one of these: ${names.where(reason.use, 2)}; not by these, which would wall something in: ${names.where(reason.avoid, 2)}`;
    case "no-way-may-be-set":
      return `none of the rivets that close it may be set now: ${sayWhyNone(job, reason.why)}`;
    case "not-settled":
      return sayNotSettled(job, reason);
    case "prep-open":
      return sayGate(job, reason.gate);
    case "prep-unknown":
      return sayPerhapsReady(job, reason.gate.part, [reason.gate.gate]);
    case "order-rule":
      return sayOrder(
        job,
        reason.order,
        asked.includes(reason.order.hole) ? "it" : names.hole(reason.order.hole),
      );
    case "limit":
      return sayLimit(job, reason);
    case "grip-unknown":
      return `whether ${reason.rivet} holds the stack is not known: try its grip on a scrap stack of the same sheets, or ask the kit maker`;
    case "misfit":
      return sayMisfit(job, reason.misfit);
    case "stack-part-loose":
      return `no mark shows that ${names.thePart(reason.part)} is on`;
    case "ruled-otherwise":
      return `it is ruled otherwise: ${sayClaim(reason.attribute, reason.ruled, names, units)}`;
    case "as-ruled":
      return `so it is ruled: ${sayClaim(reason.attribute, reason.ruled, names, units)}`;
    case "layers-together":
      return `its layers no longer come apart: ${names.parts(reason.parts)} are closed`;
    case "part-the-layers":
      return `take the pins out and the layers apart first: ${names.parts(reason.parts)}`;
    case "enlarge-first":
      return `enlarge it to ${sayClaim("finalDiameterMm", reason.finalDiameterMm, names, units).replace("final diameter ", "")} first`;
    case "form-first":
      return `by the kit's order of work ${reason.form} it at its punched size first`;
    case "order-not-named":
      return `the kit does not say whether it is enlarged or ${treatedBy(reason.form)} first`;
    case "nothing-to-enlarge": {
      const [punched, final] = [reason.punchedMm, reason.finalDiameterMm].map((mm) =>
        sayClaim("finalDiameterMm", mm, names, units).replace("final diameter ", ""),
      );
      return `it is punched ${punched}, and the finished hole is ${final}: there is nothing to enlarge`;
    }
    case "gate-done":
      return `“${names.gate(reason.gate)}” is marked as done on ${names.thePart(reason.part)} already`;
    case "in-this-order":
      return `set them in this order: ${sayOrderOf(job, reason.holes)}`;
    case "wall-each-other-in":
      return `whatever the order, they wall each other in: ${names.where(reason.holes)}`;
  }
}

/** A reason in words, with the holes of the drawing that it is about beyond those asked. */
export interface SaidReason {
  readonly code: Reason["code"];
  readonly weight: Reason["weight"];
  readonly holes: readonly string[];
  /** Stands alone. */
  readonly text: string;
  /** For a line that names the holes already. */
  readonly beside: string;
  /** In a few words, without lists of holes and titles of rules. */
  readonly short: string;
}

/** What matters most first: reach, holds and order before what is open, and that before the marks of the prep. */
const CODE_ORDER: readonly Reason["code"][] = [
  "already-set",
  "already-closed",
  "walled-in",
  "held",
  "walls-in-held",
  "would-wall-in",
  "every-way-walls-in",
  "wall-each-other-in",
  "dead-end",
  "keep-apart",
  "nothing-closes-it",
  "order-rule",
  "ruled-otherwise",
  "nothing-to-enlarge",
  "layers-together",
  "limit",
  "misfit",
  "not-settled",
  "no-way-may-be-set",
  "in-this-order",
  "grip-unknown",
  "choose-way",
  "enlarge-first",
  "form-first",
  "order-not-named",
  "part-the-layers",
  "pinned-in-the-way",
  "as-ruled",
  "stack-part-loose",
  "gate-done",
  "prep-open",
  "prep-unknown",
];

/** How much a reason matters: 0 is what matters most. */
export function gravityOf({ code }: Pick<SaidReason, "code">): number {
  return CODE_ORDER.indexOf(code);
}

/**
 * Reasons in words, the same one once, what matters most first. What belongs together is said together: one order
 * rule on many holes that were not asked about, a part's open gates, attributes that lack the same fact.
 */
export function sayWeighing(
  job: Job,
  reasons: readonly Reason[],
  asked: readonly string[],
): readonly SaidReason[] {
  const groups = new Map<string, Reason[]>();
  reasons.forEach((reason, i) => {
    const key = togetherKey(reason, asked) ?? `alone ${i}`;
    groups.set(key, [...(groups.get(key) ?? []), reason]);
  });
  const said = [...groups.values()].map((group) => sayTogether(job, group, asked));
  const distinct = [...new Map(said.map((one) => [`${one.weight} ${one.text}`, one])).values()];
  return distinct.sort((a, b) => gravityOf(a) - gravityOf(b));
}

function togetherKey(reason: Reason, asked: readonly string[]): string | null {
  const { code, weight } = reason;
  switch (code) {
    case "prep-open":
      return JSON.stringify([code, weight, reason.gate.part]);
    case "stack-part-loose":
      return JSON.stringify([code, weight, reason.hole]);
    case "not-settled":
      return reason.status === "conflict"
        ? null
        : JSON.stringify([code, weight, reason.hole, reason.missing]);
    case "order-rule": {
      if (asked.includes(reason.order.hole)) return null;
      const { rule, relation, part, partState, verdict } = reason.order;
      return JSON.stringify([code, weight, rule, relation, part, partState, verdict]);
    }
    default:
      return null;
  }
}

function sayTogether(job: Job, group: readonly Reason[], asked: readonly string[]): SaidReason {
  const [first] = group as readonly [Reason, ...Reason[]];
  const names = namesOf(job);
  const plain = (text: string, holes: readonly string[] = [], beside = text): SaidReason => ({
    code: first.code,
    weight: first.weight,
    holes,
    text,
    beside,
    short: shortOf(job, group, asked) ?? text,
  });
  switch (first.code) {
    case "prep-open": {
      const gates = group.flatMap((reason) => (reason.code === "prep-open" ? [reason.gate.gate] : []));
      const list = listed([...new Set(gates)].map((gate) => names.gate(gate)));
      return plain(`not marked as done on ${names.thePart(first.gate.part)}: ${list}`);
    }
    case "stack-part-loose": {
      const parts = group.flatMap((reason) => (reason.code === "stack-part-loose" ? [reason.part] : []));
      return plain(`no mark shows that ${names.parts(parts)} ${plural(parts.length, "is", "are")} on`);
    }
    case "not-settled": {
      if (first.status === "conflict") return plain(sayReason(job, first, asked));
      const attributes = group.flatMap((reason) => (reason.code === "not-settled" ? [reason.attribute] : []));
      return plain(sayUndecided(attributes, first.missing, finder(job.assembly).hole(first.hole)));
    }
    case "order-rule": {
      if (asked.includes(first.order.hole)) return plain(sayReason(job, first, asked));
      const all = group.flatMap((reason) => (reason.code === "order-rule" ? [reason.order.hole] : []));
      const holes = [...new Set(all)];
      return plain(sayOrder(job, first.order, names.where(holes, 2)), holes, sayOrder(job, first.order, ""));
    }
    case "would-wall-in": {
      const holes = first.holes.map(({ hole }) => hole);
      return plain(sayReason(job, first, asked), holes, "would be walled in");
    }
    default:
      return plain(sayReason(job, first, asked));
  }
}

/** A reason in a few words; null where it is short as it is. */
function shortOf(job: Job, group: readonly Reason[], asked: readonly string[]): string | null {
  const [first] = group as readonly [Reason, ...Reason[]];
  const names = namesOf(job);
  switch (first.code) {
    case "walled-in":
      return first.never ? "no tool ever gets at it as drawn" : "it is walled in";
    case "would-wall-in":
      return `it would wall in ${counted(first.holes.length, "rivet")}`;
    case "dead-end":
      return `afterwards no order could set ${counted(first.holes.length, "rivet")} any more`;
    case "keep-apart":
      return `whether ${names.briefly(first.holes)} ${plural(first.holes.length, "is", "are")} dimpled is not decided: find it out first`;
    case "walls-in-held":
      return `it would wall in ${counted(first.contradictions.length, "hole")} to stay open`;
    case "every-way-walls-in":
      return "every way of closing it walls something in";
    case "no-way-may-be-set":
      return "none of the rivets that close it may be set now";
    case "wall-each-other-in":
      return `whatever the order, ${counted(first.holes.length, "rivet")} wall each other in`;
    case "prep-open":
      return `prep of ${names.thePart(first.gate.part)} is not marked as done`;
    case "prep-unknown":
      return `whether ${names.thePart(first.gate.part)} needs more prep is not decided`;
    case "order-rule": {
      const others = new Set(
        group.flatMap((reason) =>
          reason.code === "order-rule" && !asked.includes(reason.order.hole) ? [reason.order.hole] : [],
        ),
      );
      const { relation, part, verdict } = first.order;
      const who = others.size > 0 ? `${counted(others.size, "other rivet")}` : "it";
      return `a rule ${verdict === "unknown" ? "may want" : "wants"} ${who} set ${relation} ${names.thePart(part)} comes on`;
    }
    case "not-settled": {
      if (first.status === "conflict")
        return `rules oppose each other on its ${attributeLabel(first.attribute)}`;
      const hole = finder(job.assembly).hole(first.hole);
      const facts = [...new Set(first.missing.map((fact) => sayMissing(fact, hole)))];
      return facts.length === 0
        ? `its ${attributeLabel(first.attribute)} is not settled`
        : `${listed(facts)} ${plural(facts.length, "is", "are")} not known`;
    }
    default:
      return null;
  }
}

/** Why none of several rivets may be set: the reasons that weigh, the most common first. */
function sayWhyNone(job: Job, why: readonly May[]): string {
  const counts = new Map<string, number>();
  for (const { reasons, holes } of why) {
    const weighing = reasons.filter(({ weight }) => weight !== "note");
    for (const { text } of sayWeighing(job, weighing, holes)) counts.set(text, (counts.get(text) ?? 0) + 1);
  }
  const said = [...counts].sort((a, b) => b[1] - a[1]).map(([text]) => text);
  const rest = said.length - 2;
  return [...said.slice(0, 2), ...(rest > 0 ? [counted(rest, "other reason")] : [])].join("; ");
}

/** "6 rivets (rib 2, top flange row, holes 2–6 from the front)". */
function sayRivets(job: Job, holes: readonly string[]): string {
  return `${counted(holes.length, "rivet")} (${namesOf(job).where(holes, 2)})`;
}

/** Holes in the order given, not in the drawing's: "rib 3, aft attach row, hole 2; then …". */
function sayOrderOf(job: Job, holes: readonly string[]): string {
  const find = finder(job.assembly);
  const runs: { row: string; numbers: number[] }[] = [];
  for (const id of holes) {
    const { rowId, number } = find.hole(id);
    const run = runs.at(-1);
    if (run?.row === rowId) run.numbers.push(number);
    else runs.push({ row: rowId, numbers: [number] });
  }
  return runs
    .map(({ row, numbers }) => {
      const rising = numbers.every((number, i) => i === 0 || number > (numbers[i - 1] ?? 0));
      const which = rising ? ranges(numbers) : numbers.join(", ");
      return `${namesOf(job).row(row)}, ${plural(numbers.length, "hole")} ${which}`;
    })
    .join("; then ");
}

/** A hold in force, or one of which that is not known. @param count  holes that have it alike */
export function sayHold(job: Job, { status, until, missing }: Hold, count = 1): string {
  const stays = plural(count, "it stays", "they stay");
  if (status === "settled" && until !== null) return `${stays} open until ${namesOf(job).milestone(until)}`;
  if (status === "conflict") return `rules oppose each other on whether ${stays} open`;
  return missing.length > 0
    ? `whether ${stays} open is not decided: ${listed(missing.map((fact) => sayMissing(fact, null)))} ${plural(missing.length, "is", "are")} not known`
    : `whether ${stays} open is not decided`;
}

function sayNotSettled(
  job: Job,
  { hole, attribute, status, missing }: Extract<Reason, { code: "not-settled" }>,
): string {
  if (status === "conflict") {
    const { claims, ruleIds } = job.rulings.trace(hole, attribute);
    const sides = claims.filter(({ rule }) => ruleIds.includes(rule)).map(({ title }) => sayRule(title));
    return `rules oppose each other on its ${attributeLabel(attribute)}: ${listed(sides)}`;
  }
  return sayUndecided([attribute], missing, finder(job.assembly).hole(hole));
}

function sayGateName(job: Job, { gate }: PrepGateState): string {
  return `“${namesOf(job).gate(gate)}”`;
}

/** "“holes deburred” is not marked as done on rib 2". */
function sayGate(job: Job, gate: PrepGateState): string {
  const state = gate.done ? "is marked as done" : "is not marked as done";
  return `${sayGateName(job, gate)} ${state} on ${namesOf(job).thePart(gate.part)}`;
}

/**
 * What an order rule asks for, and how the part that it names stands.
 * @param who  what the rule is about: "it", holes by name, or "" beside their name
 */
export function sayOrder(
  job: Job,
  { rule, strength, relation, part, partState, verdict }: OrderRule,
  who = "it",
): string {
  const title = sayRule(job.rulebook.byId.get(rule)?.title ?? rule);
  const wish = strength === "must" ? "to be set" : "better set";
  const states = { closed: "is closed already", pinned: "is pinned on", loose: "is not marked as on" };
  const maybe = verdict === "unknown" ? "perhaps, for a fact is missing: " : "";
  const onto = namesOf(job).thePart(part);
  const subject = who === "it" ? "it is " : who === "" ? "" : `${who}: `;
  return `${maybe}${subject}${wish} ${relation} ${onto} comes on, which ${states[partState]} (${title})`;
}

/** Which rule asks for an order, when its holes and its part have been named: "so says “…” (manual: …)". */
export function sayAskedBy(job: Job, { rule, verdict }: OrderRule): string {
  const known = job.rulebook.byId.get(rule);
  const title = known ? `${sayRule(known.title)} (${sayBasis(known.basis)})` : sayRule(rule);
  return verdict === "unknown" ? `so may say ${title}, but a fact is missing` : `so says ${title}`;
}

function sayLimit(
  job: Job,
  { rule, fact, min, max, actual, verdict }: Extract<Reason, { code: "limit" }>,
): string {
  const names = namesOf(job);
  const entry = job.rulebook.dictionary.facts.get(fact) ?? { name: fact, unit: null, valuesFrom: null };
  const say = (value: number): string => sayValue(value, entry, names, job.kit.units);
  const title = sayRule(job.rulebook.byId.get(rule)?.title ?? rule);
  if (actual === null) return `${theFact(fact)} is not known (${title})`;
  if (verdict === "unknown") return `whether a limit on ${theFact(fact)} applies is not known (${title})`;
  const broken =
    min !== null && actual < min ? `less than ${say(min)}` : max === null ? "" : `more than ${say(max)}`;
  return `${theFact(fact)} is ${say(actual)}, ${broken} (${title})`;
}

/** Why the ruled rivet does not go in. */
export function sayMisfit(job: Job, misfit: Misfit): string {
  const names = namesOf(job);
  const { units } = job.kit;
  const size = (mm: number): string => saySize(mm, units);
  const { rivet } = misfit;
  switch (misfit.what) {
    case "too thick":
    case "too thin":
      return `the stack of ${size(misfit.gripMm)}${misfit.isDimpled ? " with the head that sinks into it" : ""} is ${misfit.what} for ${rivet}, which holds ${sayLimits(misfit, units)}: ask the kit maker`;
    case "head":
      return `its head is ruled ${misfit.ruled}, and ${rivet} has a ${misfit.head} one: ask the kit maker`;
    case "treatment":
      return `${rivet} has a ${misfit.head} head, and the hole is ruled “${misfit.treatment}”: ask the kit maker`;
    case "hole":
      return `the finished hole of ${size(misfit.finishedMm)} is ${misfit.finishedMm > misfit.maxMm ? "above" : "below"} what ${rivet} takes, ${sayLimits(misfit, units)}: ask the kit maker`;
    case "gauge": {
      const needs =
        misfit.neededMm === null ? "no gauge is printed for" : `${size(misfit.neededMm)} is the least for`;
      return `it is countersunk by the handbook for the drawn rivet, but ${needs} ${rivet}, and ${names.thePart(misfit.part)} is ${size(misfit.thereMm)}: ask the kit maker`;
    }
    case "edge":
      return `${misfit.part === null ? "" : `in ${names.thePart(misfit.part)} `}the edge is ${size(misfit.thereMm)} away and ${rivet} needs ${size(misfit.neededMm)} by the handbook: ask the kit maker`;
    case "along":
      return `another row lies beside it, so along the row ${rivet} needs ${size(misfit.neededMm)} by the handbook, and the next hole is ${size(misfit.thereMm)} away: ask the kit maker`;
    case "apart":
      return `the row beside it is ${size(misfit.thereMm)} away and ${rivet} needs ${size(misfit.neededMm)} between rows by the handbook: ask the kit maker`;
    case "nearest":
      return `the nearest hole is ${size(misfit.thereMm)} away and ${rivet} needs ${size(misfit.neededMm)} by the handbook: ask the kit maker`;
  }
}

/** "straight puller: blocked by the top skin (puller nose, head side)" for each approach. */
function sayApproachesNow(job: Job, approaches: readonly ApproachNow[]): string {
  return alikeApproaches(job, approaches, ({ ownStack, blockedNow }) => {
    if (ownStack.length > 0) return `blocked by its own stack, ${sayBlockers(job, ownStack)}`;
    return blockedNow.length > 0 ? `blocked by ${sayBlockers(job, blockedNow)}` : "free";
  });
}

/** What a closing does to each approach of a hole: "straight puller: blocked by the servo mount (puller nose, head side)". */
export function sayApproachesAfter(job: Job, { approaches }: Pick<HoleBefore, "approaches">): string {
  return alikeApproaches(job, approaches, (approach) => sayAfter(job, approach));
}

/** A hole that was to be set before its closing: walled in since, or still within reach. */
export function sayLate(job: Job, hole: HoleBefore): string {
  return sentences(
    hole.approaches.every(({ free }) => !free)
      ? `walled in: ${sayApproachesAfter(job, hole)}`
      : "can still be reached, though it was to be set before",
    ...hole.orderRules.map((order) => sayAskedBy(job, order)),
  );
}

/** Approaches with the same fate together: "straight puller and short puller: stay free". */
function alikeApproaches<T extends ApproachNow>(
  job: Job,
  approaches: readonly T[],
  say: (approach: T) => string,
): string {
  const byFate = new Map<string, string[]>();
  for (const approach of approaches) {
    const fate = say(approach);
    const name = namesOf(job).approach(approach.approach);
    byFate.set(fate, [...(byFate.get(fate) ?? []), name]);
  }
  return [...byFate].map(([fate, names]) => `${listed(names)}: ${fate}`).join("; ");
}

function sayAfter(job: Job, { free, ownStack, blockedNow, closes }: ApproachAfter): string {
  if (ownStack.length > 0) return "never, its own stack is in the way";
  if (!free) return `blocked already by ${sayBlockers(job, blockedNow)}`;
  if (closes.length === 0) return "still free";
  const certain = closes.filter(({ ways }) => ways === "every");
  return certain.length > 0
    ? `blocked by ${sayBlockers(job, certain)}`
    : `blocked by ${sayBlockers(job, closes)}, depending on which rivet closes it`;
}

/** "the servo mount (puller nose, head side; tail)": each part once, with the rooms that it takes. */
function sayBlockers(job: Job, blockers: readonly Blocker[]): string {
  const names = namesOf(job);
  const parts = [...new Set(blockers.map(({ part }) => part))];
  return listed(
    parts.map((part) => {
      const rooms = blockers
        .filter((blocker) => blocker.part === part)
        .map(({ room, side, why }) =>
          // "Tail" and "head" name their side by themselves.
          room === null ? (why ?? "the kit says so") : side && room !== side ? `${room}, ${side} side` : room,
        );
      return `${names.thePart(part)} (${[...new Set(rooms)].join("; ")})`.replace(/\.\)$/, ")");
    }),
  );
}
