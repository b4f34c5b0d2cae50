import type { Citation } from "../../fastener/table.js";
import type { HeadForm } from "../../kit/types.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { citedSources, withUnverified } from "../table-sources.js";
import { drawingSource, ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots, Verdict } from "../types.js";
import { sayDistance, sayRowSpacing, sayTooWide } from "../wording/edge.js";
import { capital, counted, listed, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { sayRule } from "../wording/rulings.js";
import { sayBoth, sayWritten } from "../wording/sizes.js";
import { rivetSlot, ruledRivet, sizeSlot } from "./fitted.js";
import { sayOpen } from "./open.js";
import { grouped, openVerdict, type Ruled, ruledAt } from "./ruled.js";
import { senseSlot, verdictAsPut } from "./sense.js";
import { askOn, chosenSlot, type Scope, scopeOf, textSlot } from "./slots.js";
import { type Distance, type RowSpacing, spacingAt, type TooWide } from "./spacing.js";

const HEADS = ["protruding", "flush"] as const;

/** Whether edge distance and pitch serve the ruled rivet, or one that is proposed, layer by layer. */
export const edge: Form = {
  id: "edge",
  answer(job: Job, slots: Slots): FormAnswer {
    const scope = scopeOf(job, slots);
    const asked: Asked = {
      rivet: rivetSlot(job, slots),
      sizeMm: sizeSlot(slots, "size")?.mm,
      head: chosenSlot(slots, "head", HEADS),
    };
    const looks = scope.holes.map((id) => lookAt(job, ruledAt(job, id), asked));
    const trace = rulingTrace(job, scope.holes, ["rivet", "head"]);
    const rules = [...new Set(looks.flatMap((look) => look.rules))];
    const cited = looks.flatMap((look) => look.cited);
    const open = looks.filter(({ serves }) => serves === null).map(({ ruled }) => ruled);
    return {
      verdict: verdictAsPut(verdictOf(looks, open), senseSlot(slots), looks.some(isNearEdge)),
      ...headlineOf(job, scope, looks, textSlot(slots, "size") ?? asked.rivet?.code ?? null),
      holes: scope.holes,
      rows: rowsOf(job, looks),
      trace,
      cautions: withUnverified(cautionsFor(job, scope.holes, ["drill"], trace), cited),
      sources: [
        ...ruleSources(job, [...rulesIn(trace), ...rules]),
        ...citedSources(cited),
        drawingSource(job),
      ],
      followUps: askOn(job, "fastener", slots, scope.holes),
    };
  },
};

interface Asked {
  readonly rivet: { readonly diameterMm: number; readonly head: HeadForm; readonly code: string } | undefined;
  readonly sizeMm: number | undefined;
  readonly head: HeadForm | undefined;
}

interface Look {
  readonly ruled: Ruled;
  /** Null: what goes in is not settled. */
  readonly serves: boolean | null;
  readonly rivetMm: number | null;
  readonly head: HeadForm | null;
  readonly edges: readonly Distance[];
  readonly pitch: Distance | null;
  readonly rows: RowSpacing | null;
  readonly tooWide: readonly TooWide[];
  readonly rules: readonly string[];
  readonly cited: readonly Citation[];
}

function lookAt(job: Job, ruled: Ruled, asked: Asked): Look {
  const { hole } = ruled;
  const own = ruledRivet(job, ruled);
  const rivetMm = asked.rivet?.diameterMm ?? asked.sizeMm ?? own?.diameterMm ?? null;
  const head = asked.rivet?.head ?? asked.head ?? own?.head ?? null;
  if (rivetMm === null) return { ruled, serves: null, rivetMm, head, ...NOTHING };
  if (head !== null) return { ruled, rivetMm, head, ...spacingAt(job, hole, rivetMm, head) };
  // Which head goes in is open: what both find there is certain all the same.
  const [protruding, flush] = HEADS.map((one) => spacingAt(job, hole, rivetMm, one));
  if (!protruding || !flush || protruding.serves !== flush.serves)
    return { ruled, serves: null, rivetMm, head, ...NOTHING };
  return { ruled, rivetMm, head, ...flush };
}

const NOTHING = { edges: [], pitch: null, rows: null, tooWide: [], rules: [], cited: [] } as const;

/** Whether edge and pitch are enough everywhere. */
function verdictOf(looks: readonly Look[], open: readonly Ruled[]): Verdict | undefined {
  if (looks.length === 0) return undefined;
  if (looks.some(({ serves }) => serves === false)) return "no";
  return open.length > 0 ? (openVerdict(open) ?? "undecided") : "yes";
}

function headlineOf(
  job: Job,
  { said, holes }: Scope,
  looks: readonly Look[],
  asked: string | null,
): Pick<FormAnswer, "headline" | "brief"> {
  if (holes.length === 0) return { headline: `${capital(said)} has no holes.` };
  const what = asked ? `for ${sayWritten(asked)}` : "for the rivets that go in";
  const short = looks.filter(({ serves }) => serves === false).map(({ ruled }) => ruled.hole.id);
  const open = looks.filter(({ serves }) => serves === null);
  const [first] = open;
  const start =
    short.length > 0
      ? `not enough. At ${counted(short.length, "hole")} of ${said} edge or pitch does not serve ${what}: ${namesOf(job).where(short)}`
      : open.length < looks.length
        ? `${capital(said)}: edge and pitch are enough ${what}`
        : "";
  const headline = sentences(
    start,
    first &&
      `not decided at ${counted(open.length, "hole")}: which rivet goes in is not settled. ${sayOpen(job, first.ruled, ["head", "rivet"])}`,
    crowded(job, looks) || tightest(job, looks),
    short.length > 0 && "Do not set it there: ask the kit maker",
  );
  const isEnough = short.length === 0 && open.length === 0;
  return isEnough
    ? { headline, brief: `${capital(said)}: ${leastSaid(job, looks)}enough ${what}.` }
    : { headline };
}

/** "As drawn, edge distance 8 mm (0.315 in) and pitch 24 mm (0.945 in) at the least, ": what is there, not what is wanted; empty where neither is drawn. */
function leastSaid(job: Job, looks: readonly Look[]): string {
  const least = (name: string, all: readonly Distance[]): readonly string[] =>
    all.length === 0
      ? []
      : [`${name} ${sayBoth(Math.min(...all.map(({ thereMm }) => thereMm)), job.kit.units)}`];
  const told = [
    ...least(
      "edge distance",
      looks.flatMap(({ edges }) => edges),
    ),
    ...least(
      "pitch",
      looks.flatMap(({ pitch }) => pitch ?? []),
    ),
  ];
  return told.length === 0 ? "" : `as drawn, ${listed(told)} at the least, `;
}

/** Whether an edge is short: "too close to the edge" is not said of a pitch. */
function isNearEdge({ serves, edges }: Look): boolean {
  return serves === false && edges.some(isShort);
}

function isShort({ thereMm, neededMm }: Distance): boolean {
  return thereMm < neededMm - 1e-6;
}

/** What is wrong at the first hole where every edge serves and something else does not. */
function crowded(job: Job, looks: readonly Look[]): string {
  const short = looks.filter(({ serves }) => serves === false);
  const [first] = short;
  if (!first || short.some(({ edges }) => edges.some(isShort))) return "";
  const { rivetMm, pitch, rows, tooWide } = first;
  const { units } = job.kit;
  const told = [
    pitch && isShort(pitch) ? sayDistance("pitch", pitch, rivetMm ?? 1, units) : "",
    rows && [rows.along, rows.apart].some((one) => one !== null && isShort(one))
      ? sayRowSpacing(rows, rivetMm ?? 1, units)
      : "",
    ...tooWide.map((one) => sayTooWide(one, rivetMm ?? 1, units)),
  ].filter((text) => text !== "");
  return `${namesOf(job).hole(first.ruled.hole.id)}: ${told.join("; ")}`;
}

/** The hole with the least to spare at an edge. */
function tightest(job: Job, looks: readonly Look[]): string {
  const spare = (look: Look): number =>
    Math.min(...look.edges.map(({ thereMm, neededMm }) => thereMm - neededMm));
  const [least] = looks.filter(({ edges }) => edges.length > 0).sort((a, b) => spare(a) - spare(b));
  return least
    ? `the least edge is at ${namesOf(job).hole(least.ruled.hole.id)}: ${sayEdges(job, least, true)}`
    : "";
}

function sayEdges(job: Job, { edges, rivetMm }: Look, worst: boolean): string {
  const sorted = [...edges].sort((a, b) => a.thereMm - a.neededMm - (b.thereMm - b.neededMm));
  return (worst ? sorted.slice(0, 1) : sorted)
    .map(
      (one) =>
        `${namesOf(job).part(one.part ?? "")}, ${sayDistance("edge distance", one, rivetMm ?? 1, job.kit.units)}`,
    )
    .join("; ");
}

function rowsOf(job: Job, looks: readonly Look[]): readonly AnswerRow[] {
  const names = namesOf(job);
  // Distances change along a row: holes with one outcome stand together, with the least of each distance.
  return grouped(looks, ({ ruled, serves, rivetMm, head }) => [ruled.hole.rowId, serves, rivetMm, head]).map(
    (group) => {
      const [first] = group as [Look, ...Look[]];
      const holes = group.map(({ ruled }) => ruled.hole.id);
      const { rivetMm } = first;
      const base = { holes, where: names.everywhere(holes), serves: first.serves, rivetMm, head: first.head };
      if (rivetMm === null || first.serves === null)
        return {
          ...base,
          what: `not settled. ${sayOpen(job, first.ruled, ["head", "rivet"])}`.replace(/\.$/, ""),
        };
      const edges = leastByPart(group);
      const pitches = group.flatMap(({ pitch }) => pitch ?? []).sort((a, b) => a.thereMm - b.thereMm);
      const [pitch] = pitches;
      const rules = [...new Set(group.flatMap((look) => look.rules))].flatMap((id) => {
        const rule = job.rulebook.byId.get(id);
        return rule?.basis.rank === "handbook" ? [] : [sayRule(rule?.title ?? id)];
      });
      const what = [
        `${sayBoth(rivetMm, job.kit.units)} ${first.head ?? "flush or protruding"} rivet`,
        ...edges.map(
          (one) =>
            `${names.part(one.part ?? "")}, ${sayDistance("edge distance", one, rivetMm, job.kit.units)}`,
        ),
        pitch ? sayDistance("pitch", pitch, rivetMm, job.kit.units) : "",
        ...leastRows(group).map((rows) => sayRowSpacing(rows, rivetMm, job.kit.units)),
        ...widest(group).map((one) => sayTooWide(one, rivetMm, job.kit.units)),
        rules.length > 0 ? `looked at besides the handbook: ${listed(rules)}` : "",
      ];
      return {
        ...base,
        what: what.filter((text) => text !== "").join("; "),
        edgeMm: Math.min(...edges.map(({ thereMm }) => thereMm)),
        edgeNeededMm: edges[0]?.neededMm ?? null,
        pitchMm: pitch?.thereMm ?? null,
        pitchNeededMm: pitch?.neededMm ?? null,
        rows: leastRows(group)[0] ?? null,
      };
    },
  );
}

/** The least that rows side by side leave, for two rows and for more. */
function leastRows(looks: readonly Look[]): readonly RowSpacing[] {
  const all = looks.flatMap(({ rows }) => rows ?? []);
  return grouped(all, ({ count }) => count).map((group) => {
    const [first] = group as [RowSpacing, ...RowSpacing[]];
    const along = group.flatMap((one) => one.along ?? []).sort((a, b) => a.thereMm - b.thereMm)[0] ?? null;
    const apart = group.map((one) => one.apart).sort((a, b) => a.thereMm - b.thereMm)[0] ?? first.apart;
    return { count: first.count, along, apart };
  });
}

/** The widest of what is too wide. */
function widest(looks: readonly Look[]): readonly TooWide[] {
  return grouped(
    looks.flatMap(({ tooWide }) => tooWide),
    ({ what }) => what,
  ).map((group) => [...group].sort((a, b) => b.thereMm - b.mostMm - (a.thereMm - a.mostMm))[0] as TooWide);
}

/** The least edge distance in each part that the holes go through. */
function leastByPart(looks: readonly Look[]): readonly Distance[] {
  return grouped(
    looks.flatMap(({ edges }) => edges),
    ({ part }) => part,
  ).map(
    (group) => [...group].sort((a, b) => a.thereMm - a.neededMm - (b.thereMm - b.neededMm))[0] as Distance,
  );
}
