import { finder } from "../kit/find.js";
import type { Hole } from "../kit/types.js";
import { type Mark, withMarks } from "../kit/work.js";
import { solve } from "./backward.js";
import { walledInNow } from "./closing.js";
import { lostOnceSet } from "./dead-end.js";
import { whyOpen } from "./left-open.js";
import { lookFrom } from "./look.js";
import { demands, orderRulesOf } from "./order-rules.js";
import { puzzleOf } from "./plan.js";
import type { PlanScope } from "./plan-scope.js";
import { openGates } from "./prep.js";
import { isSet, stackOf } from "./standing.js";
import type { OrderRule, Standing, WalledIn } from "./types.js";

/** What closing a part before everything else would bring about. Nothing is recorded by asking. */
export interface WhatIf {
  readonly part: string;
  /** `closed` already; `cannot`: none of its rivets can be set as the work stands; else `open`. */
  readonly status: "open" | "closed" | "cannot";
  /** Rivets that would be set to hang it. */
  readonly rivets: readonly string[];
  /** Rivets of those that stay out even so: held, not settled, or out of reach. */
  readonly staysOut: readonly string[];
  /** Unset holes that it would wall in, held ones too; those walled in already are left out. */
  readonly wallsIn: readonly WalledIn[];
  /** Rivets that no order could set any more afterwards, though nothing walls them in at once. */
  readonly deadEnd: readonly string[];
  /** Order rules that want other rivets set before a part that it closes. */
  readonly late: readonly OrderRule[];
  /** Order rules that want the rivets which hang it set after a part that would not be on. */
  readonly tooSoon: readonly OrderRule[];
  /** Preferences of either sort that hanging it first does not keep: told, and nothing hangs on them. */
  readonly unkept: readonly OrderRule[];
  /** Where the work would stand then. */
  readonly standing: Standing;
}

/**
 * What if this part were hung first: all the rivets that hang it set, and nothing else done before but the prep of
 * the parts that they go through. Its rivets are those of the manual's step in which it comes on, or all through it
 * when no step names any.
 * @throws UNKNOWN_ID
 */
export function whatIfClosed(standing: Standing, part: string): WhatIf {
  const { assembly, reach, work } = standing;
  finder(assembly).part(part);
  const { closed, states } = lookFrom(standing);
  if (closed.has(part)) {
    return {
      part,
      status: "closed",
      rivets: [],
      staysOut: [],
      wallsIn: [],
      deadEnd: [],
      late: [],
      tooSoon: [],
      unkept: [],
      standing,
    };
  }
  const wanted = hanging(standing, part);
  const rivets = settable(standing, wanted);
  const ids = new Set(rivets.map(({ id }) => id));
  // Who hangs a part has got it ready, and what it is riveted to.
  const prepared = [...new Set(rivets.flatMap(stackOf))].flatMap((id) => openGates(standing, id));
  const marks: readonly Mark[] = [
    ...prepared.map((gate): Mark => ({ kind: "prep", part: gate.part, gate: gate.gate, done: true })),
    ...rivets.map(({ id }): Mark => ({ kind: "hole", hole: id, state: "set" })),
  ];
  const later: Standing = { ...standing, work: withMarks(work, marks) };
  const before = new Set(walledInNow(assembly, reach, work).map(({ hole }) => hole));
  const closes = new Set(rivets.flatMap(stackOf).filter((one) => !closed.has(one)));
  const walled = walledInNow(assembly, reach, later.work).filter(({ hole }) => !before.has(hole));
  const unset = assembly.holes.filter((hole) => !isSet(work, hole));
  const rulesOf = (hole: Hole): readonly OrderRule[] => orderRulesOf(standing.rulings, states, hole);
  const late = unset
    .filter(({ id }) => !ids.has(id))
    .flatMap(rulesOf)
    .filter((rule) => rule.relation === "before" && closes.has(rule.part));
  const tooSoon = rivets
    .flatMap(rulesOf)
    .filter((rule) => rule.relation === "after" && !closed.has(rule.part) && !closes.has(rule.part));
  const isWalled = new Set(walled.map(({ hole }) => hole));
  return {
    part,
    status: rivets.length === 0 ? "cannot" : "open",
    rivets: rivets.map(({ id }) => id),
    staysOut: wanted.map(({ id }) => id).filter((id) => !ids.has(id)),
    wallsIn: walled,
    deadEnd: lostOnceSet(standing, rivets).filter((hole) => !isWalled.has(hole)),
    late: late.filter((rule) => demands(rule, "true")),
    tooSoon: tooSoon.filter((rule) => demands(rule, "true")),
    unkept: [...late, ...tooSoon].filter(
      ({ strength, verdict }) => strength === "prefer" && verdict === "true",
    ),
    standing: later,
  };
}

/** Unset rivets through the part in the rows of the manual's step that brings it on; all unset ones if there are none. */
function hanging({ assembly, work }: Standing, part: string): readonly Hole[] {
  const unset = finder(assembly)
    .holesThrough(part)
    .filter((hole) => !isSet(work, hole));
  const rows = new Set(assembly.steps.find(({ parts }) => parts.includes(part))?.rows);
  const own = unset.filter(({ rowId }) => rows.has(rowId));
  return own.length > 0 ? own : unset;
}

/** Those of the rivets that can be set one after the other with nothing else done. */
function settable(standing: Standing, rivets: readonly Hole[]): readonly Hole[] {
  const { rulings } = standing;
  const { closed, states } = lookFrom(standing);
  const open = rivets.filter((hole) => {
    const reason = whyOpen(standing, hole, closed, orderRulesOf(rulings, states, hole));
    return reason === null || reason.code === "late";
  });
  const scope: PlanScope = {
    closed,
    states,
    rivets: open,
    parts: [...new Set(open.flatMap(stackOf))].filter((part) => !closed.has(part)).sort(),
    rules: [],
    leftOpen: [],
    leftOff: [],
  };
  const stuck = new Set(solve(puzzleOf(standing, scope, [])).stuck);
  return open.filter(({ id }) => !stuck.has(id));
}
