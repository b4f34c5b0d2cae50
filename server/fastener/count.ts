import { inputProblem } from "./input.js";

/** One bin to fetch from. */
export interface Bin {
  readonly code: string;
  readonly holes: readonly string[];
  readonly count: number;
  /** Count with spares, rounded up: no half rivets. */
  readonly fetch: number;
}

/**
 * Picking list: rivets by code, sorted by code.
 * @param rivets         rivet code of each hole; null where it is not settled
 * @param sparesPercent  0 to 100
 * @returns              bins, and holes whose rivet is not settled, for which nothing is counted
 * @throws FASTENER_INPUT
 */
export function pickingList(
  rivets: ReadonlyMap<string, string | null>,
  sparesPercent: number,
): { readonly bins: readonly Bin[]; readonly unsettled: readonly string[] } {
  if (!Number.isFinite(sparesPercent) || sparesPercent < 0 || sparesPercent > 100) {
    throw inputProblem("sparesPercent", sparesPercent, "a percentage from 0 to 100");
  }
  const byCode = new Map<string, string[]>();
  const unsettled: string[] = [];
  for (const [hole, code] of rivets) {
    if (code === null) unsettled.push(hole);
    else byCode.set(code, [...(byCode.get(code) ?? []), hole]);
  }
  const bins = [...byCode]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([code, holes]) => ({
      code,
      holes,
      count: holes.length,
      fetch: Math.ceil(holes.length * (1 + sparesPercent / 100) - 1e-9),
    }));
  return { bins, unsettled };
}
