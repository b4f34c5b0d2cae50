import { finder } from "../kit/find.js";
import { beforeClosing } from "../order/closing.js";
import { planOf } from "../order/plan.js";
import type { Plan } from "../order/plan-types.js";
import { stackOf } from "../order/standing.js";
import type { BeforeClosing, HoldContradiction, Standing } from "../order/types.js";
import type { OrderClaim } from "../ruling/types.js";
import type { Impact, Ruled } from "./impact.js";

/** What there is after a change and was not before, and the other way round. */
export interface ListChange {
  readonly gained: readonly string[];
  readonly lost: readonly string[];
}

/** A part before whose closing other holes must be set than until now. */
export interface ClosingChange {
  readonly part: string;
  readonly mustBefore: ListChange;
  /** Holes of which nobody can say whether they must be set before. */
  readonly undecided: ListChange;
}

/** How the plan for the rest of the work changes. */
export interface PlanChange {
  readonly before: Pick<Plan, "status" | "turnOvers">;
  readonly after: Pick<Plan, "status" | "turnOvers">;
  /** Holes that stay open for now. */
  readonly leftOpen: ListChange;
  /** Parts that stay off for now. */
  readonly leftOff: ListChange;
  /** Preferences that the plan breaks, by rule. */
  readonly broken: ListChange;
  /** Whether any step differs, or comes at another place. */
  readonly stepsDiffer: boolean;
}

/** What a change of rules does to the order of the work. */
export interface OrderImpact {
  readonly closings: readonly ClosingChange[];
  /** Holes that must be set before a part closes and are to stay open until later, by that part; new ones alone. */
  readonly contradictions: readonly ({ readonly part: string } & HoldContradiction)[];
  /** Null: nothing that a plan rests on has changed. */
  readonly plan: PlanChange | null;
}

/** Nothing changes. */
const UNCHANGED: OrderImpact = { closings: [], contradictions: [], plan: null };

/**
 * Plans and closings before and after. Slower than the rulings' impact on a large assembly, for two plans are made.
 * @param impact  of the same two
 */
export function orderImpactOf(before: Ruled, after: Ruled, impact: Impact): OrderImpact {
  const rests = impact.added.filter((change) =>
    [change.before, change.after].some((rule) => rule?.family !== "caution" && rule),
  );
  if (impact.changed.length === 0 && rests.length === 0) return UNCHANGED;
  const parts = touchedParts(after, impact);
  const pairs = parts.map((part) => [closingOf(before, part), closingOf(after, part)] as const);
  return {
    closings: pairs.flatMap(([was, is]) => closingChange(was, is)),
    contradictions: pairs.flatMap(([was, is]) => {
      const known = new Set(was.contradictions.map(({ hole }) => hole));
      return is.contradictions
        .filter(({ hole }) => !known.has(hole))
        .map((contradiction) => ({ part: is.part, ...contradiction }));
    }),
    plan: planChange(keptPlan(before), planOf(after)),
  };
}

/** Parts whose closing a changed order or hold can matter to, in the assembly's order. */
function touchedParts({ assembly, reach, rulings }: Ruled, { added, changed }: Impact): readonly string[] {
  const find = finder(assembly);
  const named = added
    .flatMap((change) => [change.before, change.after])
    .flatMap((rule) => (rule?.family === "order" ? beforeWhat(rule.event.params) : []));
  const held = new Set(
    changed.filter(({ attribute }) => attribute === "hold").map(({ hole }) => find.hole(hole)),
  );
  const inTheWay = new Set(
    [...held].flatMap(({ index }) =>
      (reach.holes[index]?.approaches ?? []).flatMap(({ blockedBy }) => blockedBy.map(({ part }) => part)),
    ),
  );
  // A rivet that closes a part closes the others of its stack with it.
  const alongside = assembly.holes.map(stackOf).filter((stack) => stack.some((part) => inTheWay.has(part)));
  const ordered = [...held].flatMap(({ id }) => rulings.of(id).orders.flatMap(beforeWhat));
  const touched = new Set([...named, ...inTheWay, ...alongside.flat(), ...ordered]);
  return assembly.parts.map(({ id }) => id).filter((id) => touched.has(id));
}

function beforeWhat({ before }: Partial<OrderClaim>): readonly string[] {
  return before === undefined ? [] : [before];
}

function closingOf({ assembly, reach, work, rulings }: Standing, part: string): BeforeClosing {
  return beforeClosing(assembly, reach, work, part, rulings);
}

function closingChange(was: BeforeClosing, is: BeforeClosing): readonly ClosingChange[] {
  const ids = (holes: BeforeClosing["mustBefore"]): readonly string[] => holes.map(({ hole }) => hole);
  const change = {
    part: is.part,
    mustBefore: listChange(ids(was.mustBefore), ids(is.mustBefore)),
    undecided: listChange(ids(was.undecided), ids(is.undecided)),
  };
  return isEmpty(change.mustBefore) && isEmpty(change.undecided) ? [] : [change];
}

const plans = new WeakMap<Ruled["rulings"], { readonly work: Ruled["work"]; readonly plan: Plan }>();

/** The plan as things stand, made once: a rule that is being written is compared with it again and again. */
function keptPlan(ruled: Ruled): Plan {
  const { rulings, work } = ruled;
  const known = plans.get(rulings);
  if (known?.work === work) return known.plan;
  const plan = planOf(ruled);
  plans.set(rulings, { work, plan });
  return plan;
}

function planChange(was: Plan, is: Plan): PlanChange | null {
  const change: PlanChange = {
    before: { status: was.status, turnOvers: was.turnOvers },
    after: { status: is.status, turnOvers: is.turnOvers },
    leftOpen: listChange(
      was.leftOpen.map(({ hole }) => hole),
      is.leftOpen.map(({ hole }) => hole),
    ),
    leftOff: listChange(
      was.leftOff.map(({ part }) => part),
      is.leftOff.map(({ part }) => part),
    ),
    broken: listChange(
      was.broken.map(({ rule }) => rule),
      is.broken.map(({ rule }) => rule),
    ),
    stepsDiffer: JSON.stringify(was.steps) !== JSON.stringify(is.steps),
  };
  const isSame =
    was.status === is.status &&
    [change.leftOpen, change.leftOff, change.broken].every(isEmpty) &&
    !change.stepsDiffer;
  return isSame ? null : change;
}

function listChange(was: readonly string[], is: readonly string[]): ListChange {
  const [old, now] = [new Set(was), new Set(is)];
  return { gained: [...now].filter((one) => !old.has(one)), lost: [...old].filter((one) => !now.has(one)) };
}

function isEmpty({ gained, lost }: ListChange): boolean {
  return gained.length === 0 && lost.length === 0;
}
