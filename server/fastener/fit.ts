import type { Hole, Rivet } from "../kit/types.js";
import type { Figure } from "./figure.js";
import { gripOf } from "./grip.js";
import type { LayerWork } from "./layer-work.js";

/** Whether a rivet's grip range holds the stack. `not known`: the kit states no range, or not the sunk head's height. */
export type GripFit = "fits" | "stack too thin" | "stack too thick" | "not known";

/**
 * How a formed stack lies against its rivet. `dimpled`: down to its far face, so that the sunk head adds to the grip; a
 * stack whose dimples sit in a countersink is as flat behind as any other. `open`: how it is formed is not settled.
 */
export type StackForm = "flat" | "dimpled" | "open";

/** @param layers  as they are formed; none where that is not settled */
export function stackFormOf(layers: readonly LayerWork[]): StackForm {
  const last = layers[layers.length - 1];
  if (!last) return "open";
  return last.act === "dimple" ? "dimpled" : "flat";
}

type Holding = Pick<Rivet, "kind" | "grip" | "sunkHeightMm">;

/** What the sunk head of a pulled rivet adds in dimples, mm; null where nobody has said. Of a solid one no table tells. */
function sunkOf({ kind, sunkHeightMm }: Holding): number | null {
  return kind === "pulled" ? sunkHeightMm : null;
}

/**
 * What a rivet has to hold at a hole, as far as it is known.
 * @source dimple-grip-addition (US Army TM 9-2320-363-34-2, page 22-21): for double-dimpled sheets the height of the
 *         countersunk head is added when choosing a blind rivet's grip
 */
export function gripAt(hole: Pick<Hole, "layers">, rivet: Holding, form: StackForm): Figure {
  const layers = hole.layers.map(({ part, thicknessMm }) => ({ name: part, thicknessMm }));
  return gripOf(layers, form === "dimpled" ? sunkOf(rivet) : null);
}

/**
 * Whether a rivet's range holds a stack.
 * @param stackMm  the sheets alone
 */
export function gripFitOf(rivet: Holding, stackMm: number, form: StackForm): GripFit {
  const { grip } = rivet;
  if (grip === null) return "not known";
  const sunkMm = form === "dimpled" ? sunkOf(rivet) : 0;
  const holdsMm = stackMm + (sunkMm ?? 0);
  // Dimples only add to the grip, so "too thick" is certain before they are reckoned with.
  if (holdsMm > grip.maxMm + SLACK_MM) return "stack too thick";
  if (form === "open" || sunkMm === null) return "not known";
  return holdsMm < grip.minMm - SLACK_MM ? "stack too thin" : "fits";
}

/** Sizes are compared as printed. */
const SLACK_MM = 1e-6;
