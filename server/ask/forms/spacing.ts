import { layoutMinimum } from "../../fastener/layout.js";
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

/** Edge distances and pitch at a hole for one size and head. */
export interface HoleSpacing {
  readonly serves: boolean;
  /** One for each layer, head side first. */
  readonly edges: readonly Distance[];
  /** To the nearest other hole; null where there is none. */
  readonly pitch: Distance | null;
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
  const limits = limitsAt(job, hole.id, rivetMm);
  const neededEdgeMm = Math.max(minimum.edgeMm, ...limits.edge.map(({ mm }) => mm));
  const neededPitchMm = Math.max(minimum.pitchMm, ...limits.pitch.map(({ mm }) => mm));
  const edges = hole.layers.map(({ part, edgeMm }) => ({ thereMm: edgeMm, neededMm: neededEdgeMm, part }));
  const pitch =
    hole.nearestMm === null ? null : { thereMm: hole.nearestMm, neededMm: neededPitchMm, part: null };
  return {
    serves: [...edges, ...(pitch ? [pitch] : [])].every(enough),
    edges,
    pitch,
    rules: [...limits.edge, ...limits.pitch].map(({ rule }) => rule),
    cited: minimum.sources,
  };
}

function enough({ thereMm, neededMm }: Distance): boolean {
  return thereMm >= neededMm - 1e-6;
}

/** The least distances that rules state here, those that may apply included: the strictest counts. */
function limitsAt(
  job: Job,
  hole: string,
  rivetMm: number,
): Readonly<Record<"edge" | "pitch", readonly { readonly mm: number; readonly rule: string }[]>> {
  const found = { edge: [] as { mm: number; rule: string }[], pitch: [] as { mm: number; rule: string }[] };
  for (const { fact, min, rule } of job.rulings.of(hole).limits) {
    if (min === undefined) continue;
    if (fact === "edgeMm") found.edge.push({ mm: min, rule });
    if (fact === "pitchMm") found.pitch.push({ mm: min, rule });
    // A ratio is to the drawn rivet; what it asks of another size goes with that size.
    if (fact === "edgeRatio" && !isAboutHead(job, rule)) found.edge.push({ mm: min * rivetMm, rule });
    if (fact === "pitchRatio") found.pitch.push({ mm: min * rivetMm, rule });
  }
  return found;
}

/** A ratio for the head on the drawing says nothing of another head: the handbook's figure for that one counts. */
function isAboutHead(job: Job, rule: string): boolean {
  const { conditions } = job.rulebook.byId.get(rule) ?? {};
  return JSON.stringify(conditions ?? {}).includes('"drawnHead"');
}
