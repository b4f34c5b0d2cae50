import { gripFitOf } from "../fastener/fit.js";
import { holeFit } from "../fastener/hole.js";
import { layoutMinimum } from "../fastener/layout.js";
import type { HeadForm, Hole, Rivet, Treatment } from "../kit/types.js";
import type { HoleRuling } from "../ruling/types.js";
import { isLarger } from "./prep.js";
import type { Standing } from "./types.js";

/** Why the rivet that is ruled for a hole cannot go in as the rest of the ruling, the stack and the sheet are. */
export type Misfit =
  /** Its grip range does not hold the stack. */
  | {
      readonly what: "too thick" | "too thin";
      readonly rivet: string;
      readonly stackMm: number;
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
  /** Too near an edge, or another hole, for its size and head. */
  | {
      readonly what: "edge" | "nearest";
      readonly rivet: string;
      readonly part: string | null;
      readonly thereMm: number;
      readonly neededMm: number;
    };

/** Distances are compared as printed. */
const SLACK_MM = 1e-6;

/**
 * What is wrong with the ruled rivet at a hole. Rules settle rivet, head, treatment and final size one by one, so
 * that they agree is looked at here; so is what limits on the drawn rivet cannot see of a larger one.
 * @returns none where it goes in, and where what has to be known for a check is not settled: that is told elsewhere
 * @source kb/tables/layout.json for edge and pitch; the kit's own grip range and hole limits
 */
export function misfitsOf(
  { kit, rulings }: Pick<Standing, "kit" | "rulings">,
  hole: Hole,
): readonly Misfit[] {
  const ruling = rulings.of(hole.id);
  const code = settled(ruling, "rivet");
  const rivet = kit.rivets.find((one) => one.code === code);
  if (!rivet) return [];
  const treatment = settled(ruling, "treatment") as Treatment | null;
  return [
    ...gripMisfit(hole, rivet, treatment),
    ...headMisfit(rivet, settled(ruling, "head") as HeadForm | null, treatment),
    ...holeMisfit(hole, rivet, settled(ruling, "finalDiameterMm")),
    ...spacingMisfit(hole, rivet),
  ];
}

/** A ruled rivet of which nobody can tell whether it holds the stack. */
export interface GripDoubt {
  readonly rivet: string;
  /** The kit states no grip range for it; or the layers are dimpled, and no sunk head's height is known. */
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
  if (gripFitOf(rivet, hole.gripMm, treatment) !== "not known") return null;
  return { rivet: rivet.code, because: rivet.grip === null ? "no range" : "dimples" };
}

function settled({ attributes }: HoleRuling, name: string): unknown {
  const found = attributes[name];
  return found?.status === "settled" ? found.value : null;
}

/** While the treatment is open only a stack that is too thick is certain: dimples add to the grip. */
function gripMisfit(hole: Hole, rivet: Rivet, treatment: Treatment | null): readonly Misfit[] {
  const fit = gripFitOf(rivet, hole.gripMm, treatment ?? "dimple");
  if (rivet.grip === null || (fit !== "stack too thick" && fit !== "stack too thin")) return [];
  const what = fit === "stack too thick" ? "too thick" : "too thin";
  return [{ what, rivet: rivet.code, stackMm: hole.gripMm, ...rivet.grip }];
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

function spacingMisfit({ layers, nearestMm }: Hole, { code, diameterMm, head }: Rivet): readonly Misfit[] {
  const { edgeMm, pitchMm } = layoutMinimum(diameterMm, head);
  const edges = layers.map(({ part, edgeMm: thereMm }): Misfit => {
    return { what: "edge", rivet: code, part, thereMm, neededMm: edgeMm };
  });
  const near: readonly Misfit[] =
    nearestMm === null
      ? []
      : [{ what: "nearest", rivet: code, part: null, thereMm: nearestMm, neededMm: pitchMm }];
  return [...edges, ...near].filter((one) => "neededMm" in one && one.thereMm < one.neededMm - SLACK_MM);
}
