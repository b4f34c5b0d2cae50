import type { Layer, Treatment } from "../kit/types.js";
import { withinDimpleLimit } from "./flush.js";

/** What is ruled of the layers under the one at the head, where it is more than the treatment says. */
export type Under = "dimple" | "countersink";

/** How one layer of a stack is formed for a flush head; null: it is not. */
export interface LayerWork {
  readonly part: string;
  readonly thicknessMm: number;
  readonly act: "dimple" | "countersink" | null;
  /** The layer at the head. */
  readonly isTop: boolean;
}

/**
 * How each layer of a hole's stack is formed, head side first. A countersink is cut into the layer at the head, dimples
 * are pressed into every layer. Where the layers under it are ruled to be countersunk, the dimples sit in a countersink of
 * the first of them that is too thick for a cold dimple, or of the first of all where none is; the thin ones above it are
 * dimpled, and those below it stay flat.
 * @param treatment  as settled
 * @param under      as settled; null where nothing else than the treatment is ruled
 * @source dimple-combination (NAVEDTRA 14018, Flush Riveting): a dimpled top sheet may sit in a machine countersink of the
 *         sheet below; for which of several lower layers it is: common practice, no source
 */
export function layerWork(
  layers: readonly Pick<Layer, "part" | "thicknessMm">[],
  treatment: Treatment,
  under: Under | null,
): readonly LayerWork[] {
  const isUnder = treatment === "dimple" && under === "countersink";
  const sunk = treatment === "countersink" ? 0 : isUnder ? sunkUnder(layers) : null;
  return layers.map(({ part, thicknessMm }, i) => ({
    part,
    thicknessMm,
    act: i === sunk ? "countersink" : treatment === "dimple" && (sunk === null || i < sunk) ? "dimple" : null,
    isTop: i === 0,
  }));
}

function sunkUnder(layers: readonly Pick<Layer, "thicknessMm">[]): number | null {
  if (layers.length < 2) return null;
  const thick = layers.findIndex(({ thicknessMm }, i) => i > 0 && !withinDimpleLimit(thicknessMm));
  return thick === -1 ? 1 : thick;
}
