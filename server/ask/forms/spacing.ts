import { layoutMinimum } from "../../fastener/layout.js";
import { type RowPattern, rowPatternAt } from "../../fastener/row-pattern.js";
import type { Citation } from "../../fastener/table.js";
import type { HeadForm, Hole } from "../../kit/types.js";
import type { Job } from "../types.js";

/** A distance at a hole beside what it has to be. */
export interface Distance {
  readonly thereMm: number;
  readonly neededMm: number;
  /** The layer's part, for an edge. */
  readonly part: string | null;
}

/** What rows side by side want. */
export interface RowSpacing {
  readonly count: "two" | "three or more";
  readonly along: Distance | null;
  readonly apart: Distance;
}

/** A distance above the most that a rule allows. */
export interface TooWide {
  readonly what: "edge distance" | "pitch";
  readonly thereMm: number;
  readonly mostMm: number;
}

/** Edge distances and pitch at a hole for one size and head. */
export interface HoleSpacing {
  readonly serves: boolean;
  /** One for each layer, head side first. */
  readonly edges: readonly Distance[];
  /** To the nearest other hole; null where there is none. */
  readonly pitch: Distance | null;
  /** Where rows of one joint lie side by side: to the next hole along the row, and between the rows. */
  readonly rows: RowSpacing | null;
  /** Distances that rules want no larger, and that are. */
  readonly tooWide: readonly TooWide[];
  /** Rules of the kit or handbook that state a least distance here. */
  readonly rules: readonly string[];
  readonly cited: readonly Citation[];
}

/**
 * What a rivet of that size and head would find at a hole: each distance against the strictest of the handbook's
 * least values and of the rules that hold there, or may hold.
 */
export function spacingAt(job: Job, hole: Hole, rivetMm: number, head: HeadForm): HoleSpacing {
  const minimum = layoutMinimum(rivetMm, head);
  const limits = limitsAt(job, hole, rivetMm, head);
  const least = (of: LimitOn["of"]): number =>
    Math.max(0, ...limits.filter((limit) => limit.of === of).map(({ minMm }) => minMm ?? 0));
  const neededEdgeMm = Math.max(minimum.edgeMm, least("edge"));
  // A pitch is to a hole of the same row, so the nearest hole of all is never farther: it has to keep both.
  const neededPitchMm = Math.max(minimum.pitchMm, least("pitch"), least("nearest"));
  const edges = hole.layers.map(({ part, edgeMm }) => ({ thereMm: edgeMm, neededMm: neededEdgeMm, part }));
  const pitch =
    hole.nearestMm === null ? null : { thereMm: hole.nearestMm, neededMm: neededPitchMm, part: null };
  const pattern = rowPatternAt(job.assembly, hole, rivetMm, head);
  const rows = pattern && rowsAt(hole, pattern, least("pitch"));
  const tooWide = limits.flatMap((limit) => wideAt(hole, limit));
  const all = [...edges, pitch, rows?.along ?? null, rows?.apart ?? null].filter((one) => one !== null);
  return {
    serves: all.every(enough) && tooWide.length === 0,
    edges,
    pitch,
    rows,
    tooWide,
    rules: [...new Set(limits.map(({ rule }) => rule))],
    cited: [...minimum.sources, ...(pattern?.sources ?? [])],
  };
}

function rowsAt(hole: Hole, pattern: RowPattern, leastPitchMm: number): RowSpacing {
  const neededMm = Math.max(pattern.pitchNeededMm, leastPitchMm);
  return {
    count: pattern.rows,
    along: hole.pitchMm === null ? null : { thereMm: hole.pitchMm, neededMm, part: null },
    apart: { thereMm: pattern.apartMm, neededMm: pattern.apartNeededMm, part: null },
  };
}

function enough({ thereMm, neededMm }: Distance): boolean {
  return thereMm >= neededMm - SLACK_MM;
}

/** Distances are compared as printed. */
const SLACK_MM = 1e-6;

function wideAt(hole: Hole, { of, maxMm }: LimitOn): readonly TooWide[] {
  const there = {
    edge: Math.min(...hole.layers.map(({ edgeMm }) => edgeMm)),
    pitch: hole.pitchMm,
    nearest: hole.nearestMm,
  }[of];
  if (maxMm === null || there === null || there <= maxMm + SLACK_MM) return [];
  return [{ what: of === "edge" ? "edge distance" : "pitch", thereMm: there, mostMm: maxMm }];
}

/** What a rule allows of a distance here. */
interface LimitOn {
  readonly of: "edge" | "pitch" | "nearest";
  readonly minMm: number | null;
  readonly maxMm: number | null;
  readonly rule: string;
}

/**
 * Facts that a limit on a distance is stated of. A ratio is to the drawn rivet; what is least goes with another size,
 * and what is most with the smaller of the two.
 */
const DISTANCES: Readonly<Record<string, { readonly of: LimitOn["of"]; readonly isRatio: boolean }>> = {
  edgeMm: { of: "edge", isRatio: false },
  edgeRatio: { of: "edge", isRatio: true },
  pitchMm: { of: "pitch", isRatio: false },
  pitchRatio: { of: "pitch", isRatio: true },
  nearestMm: { of: "nearest", isRatio: false },
  nearestRatio: { of: "nearest", isRatio: true },
};

/** The limits that rules put on distances here, those that may apply included: the strictest counts. */
function limitsAt(job: Job, hole: Hole, rivetMm: number, head: HeadForm): readonly LimitOn[] {
  return job.rulings.of(hole.id).limits.flatMap(({ fact, min, max, rule }): readonly LimitOn[] => {
    const found = DISTANCES[fact];
    // A limit for the head on the drawing says nothing of another head: the handbook's for that one counts.
    if (!found || (head !== hole.rivet.head && isAboutHead(job, rule))) return [];
    const drawnMm = hole.rivet.diameterMm;
    const [leastUnit, mostUnit] = found.isRatio ? [rivetMm, Math.min(rivetMm, drawnMm)] : [1, 1];
    return [
      {
        of: found.of,
        minMm: min === undefined ? null : min * leastUnit,
        maxMm: max === undefined ? null : max * mostUnit,
        rule,
      },
    ];
  });
}

function isAboutHead(job: Job, rule: string): boolean {
  const { conditions } = job.rulebook.byId.get(rule) ?? {};
  return JSON.stringify(conditions ?? {}).includes('"drawnHead"');
}
