import type { Hold, HoleBefore, PrepGateState } from "../../order/types.js";
import type { Job } from "../types.js";
import { listed, plural, sentences } from "./grammar.js";
import { namesOf } from "./names.js";
import { sayApproachesAfter, sayAskedBy, sayHold } from "./reasons.js";

/** Of rivets that no order sets once the part is closed. */
export const DEAD_END =
  "No order could set all of these once it is closed. The plan tells an order that does.";

/** Of holes whose layers have to come apart until it is known whether they are dimpled. */
export function sayKeepApart(count: number): string {
  return `whether ${plural(count, "it is", "they are")} dimpled is not decided, and the layers would no longer come apart`;
}

/** A rivet that is walled in or not, as the part is closed by one rivet or another. */
export function sayChooseWay(job: Job, hole: HoleBefore): string {
  const names = namesOf(job);
  return sentences(
    `set it before, or close by ${names.where(hole.freeWays, 2)}`,
    `closing by ${names.where(hole.wallingWays, 2)} walls it in: ${sayApproachesAfter(job, hole)}`,
    hole.hold && sayClash(job, hole.hold),
  );
}

/** A rivet of which it is not known whether a rule wants it first. */
export function sayPerhapsBefore(job: Job, hole: HoleBefore): string {
  return sentences(...hole.orderRules.map((order) => sayAskedBy(job, order)), "find it out before you close");
}

/** A rivet that a preference wants first. */
export function sayBetterBefore(job: Job, hole: HoleBefore): string {
  return sentences(
    "better set before, not a must",
    ...hole.orderRules.map((order) => sayAskedBy(job, order)),
  );
}

/** When a rivet that may be set now has to be set at the latest. */
export interface Deadline {
  /** The first part in the manual's order that must not close before; null where no closing calls for it. */
  readonly part: string | null;
  /** So many of the rivets that are asked about. */
  readonly count: number;
  /** Of how many that is not decided. */
  readonly undecided: number;
}

/** Of a closing or a preparation that may be done now. */
export const NO_MUST = "that it may does not say that it must: the plan tells what waits for it";

/** "it must be set before the top skin closes": what has to be, beside what may be. @param asked  how many rivets */
export function sayDeadline(job: Job, { part, count, undecided }: Deadline, asked: number): string {
  if (part !== null) {
    const which = count === asked ? plural(asked, "it", "they") : `${count} of them`;
    return `${which} must be set before ${namesOf(job).thePart(part)} closes`;
  }
  if (undecided > 0) return "whether a closing calls for it first is not decided";
  return `no part's closing calls for ${plural(asked, "it", "them")} first`;
}

/** A rivet that keeps one of its approaches. */
export function sayOneSided(job: Job, hole: HoleBefore): string {
  return sentences(`can be set later, though not every way: ${sayApproachesAfter(job, hole)}`);
}

/**
 * Why a rivet has to be set first, both approaches named, and what stands against it.
 * @param open  what of its ruling is open, in sentences
 */
export function sayMustBefore(job: Job, hole: HoleBefore, open: string): string {
  return sentences(
    hole.walledIn === "every way" && `walled in afterwards: ${sayApproachesAfter(job, hole)}`,
    ...hole.orderRules.map((order) => sayAskedBy(job, order)),
    hole.hold && sayClash(job, hole.hold),
    open,
  );
}

/** Gates of the part that are not marked as done, those for certain first. */
export function sayGatesBefore(job: Job, gates: readonly PrepGateState[]): string {
  const said = (list: readonly PrepGateState[]): string =>
    listed(list.map(({ gate }) => namesOf(job).gate(gate)));
  const needed = gates.filter((gate) => gate.needed === "true");
  const maybe = gates.filter((gate) => gate.needed !== "true");
  return sentences(
    needed.length > 0 && `not marked as done: ${said(needed)}`,
    maybe.length > 0 && `perhaps needed, for a treatment is not decided: ${said(maybe)}`,
  );
}

/** A hold on a hole that closing would wall in. */
function sayClash(job: Job, hold: Hold): string {
  const until = sayHold(job, hold);
  return hold.status === "settled"
    ? `But ${until}: that contradicts the closing. Ask the kit maker or your mentor; do not choose for yourself`
    : `But ${until}. Ask the kit maker`;
}
