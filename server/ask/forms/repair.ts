import { tableHoleMostMm } from "../../fastener/drill.js";
import { type GripFit, gripFitOf, stackFormOf } from "../../fastener/fit.js";
import { layerChoice } from "../../fastener/flush-tool.js";
import { type HoleFit, holeFit } from "../../fastener/hole.js";
import { type NextRivet, nextRivet, repairLimit } from "../../fastener/oversize.js";
import type { Citation } from "../../fastener/table.js";
import { finder } from "../../kit/find.js";
import type { Rivet } from "../../kit/types.js";
import type { WrittenLength } from "../../kit/units.js";
import { Problem } from "../../problem.js";
import { cautionsFor } from "../cautions.js";
import { briefFor } from "../first-line.js";
import type { Form } from "../form.js";
import { citedSources, rivetSources, withUnverified } from "../table-sources.js";
import { ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots, Verdict } from "../types.js";
import { sayDistance, sayRowSpacing, sayTooWide } from "../wording/edge.js";
import { namesOf } from "../wording/names.js";
import {
  DAMAGES,
  type Damage,
  DIMPLED_SMALLER,
  GENERALLY,
  NO_LARGER_RIVET,
  REFUSED,
  SEE_ROWS,
  SET_NOTHING_YET,
  sayDamaged,
  sayEdgeOf,
  sayEdgeShort,
  sayFinishedHole,
  sayGripOf,
  sayHeadOpen,
  sayHeadShort,
  sayHowMany,
  sayInGeneral,
  sayMayServe,
  sayMeasured,
  sayMeasureEdge,
  sayMisses,
  sayNext,
  sayNoHoles,
  sayRepairLimit,
  sayRivetOpen,
  sayServesNot,
  saySizeFit,
  sayTooLarge,
  TAKE_IT_TO,
  TOO_THIN,
} from "../wording/repair.js";
import { clearanceAt } from "./clearance.js";
import { type Fitted, fittedAt, namesPlace, sizeSlot } from "./fitted.js";
import { sayOpen } from "./open.js";
import { grouped, type Ruled, ruledAt } from "./ruled.js";
import { askOn, chosenSlot, type Scope, scopeOf } from "./slots.js";
import { type HoleSpacing, spacingAt } from "./spacing.js";

/** What can be done about a hole that is not as it should be. Never a yes: a repair is for others to allow. */
export const repair: Form = {
  id: "repair",
  answer(job: Job, slots: Slots): FormAnswer {
    const damage = chosenSlot(slots, "damage", DAMAGES) ?? "oversize";
    const measured = sizeSlot(slots, "drill");
    if (!namesPlace(slots)) return inGeneral(job, damage);
    const scope = scopeOf(job, slots);
    const looks = scope.holes.map((id) => lookAt(job, ruledAt(job, id), damage, measured));
    const trace = rulingTrace(job, scope.holes, ["rivet", "head", "treatment"]);
    const cited = looks.flatMap((look) => look.cited);
    const rivets = looks.flatMap((look) => look.rivets);
    const rules = looks.flatMap((look) => look.rules);
    const headline = headlineOf(scope, damage, looks);
    return {
      // What is refused stands in the rows: to "is it cracked", "must I fix it" a no would say something else.
      ...(looks.some(({ verdict }) => verdict === "no") ? {} : { verdict: "undecided" as const }),
      headline,
      ...briefFor(headline, briefOf(job, scope, damage, looks)),
      holes: scope.holes,
      rows: rowsOf(job, looks),
      trace,
      cautions: withUnverified(cautionsFor(job, scope.holes, ["drill", "rivet"], trace), cited),
      sources: [
        ...ruleSources(job, [...rulesIn(trace), ...rules]),
        ...rivetSources(job, rivets),
        ...citedSources(cited),
      ],
      followUps: [...askOn(job, "edge", slots, scope.holes), ...askOn(job, "fastener", slots, scope.holes)],
    };
  },
};

interface Look {
  readonly ruled: Ruled;
  readonly verdict: Extract<Verdict, "no" | "undecided">;
  readonly what: string;
  /** The same for a headline, where `what` is long. */
  readonly brief?: string;
  /** The same in a few words. */
  readonly short?: string;
  readonly next: NextRivet | null;
  readonly rivets: readonly Rivet[];
  readonly rules: readonly string[];
  readonly cited: readonly Citation[];
}

function lookAt(job: Job, ruled: Ruled, damage: Damage, measured: WrittenLength | undefined): Look {
  const none = { ruled, next: null, rivets: [], rules: [], cited: [] };
  if (damage === "cracked" || damage === "misplaced")
    return { ...none, verdict: "no", what: REFUSED[damage] };
  const fitted = fittedAt(job, ruled);
  if (!fitted) {
    const open = sayOpen(job, ruled, ["rivet", "treatment", "finalDiameterMm"]).replace(/\.$/, "");
    return { ...none, verdict: "undecided", what: sayRivetOpen(open) };
  }
  if (damage === "edge") return nearEdge(job, fitted, none);
  const { rivet } = fitted;
  const fit: HoleFit | null = measured ? holeFit(measured.mm, rivet.hole) : null;
  if (measured && fit !== "oversize" && fit !== null) {
    const what = sayMeasured(measured.mm, rivet, fit, job.kit.units);
    return { ...none, verdict: "undecided", what, short: saySizeFit(rivet.code, fit), rivets: [rivet] };
  }
  return enlarged(job, fitted, measured, none);
}

type Nothing = Pick<Look, "ruled" | "next" | "rivets" | "rules" | "cited">;

/** An edge that is too short takes no rivet, and a larger one still less. */
function nearEdge(job: Job, { ruled, rivet }: Fitted, none: Nothing): Look {
  const spacing = spacingAt(job, ruled.hole, rivet.diameterMm, rivet.head);
  const least = leastEdge(spacing);
  const drawn = sayEdge(job, least, rivet.diameterMm);
  const what = isShort(least) ? sayEdgeShort(drawn) : sayMeasureEdge(drawn, least.neededMm, job.kit.units);
  return {
    ...none,
    verdict: isShort(least) ? "no" : "undecided",
    what,
    rivets: [rivet],
    rules: spacing.rules,
    cited: spacing.cited,
  };
}

/** The next size up, where edge, pitch, the layers and the hole itself allow it. */
function enlarged(job: Job, fitted: Fitted, measured: WrittenLength | undefined, none: Nothing): Look {
  const { ruled, rivet, treatment } = fitted;
  const { units, rivets } = job.kit;
  const next = nextOf(rivet, rivets, ruled.hole.gripMm);
  if (!next) {
    return {
      ...none,
      verdict: "no",
      what: NO_LARGER_RIVET,
    };
  }
  const spacing = spacingAt(job, ruled.hole, next.diameterMm, rivet.head);
  const least = leastEdge(spacing);
  const { pitch, rows } = spacing;
  const limits = next.rivet?.hole ?? null;
  const mostMm = limits?.maxMm ?? tableHoleMostMm(rivet.kind, next.diameterMm);
  const tooLarge = measured !== undefined && mostMm !== null && measured.mm > mostMm + 1e-6;
  const misses = next.rivet !== null && !["fits", "not known"].includes(gripFitAt(next.rivet, fitted));
  const thin = treatment === "countersink" && !sinks(ruled, next.diameterMm);
  const dimpled = treatment === "dimple";
  const clear = next.rivet && clearanceAt(job, ruled, next.rivet);
  const head =
    clear?.clear === "does not clear"
      ? "short"
      : ruled.hole.neighbour && clear?.clear !== "clears"
        ? "open"
        : "clear";
  const row = finder(job.assembly).row(ruled.hole.rowId);
  const limit = repairLimit(row.holes.length);
  const shorts = [
    isShort(least) ? sayEdge(job, least, next.diameterMm) : "",
    pitch && isShort(pitch) ? sayDistance("pitch", pitch, next.diameterMm, units) : "",
    rows && (isShort(rows.apart) || (rows.along && isShort(rows.along)))
      ? sayRowSpacing(rows, next.diameterMm, units)
      : "",
    head === "short" ? sayHeadShort(clear?.what ?? "") : "",
    ...spacing.tooWide.map((one) => sayTooWide(one, next.diameterMm, units)),
    tooLarge ? sayTooLarge(mostMm, units) : "",
    misses ? sayMisses(next.rivet, ruled.hole.gripMm, units) : "",
    thin ? TOO_THIN : "",
    dimpled ? DIMPLED_SMALLER : "",
    limit.max === 0 ? sayRepairLimit(limit.max, row.holes.length) : "",
  ].filter((text) => text !== "");
  const found = sayNext(next.rivet?.code ?? null, next.diameterMm, units);
  const base = {
    ...none,
    next,
    rivets: [rivet, ...(next.rivet ? [next.rivet] : [])],
    rules: spacing.rules,
    cited: [next.source, limit.source, ...spacing.cited],
  };
  if (shorts.length > 0) {
    return {
      ...base,
      verdict: "no",
      ...sayServesNot(found, shorts),
    };
  }
  const numbers = [
    sayEdge(job, least, next.diameterMm),
    pitch ? sayDistance("pitch", pitch, next.diameterMm, units) : "",
    limits ? sayFinishedHole(limits, units) : "",
    sayGripOf(next.rivet && gripFitAt(next.rivet, fitted)),
    head === "open" ? sayHeadOpen(clear?.what ?? null) : "",
    sayRepairLimit(limit.max, row.holes.length),
  ].filter((text) => text !== "");
  return {
    ...base,
    verdict: "undecided",
    ...sayMayServe(found, numbers),
  };
}

/** Null beyond the tables. */
function nextOf(rivet: Rivet, rivets: readonly Rivet[], gripMm: number): NextRivet | null {
  try {
    return nextRivet(rivet, rivets, gripMm);
  } catch (error) {
    if (error instanceof Problem && error.code === "FASTENER_OUT_OF_TABLE") return null;
    throw error;
  }
}

/** Whether the top layer takes the countersink of a larger head; not known is no. */
function sinks({ hole }: Ruled, rivetMm: number): boolean {
  return layerChoice(rivetMm, hole.layers[0]?.thicknessMm ?? 0)?.mayCountersink ?? false;
}

function gripFitAt(next: Rivet, { ruled: { hole }, layers }: Fitted): GripFit {
  return gripFitOf(next, hole.gripMm, stackFormOf(layers));
}

function leastEdge({ edges }: HoleSpacing): HoleSpacing["edges"][number] {
  return [...edges].sort((a, b) => a.thereMm - b.thereMm)[0] as HoleSpacing["edges"][number];
}

function isShort({ thereMm, neededMm }: { thereMm: number; neededMm: number }): boolean {
  return thereMm < neededMm - 1e-6;
}

function sayEdge(job: Job, edge: HoleSpacing["edges"][number], rivetMm: number): string {
  return sayEdgeOf(namesOf(job).part(edge.part ?? ""), edge, rivetMm, job.kit.units);
}

function headlineOf({ said, holes }: Scope, damage: Damage, looks: readonly Look[]): string {
  const [first] = looks;
  if (!first) return sayNoHoles(said);
  const whats = new Set(looks.map(({ what }) => what));
  if (whats.size === 1) return sayDamaged(said, damage, first.brief ?? first.what);
  const no = looks.filter(({ verdict }) => verdict === "no").length;
  return sayDamaged(said, damage, sayHowMany(no, holes.length), TAKE_IT_TO);
}

/** What it comes to, the place in a few words. */
function briefOf(job: Job, { holes }: Scope, damage: Damage, looks: readonly Look[]): string {
  const [first] = looks;
  const isAlike = new Set(looks.map(({ what }) => what)).size === 1;
  const what = isAlike && first ? (first.short ?? SEE_ROWS) : SEE_ROWS;
  return sayDamaged(namesOf(job).briefly(holes), damage, what, TAKE_IT_TO);
}

function rowsOf(job: Job, looks: readonly Look[]): readonly AnswerRow[] {
  return grouped(looks, ({ ruled, what }) => [ruled.hole.rowId, what]).map((group) => {
    const [first] = group as [Look, ...Look[]];
    const holes = group.map(({ ruled }) => ruled.hole.id);
    return {
      holes,
      where: namesOf(job).everywhere(holes),
      what: first.what,
      verdict: first.verdict,
      next: first.next?.rivet?.code ?? null,
      nextMm: first.next?.diameterMm ?? null,
    };
  });
}

/** What the handbook says of such a hole, without a place to judge. */
function inGeneral(job: Job, damage: Damage): FormAnswer {
  const { source } = repairLimit(5);
  const cited = damage === "oversize" || damage === "oblong" ? [source] : [];
  return {
    ...(damage === "cracked" || damage === "misplaced" ? {} : { verdict: "undecided" as const }),
    brief: sayInGeneral(damage, SET_NOTHING_YET),
    headline: sayInGeneral(damage, GENERALLY[damage]),
    holes: [],
    rows: [],
    trace: [],
    cautions: withUnverified(cautionsFor(job, [], ["drill", "rivet"]), cited),
    sources: citedSources(cited),
    followUps: [],
  };
}
