import { type Figure, sumOf, type Term } from "./figure.js";
import { inputProblem, positive } from "./input.js";
import type { Citation } from "./table.js";

/** The term of a grip for a head that sinks into dimples. */
export const SUNK_HEAD = "flush head in the dimples";

/** One layer of a stack, head side first. */
export interface GripLayer {
  readonly name: string;
  readonly thicknessMm: number;
}

/**
 * Grip: what the rivet has to hold between its heads. Dimpled layers nest, so the stack stays as thick as
 * its sheets, but a pulled flush rivet through double-dimpled sheets must also reach past its own head:
 * its height is added when choosing the grip.
 * @param layers        head side first, mm
 * @param flushHeadMm   height of the countersunk head when the layers are dimpled for it, else null
 * @param headSource    where that height comes from
 * @returns mm, with the terms of the sum
 * @throws FASTENER_INPUT for no layers, or a thickness that is not above zero
 * @source dimple-grip-addition (US Army TM 9-2320-363-34-2, page 22-21)
 */
export function gripOf(
  layers: readonly GripLayer[],
  flushHeadMm: number | null = null,
  headSource: readonly Citation[] = [],
): Figure {
  if (layers.length === 0) throw inputProblem("layers", layers, "at least one layer");
  const terms: Term[] = layers.map((layer, i) => ({
    what: layer.name,
    sign: 1,
    value: positive(`layers/${i}/thicknessMm`, layer.thicknessMm),
  }));
  if (flushHeadMm !== null) {
    terms.push({ what: SUNK_HEAD, sign: 1, value: positive("flushHeadMm", flushHeadMm) });
  }
  return sumOf("mm", terms, headSource);
}
