import type { Approach, Hole, Room } from "../kit/types.js";
import { plus, times } from "../kit/vec.js";
import type { Cylinder } from "./distance.js";

/**
 * A room starts this far off the sheet's surface, so that the layers that lie in that surface (the
 * hole's own, and a neighbouring sheet that butts against them) don't count as in its way. Anything
 * that stands 0.05 mm proud of the surface does. Common practice, no source.
 */
export const START_GAP_MM = 0.05;

/**
 * The cylinder that a room takes at a hole: outwards from the head side's surface, or from the tail
 * side's. The approach's clearance is added to its radius.
 */
export function roomAt(hole: Hole, room: Room, approach: Approach): Cylinder {
  const head = room.side === "head";
  const off = room.fromMm + START_GAP_MM;
  const { at, normal } = hole;
  return {
    start: plus(at, times(normal, head ? off : -(hole.gripMm + off))),
    axis: head ? normal : times(normal, -1),
    lengthMm: room.lengthMm,
    radiusMm: room.radiusMm + approach.clearanceMm,
  };
}
