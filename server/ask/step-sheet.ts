import { pickingList } from "../fastener/count.js";
import type { Citation } from "../fastener/table.js";
import { tables } from "../fastener/tables.js";
import { finder } from "../kit/find.js";
import { holdOf } from "../order/holds.js";
import { type GripDoubt, gripDoubtOf } from "../order/misfit.js";
import type { LeftOpen } from "../order/plan-types.js";
import { formsFirst } from "../order/prep.js";
import { type StepSheet, stepSheet } from "../order/step-sheet.js";
import type { Hold, OrderRule } from "../order/types.js";
import { type Act, actsOfGates, cautionsFor } from "./cautions.js";
import { allCautions } from "./departed.js";
import { grouped, ruledAt, settledText } from "./forms/ruled.js";
import { citedSources } from "./table-sources.js";
import { drawingSource, ruleSources, rulesIn, rulingTrace } from "./trace.js";
import type { AnswerRow, Job, Source } from "./types.js";
import { wholePlan } from "./whole-plan.js";
import { sayGripDoubts } from "./wording/fastener.js";
import { sentences } from "./wording/grammar.js";
import { namesOf } from "./wording/names.js";
import { sayLeftOpen } from "./wording/order-plan.js";
import {
  PIN_COUNT,
  sayDrills,
  sayForming,
  sayGateLot,
  sayOrders,
  sayPins,
  saySetThoughHeld,
  saySheetGround,
  saySheetRivet,
  saySheetSum,
  saySheetTitle,
  sayStuck,
  sayUnverified,
  sayWallsIn,
} from "./wording/step-sheet.js";
import { DIMPLE_ORDER } from "./wording/tools.js";

/** One line of a sheet: the holes, and the same in the builder's words, with named values beside it. */
export interface SheetLine extends AnswerRow {}

/** A step's sheet in words and numbers, ready to be shown or printed. */
export interface SaidSheet {
  readonly kit: {
    readonly id: string;
    readonly name: string;
    readonly revision: string;
    readonly dated: string;
  };
  readonly assembly: { readonly id: string; readonly name: string };
  /** Null: the picking list of the whole assembly. */
  readonly step: { readonly id: string; readonly title: string; readonly text: string } | null;
  readonly version: number;
  readonly title: string;
  readonly ground: string;
  readonly sum: string;
  readonly sparesPercent: number;
  readonly counts: {
    readonly holes: number;
    readonly toSet: number;
    readonly set: number;
    readonly open: number;
  };
  readonly rivets: readonly SheetLine[];
  readonly open: readonly SheetLine[];
  readonly drills: readonly SheetLine[];
  readonly forming: readonly SheetLine[];
  readonly pins: readonly SheetLine[];
  readonly pinCount: string;
  readonly gates: readonly SheetLine[];
  readonly before: readonly SheetLine[];
  readonly after: readonly SheetLine[];
  /** What is wrong already, or rests on something that is not certain. */
  readonly warnings: readonly string[];
  readonly cautions: readonly string[];
  readonly sources: readonly Source[];
}

const ATTRIBUTES = ["treatment", "finalDiameterMm", "head", "rivet", "hold"] as const;

/**
 * The sheet of one step of the kit's manual, or the picking list of the whole assembly, as the work stands.
 * @param stepId         null: the whole assembly
 * @param sparesPercent  added to every count of rivets to fetch, 0 to 100
 * @throws UNKNOWN_STEP, FASTENER_INPUT
 */
export function saidSheet(job: Job, stepId: string | null, sparesPercent = 0): SaidSheet {
  const sheet = stepSheet(job, stepId);
  const { kit, assembly, version } = job;
  const trace = rulingTrace(job, sheet.holes, ATTRIBUTES);
  const isOpenOrder = formsFirst(kit, "dimple") === null && drillsWhatIsDimpled(sheet);
  const citations = [
    ...citationsOf(sheet),
    ...(isOpenOrder ? tables.dimpleOrders.rows.map(({ source }) => source) : []),
  ];
  const setThoughHeld = sheet.set.flatMap((hole) => holdOf(job.rulings, job.work, hole) ?? []);
  return {
    kit: { id: kit.id, name: kit.name, revision: kit.revision, dated: kit.dated },
    assembly: { id: assembly.id, name: assembly.name },
    step: sheet.step && { id: sheet.step.id, title: sheet.step.title, text: sheet.step.text },
    version,
    title: saySheetTitle(job, sheet),
    ground: saySheetGround(job),
    sum: saySheetSum(job, sheet),
    sparesPercent,
    counts: {
      holes: sheet.holes.length,
      toSet: sheet.rivets.reduce((sum, { holes }) => sum + holes.length, 0),
      set: sheet.set.length,
      open: sheet.leftOpen.length,
    },
    rivets: rivetLines(job, sheet, sparesPercent),
    open: openLines(job, sheet.leftOpen),
    drills: sheet.drills.map((lot) => ({
      ...line(job, [...lot.holes, ...(lot.drill ? [] : lot.done)], sayDrills(job, lot)),
      punchedMm: lot.punchedMm,
      finalMm: lot.finalMm,
      drill: lot.drill?.name ?? null,
      within: lot.within.map(({ name }) => name),
      fit: lot.fit,
      count: lot.holes.length,
      apart: lot.apart,
      done: lot.done,
    })),
    forming: sheet.forming.map(({ holes, mouth, angle, ...lot }) => ({
      ...line(job, holes, sayForming(job, { holes, mouth, angle, ...lot })),
      ...lot,
      angleDegrees: angle?.degrees ?? null,
      mouthMm: mouth && { min: mouth.minMm, max: mouth.maxMm },
    })),
    pins: sheet.pins.map((lot) => ({
      ...line(job, lot.holes, sayPins(job, lot)),
      holeMm: lot.holeMm,
      when: lot.when,
      size: lot.fastener?.size ?? null,
      colours: [...new Set(lot.fastener?.colours.map(({ colour }) => colour))],
      count: null,
    })),
    pinCount: sheet.pins.length > 0 ? PIN_COUNT : "",
    gates: sheet.gates.map((lot) => ({
      holes: [],
      where: namesOf(job).gate(lot.gate),
      what: sayGateLot(job, lot),
      gate: lot.gate,
      open: lot.open.map(({ part }) => part),
      unknown: lot.unknown.map(({ part }) => part),
      done: lot.done,
    })),
    before: beforeLines(job, sheet),
    after: orderLines(job, sheet.orders, "after"),
    warnings: [
      ...grouped(setThoughHeld, ({ until, status }) => [until, status]).map((holds) =>
        saySetThoughHeld(job, holds as readonly Hold[]),
      ),
      ...stuckWarnings(job, sheet),
      ...(isOpenOrder ? [sentences(DIMPLE_ORDER)] : []),
      ...[sayUnverified(citations)].filter((text) => text !== null),
    ],
    // A sheet rests on the plan, which is an answer about the order of the whole work.
    cautions: allCautions(job, cautionsFor(job, sheet.holes, actsOf(sheet), trace), {
      form: "plan",
      slots: {},
      answer: { holes: sheet.holes, rows: [], trace },
    }),
    sources: [
      ...ruleSources(job, [...rulesIn(trace), ...sheet.orders.map(({ rule }) => rule)]),
      ...citedSources(citations),
      drawingSource(job),
    ],
  };
}

function drillsWhatIsDimpled({ drills, forming }: StepSheet): boolean {
  const drilled = new Set(drills.flatMap(({ holes }) => holes));
  return forming.some(({ act, holes }) => act === "dimple" && holes.some((hole) => drilled.has(hole)));
}

/** Rivets of the sheet that no order reaches: what is counted must not be taken for what can be done. */
function stuckWarnings(job: Job, { holes }: StepSheet): readonly string[] {
  const stuck = new Set(wholePlan(job).impossible?.stuck);
  const own = holes.filter((hole) => stuck.has(hole));
  return own.length > 0 ? [sayStuck(job, own)] : [];
}

function line(job: Job, holes: readonly string[], what: string): SheetLine {
  return { holes, where: namesOf(job).everywhere(holes), what };
}

function rivetLines(job: Job, sheet: StepSheet, sparesPercent: number): readonly SheetLine[] {
  const codes = sheet.rivets.flatMap(({ rivet, holes }) => holes.map((hole) => [hole, rivet.code] as const));
  const { bins } = pickingList(new Map(codes), sparesPercent);
  const bin = new Map(bins.map((one) => [one.code, one]));
  return sheet.rivets.map((lot) => ({
    ...line(job, lot.holes, saySheetRivet(job, lot)),
    code: lot.rivet.code,
    name: lot.rivet.name,
    kind: lot.rivet.kind,
    head: lot.rivet.head,
    diameterMm: lot.rivet.diameterMm,
    count: bin.get(lot.rivet.code)?.count ?? 0,
    fetch: bin.get(lot.rivet.code)?.fetch ?? 0,
    gripUnknown: lot.gripDoubts.length,
    apart: lot.apart,
  }));
}

/** Reasons that end by themselves: the rivet will be wanted. Of any other it is not known whether it ever is. */
const COMES_LATER: ReadonlySet<LeftOpen["code"]> = new Set(["held", "part-off", "layers-together"]);

/** Holes that stay open for the same reason in one line, with the rivets that they will take as far as that is settled. */
function openLines(job: Job, leftOpen: readonly LeftOpen[]): readonly SheetLine[] {
  const said = leftOpen.map((open) => ({ open, text: sayLeftOpen(job, open) }));
  return grouped(said, ({ text }) => text).map((group) => {
    const holes = group.map(({ open }) => open.hole);
    const [first] = group;
    const codes = new Map(holes.map((hole) => [hole, settledText(ruledAt(job, hole).of("rivet"))]));
    const { bins, unsettled } = pickingList(codes, 0);
    const rivets = bins.map(({ code, count }) => `${count} × ${code}`);
    return {
      ...line(
        job,
        holes,
        sentences(
          first && sayLeftOpen(job, first.open, holes.length),
          rivets.length > 0 &&
            first !== undefined &&
            COMES_LATER.has(first.open.code) &&
            sentences(`later: ${rivets.join(", ")}`, sayGripDoubts(doubtsAt(job, holes), holes.length)),
        ),
      ),
      code: first?.open.code ?? null,
      until: first?.open.code === "held" ? first.open.hold.until : null,
      count: holes.length,
      rivets: bins.map(({ code, count }) => ({ code, count })),
      unsettled: unsettled.length,
    };
  });
}

function doubtsAt(job: Job, holes: readonly string[]): readonly GripDoubt[] {
  const find = finder(job.assembly);
  return holes.flatMap((id) => gripDoubtOf(job, find.hole(id)) ?? []);
}

/** What is walled in once the step is done, by the parts that do it; then what rules want before a part. */
function beforeLines(job: Job, { wallsIn, orders }: StepSheet): readonly SheetLine[] {
  return [
    ...grouped(wallsIn, ({ own, by, hold }) => [own, by, hold?.until, hold?.status]).map((group) => {
      const [first] = group;
      const holes = group.map(({ hole }) => hole);
      return {
        ...line(job, holes, sayWallsIn(job, group)),
        parts: first?.by,
        own: first?.own,
        count: holes.length,
      };
    }),
    ...orderLines(job, orders, "before"),
  ];
}

function orderLines(
  job: Job,
  orders: readonly OrderRule[],
  relation: OrderRule["relation"],
): readonly SheetLine[] {
  return grouped(
    orders.filter((order) => order.relation === relation),
    ({ rule, part, strength, verdict }) => [rule, part, strength, verdict],
  ).map((rules) => {
    const holes = rules.map(({ hole }) => hole);
    const parts = rules.slice(0, 1).map(({ part }) => part);
    return { ...line(job, holes, sayOrders(job, rules)), parts, rule: rules[0]?.rule, count: holes.length };
  });
}

/** What the sheet's work takes, for the cautions. */
function actsOf({ rivets, drills, forming, gates }: StepSheet): readonly Act[] {
  const acts = new Set<Act>(
    actsOfGates(gates.filter(({ open, unknown }) => open.length + unknown.length > 0)),
  );
  if (rivets.some(({ holes }) => holes.length > 0)) acts.add("rivet");
  if (drills.some(({ holes }) => holes.length > 0)) acts.add("drill");
  for (const { act, holes } of forming) if (holes.length > 0) acts.add(act);
  return [...acts];
}

/** The tables' sources that the sheet rests on, each once. */
function citationsOf({ drills, forming, pins }: StepSheet): readonly Citation[] {
  const all: readonly Citation[] = [
    ...pins.flatMap(({ fastener }) => fastener?.colours.map(({ source }) => source) ?? []),
    ...forming.flatMap(({ mouth, angle }) => [mouth, angle].flatMap((one) => one?.source ?? [])),
    // Metric and fraction drills are arithmetic; number and letter drills are the table's.
    ...drills.flatMap(
      ({ drill }) => tables.drills.rows.find((row) => row.drill === drill?.name)?.source ?? [],
    ),
  ];
  return [...new Map(all.map((citation) => [citation.id, citation])).values()];
}
