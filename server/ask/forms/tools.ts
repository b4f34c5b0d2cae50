import { chamferLimit } from "../../fastener/deburr.js";
import { finalDrill, type TableDrill, tableDrills } from "../../fastener/drill.js";
import { headAngle, layerChoice } from "../../fastener/flush-tool.js";
import { drillOfSize, holeFit } from "../../fastener/hole.js";
import { SAME_SIZE_MM } from "../../fastener/input.js";
import type { LayerWork } from "../../fastener/layer-work.js";
import { countersinkMouth } from "../../fastener/mouth.js";
import type { Citation } from "../../fastener/table.js";
import { tables } from "../../fastener/tables.js";
import { temporaryFastenerFor } from "../../fastener/temporary.js";
import { finder } from "../../kit/find.js";
import type { Rivet } from "../../kit/types.js";
import type { Units } from "../../kit/units.js";
import { type Misfit, misfitsOf } from "../../order/misfit.js";
import { formsFirst, isLarger } from "../../order/prep.js";
import { Problem } from "../../problem.js";
import { type Act, actsOf, cautionsFor } from "../cautions.js";
import { briefFor } from "../first-line.js";
import type { Form } from "../form.js";
import { citedSources, rivetSources, withUnverified } from "../table-sources.js";
import { ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots } from "../types.js";
import { capital, counted, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { sayMisfit } from "../wording/reasons.js";
import { sayFlushWay } from "../wording/rulings.js";
import { drillName, sayCitation, sayDrill, sayLimits, sayWritten } from "../wording/sizes.js";
import {
  DIMPLE_ORDER,
  NOT_SETTLED,
  sayChamfer,
  sayCutter,
  sayDies,
  sayFinalDrill,
  sayNoDrill,
  sayOrderOfWork,
  sayPilot,
  sayPin,
  sayTableDrill,
} from "../wording/tools.js";
import { type Fitted, fittedAt, handbookWayAt, namesPlace, rivetSlot, sizeSlot } from "./fitted.js";
import { sayOpen } from "./open.js";
import { grouped, openVerdict, type Ruled, ruledAt } from "./ruled.js";
import { senseSlot, verdictAsPut } from "./sense.js";
import { askOn, chosenSlot, type Scope, scopeOf, textSlot } from "./slots.js";

const ATTRIBUTES = ["rivet", "treatment", "under", "finalDiameterMm"] as const;
const TOOLS = ["drill", "pilot", "dimple die", "countersink", "temporary fastener"] as const;
type Tool = (typeof TOOLS)[number];

/** Which drill, die, cutter and temporary fastener, and in which order; or what a table gives for a size. */
export const tools: Form = {
  id: "tools",
  answer(job: Job, slots: Slots): FormAnswer {
    const tool = chosenSlot(slots, "tool", TOOLS);
    const [size, drill] = [sizeSlot(slots, "size"), sizeSlot(slots, "drill")];
    const named = rivetSlot(job, slots);
    if (!namesPlace(slots)) {
      if (named) return forRivetSize(job, named.code, named.diameterMm, tool, named);
      if (size) return forRivetSize(job, textSlot(slots, "size") ?? "", size.mm, tool);
      if (drill) return forHoleSize(job, textSlot(slots, "drill") ?? "", drill.mm, tool);
    }
    const scope = scopeOf(job, slots);
    const kits = scope.holes.map((id) => kitAt(job, ruledAt(job, id), tool));
    const open = kits.filter(({ fitted }) => fitted === null).map(({ ruled }) => ruled);
    const trace = rulingTrace(job, scope.holes, ATTRIBUTES);
    const cited = kits.flatMap((one) => one.cited);
    const rivets = kits.flatMap(({ fitted }) => fitted?.rivet ?? []);
    const acts = [...new Set(kits.flatMap((one) => one.acts))];
    const told = drill
      ? proposedDrill(job, scope, kits, textSlot(slots, "drill") ?? "", drill.mm)
      : {
          verdict: openVerdict(open) ?? (kits.some(({ misfits }) => misfits.length > 0) ? "no" : undefined),
          ...headlineOf(job, scope, kits),
        };
    return {
      ...told,
      verdict: verdictAsPut(told.verdict, senseSlot(slots), false),
      holes: scope.holes,
      rows: rowsOf(job, kits),
      trace,
      cautions: withUnverified(cautionsFor(job, scope.holes, acts, trace), cited),
      sources: [...ruleSources(job, rulesIn(trace)), ...rivetSources(job, rivets), ...citedSources(cited)],
      followUps: [
        ...askOn(job, "treatment", slots, scope.holes),
        ...askOn(job, "fastener", slots, scope.holes),
      ],
    };
  },
};

/** What one hole takes. */
interface HoleKit {
  readonly ruled: Ruled;
  readonly fitted: Fitted | null;
  /** Why the ruled rivet does not go in, its length apart. */
  readonly misfits: readonly Misfit[];
  readonly what: string;
  /** For a headline on holes that are all alike. */
  readonly brief: string;
  /** For counting in the headline. */
  readonly short: string;
  /** The tool that is asked for, or a drill, is needed there. */
  readonly isNeeded: boolean;
  readonly drill: string | null;
  readonly gates: readonly string[];
  readonly acts: readonly Act[];
  readonly cited: readonly Citation[];
}

function kitAt(job: Job, ruled: Ruled, tool: Tool | undefined): HoleKit {
  const { units } = job.kit;
  const { hole } = ruled;
  const fitted = fittedAt(job, ruled);
  if (!fitted) {
    const way = handbookWayAt(job, ruled);
    const why = sentences(sayOpen(job, ruled, ATTRIBUTES), way && sayFlushWay(way.layers, namesOf(job)));
    const what = `${NOT_SETTLED}. ${why}`.replace(/\.$/, "");
    return {
      ruled,
      fitted,
      misfits: [],
      what,
      brief: what,
      short: "not settled",
      isNeeded: true,
      drill: null,
      gates: [],
      acts: [],
      cited: way?.sources ?? [],
    };
  }
  const { rivet, layers, finalMm } = fitted;
  const grows = isLarger(finalMm, hole.punchedMm);
  const found = grows ? finalDrill(rivet.hole, finalMm, units === "mm") : null;
  const fit = holeFit(grows ? finalMm : hole.punchedMm, rivet.hole);
  // Another length of the rivet needs the same hole; with anything else that is wrong nothing is cut yet.
  const misfits = misfitsOf(job, hole).filter(({ what }) => what !== "too thick" && what !== "too thin");
  if (misfits.length > 0) {
    const noDrill =
      grows && found === null
        ? [sayFinalDrill({ rivet, punchedMm: hole.punchedMm, finalMm }, found, fit, units)]
        : [];
    const what = `drill and form nothing yet: ${[...misfits.map((misfit) => sayMisfit(job, misfit)), ...noDrill].join("; ")}`;
    return {
      ruled,
      fitted,
      misfits,
      what,
      brief: what,
      short: "the ruled rivet does not go in",
      isNeeded: true,
      drill: null,
      gates: [],
      acts: [],
      cited: [],
    };
  }
  const usable = fit === "fits" ? found : null;
  const angle = headAngle(rivet);
  const dimpled = layers.filter(({ act }) => act === "dimple");
  const sunk = layers.find(({ act }) => act === "countersink") ?? null;
  // Under dimples the mouth is as wide as the dimple above it, and no table has that.
  const mouth = sunk?.isTop && rivet.kind === "solid" ? countersinkMouth(rivet.diameterMm) : null;
  const pins = [hole.punchedMm, ...(grows ? [finalMm] : [])].map((mm) => ({
    mm,
    pin: temporaryFastenerFor(mm),
  }));
  const gates = orderOfWork(job, fitted, grows);
  const chamfer = grows ? chamferLimit(Math.min(...hole.layers.map(({ thicknessMm }) => thicknessMm))) : null;
  // The kit does not say which comes first, and sources differ.
  const isOpenOrder = grows && dimpled.length > 0 && formsFirst(job.kit, "dimple") === null;
  const headSource = angle ? [angle.source] : [];
  const pieces: Readonly<Record<Tool | "order", Piece>> = {
    drill: {
      text: grows
        ? sayFinalDrill({ rivet, punchedMm: hole.punchedMm, finalMm }, found, fit, units)
        : sayNoDrill(rivet, hole.punchedMm, fit, units),
      cited: usable
        ? tables.drills.rows.flatMap(({ drill, source }) => (drill === usable.drill.name ? source : []))
        : [],
    },
    pilot: { text: sayPilot(hole.punchedMm, drillOfSize(hole.punchedMm), grows, units), cited: [] },
    "dimple die":
      dimpled.length > 0
        ? { text: sayDies(rivet, layers, angle, job), cited: [...headSource, ...gaugesOf(rivet, dimpled)] }
        : { text: NOT_DIMPLED, cited: [] },
    countersink: sunk
      ? {
          text: sayCutter(rivet, layers, angle, mouth, job),
          cited: [...headSource, ...(mouth ? [mouth.source] : []), ...gaugesOf(rivet, [sunk])],
        }
      : { text: NOT_COUNTERSUNK, cited: [] },
    "temporary fastener": {
      text: pins.map(({ mm, pin }) => sayPin(mm, pin, units)).join(", then "),
      cited: pins.flatMap(({ pin }) => pin?.colours.map(({ source }) => source) ?? []),
    },
    order: {
      text: [sayOrderOfWork(gates, isOpenOrder), isOpenOrder ? DIMPLE_ORDER : ""]
        .filter((text) => text !== "")
        .join("; "),
      cited: isOpenOrder ? tables.dimpleOrders.rows.map(({ source }) => source) : [],
    },
  };
  const all: readonly Piece[] = [
    pieces.drill,
    ...(chamfer ? [{ text: sayChamfer(chamfer, units), cited: [chamfer.source] }] : []),
    ...(grows ? [pieces.pilot] : []),
    ...(dimpled.length > 0 ? [pieces["dimple die"]] : []),
    ...(sunk ? [pieces.countersink] : []),
    pieces["temporary fastener"],
    pieces.order,
  ];
  const told = tool ? [pieces[tool]] : all;
  return {
    ruled,
    fitted,
    misfits: [],
    what: told
      .map(({ text }) => text)
      .filter((text) => text !== "")
      .join("; "),
    brief: pieces[tool ?? "drill"].text,
    short:
      tool && tool !== "drill"
        ? pieces[tool].text
        : shortDrill(usable && drillName(usable.drill.name), grows, fit),
    isNeeded: isNeeded(tool, { grows, isDimpled: dimpled.length > 0, isSunk: sunk !== null }),
    drill: usable?.drill.name ?? null,
    gates,
    acts: actsOf(layers, fitted.treatment, grows),
    cited: told.flatMap(({ cited }) => cited),
  };
}

function isNeeded(
  tool: Tool | undefined,
  { grows, isDimpled, isSunk }: Readonly<Record<"grows" | "isDimpled" | "isSunk", boolean>>,
): boolean {
  if (tool === "temporary fastener") return true;
  if (tool === "dimple die") return isDimpled;
  return tool === "countersink" ? isSunk : grows;
}

/** What is said of one tool, with what it rests on. */
interface Piece {
  readonly text: string;
  readonly cited: readonly Citation[];
}

function gaugesOf({ diameterMm }: Rivet, layers: readonly LayerWork[]): readonly Citation[] {
  return layers.flatMap(({ thicknessMm }) => layerChoice(diameterMm, thicknessMm)?.sources ?? []);
}

const NOT_DIMPLED = "no dimple dies: not dimpled";
const NOT_COUNTERSUNK = "no cutter: not countersunk";

function shortDrill(name: string | null, grows: boolean, fit: string): string {
  if (name !== null) return `final drill ${name}`;
  return !grows && fit === "fits" ? "no drill" : "drill to be asked of the kit maker";
}

/** The gates of the hole's parts in the kit's order, with what its treatment calls for. */
function orderOfWork({ kit, assembly }: Job, { ruled, layers }: Fitted, grows: boolean): readonly string[] {
  const find = finder(assembly);
  const called: readonly string[] = [
    ...(grows ? ["enlarge"] : []),
    ...(["dimple", "countersink"] as const).filter((gate) => layers.some(({ act }) => act === gate)),
  ];
  const forming = new Set(["enlarge", "dimple", "countersink"]);
  const listed = new Set(ruled.hole.layers.flatMap(({ part }) => find.part(part).prep));
  const named = kit.prepGates.filter(({ id }) => called.includes(id) || (listed.has(id) && !forming.has(id)));
  const missing = [...new Set(called)].filter((gate) => !kit.prepGates.some(({ id }) => id === gate));
  return [...missing, ...named.map(({ name }) => name)];
}

function headlineOf(
  job: Job,
  { said, holes }: Scope,
  kits: readonly HoleKit[],
): Pick<FormAnswer, "headline" | "brief"> {
  if (holes.length === 0) return { headline: `${capital(said)} has no holes.` };
  const names = namesOf(job);
  const whats = grouped(kits, ({ what }) => what);
  const [only] = kits;
  if (whats.length === 1 && only) {
    const headline = sentences(`${names.where(holes)}: ${only.brief}`);
    // What keeps the drill away is never shortened.
    const isOpen = only.fitted === null || only.misfits.length > 0;
    const which =
      names.spots(holes).length > 1 ? `${counted(holes.length, "hole")} of ${said}` : names.briefly(holes);
    const brief = sentences(`${which}: ${isOpen ? only.brief : only.short}`);
    return { headline, ...briefFor(headline, brief) };
  }
  return { headline: sayMixed(said, holes, kits) };
}

/** What holes take that are not alike in everything, counted. */
function sayMixed(said: string, holes: readonly string[], kits: readonly HoleKit[]): string {
  const counts = grouped(kits, ({ short }) => short)
    .map((group) => ({ count: group.length, short: group[0]?.short ?? "", isNeeded: group[0]?.isNeeded }))
    .sort((a, b) => Number(b.isNeeded) - Number(a.isNeeded) || b.count - a.count);
  const [first, ...others] = counts;
  if (!first) return "";
  if (others.length === 0) return sentences(`${counted(holes.length, "hole")} of ${said}: ${first.short}`);
  return sentences(
    `${said}, ${first.count} of the ${holes.length} holes: ${first.short}`,
    others.map(({ count, short }) => `for ${count}: ${short}`).join("; "),
  );
}

/** A drill that somebody would take, against the limits of each hole's rivet. */
function proposedDrill(
  { kit: { units } }: Job,
  { said, holes }: Scope,
  kits: readonly HoleKit[],
  text: string,
  mm: number,
): Pick<FormAnswer, "verdict" | "headline"> {
  const drill = sayWritten(text);
  if (holes.length === 0) return { headline: `${capital(said)} has no holes.` };
  const settled = kits.flatMap(({ fitted, misfits }) => (fitted && misfits.length === 0 ? fitted : []));
  const none = settled.filter(({ ruled, finalMm }) => !isLarger(finalMm, ruled.hole.punchedMm));
  const wrong = settled.filter((one) => !none.includes(one) && holeFit(mm, one.rivet.hole) !== "fits");
  const limits = [
    ...new Set(wrong.map(({ rivet }) => `${rivet.code} takes ${sayLimits(rivet.hole, units)}`)),
  ];
  const of = (list: readonly unknown[]): string =>
    list.length < holes.length ? ` at ${counted(list.length, "hole")}` : "";
  const unfit = kits.filter(({ misfits }) => misfits.length > 0);
  const no = [
    unfit.length > 0 ? `the ruled rivet does not go in${of(unfit)}: ${unfit[0]?.what}` : "",
    none.length > 0 ? `nothing is drilled${of(none)}: the holes are punched at their finished size` : "",
    wrong.length > 0
      ? `the drill ${drill} does not make the finished hole${of(wrong)}: ${limits.join(", ")}`
      : "",
  ].filter((one) => one !== "");
  if (no.length > 0)
    return { verdict: "no", headline: sentences(`not that drill. ${capital(said)}: ${no.join("; ")}`) };
  const open = kits.filter(({ fitted }) => fitted === null);
  if (open.length > 0) {
    return {
      verdict: openVerdict(open.map(({ ruled }) => ruled)) ?? "undecided",
      headline: sentences(`not decided for ${said}`, open[0]?.what),
    };
  }
  return {
    verdict: "yes",
    headline: sentences(
      `that drill will do. ${capital(said)}: the drill ${drill} makes a finished hole within the rivet's limits`,
    ),
  };
}

function rowsOf(job: Job, kits: readonly HoleKit[]): readonly AnswerRow[] {
  return grouped(kits, ({ ruled, what }) => [ruled.hole.rowId, what]).map((group) => {
    const [first] = group as [HoleKit, ...HoleKit[]];
    const holes = group.map(({ ruled }) => ruled.hole.id);
    return {
      holes,
      where: namesOf(job).everywhere(holes),
      what: first.what,
      rivet: first.fitted?.rivet.code ?? null,
      treatment: first.fitted?.treatment ?? null,
      punchedMm: first.ruled.hole.punchedMm,
      finalDiameterMm: first.fitted?.finalMm ?? null,
      drill: first.drill,
      gates: first.gates,
      verdict: first.fitted ? "settled" : first.ruled.verdict,
    };
  });
}

const NO_PLACE = { holes: [], trace: [], followUps: [] } as const;

/**
 * What the tables give for a nominal rivet size, the kit's own limits for it first.
 * @param named  one rivet of the kit, asked for by its code: its own limits are the answer
 */
function forRivetSize(job: Job, text: string, mm: number, tool: Tool | undefined, named?: Rivet): FormAnswer {
  const { units, rivets } = job.kit;
  const own = named ? [named] : rivets.filter(({ diameterMm }) => Math.abs(diameterMm - mm) <= SAME_SIZE_MM);
  const printed = printedFor(mm).filter(({ kind }) => !named || kind === named.kind);
  const said = named ? named.code : sayWritten(text);
  if (printed.length === 0 && own.length === 0) {
    return {
      ...NO_PLACE,
      headline: sentences(
        `neither the kit nor a table has a rivet of ${said}`,
        "No tool is given for it: ask the kit maker",
      ),
      rows: [],
      cautions: cautionsFor(job, [], ["drill"]),
      sources: [],
    };
  }
  const kinds = new Set(own.map(({ kind }) => kind));
  // What the kit rivets with comes first; of solid rivets the one drill that the program uses stands first.
  const sorted = [...printed].sort((a, b) => Number(kinds.has(b.kind)) - Number(kinds.has(a.kind)));
  const firsts = sorted.filter((row, at) => sorted.findIndex(({ kind }) => kind === row.kind) === at);
  const angles = [...new Set([...kinds, ...printed.map(({ kind }) => kind)])].flatMap((kind) => {
    const angle = headAngle({ kind, diameterMm: mm });
    return angle ? [{ kind, angle }] : [];
  });
  const wantsHead = tool === "dimple die" || tool === "countersink";
  // The finished hole that the tables, or else the kit, have for it: what is pinned is pinned through that.
  const pinnedMm = named ? named.hole.minMm : firsts[0] ? leastHoleMm(firsts[0]) : (own[0]?.hole.minMm ?? mm);
  const pin = tool === "temporary fastener" ? temporaryFastenerFor(pinnedMm) : null;
  const headline = wantsHead
    ? named && named.head !== "flush"
      ? `${said} has a protruding head: nothing is dimpled or countersunk for it`
      : angles.length > 0
        ? `dies and cutters for a ${said} flush rivet: ${angles
            .map(
              ({ kind, angle }) =>
                `${angle.degrees}° for ${kind} ones${angle.source.confidence === "unverified" ? " (from memory, not verified)" : ""}`,
            )
            .join(", ")}, by the handbook`
        : `no table has the head's angle for a ${said} rivet: ask the kit maker`
    : tool === "temporary fastener"
      ? `for a ${said} rivet: ${sayPin(pinnedMm, pin, units)}, the finished one; a smaller pilot hole takes a smaller one`
      : tool === "pilot"
        ? `no table has a pilot drill for a ${said} rivet: it is smaller than the finished hole, and which one is the kit maker's to say. The finished hole by the handbook: ${sayFirsts(firsts, units)}`
        : named
          ? `by the kit's own limits, for ${said}: ${sayTableDrill(finalDrillsOf(named.hole, units === "mm"), named.hole, units)}`
          : `by the handbook, for a ${said} rivet: ${sayFirsts(firsts, units)}`;
  const cited = [
    ...printed.map(({ source }) => source),
    ...(wantsHead ? angles.map(({ angle }) => angle.source) : []),
    ...(pin?.colours.map(({ source }) => source) ?? []),
  ];
  return {
    ...NO_PLACE,
    headline: sentences(
      headline,
      own.length > 0 && !named && "the kit's own limits go first: see the rows",
      "Name the part, row or hole for what is ruled there",
    ),
    rows: [
      ...own.map((rivet) => ({
        holes: [],
        where: rivet.code,
        what: sayTableDrill(finalDrillsOf(rivet.hole, units === "mm"), rivet.hole, units),
        rivet: rivet.code,
      })),
      ...sorted.map(({ kind, drills, limits, source }) => ({
        holes: [],
        where: `handbook, ${kind} rivet`,
        what: `${sayTableDrill(drills, limits, units)} (${sayCitation(source)})`,
        drills: drills.map(({ name }) => name),
      })),
    ],
    cautions: withUnverified(cautionsFor(job, [], ["drill"]), cited),
    sources: [...rivetSources(job, own), ...citedSources(cited)],
  };
}

function sayFirsts(firsts: readonly TableDrill[], units: Units): string {
  if (firsts.length === 0) return "none";
  return firsts
    .map(({ kind, drills, limits }) => `${kind}: ${sayTableDrill(drills, limits, units)}`)
    .join("; ");
}

function leastHoleMm({ limits, drills }: TableDrill): number {
  return limits?.minMm ?? Math.min(...drills.map(({ mm }) => mm));
}

function finalDrillsOf(limits: { minMm: number; maxMm: number }, metric: boolean): TableDrill["drills"] {
  const found = finalDrill(limits, (limits.minMm + limits.maxMm) / 2, metric);
  return found ? [found.drill, ...found.others] : [];
}

/** Empty for a size that no table has. */
function printedFor(mm: number): readonly TableDrill[] {
  try {
    return tableDrills(mm);
  } catch (error) {
    if (error instanceof Problem && error.code === "FASTENER_OUT_OF_TABLE") return [];
    throw error;
  }
}

/** The drill of a hole's size, and what pins it. */
function forHoleSize(job: Job, text: string, mm: number, tool: Tool | undefined): FormAnswer {
  const drill = drillOfSize(mm);
  const pin = temporaryFastenerFor(mm);
  const said = sayWritten(text);
  const drilled = drill
    ? `a hole of ${said} is drilled with ${sayDrill(drill)}`
    : `no standard drill has the size ${said}: ask the kit maker which one is meant`;
  const pinned = sayPin(mm, pin, job.kit.units);
  const cited = pin?.colours.map(({ source }) => source) ?? [];
  return {
    ...NO_PLACE,
    headline: sentences(
      ...(tool === "temporary fastener" ? [pinned] : tool === "drill" ? [drilled] : [drilled, pinned]),
    ),
    rows: (pin?.colours ?? []).map(({ colour, source }) => ({
      holes: [],
      where: `temporary fastener ${pin?.size} in`,
      what: `${colour} (${sayCitation(source)})`,
    })),
    cautions: withUnverified(cautionsFor(job, [], ["drill"]), cited),
    sources: citedSources(cited),
  };
}
