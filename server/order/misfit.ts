import { gripAt, gripFitOf, stackFormOf } from "../fastener/fit.js";
import { layerChoice } from "../fastener/flush-tool.js";
import { holeFit } from "../fastener/hole.js";
import { SAME_SIZE_MM } from "../fastener/input.js";
import { layoutMinimum } from "../fastener/layout.js";
import { rowPatternAt } from "../fastener/row-pattern.js";
import type { Assembly, HeadForm, Hole, Rivet, Treatment } from "../kit/types.js";
import type { HoleRuling } from "../ruling/types.js";
import { isLarger, workAt } from "./prep.js";
import type { Standing } from "./types.js";

/** Why the rivet that is ruled for a hole cannot go in as the rest of the ruling, the stack and the sheet are. */
export type Misfit =
  /** Its grip range does not hold the stack. */
  | {
      readonly what: "too thick" | "too thin";
      readonly rivet: string;
      /** What it would have to hold: the sheets, and in dimples the sunk head. */
      readonly gripMm: number;
      readonly isDimpled: boolean;
      readonly minMm: number;
      readonly maxMm: number;
    }
  /** Its head is not the one that is ruled. */
  | { readonly what: "head"; readonly rivet: string; readonly head: HeadForm; readonly ruled: HeadForm }
  /** A flush head without a dimple or countersink, or a protruding one on either. */
  | {
      readonly what: "treatment";
      readonly rivet: string;
      readonly head: HeadForm;
      readonly treatment: Treatment;
    }
  /** The finished hole is outside its limits. */
  | {
      readonly what: "hole";
      readonly rivet: string;
      readonly finishedMm: number;
      readonly minMm: number;
      readonly maxMm: number;
    }
  /** It is countersunk on the handbook's word for the drawn rivet, and the sheet under the head is too thin for this one. */
  | {
      readonly what: "gauge";
      readonly rivet: string;
      readonly part: string;
      readonly thereMm: number;
      /** Null where no gauge is printed for its size. */
      readonly neededMm: number | null;
    }
  /** Too near an edge, or another hole, for its size and head. */
  | Near;

interface Near {
  /** `along`: to the next hole of its row, where rows lie side by side; `apart`: between these rows. */
  readonly what: "edge" | "nearest" | "along" | "apart";
  readonly rivet: string;
  readonly part: string | null;
  readonly thereMm: number;
  readonly neededMm: number;
}

/** Distances are compared as printed. */
const SLACK_MM = 1e-6;

/**
 * What is wrong with the ruled rivet at a hole. Rules settle rivet, head, treatment and final size one by one, so
 * that they agree is looked at here; so is what limits on the drawn rivet cannot see of a larger one.
 * @returns none where it goes in, and where what has to be known for a check is not settled: that is told elsewhere
 * @source kb/tables/layout.json for edge and pitch, countersink-gauges.json; the kit's own grip range and hole limits
 */
export function misfitsOf(
  { kit, assembly, rulings }: Pick<Standing, "kit" | "assembly" | "rulings">,
  hole: Hole,
): readonly Misfit[] {
  const ruling = rulings.of(hole.id);
  const code = settled(ruling, "rivet");
  const rivet = kit.rivets.find((one) => one.code === code);
  if (!rivet) return [];
  const treatment = settled(ruling, "treatment") as Treatment | null;
  return [
    ...gripMisfit(hole, rivet, ruling),
    ...headMisfit(rivet, settled(ruling, "head") as HeadForm | null, treatment),
    ...holeMisfit(hole, rivet, settled(ruling, "finalDiameterMm")),
    ...gaugeMisfit(hole, rivet, ruling),
    ...spacingMisfit(assembly, hole, rivet),
  ];
}

/** A ruled rivet of which nobody can tell whether it holds the stack. */
export interface GripDoubt {
  readonly rivet: string;
  /** The kit states no grip range for it; or the layers are dimpled, and the kit does not say what the sunk head adds. */
  readonly because: "no range" | "dimples";
}

/** Null where it is known whether the ruled rivet holds the stack, and where no rivet or no treatment is settled. */
export function gripDoubtOf(
  { kit, rulings }: Pick<Standing, "kit" | "rulings">,
  hole: Hole,
): GripDoubt | null {
  const ruling = rulings.of(hole.id);
  const treatment = settled(ruling, "treatment") as Treatment | null;
  const rivet = kit.rivets.find(({ code }) => code === settled(ruling, "rivet"));
  if (!rivet || treatment === null) return null;
  if (gripFitOf(rivet, hole.gripMm, stackFormOf(workAt(hole, ruling))) !== "not known") return null;
  return { rivet: rivet.code, because: rivet.grip === null ? "no range" : "dimples" };
}

function settled({ attributes }: HoleRuling, name: string): unknown {
  const found = attributes[name];
  return found?.status === "settled" ? found.value : null;
}

function gripMisfit(hole: Hole, rivet: Rivet, ruling: HoleRuling): readonly Misfit[] {
  const form = stackFormOf(workAt(hole, ruling));
  const fit = gripFitOf(rivet, hole.gripMm, form);
  if (rivet.grip === null || (fit !== "stack too thick" && fit !== "stack too thin")) return [];
  const what = fit === "stack too thick" ? "too thick" : "too thin";
  const gripMm = gripAt(hole, rivet, form).value;
  return [{ what, rivet: rivet.code, gripMm, isDimpled: form === "dimpled", ...rivet.grip }];
}

function headMisfit(
  { code, head }: Rivet,
  ruled: HeadForm | null,
  treatment: Treatment | null,
): readonly Misfit[] {
  if (ruled !== null && ruled !== head) return [{ what: "head", rivet: code, head, ruled }];
  if (treatment === null) return [];
  const isSunk = treatment === "dimple" || treatment === "countersink";
  return isSunk === (head === "flush") ? [] : [{ what: "treatment", rivet: code, head, treatment }];
}

function holeMisfit(hole: Hole, rivet: Rivet, final: unknown): readonly Misfit[] {
  if (typeof final !== "number") return [];
  const finishedMm = isLarger(final, hole.punchedMm) ? final : hole.punchedMm;
  return holeFit(finishedMm, rivet.hole) === "fits"
    ? []
    : [{ what: "hole", rivet: rivet.code, finishedMm, ...rivet.hole }];
}

/**
 * The handbook's rule on countersinks can see the drawn rivet alone: rules on a treatment come before those on the rivet,
 * which may rest on it. Where the kit's own rules say countersink, they stand.
 */
function gaugeMisfit(hole: Hole, rivet: Rivet, { attributes: { treatment } }: HoleRuling): readonly Misfit[] {
  const [top] = hole.layers;
  if (treatment?.value !== "countersink" || treatment.rank !== "handbook" || !top) return [];
  if (Math.abs(rivet.diameterMm - hole.rivet.diameterMm) <= SAME_SIZE_MM) return [];
  const choice = layerChoice(rivet.diameterMm, top.thicknessMm);
  if (choice?.mayCountersink) return [];
  const { part, thicknessMm: thereMm } = top;
  return [{ what: "gauge", rivet: rivet.code, part, thereMm, neededMm: choice?.gaugeMm ?? null }];
}

function spacingMisfit(assembly: Assembly, hole: Hole, rivet: Rivet): readonly Misfit[] {
  const { code, diameterMm, head } = rivet;
  const { edgeMm, pitchMm } = layoutMinimum(diameterMm, head);
  const pattern = rowPatternAt(assembly, hole, diameterMm, head);
  const near = (what: Near["what"], thereMm: number | null, neededMm: number, part: string | null = null) =>
    thereMm === null || thereMm >= neededMm - SLACK_MM
      ? []
      : [{ what, rivet: code, part, thereMm, neededMm }];
  return [
    ...hole.layers.flatMap((layer) => near("edge", layer.edgeMm, edgeMm, layer.part)),
    ...near("nearest", hole.nearestMm, pitchMm),
    ...(pattern ? near("along", hole.pitchMm, pattern.pitchNeededMm) : []),
    ...(pattern ? near("apart", pattern.apartMm, pattern.apartNeededMm) : []),
  ];
}
