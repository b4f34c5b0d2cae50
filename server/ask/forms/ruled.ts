import { finder } from "../../kit/find.js";
import type { Hole } from "../../kit/types.js";
import { isLarger } from "../../order/prep.js";
import type { ClaimValue, Status } from "../../ruling/types.js";
import { missingAt } from "../missing.js";
import type { Job, Verdict } from "../types.js";

/** What was settled for one attribute of a hole, with the missing facts traced back to those that can be found out. */
export interface Settled {
  readonly status: Status;
  /** Null unless settled. */
  readonly value: ClaimValue | null;
  readonly ruleIds: readonly string[];
  /** Facts to find out: an attribute that others rest on is replaced by what it lacks itself. */
  readonly missing: readonly string[];
}

/** One hole as it is ruled. */
export interface Ruled {
  readonly hole: Hole;
  readonly verdict: "settled" | "undecided" | "conflict";
  readonly of: (attribute: string) => Settled;
}

const UNCLAIMED: Settled = { status: "unclaimed", value: null, ruleIds: [], missing: [] };

export function ruledAt(job: Job, id: string): Ruled {
  const { attributes, verdict } = job.rulings.of(id);
  return {
    hole: finder(job.assembly).hole(id),
    verdict,
    of: (attribute) => {
      const ruling = attributes[attribute];
      if (!ruling) return UNCLAIMED;
      const { status, value, ruleIds } = ruling;
      return { status, value, ruleIds, missing: missingAt(job, id, attribute) };
    },
  };
}

/** The text of a settled value; null for anything else. */
export function settledText({ status, value }: Settled): string | null {
  return status === "settled" && value !== null ? String(value) : null;
}

export function settledNumber({ status, value }: Settled): number | null {
  return status === "settled" && typeof value === "number" ? value : null;
}

/** The answer's verdict when rulings are open: the worst of them, none when all are settled. */
export function openVerdict(ruled: readonly Ruled[]): Verdict | undefined {
  if (ruled.some(({ verdict }) => verdict === "conflict")) return "conflict";
  if (ruled.some(({ verdict }) => verdict === "undecided")) return "undecided";
  return undefined;
}

/** The row that a hole is in. @throws UNKNOWN_ID */
export function rowOf({ assembly }: Pick<Job, "assembly">, hole: string): string {
  return finder(assembly).hole(hole).rowId;
}

/** Things with equal keys together, in the order in which the first of each comes. */
export function grouped<T>(items: readonly T[], keyOf: (item: T) => unknown): readonly (readonly T[])[] {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    const key = JSON.stringify(keyOf(item));
    const group = groups.get(key);
    if (group) group.push(item);
    else groups.set(key, [item]);
  }
  return [...groups.values()];
}

/**
 * Whether the hole is brought to a larger size, by itself or before it is dimpled or countersunk; null when
 * that hangs on something that is not settled.
 */
export function isEnlarged({ hole, of }: Ruled): boolean | null {
  if (settledText(of("treatment")) === "enlarge") return true;
  const finalMm = settledNumber(of("finalDiameterMm"));
  return finalMm === null ? null : isLarger(finalMm, hole.punchedMm);
}
