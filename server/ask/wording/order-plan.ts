import { finder } from "../../kit/find.js";
import type { Impossible, Wait } from "../../order/impossible.js";
import type { PictureWords } from "../../order/picture.js";
import type {
  BrokenPreference,
  LeftOff,
  LeftOpen,
  Plan,
  PlanStep,
  StepReason,
} from "../../order/plan-types.js";
import type { BenchSide } from "../../order/puzzle.js";
import { GOVERNS } from "../cautions.js";
import type { Job } from "../types.js";
import { sayPerhapsReady, sayUndecidedOn } from "./gates.js";
import { counted, listed, plural, ranges, sentences, the } from "./grammar.js";
import { attributeLabel, theFact } from "./measures.js";
import { namesOf } from "./names.js";
import { sayHold, sayMisfit } from "./reasons.js";
import { sayBasis, sayMissing, sayRule } from "./rulings.js";

/** Where a step is done: "rib 4, top flange row, holes 2–6 from the front", "servo mount". */
export function sayStepPlace(job: Job, step: PlanStep): string {
  const names = namesOf(job);
  switch (step.kind) {
    case "rivets":
      return names.where(step.holes);
    case "turn-over":
      return the(job.assembly.name);
    default:
      return names.part(step.part);
  }
}

/** What is done in a step, and why it stands where it does. */
export function sayStep(job: Job, step: PlanStep): string {
  const reasons = step.reasons.map((reason) => sayStepReason(job, step, reason));
  return sentences(sayStepAct(job, step), ...sayUndecidedIn(job, step), ...reasons);
}

/** Holes that what gets a part ready leaves undecided, by name. */
function sayUndecidedIn(job: Job, step: PlanStep): readonly string[] {
  if (step.kind !== "prep") return [];
  const gatesThat = (needed: "true" | "unknown"): string[] =>
    step.gates.filter((gate) => gate.needed === needed).map(({ gate }) => gate);
  const perhaps = gatesThat("unknown");
  return [
    ...sayUndecidedOn(job, step.part, gatesThat("true")),
    ...(perhaps.length > 0 ? [sayPerhapsReady(job, step.part, perhaps)] : []),
  ];
}

/** A step in a few words, for a headline: "set 6 rivets of the servo mount, inner foot column". */
export function sayStepShort(job: Job, step: PlanStep): string {
  const names = namesOf(job);
  switch (step.kind) {
    case "rivets":
      return `set ${counted(step.holes.length, "rivet")}: ${names.where(step.holes, 2)}`;
    case "turn-over":
      return `turn ${the(job.assembly.name)} over`;
    case "part":
      return `put ${names.thePart(step.part)} on`;
    case "take-off":
      return `take the pins out of ${names.thePart(step.part)}`;
    case "prep":
      return `get ${names.thePart(step.part)} ready: ${sayGates(job, step)}`;
  }
}

/** The first step of many: what is to be done to a part is left to the rows. */
export function sayFirstStep(job: Job, step: PlanStep): string {
  return step.kind === "prep" ? `get ${namesOf(job).thePart(step.part)} ready` : sayStepShort(job, step);
}

/** What comes next, without its list. */
export function sayNextBrief(job: Job, step: PlanStep, part: string | null): string {
  const names = namesOf(job);
  const what =
    step.kind === "rivets"
      ? `set ${counted(step.holes.length, "rivet")}: ${names.briefly(step.holes)}`
      : sayFirstStep(job, step);
  return `next${part === null ? "" : ` on ${names.thePart(part)}`}: ${what}`;
}

function sayStepAct(job: Job, step: PlanStep): string {
  switch (step.kind) {
    case "rivets":
      return `set ${counted(step.holes.length, "rivet")}`;
    case "turn-over":
      return `turn it over: ${saySide(job, step.side)} comes up`;
    case "part":
      return "put it on and pin it";
    case "take-off":
      return `take the pins out of ${counted(step.holes.length, "hole")} and take it off for now`;
    case "prep":
      return `get it ready: ${sayGates(job, step)}`;
  }
}

function sayGates(job: Job, { gates }: Extract<PlanStep, { kind: "prep" }>): string {
  const names = namesOf(job);
  const said = (needed: "true" | "unknown"): string[] =>
    gates.filter((gate) => gate.needed === needed).map(({ gate }) => names.gate(gate));
  const [certain, maybe] = [said("true"), said("unknown")];
  return [
    ...(certain.length > 0 ? [listed(certain)] : []),
    ...(maybe.length > 0 ? [`perhaps: ${listed(maybe)}`] : []),
  ].join("; ");
}

function sayStepReason(job: Job, step: PlanStep, reason: StepReason): string {
  const names = namesOf(job);
  switch (reason.code) {
    case "walled-in-by":
      return step.kind === "take-off"
        ? `with it on, ${names.where(reason.holes, 2)} cannot be reached`
        : `${names.thePart(reason.part)} would wall ${sayOf(job, step, reason.holes)} in later`;
    case "rule": {
      const rule = job.rulebook.byId.get(reason.rule);
      const title = rule ? `${sayRule(rule.title)} (${sayBasis(rule.basis)})` : sayRule(reason.rule);
      const some = step.kind === "rivets" && reason.holes.length < step.holes.length;
      const which = some ? `${sayOf(job, step, reason.holes)}: ` : "";
      return `${which}${reason.relation} ${names.thePart(reason.part)} comes on, so says ${title}`;
    }
    case "manual": {
      const manual = job.assembly.steps.find(({ id }) => id === reason.step);
      return `manual step ${reason.step}${manual ? `, ${manual.title}` : ""}`;
    }
    case "unlocks":
      return reason.holes.length === 0
        ? ""
        : `then all parts of ${counted(reason.holes.length, "rivet")} are there`;
  }
}

/** Some rivets of a step, whose row is named beside: "them", "holes 1–4". */
function sayOf(job: Job, step: PlanStep, holes: readonly string[]): string {
  if (step.kind === "rivets" && holes.length === step.holes.length) return plural(holes.length, "it", "them");
  const find = finder(job.assembly);
  return `${plural(holes.length, "hole")} ${ranges(holes.map((id) => find.hole(id).number))}`;
}

/** How often, once at the least: "once", "twice", "3 times". */
export function sayTimes(count: number): string {
  return ["", "once", "twice"][count] ?? `${count} times`;
}

/** "not turned over", "turned over twice". */
export function sayTurnedOver(count: number): string {
  return count === 0 ? "not turned over" : `turned over ${sayTimes(count)}`;
}

/** The side of the assembly that is up: "the side seen from below". */
export function saySide({ assembly }: Pick<Job, "assembly">, side: BenchSide): string {
  const [bench, ...others] = assembly.views;
  if (side === "up") return bench ? `the side seen ${bench.name}` : "the first side";
  const opposite = others.find(({ normal }) => {
    const facing = normal.reduce((sum, value, i) => sum + value * (bench?.normal[i] ?? 0), 0);
    return facing < -0.9;
  });
  return opposite ? `the side seen ${opposite.name}` : "the other side";
}

/** Why a hole stays open for now, or several holes for the same reason. */
export function sayLeftOpen(job: Job, open: LeftOpen, count = 1): string {
  const names = namesOf(job);
  const they = plural(count, "it was", "they were");
  switch (open.code) {
    case "held":
      return sayHold(job, open.hold, count);
    case "not-settled": {
      const what = listed(open.attributes.map(attributeLabel));
      if (open.missing.length === 0) return `${what} not settled: ask your mentor`;
      const hole = finder(job.assembly).hole(open.hole);
      const facts = [...new Set(open.missing.map((fact) => sayMissing(fact, hole)))];
      return `${what} not settled: ${listed(facts)} ${plural(facts.length, "is", "are")} not known`;
    }
    case "limit": {
      const title = sayRule(job.rulebook.byId.get(open.rule)?.title ?? open.rule);
      return open.verdict === "false"
        ? `${theFact(open.fact)} is outside its limit (${title}): ask the kit maker`
        : `whether ${theFact(open.fact)} keeps its limit is not known (${title})`;
    }
    case "misfit":
      return sayMisfit(job, open.misfit);
    case "rule-unknown":
      return `whether ${sayRule(job.rulebook.byId.get(open.rule)?.title ?? open.rule)} holds for ${plural(count, "it", "them")} is not known`;
    case "walled-in":
      return open.never
        ? "no tool ever gets at it as drawn: ask the kit maker"
        : "walled in: only drilling out what closed it off brings it back";
    case "layers-together":
      return `“${names.gate(open.gate)}” is not marked as done on ${names.thePart(open.part)}, which no longer comes off`;
    case "part-off":
      return `${names.thePart(open.part)} stays off for now`;
    case "late":
      return `${they} to be set before ${names.thePart(open.part)}, which is closed (${sayRule(job.rulebook.byId.get(open.rule)?.title ?? open.rule)}): ask your mentor`;
  }
}

/** Parts that a plan gets ready and brings on, of which it is not decided whether that is all; empty when there are none. */
export function sayPerhapsOn(job: Job, steps: readonly PlanStep[]): string {
  const parts = steps.flatMap((step) =>
    step.kind === "prep" && step.gates.some(({ needed }) => needed === "unknown") ? [step.part] : [],
  );
  const few = parts.length <= 3 ? namesOf(job).parts(parts) : counted(parts.length, "part");
  return parts.length === 0
    ? ""
    : `not decided: whether ${few} ${plural(parts.length, "needs", "need")} more prep; find that out before ${plural(parts.length, "it is", "they are")} closed`;
}

/** Said with a plan when rules look at what has been done by then. */
export const RULES_MOVE =
  "Some rules look at what is marked as done: later steps are planned by what they say today. Ask again as you go on.";

/** Parts that stay off until something is found out, for a first line; empty when there are none. */
export function sayOffUntilKnown(job: Job, leftOff: readonly LeftOff[]): string {
  const parts = leftOff.filter(({ keepApart }) => keepApart.length > 0);
  if (parts.length === 0) return "";
  const holes = new Set(parts.flatMap(({ keepApart }) => keepApart));
  return `${namesOf(job).parts(parts.map(({ part }) => part))} ${plural(parts.length, "stays", "stay")} off until it is known whether ${counted(holes.size, "hole")} ${plural(holes.size, "is", "are")} dimpled`;
}

/** Why a part stays off for now. */
export function sayLeftOff(job: Job, { wouldWallIn, wantedBefore, keepApart }: LeftOff): string {
  const names = namesOf(job);
  if (keepApart.length > 0) {
    return `stays off for now: whether ${names.where(keepApart, 2)} ${plural(keepApart.length, "is", "are")} dimpled is not decided, and with it on the layers would no longer come apart. Find that out first`;
  }
  if (wouldWallIn.length > 0) {
    return `stays off for now: it would wall in ${counted(wouldWallIn.length, "hole")} that ${plural(wouldWallIn.length, "is", "are")} open yet (${names.where(wouldWallIn, 2)})`;
  }
  return wantedBefore.length > 0
    ? `stays off for now: a rule wants ${names.where(wantedBefore, 2)} set before it`
    : "stays off for now: none of its rivets can be set yet. Ask whether one of them may be set";
}

/** A preference that no order keeps. */
export function sayBroken(job: Job, { rule, relation, part, holes }: BrokenPreference): string {
  const names = namesOf(job);
  const title = sayRule(job.rulebook.byId.get(rule)?.title ?? rule);
  return `not kept: better ${relation} ${names.thePart(part)} comes on (${title}), for ${names.where(holes, 2)}`;
}

/** Why there is no order: the loop of waits, else the rivets that together make it so. */
export function sayImpossible(job: Job, { core, loop, closed, rulesOnly }: Impossible): string {
  const names = namesOf(job);
  const chain = loop.map((wait) => sayWait(job, wait));
  return sentences(
    chain.length > 0 ? `${chain.join("; ")}${closed === null ? "; and so on in a circle" : ""}` : null,
    closed !== null && `${names.thePart(closed)} is closed already`,
    `without any one of these rivets the rest could be built: ${names.where(core, 4)}`,
    rulesOnly && closed === null && chain.length > 0
      ? "order rules alone make the circle: one of them is wrong, not the drawing"
      : null,
  );
}

/** "rib 3, aft attach row, hole 2 before the servo mount, which takes its last access". */
function sayWait(job: Job, wait: Wait): string {
  const names = namesOf(job);
  const [rivet, part] = [names.hole(wait.rivet), names.thePart(wait.part)];
  switch (wait.because) {
    case "access":
      return `${rivet} before ${part}, which is in the way${wait.ways > 1 ? ` of one of its ${wait.ways} accesses; the others are no better` : ""}`;
    case "stack":
      return `${part} before ${rivet}, which goes through it`;
    case "rule": {
      const title = sayRule(job.rulebook.byId.get(wait.rule)?.title ?? wait.rule);
      return wait.order === "rivet first"
        ? `${rivet} before ${part} (${title})`
        : `${part} before ${rivet} (${title})`;
    }
  }
}

/** What the picture of a plan says. */
export function pictureWords(job: Job, plan: Plan): PictureWords {
  const names = namesOf(job);
  const rivets = plan.steps.reduce((sum, step) => sum + (step.kind === "rivets" ? step.holes.length : 0), 0);
  const byReason = new Map<string, number>();
  for (const open of plan.leftOpen) {
    const text = sayLeftOpen(job, open);
    byReason.set(text, (byReason.get(text) ?? 0) + 1);
  }
  return {
    title: `${job.kit.name}, ${job.assembly.name}: the order of work`,
    subtitle:
      plan.status === "impossible"
        ? "There is no order in which everything can be built from here."
        : plan.status === "done"
          ? "Nothing is left to do for now."
          : `${counted(plan.steps.length, "step")} from where the work stands: ${counted(rivets, "rivet")}, ${sayTurnedOver(plan.turnOvers)}`,
    part: names.part,
    rivets: ({ holes }) => `${names.where(holes)}`,
    turnOver: ({ side }) => `Turn over: ${saySide(job, side)} comes up`,
    layer: (number) => `layer ${number}: side by side`,
    getReady: "GET READY",
    putOn: "PUT ON AND PIN",
    takeOff: "TAKE OFF FOR NOW",
    closes: "COMES ON AND CLOSES",
    anyTime: "SET, NOTHING CLOSES ON THEM",
    before: (part) => `SET BEFORE ${names.part(part).toUpperCase()}`,
    legend: [
      "Numbers are the plan's steps. What stands in one layer could be done side by side; a layer waits for those above it.",
      "Double frame: a part that closes something. Arrow: set before that part comes on, for it would wall the rivets in or a rule wants it so. Thick line: one closing after the other.",
    ],
    notes: [
      ...(plan.impossible ? [sayImpossible(job, plan.impossible)] : []),
      ...plan.leftOff.map((off) => sentences(`${names.thePart(off.part)} ${sayLeftOff(job, off)}`)),
      ...[...byReason].map(([text, count]) => `${counted(count, "hole")} open: ${sentences(text)}`),
      GOVERNS,
    ],
  };
}
