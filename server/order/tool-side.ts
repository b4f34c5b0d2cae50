import type { Approach, Side } from "../kit/types.js";

/** The side on which the tool stands: where the approach needs room farthest out. */
export function toolSide(approach: Approach | undefined): Side {
  const farthest = (side: Side): number =>
    Math.max(
      0,
      ...(approach?.rooms ?? [])
        .filter((room) => room.side === side)
        .map(({ fromMm, lengthMm }) => fromMm + lengthMm),
    );
  return farthest("tail") > farthest("head") ? "tail" : "head";
}
