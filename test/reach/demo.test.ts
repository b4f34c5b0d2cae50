import { describe, expect, test } from "vitest";
import { meets } from "../../server/reach/distance.js";
import { reachOf } from "../../server/reach/reach.js";
import { roomAt } from "../../server/reach/rooms.js";
import { assembly, kit } from "../support/tailplane.js";

const approaches = new Map(kit.approaches.map((approach) => [approach.id, approach]));

describe("reach on the tailplane", () => {
  test("no layer that a hole goes through reaches into a room of that hole", () => {
    let looked = 0;
    for (const hole of assembly.holes) {
      for (const id of hole.approaches) {
        const approach = approaches.get(id);
        for (const room of approach?.rooms ?? []) {
          for (const part of assembly.parts) {
            const layers = hole.layers.filter((layer) => layer.part === part.id).map(({ sheet }) => sheet);
            for (const body of part.bodies.filter(({ sheet }) => sheet !== null && layers.includes(sheet))) {
              looked++;
              if (approach) expect(meets(roomAt(hole, room, approach), body.corners), hole.id).toBe(false);
            }
          }
        }
      }
    }
    expect(looked).toBeGreaterThan(assembly.holes.length);
  });

  test("every hole can be set as long as nothing is closed", () => {
    const never = reachOf(kit, assembly).holes.filter(({ approaches: all }) =>
      all.every(({ ownStack }) => ownStack.length > 0),
    );
    expect(never).toEqual([]);
  });
});
