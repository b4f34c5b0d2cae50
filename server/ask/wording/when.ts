import { finder } from "../../kit/find.js";
import type { LeftOff, LeftOpen, Plan, PlanStep } from "../../order/plan-types.js";
import { type Between, between, type Moment, type WhenOn, type WhenReady } from "../../order/when.js";
import type { Job } from "../types.js";
import { treatedBy } from "./gates.js";
import { counted, listed, plural, ranges, sentences } from "./grammar.js";
import { namesOf } from "./names.js";
import { sayFirstStep, sayLeftOpen } from "./order-plan.js";

/** More stretches of steps than this are counted and not listed. */
const MOST_STRETCHES = 4;

/** "step 34 of 41", "steps 3, 7 and 9–12 of 41", "16 steps of 62, the first step 7": numbered as in the whole plan. */
function sayStepNumbers(at: readonly number[], plan: Plan): string {
  const numbers = at.map((one) => one + 1);
  const stretches = numbers.filter((number) => !numbers.includes(number - 1)).length;
  return stretches > MOST_STRETCHES
    ? `${at.length} steps of ${plan.steps.length}, the first step ${Math.min(...numbers)}`
    : `${plural(at.length, "step")} ${ranges(numbers)} of ${plan.steps.length}`;
}

/** Where a step lies, for a first line: ", after the top skin is on, before the nose skin comes on". */
function sayBetweenShort(job: Job, plan: Plan, { at, step }: Moment): string {
  const { after, before } = between(job.assembly, plan, at);
  const isFree = step.generation === 0;
  const said = [
    ...(isFree ? [] : after !== null ? [`after ${sayAsDone(job, plan, after)}`] : []),
    before !== null ? `before ${sayAsToCome(job, plan, before)}` : "as the last step",
    ...(isFree ? [at === 0 ? "first of all" : "waiting for nothing"] : []),
  ];
  return said.map((text) => `, ${text}`).join("");
}

function sayAsDone(job: Job, { steps }: Plan, at: number): string {
  const step = steps[at];
  return step?.kind === "part" ? `${namesOf(job).thePart(step.part)} is on` : `step ${at + 1}`;
}

function sayAsToCome(job: Job, { steps }: Plan, at: number): string {
  const step = steps[at];
  return step?.kind === "part" ? `${namesOf(job).thePart(step.part)} comes on` : `step ${at + 1}`;
}

/** Where a step lies, for a row: the steps on both sides by number and in words, and how many come first. */
export function sayBetween(job: Job, plan: Plan, { at, step }: Moment, { after, before }: Between): string {
  const near = (index: number): string => {
    const one = plan.steps[index];
    return `step ${index + 1}${one ? ` (${sayFirstStep(job, one)})` : ""}`;
  };
  const isPrep = step.kind === "prep";
  return sentences(
    at === 0
      ? "nothing comes before it in the plan"
      : `${counted(at, "step")} ${plural(at, "comes", "come")} before it`,
    at > 0 && step.generation === 0 && "it waits for none of them",
    listed([
      ...(after !== null && !isPrep ? [`after ${near(after)}`] : []),
      ...(before !== null ? [`before ${near(before)}`] : []),
    ]),
  );
}

/** The manual's steps that put it there, by number and title; empty where it names none. */
function sayManualSteps(job: Job, steps: readonly PlanStep[]): string {
  const ids = new Set(
    steps.flatMap(({ reasons }) =>
      reasons.flatMap((reason) => (reason.code === "manual" ? [reason.step] : [])),
    ),
  );
  if (ids.size === 0) return "";
  const find = finder(job.assembly);
  const said = [...ids].map((id) =>
    ids.size === 1 && find.hasStep(id) ? `${id}, ${find.step(id).title}` : id,
  );
  return `manual ${plural(ids.size, "step")} ${listed(said)}`;
}

/** Of a hole whose rivet is in. */
export const MARKED_SET = "marked as set already";

/** Of rivets in a plan that is impossible. */
export const NO_ORDER =
  "there is no order in which everything can be set from here, so the plan does not say when";

/** "the rivets through rib 3". */
export function sayRivetsThrough(place: string): string {
  return `the rivets through ${place}`;
}

/** "“primed” on rib 3". */
export function sayGateOn(gate: string, place: string): string {
  return `“${gate}” on ${place}`;
}

/** "3 of 8 marked as set already"; of all of them, the words alone. */
export function sayOfRow(count: number, all: number, what: string): string {
  return count === all ? what : `${count} of ${all} ${what}`;
}

/** What is asked about, what the plan does to it, and where. */
export interface When {
  readonly subject: string;
  readonly act: string;
  /** Its turn among what is done in the same step; empty where there is none. */
  readonly turn: string;
  readonly moments: readonly Moment[];
}

/**
 * A gate's turn among those that the plan does on the same part: "after “holes dimpled” and before “primed”". Gates that the
 * kit leaves out have no turn of the kit's. Empty where the parts differ.
 */
export function sayTurn(job: Job, gate: string, moments: readonly Moment[]): string {
  const isOurs = (id: string): boolean => job.kit.prepGates.some((one) => one.id === id && one.assumed);
  const turns = moments.map(({ step }) => {
    const gates = step.kind === "prep" ? step.gates.map((one) => one.gate).filter((id) => !isOurs(id)) : [];
    const at = gates.indexOf(gate);
    const near = (id: string | undefined): string => (id === undefined ? "" : `“${namesOf(job).gate(id)}”`);
    const [before, after] = at < 0 ? ["", ""] : [near(gates[at - 1]), near(gates[at + 1])];
    return [before && `after ${before}`, after && `before ${after}`].filter(Boolean).join(" and ");
  });
  const [first = ""] = turns;
  return turns.every((turn) => turn === first) ? first : "";
}

/**
 * The sentences of a first line: when it comes, then what the plan does not do of it.
 * @param rest  what the plan does not do, said after the colon where it does nothing
 */
export function sayWhen(
  job: Job,
  plan: Plan,
  { subject, act, turn, moments }: When,
  rest: readonly string[],
): readonly string[] {
  const [first] = moments;
  if (!first) return [`${subject}: ${rest[0] ?? "no step of the plan does it"}`, ...rest.slice(1)];
  const numbers = sayStepNumbers(
    moments.map((moment) => moment.at),
    plan,
  );
  const sides = moments.length === 1 ? sayBetweenShort(job, plan, first) : "";
  const manual = sayManualSteps(
    job,
    moments.map(({ step }) => step),
  );
  return [
    `${subject}: ${act === "" ? "" : `${act} `}${turn === "" ? "" : `${turn}, `}in ${numbers}${sides}`,
    manual,
    ...rest,
  ];
}

/** The same in brief: the step's number, or that no step does it; why is told below. */
export function sayWhenBrief(job: Job, plan: Plan, { subject, act, turn, moments }: When): readonly string[] {
  const [first] = moments;
  if (!first) return [`${subject}: not in the plan for now, the reason is below`];
  const numbers = sayStepNumbers(
    moments.map((moment) => moment.at),
    plan,
  );
  const manual = sayManualSteps(
    job,
    moments.map(({ step }) => step),
  );
  return [`${subject}: ${act === "" ? "" : `${act} `}${turn === "" ? "" : `${turn}, `}in ${numbers}`, manual];
}

/** Why the plan leaves a hole open, with what a part waits for that stays off. */
export function sayUnplanned(job: Job, plan: Plan, open: LeftOpen): string {
  const off = open.code === "part-off" && plan.leftOff.find(({ part }) => part === open.part);
  return off ? `${namesOf(job).thePart(off.part)} ${sayOff(job, plan, off)}` : sayLeftOpen(job, open);
}

/** Rivets that the plan leaves open: "3 of 8 not in the plan for now, for it stays open until …". */
export function sayNotPlanned(count: number, all: number, why: string, otherReasons: number): string {
  const more = otherReasons > 0 ? `; ${counted(otherReasons, "other reason")} below` : "";
  return `${sayOfRow(count, all, "not in the plan for now")}, for ${why}${more}`;
}

/** Why a part stays off, in a few words, and until when where that is a milestone. */
export function sayOff(job: Job, { leftOpen }: Plan, off: LeftOff): string {
  const { part, wouldWallIn, wantedBefore, keepApart } = off;
  if (keepApart.length > 0)
    return `stays off until it is known whether ${counted(keepApart.length, "hole")} ${plural(keepApart.length, "is", "are")} dimpled`;
  const holding = [...wouldWallIn, ...wantedBefore];
  const concerned = new Set(
    holding.length > 0
      ? holding
      : finder(job.assembly)
          .holesThrough(part)
          .map(({ id }) => id),
  );
  const held = leftOpen.flatMap((open) =>
    concerned.has(open.hole) && open.code === "held" && open.hold.until !== null ? [open.hold.until] : [],
  );
  const until = held.length === 0 ? "" : ` until ${listed([...new Set(held)].map(namesOf(job).milestone))}`;
  const some = (count: number): string => counted(count, "hole");
  if (wouldWallIn.length > 0)
    return `stays off, for it would wall in ${some(wouldWallIn.length)} that ${plural(wouldWallIn.length, "stays", "stay")} open${until}`;
  if (wantedBefore.length > 0)
    return `stays off, for a rule wants ${some(wantedBefore.length)} set before it that ${plural(wantedBefore.length, "stays", "stay")} open${until}`;
  return `stays off, for its rivets stay open${until}`;
}

/** A part that the plan does not bring on: "closed already", "stays off until …". */
export function sayPartUnplanned(job: Job, plan: Plan, { closed, off }: WhenOn): string {
  if (closed) return "closed already";
  return off ? sayOff(job, plan, off) : "does not come on in this plan";
}

/** A gate that the plan does not do on a part. */
export function sayGateUnplanned(job: Job, plan: Plan, { status, closed, off }: WhenReady): string {
  switch (status) {
    case "done":
      return "marked as done already";
    case "not called for":
      return "neither the kit nor a ruling asks for it";
    case "open":
    case "perhaps":
      if (closed) return "not marked as done, though it is closed: mark it if it was done";
      return `not in the plan for now${off ? `, for the part ${sayOff(job, plan, off)}` : ""}`;
  }
}

/** The same said of parts by name: "the top skin: closed already"; several by their number. */
export function sayOfParts(job: Job, parts: readonly string[], what: string): string {
  const each = parts.length > 1 ? ", each" : "";
  return `${parts.length <= 3 ? namesOf(job).parts(parts) : counted(parts.length, "part")}${each}: ${what}`;
}

/** Parts of which different things are true that keep them out of the plan. */
export function sayManyUnplanned(count: number): string {
  return `${counted(count, "part")} not in the plan: each below`;
}

/** Holes whose rulings do not call for a treatment. */
export function sayNotCalled(job: Job, gate: string, holes: readonly string[], all: number): string {
  const treated = treatedBy(gate) ?? "";
  return holes.length === all
    ? `not to be ${treated}`
    : `${counted(holes.length, "hole")} not to be ${treated}: ${namesOf(job).where(holes, 2)}`;
}

/** In which steps it would be done to holes of which it is not decided; empty where the plan gets none of their parts ready. */
export function sayIfSo(plan: Plan, at: readonly number[]): string {
  return at.length === 0 ? "" : `if so, in ${sayStepNumbers(at, plan)}`;
}
