import type { Approach, Assembly, Body, Hole, Kit, Room, StatedBlock } from "../kit/types.js";
import { Problem } from "../problem.js";
import { boxAround, boxAroundCylinder, boxTree } from "./box-tree.js";
import { meets, TOUCHING_MM } from "./distance.js";
import { roomAt } from "./rooms.js";
import type { ApproachReach, Blocker, HoleReach, Reach } from "./types.js";

/**
 * Which parts stand in the way of each approach of each hole, once they are on. A part stands in the
 * way of a room when a body of it meets the room's cylinder (see `roomAt`), or when the kit states so
 * by hand. The sheets that a hole goes through don't count for that hole; the other sheets and bodies
 * of the same parts do, as `ownStack`: their approach can never work. Where an approach draws room for a
 * drill, the same is told of that room.
 *
 * Blockers come by part id, drawn before stated, then in the order of the approach's rooms (one for each
 * part and room): the same whatever the order of the kit's lists.
 * @throws UNKNOWN_ID when a hole or a stated fact names an approach that the kit doesn't have
 */
export function reachOf(kit: Kit, assembly: Assembly): Reach {
  const approaches = new Map(kit.approaches.map((approach) => [approach.id, approach]));
  const bodies = assembly.parts.flatMap((part) => part.bodies.map((body) => ({ part: part.id, body })));
  const tree = boxTree(bodies.map(({ body }) => boxAround(body.corners)));
  const stated = statedByHole(assembly);

  const drawn = (hole: Hole, approach: Approach, rooms: readonly Room[]): Blocker[] =>
    rooms.flatMap((room) => {
      const cylinder = roomAt(hole, room, approach);
      const parts = new Set<string>();
      for (const i of tree.near(boxAroundCylinder(cylinder, TOUCHING_MM))) {
        const candidate = bodies[i];
        if (!candidate || parts.has(candidate.part) || isLayerOf(hole, candidate)) continue;
        if (meets(cylinder, candidate.body.corners)) parts.add(candidate.part);
      }
      return [...parts].map(
        (part): Blocker => ({ part, kind: "geometry", room: room.what, side: room.side, why: null }),
      );
    });

  const holes = assembly.holes.map((hole): HoleReach => {
    const byHand = stated.get(hole.id) ?? [];
    return {
      hole: hole.id,
      approaches: hole.approaches.map((id): ApproachReach => {
        const approach = approaches.get(id);
        if (!approach) throw unknownApproach(kit, id, hole.id);
        const facts = byHand.filter((fact) => fact.approach === id).map(asBlocker);
        const inRooms = (rooms: readonly Room[]) =>
          sortedOut(hole, [...drawn(hole, approach, rooms), ...facts]);
        return {
          approach: id,
          ...inRooms(approach.rooms),
          ...(approach.drill.length > 0 ? { drill: inRooms(approach.drill) } : {}),
        };
      }),
    };
  });
  return { holes };
}

/** Blockers in their order, those of the hole's own stack apart. */
function sortedOut(hole: Hole, blockers: Blocker[]): Pick<ApproachReach, "blockedBy" | "ownStack"> {
  // The sort is stable: the rooms that one part stands in stay in their order.
  blockers.sort(
    (a, b) => compare(a.part, b.part) || compare(a.kind, b.kind) || compare(a.why ?? "", b.why ?? ""),
  );
  const own = new Set(hole.layers.map((layer) => layer.part));
  return {
    blockedBy: blockers.filter(({ part }) => !own.has(part)),
    ownStack: blockers.filter(({ part }) => own.has(part)),
  };
}

/** Whether a body is one of the very layers that the hole goes through: flat, and ending where the rooms begin. */
function isLayerOf(hole: Hole, { part, body }: { readonly part: string; readonly body: Body }): boolean {
  return (
    body.sheet !== null && hole.layers.some((layer) => layer.part === part && layer.sheet === body.sheet)
  );
}

function statedByHole(assembly: Assembly): ReadonlyMap<string, readonly StatedBlock[]> {
  const byHole = new Map<string, StatedBlock[]>();
  for (const fact of assembly.statedBlocks) {
    const list = byHole.get(fact.hole);
    if (list) list.push(fact);
    else byHole.set(fact.hole, [fact]);
  }
  return byHole;
}

function asBlocker({ by, why }: StatedBlock): Blocker {
  return { part: by, kind: "stated", room: null, side: null, why };
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

function unknownApproach(kit: Kit, id: string, hole: string): Problem {
  return new Problem(
    "UNKNOWN_ID",
    `Hole ${hole} names the approach "${id}", which ${kit.name} doesn't have.`,
    {
      fix: "Use one of the kit's approaches.",
    },
  );
}
