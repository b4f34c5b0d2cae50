import type { Hole, Rivet, Treatment } from "../kit/types.js";
import type { Figure } from "./figure.js";
import { gripOf } from "./grip.js";
import { type Drill, drillsWithin, type HoleFit, holeFit } from "./hole.js";
import { layoutMinimum } from "./layout.js";
import type { Citation } from "./table.js";

/** Whether a rivet's grip range holds the stack. `not known`: the kit states no range, or not the sunk head's height. */
export type GripFit = "fits" | "stack too thin" | "stack too thick" | "not known";

/** A rivet in its hole: grip, hole, drill, edge and pitch. */
export interface RivetFit {
  readonly rivet: Rivet;
  readonly grip: Figure;
  readonly gripFit: GripFit;
  /** Finished hole against the rivet's own limits. */
  readonly holeFit: HoleFit;
  /** Standard drills inside those limits, nearest to the middle first. */
  readonly drills: readonly Drill[];
  readonly edge: Spacing;
  /** To the nearest hole of any row; null for a hole that is alone in its sheets. */
  readonly pitch: Spacing | null;
}

/** A distance beside what it has to be. */
export interface Spacing {
  readonly thereMm: number;
  readonly neededMm: number;
  readonly serves: boolean;
  readonly sources: readonly Citation[];
}

/**
 * How a rivet fits a hole.
 * @param finalDiameterMm  diameter of the finished hole as settled
 * @param treatment        as settled; dimpled layers take the sunk head into the grip, and a kit that gives no
 *                         height for it leaves the grip unknown rather than short
 */
export function rivetFit(hole: Hole, rivet: Rivet, finalDiameterMm: number, treatment: Treatment): RivetFit {
  const layers = hole.layers.map((layer) => ({ name: layer.part, thicknessMm: layer.thicknessMm }));
  const grip = gripOf(layers);
  const minimum = layoutMinimum(rivet.diameterMm, rivet.head);
  const edgeMm = Math.min(...hole.layers.map((layer) => layer.edgeMm));
  return {
    rivet,
    grip,
    gripFit: gripFitOf(rivet, grip.value, treatment),
    holeFit: holeFit(finalDiameterMm, rivet.hole),
    drills: drillsWithin(rivet.hole),
    edge: spacing(edgeMm, minimum.edgeMm, minimum.sources),
    pitch: hole.nearestMm === null ? null : spacing(hole.nearestMm, minimum.pitchMm, minimum.sources),
  };
}

/**
 * Whether a rivet's range holds a stack.
 * @param stackMm    the sheets alone
 * @param treatment  dimples take the sunk head into the grip, so of them only "too thick" is certain
 */
export function gripFitOf({ grip }: Pick<Rivet, "grip">, stackMm: number, treatment: Treatment): GripFit {
  if (grip === null) return "not known";
  if (stackMm > grip.maxMm + 1e-6) return "stack too thick";
  if (treatment === "dimple") return "not known";
  return stackMm < grip.minMm - 1e-6 ? "stack too thin" : "fits";
}

function spacing(thereMm: number, neededMm: number, sources: readonly Citation[]): Spacing {
  return { thereMm, neededMm, serves: thereMm >= neededMm - 1e-6, sources };
}
