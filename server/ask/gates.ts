import { finder } from "../kit/find.js";
import { type GateOnPart, undecidedAt } from "../order/prep.js";
import type { Job } from "./types.js";

/**
 * Gates as they stand, without holes that cannot come to them after all: a treatment that is not settled is one of those
 * that some rule still claims for the hole, and any at all where none does.
 */
export function narrowed<T extends GateOnPart>(job: Job, states: readonly T[]): readonly T[] {
  return states.map((state) => {
    if (state.gate !== "countersink") return state;
    const undecided = state.undecided.filter((hole) => mayComeTo(job, hole, state.gate));
    const isListed = finder(job.assembly).part(state.part).prep.includes(state.gate);
    const isStill = state.status !== "perhaps" || undecided.length > 0 || isListed;
    return { ...state, undecided, status: isStill ? state.status : ("not called for" as const) };
  });
}

/**
 * Unset holes through a part of which it is not known whether they call for a gate, and could come to it.
 * @returns ids in the assembly's order
 */
export function undecidedHoles(job: Job, part: string, gate: string): readonly string[] {
  const undecided = undecidedAt(job, part, gate);
  return gate === "countersink" ? undecided.filter((hole) => mayComeTo(job, hole, gate)) : undecided;
}

function mayComeTo(job: Job, hole: string, treatment: string): boolean {
  const claims = ["treatment", "under"].flatMap((attribute) =>
    job.rulings.trace(hole, attribute).claims.filter(({ verdict }) => verdict !== "false"),
  );
  return claims.length === 0 || claims.some(({ value }) => value === treatment);
}
