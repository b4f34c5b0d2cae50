import { type HeadAngle, headAngle, type OutsideLimits, outsideLimits } from "../fastener/flush-tool.js";
import { type Drill, drillOfSize, drillsWithin, type HoleFit, holeFit } from "../fastener/hole.js";
import type { LayerWork } from "../fastener/layer-work.js";
import { countersinkMouth, type Mouth } from "../fastener/mouth.js";
import { type TemporaryFastener, temporaryFastenerFor } from "../fastener/temporary.js";
import { finder } from "../kit/find.js";
import type { Hole, Rivet, Step } from "../kit/types.js";
import { closedParts } from "../kit/work.js";
import { Problem } from "../problem.js";
import { isFree, isWalledIn } from "../reach/walled-in.js";
import { holdOf } from "./holds.js";
import { type GripDoubt, gripDoubtOf } from "./misfit.js";
import { orderRulesOf } from "./order-rules.js";
import { scopeOf } from "./plan-scope.js";
import type { LeftOff, LeftOpen } from "./plan-types.js";
import { isLarger, needsEnlarging, prepGates, workAt } from "./prep.js";
import { unsettled } from "./settled.js";
import { isSet, joined, partStates, reachAt, stackOf } from "./standing.js";
import type { Hold, OrderRule, PrepGateState, Standing } from "./types.js";

/** Holes of one line: those that can be set for now, and those that stay open for a reason told apart. */
export interface Lot {
  /** In the assembly's order. */
  readonly holes: readonly string[];
  readonly apart: readonly string[];
}

/** One sort of rivet to fetch. */
export interface RivetLot extends Lot {
  readonly rivet: Rivet;
  /** One for each of `holes` at which nobody can tell whether the rivet holds the stack. */
  readonly gripDoubts: readonly GripDoubt[];
}

/** Holes that are finished at the same size, from the same size. */
export interface DrillLot extends Lot {
  readonly punchedMm: number;
  readonly finalMm: number;
  /** The standard drill of that very size; null when there is none. */
  readonly drill: Drill | null;
  /** Standard drills inside the rivet's hole limits, best first; empty where no rivet is settled. */
  readonly within: readonly Drill[];
  /** How the finished hole compares with the rivet's limits; null where no rivet is settled. */
  readonly fit: HoleFit | null;
  readonly limits: Rivet["hole"] | null;
  /** Every layer is marked as enlarged: nothing is left to drill. */
  readonly done: readonly string[];
}

/** Holes that are dimpled or countersunk for the same rivet size. */
export interface FormingLot extends Lot {
  readonly act: "dimple" | "countersink";
  /** Null where the rivet is not settled. */
  readonly rivetMm: number | null;
  /** Where dimples sit in a countersink of a part under them: that part, and those dimpled above it. */
  readonly under: { readonly sunk: string; readonly dimpled: readonly string[] } | null;
  /** Dimples, or countersinks, still to be made at `holes`. */
  readonly count: number;
  readonly done: readonly string[];
  /** Of a 100 degree countersink; null where no table has it, and for dimples. */
  readonly mouth: Mouth | null;
  /** Of dies or cutter; null where no table has it, or the rivet is not settled. */
  readonly angle: HeadAngle | null;
  /** Layers at holes still to be formed that are outside the handbook's limits for it, each part once. */
  readonly outside: readonly OutsideLimits[];
}

/** Holes that take the same temporary fastener. */
export interface PinLot {
  readonly holeMm: number;
  /** `now`: the hole as it is; `enlarged`: once it has its final size. */
  readonly when: "now" | "enlarged";
  readonly fastener: TemporaryFastener | null;
  readonly holes: readonly string[];
}

/** One gate, with the parts on which it is open, done or uncertain. */
export interface GateLot {
  readonly gate: string;
  readonly open: readonly PrepGateState[];
  readonly unknown: readonly PrepGateState[];
  readonly done: readonly string[];
}

/** What a step of the manual, or a whole assembly, takes. */
export interface StepSheet {
  /** Null: the whole assembly. */
  readonly step: Step | null;
  /** Parts that come on, in the manual's order. */
  readonly parts: readonly string[];
  /** Every hole of it; of a step for which the manual names no rows, those through its parts. */
  readonly holes: readonly string[];
  /** Of a step for which the manual names no rows: what may be set once its parts are on. */
  readonly rivets: readonly RivetLot[];
  readonly set: readonly string[];
  /** Unset holes that are not to be set for now, and why. */
  /** Open holes that are not counted. Those that only wait for a part to come on are. */
  readonly leftOpen: readonly LeftOpen[];
  /** Parts of the sheet that stay off for now, and why. */
  readonly leftOff: readonly LeftOff[];
  readonly drills: readonly DrillLot[];
  readonly forming: readonly FormingLot[];
  readonly pins: readonly PinLot[];
  /** In the order in which they are done. */
  readonly gates: readonly GateLot[];
  /** Unset holes that are walled in once the step is done, those of the step itself included. Not for a whole assembly. */
  readonly wallsIn: readonly WalledInBy[];
  /** Order rules on unset rivets: before or after a part of the step, or on a rivet of the step. Not for a whole assembly. */
  readonly orders: readonly OrderRule[];
}

/** A hole that has to be set before parts of a step close. */
export interface WalledInBy {
  readonly hole: string;
  /** It belongs to the step: it comes first within it. */
  readonly own: boolean;
  /** Parts that the step closes and that take its last approaches. */
  readonly by: readonly string[];
  /** It is to stay open all the same: the two contradict each other. */
  readonly hold: Hold | null;
}

/**
 * The sheet of one step of the kit's manual as the work stands, or of the whole assembly.
 * @param stepId  null: the whole assembly
 * @throws UNKNOWN_STEP
 */
export function stepSheet(standing: Standing, stepId: string | null): StepSheet {
  const { assembly, work } = standing;
  const step = stepId === null ? null : stepOf(standing, stepId);
  const find = finder(assembly);
  const parts = step ? step.parts : assembly.parts.map(({ id }) => id);
  const holes = step ? find.holesOfStep(step.id) : assembly.holes;
  const namesRows = step === null || step.rows.length > 0;
  const scope = scopeOf(standing);
  // A rivet whose part stays off for now goes in as it is settled once the part may come on.
  const waiting = scope.leftOpen.filter(({ code }) => code === "part-off").map(({ hole }) => hole);
  const planned = new Set([...scope.rivets.map(({ id }) => id), ...waiting]);
  const own = new Set(holes.map(({ id }) => id));
  const unset = holes.filter((hole) => !isSet(work, hole));
  const held = new Set(
    scope.leftOpen.flatMap((open) =>
      open.code === "held" && open.hold.status === "settled" ? [open.hole] : [],
    ),
  );
  const looks = unset.map((hole) => lookAt(standing, hole, planned.has(hole.id), held.has(hole.id)));
  return {
    step,
    parts,
    holes: holes.map(({ id }) => id),
    rivets: rivetLots(namesRows ? looks : looks.filter(({ hole }) => isTogether(standing, hole, step))),
    set: holes.filter((hole) => isSet(work, hole)).map(({ id }) => id),
    leftOpen: scope.leftOpen.filter(({ hole, code }) => own.has(hole) && code !== "part-off"),
    leftOff: scope.leftOff.filter(({ part }) => parts.includes(part)),
    drills: drillLots(looks),
    forming: formingLots(looks),
    pins: pinLots(looks),
    gates: gateLots(
      standing,
      parts,
      looks.filter(({ treated }) => treated).map(({ hole }) => hole),
    ),
    wallsIn: step && namesRows ? walledInBy(standing, unset, own) : [],
    orders: step ? orderRules(standing, new Set(parts), own) : [],
  };
}

/** Whether every layer of a hole is on once a step of the manual is done: it came on in that step, in one before, or is closed. */
function isTogether({ assembly, work }: Standing, hole: Hole, last: Step): boolean {
  const upTo = assembly.steps.slice(0, assembly.steps.indexOf(last) + 1);
  const on = joined(
    closedParts(assembly, work),
    upTo.flatMap(({ parts }) => parts),
  );
  return stackOf(hole).every((part) => on.has(part));
}

function stepOf({ assembly }: Standing, id: string): Step {
  const step = assembly.steps.find((one) => one.id === id);
  if (step) return step;
  const ids = assembly.steps.map((one) => one.id);
  throw new Problem("UNKNOWN_STEP", `The manual of ${assembly.name} has no step "${id}".`, {
    fix: `The steps are: ${ids.join(", ") || "none"}.`,
  });
}

/** What the sheet needs of one unset hole; what is not settled is null. */
interface Look {
  readonly hole: Hole;
  readonly planned: boolean;
  /**
   * What is done to the hole may be done for now. A hold keeps a rivet out, not a dimple or a countersink: those come
   * before the layers are together. A held hole that is only enlarged waits, for nobody tells which comes first.
   */
  readonly treated: boolean;
  readonly rivet: Rivet | null;
  readonly gripDoubt: GripDoubt | null;
  readonly finalMm: number | null;
  readonly grows: boolean;
  /** Every layer's part is marked so. */
  readonly enlarged: boolean;
  readonly layers: readonly LayerWork[];
  /** Every layer of which that is ruled is marked so. */
  readonly formed: Readonly<Record<FormingLot["act"], boolean>>;
}

function lookAt(standing: Standing, hole: Hole, planned: boolean, held: boolean): Look {
  const { kit, work, rulings } = standing;
  const ruling = rulings.of(hole.id);
  const settled = (attribute: string): unknown => {
    const found = ruling.attributes[attribute];
    return found?.status === "settled" ? found.value : null;
  };
  const [code, final] = [settled("rivet"), settled("finalDiameterMm")];
  const marked = (gate: string): boolean =>
    stackOf(hole).every((part) => work.prep.get(part)?.has(gate) ?? false);
  const finalMm = typeof final === "number" ? final : null;
  const layers = workAt(hole, ruling);
  const isFormed = (wanted: FormingLot["act"]): boolean =>
    layers.every(({ act, part }) => act !== wanted || (work.prep.get(part)?.has(wanted) ?? false));
  return {
    hole,
    planned,
    treated:
      planned || (held && unsettled(hole.id, ruling).length === 0 && layers.some(({ act }) => act !== null)),
    rivet: kit.rivets.find((rivet) => rivet.code === code) ?? null,
    gripDoubt: gripDoubtOf(standing, hole),
    finalMm,
    grows: finalMm !== null && needsEnlarging(ruling, hole) === "true" && isLarger(finalMm, hole.punchedMm),
    enlarged: marked("enlarge"),
    layers,
    formed: { dimple: isFormed("dimple"), countersink: isFormed("countersink") },
  };
}

function lot(looks: readonly Look[], counts: (look: Look) => boolean): Lot {
  const [now, apart] = [looks.filter(counts), looks.filter((look) => !counts(look))];
  return { holes: now.map(({ hole }) => hole.id), apart: apart.map(({ hole }) => hole.id) };
}

function rivetLots(looks: readonly Look[]): readonly RivetLot[] {
  return groups(looks, ({ rivet }) => rivet?.code ?? null)
    .map(([first, group]) => ({
      rivet: first.rivet as Rivet,
      ...lot(group, ({ planned }) => planned),
      gripDoubts: group.flatMap(({ planned, gripDoubt }) => (planned && gripDoubt ? [gripDoubt] : [])),
    }))
    .sort((a, b) => compareTexts(a.rivet.code, b.rivet.code));
}

function drillLots(looks: readonly Look[]): readonly DrillLot[] {
  return groups(looks, ({ finalMm, hole, rivet, grows }) =>
    finalMm === null ? null : [finalMm, hole.punchedMm, rivet?.hole ?? null, grows],
  )
    .map(([{ finalMm, hole, rivet, grows }, group]): DrillLot => {
      const size = finalMm ?? Number.NaN;
      const isDone = (look: Look): boolean => !grows || look.enlarged;
      return {
        ...lot(
          group.filter((look) => !isDone(look)),
          ({ treated }) => treated,
        ),
        punchedMm: hole.punchedMm,
        finalMm: size,
        drill: grows ? drillAt(size, rivet) : null,
        within: rivet && grows ? drillsWithin(rivet.hole) : [],
        fit: rivet ? holeFit(size, rivet.hole) : null,
        limits: rivet?.hole ?? null,
        done: group.filter(isDone).map((look) => look.hole.id),
      };
    })
    .sort((a, b) => a.finalMm - b.finalMm || a.punchedMm - b.punchedMm);
}

/** Null too where the standard drill of that size, a hair off it, is outside the rivet's limits. */
function drillAt(finalMm: number, rivet: Rivet | null): Drill | null {
  const drill = drillOfSize(finalMm);
  return drill && rivet && holeFit(drill.mm, rivet.hole) !== "fits" ? null : drill;
}

function formingLots(looks: readonly Look[]): readonly FormingLot[] {
  const formed = looks.flatMap((look) =>
    FORMING_ACTS.filter((act) => look.layers.some((layer) => layer.act === act)).map((act) => ({
      act,
      look,
    })),
  );
  return groups(formed, ({ act, look }) => [
    act,
    look.rivet?.diameterMm ?? null,
    look.rivet?.kind ?? null,
    sunkUnder(look),
  ])
    .map(([{ act, look: first }, group]): FormingLot => {
      const { rivet } = first;
      const lots = group.map(({ look }) => look);
      const layersOf = (look: Look): readonly LayerWork[] => look.layers.filter((layer) => layer.act === act);
      const open = lots.filter((look) => !look.formed[act]);
      const now = open.filter(({ treated }) => treated);
      const under = sunkUnder(first);
      return {
        act,
        rivetMm: rivet?.diameterMm ?? null,
        under: under === null ? null : { sunk: under, dimpled: dimpledAbove(lots) },
        count: now.reduce((sum, look) => sum + layersOf(look).length, 0),
        ...lot(open, ({ treated }) => treated),
        done: lots.filter((look) => look.formed[act]).map(({ hole }) => hole.id),
        // Under dimples the mouth is as wide as the dimple above it, and no table has that.
        mouth:
          act === "countersink" && under === null && rivet?.kind === "solid"
            ? countersinkMouth(rivet.diameterMm)
            : null,
        angle: rivet && headAngle(rivet),
        outside: rivet ? outsideAt(open.flatMap(layersOf), rivet) : [],
      };
    })
    .sort((a, b) => compareTexts(a.act, b.act) || (a.rivetMm ?? 0) - (b.rivetMm ?? 0));
}

const FORMING_ACTS = ["dimple", "countersink"] as const;

/** The part under dimples that is countersunk for them; null where none is. */
function sunkUnder({ layers }: Look): string | null {
  return layers.find(({ act, isTop }) => act === "countersink" && !isTop)?.part ?? null;
}

function dimpledAbove(looks: readonly Look[]): readonly string[] {
  const parts = looks.flatMap(({ layers }) =>
    layers.flatMap(({ act, part }) => (act === "dimple" ? part : [])),
  );
  return [...new Set(parts)];
}

function outsideAt(layers: readonly LayerWork[], { diameterMm }: Rivet): readonly OutsideLimits[] {
  const all = outsideLimits(diameterMm, layers);
  return [...new Map(all.map((one) => [`${one.part} ${one.thicknessMm}`, one])).values()];
}

/** Held holes are pinned too, so they are not told apart here. */
function pinLots(looks: readonly Look[]): readonly PinLot[] {
  const now = looks.map((look) => ({
    look,
    when: "now" as const,
    holeMm: look.grows && look.enlarged && look.finalMm !== null ? look.finalMm : look.hole.punchedMm,
  }));
  const later = looks.flatMap((look) =>
    look.grows && !look.enlarged && look.finalMm !== null
      ? [{ look, when: "enlarged" as const, holeMm: look.finalMm }]
      : [],
  );
  return groups([...now, ...later], ({ when, holeMm }) => [when, holeMm])
    .map(([{ when, holeMm }, group]) => ({
      holeMm,
      when,
      fastener: temporaryFastenerFor(holeMm),
      holes: group.map(({ look }) => look.hole.id),
    }))
    .sort((a, b) => a.holeMm - b.holeMm || compareTexts(b.when, a.when));
}

/**
 * Gates of the parts that come on and of those that the rivets to set go through. Of a part that no longer comes off
 * only what these rivets call for counts.
 */
function gateLots(standing: Standing, parts: readonly string[], toSet: readonly Hole[]): readonly GateLot[] {
  const closed = closedParts(standing.assembly, standing.work);
  const ids = new Set(toSet.map(({ id }) => id));
  const all = [...new Set([...parts, ...toSet.flatMap(stackOf)])].flatMap((part) =>
    prepGates(standing, part).filter(({ holes }) => !closed.has(part) || holes.some((hole) => ids.has(hole))),
  );
  const order = [...standing.kit.prepGates.map(({ id }) => id), "enlarge", "dimple", "countersink"];
  return groups(all, ({ gate }) => gate)
    .map(([{ gate }, states]) => ({
      gate,
      open: states.filter(({ done, needed }) => !done && needed === "true"),
      unknown: states.filter(({ done, needed }) => !done && needed === "unknown"),
      done: states.filter(({ done }) => done).map(({ part }) => part),
    }))
    .sort((a, b) => order.indexOf(a.gate) - order.indexOf(b.gate));
}

/** Holes that can be reached now and no longer once every rivet of the step is set. */
function walledInBy(
  { assembly, reach, work, rulings }: Standing,
  unset: readonly Hole[],
  own: ReadonlySet<string>,
): readonly WalledInBy[] {
  const closed = closedParts(assembly, work);
  const after = joined(closed, unset.flatMap(stackOf));
  return assembly.holes.flatMap((hole): WalledInBy[] => {
    const holeReach = reachAt(reach, hole);
    if (isSet(work, hole) || isWalledIn(holeReach, closed) || !isWalledIn(holeReach, after)) return [];
    const lost = holeReach.approaches.filter((approach) => isFree(approach, closed));
    const by = new Set(lost.flatMap(({ blockedBy }) => blockedBy.map(({ part }) => part)));
    return [
      {
        hole: hole.id,
        own: own.has(hole.id),
        by: assembly.parts.map(({ id }) => id).filter((id) => by.has(id) && after.has(id)),
        hold: holdOf(rulings, work, hole.id),
      },
    ];
  });
}

function orderRules(
  { assembly, work, rulings }: Standing,
  parts: ReadonlySet<string>,
  own: ReadonlySet<string>,
): readonly OrderRule[] {
  const states = partStates(assembly, work);
  return assembly.holes
    .filter((hole) => !isSet(work, hole))
    .flatMap((hole) => orderRulesOf(rulings, states, hole))
    .filter(({ hole, part, partState }) => partState !== "closed" && (own.has(hole) || parts.has(part)));
}

/** Things with equal keys together, in the order in which the first of each comes; a null key is passed over. */
function groups<T>(items: readonly T[], keyOf: (item: T) => unknown): [first: T, group: readonly T[]][] {
  const found = new Map<string, T[]>();
  for (const item of items) {
    const value = keyOf(item);
    if (value === null) continue;
    const key = JSON.stringify(value);
    const group = found.get(key);
    if (group) group.push(item);
    else found.set(key, [item]);
  }
  return [...found.values()].map((group) => [group[0] as T, group]);
}

function compareTexts(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
