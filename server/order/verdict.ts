import type { Act, May, Reason, Verdict, Weight } from "./types.js";

/** Heaviest first: what is certainly not allowed needs no further word; unknown is never yes. */
const WEIGHTS = ["no", "conflict", "undecided"] as const satisfies readonly Weight[];

export function verdictOf(reasons: readonly Reason[]): Verdict {
  return WEIGHTS.find((weight) => reasons.some((reason) => reason.weight === weight)) ?? "yes";
}

export function may(
  act: Act,
  part: string | null,
  holes: readonly string[],
  reasons: readonly Reason[],
): May {
  return { act, part, holes, verdict: verdictOf(reasons), reasons };
}
