import type { Hole } from "../kit/types.js";
import { type Mark, withMarks } from "../kit/work.js";
import { solve } from "./backward.js";
import { wayOfAll } from "./closing.js";
import { lookFrom } from "./look.js";
import { demands } from "./order-rules.js";
import { puzzleOf, ruleOf } from "./plan.js";
import { scopeOf } from "./plan-scope.js";
import { openGates } from "./prep.js";
import type { Standing } from "./types.js";

const reached = new WeakMap<Standing, ReadonlySet<string>>();

/** Rivets that can be set for now in some order, from where the work stands. */
function withinReach(standing: Standing): ReadonlySet<string> {
  const known = reached.get(standing);
  if (known) return known;
  const scope = scopeOf(standing);
  const must = scope.rules.filter((rule) => demands(rule, "true")).map(ruleOf);
  const stuck = new Set(solve(puzzleOf(standing, scope, must)).stuck);
  const found = new Set(scope.rivets.map(({ id }) => id).filter((id) => !stuck.has(id)));
  reached.set(standing, found);
  return found;
}

const lost = new WeakMap<Standing, Map<string, readonly string[]>>();

/**
 * Rivets that some order sets as the work stands, and none any more once these are set: a dead end, though nothing
 * is walled in by it at once. Only the parts that come to be closed matter, so it is worked out once for each such
 * set of parts; their gates count as done.
 * @param spared  rivets that are about to be set in the same go
 */
export function lostOnceSet(
  standing: Standing,
  holes: readonly Hole[],
  spared: readonly Hole[] = [],
): readonly string[] {
  const { closed } = lookFrom(standing);
  const { closes } = wayOfAll(holes, closed);
  if (closes.length === 0) return [];
  const byParts = lost.get(standing) ?? new Map<string, readonly string[]>();
  lost.set(standing, byParts);
  const key = JSON.stringify(closes);
  const found = byParts.get(key) ?? lostBy(standing, holes, closes);
  byParts.set(key, found);
  const going = new Set([...holes, ...spared].map(({ id }) => id));
  return found.filter((id) => !going.has(id));
}

function lostBy(standing: Standing, holes: readonly Hole[], closes: readonly string[]): readonly string[] {
  const marks: readonly Mark[] = [
    ...closes.flatMap((part) =>
      openGates(standing, part).map(({ gate }): Mark => ({ kind: "prep", part, gate, done: true })),
    ),
    ...holes.map(({ id }): Mark => ({ kind: "hole", hole: id, state: "set" })),
  ];
  const after = withinReach({ ...standing, work: withMarks(standing.work, marks) });
  // Whichever rivets close these parts, they can go in right away and take nothing more from the others.
  const own = new Set(holes.map(({ id }) => id));
  return [...withinReach(standing)].filter((id) => !own.has(id) && !after.has(id));
}
