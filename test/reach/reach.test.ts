import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Approach, Hole, Part, Vec } from "../../server/kit/types.js";
import { dot, minus } from "../../server/kit/vec.js";
import { reachOf } from "../../server/reach/reach.js";
import { roomAt, START_GAP_MM } from "../../server/reach/rooms.js";
import type { Reach } from "../../server/reach/types.js";
import { approach, assembly, box, hole, kit, part, room } from "../support/by-hand.js";

/** A puller of 10 mm radius and 100 mm length above the sheet, and 12 mm for the tail below it. */
const PULLER = approach("puller", [room("head", 10, 100), room("tail", 4, 12)]);

/** Skin on a rib's flange: the rivet's head at z = 0, its tail below z = −1. */
const SKIN = part("skin", [box([-200, -200, -0.5], [200, 200, 0], "flat")]);
const RIB = part("rib", [box([-10, -200, -1], [10, 200, -0.5], "flange")]);
const RIVET = hole("skin.a.1", ["skin/flat", "rib/flange"], { approaches: ["puller"] });

function reach(parts: readonly Part[], rivet: Hole = RIVET, by: readonly Approach[] = [PULLER]): Reach {
  const drawn = assembly(parts, [rivet]);
  return reachOf(kit(by, [drawn]), drawn);
}

const only = ({ holes }: Reach) => {
  const found = holes[0]?.approaches[0];
  if (!found) throw new Error("no approach");
  return found;
};

describe("which parts stand in a tool's way", () => {
  test("a rivet through skin and flange with nothing near it is free", () => {
    expect(only(reach([SKIN, RIB]))).toEqual({ approach: "puller", blockedBy: [], ownStack: [] });
  });

  test("a bracket over the head is in the puller's way, and the room is named", () => {
    const bracket = part("bracket", [box([-20, -20, 30], [20, 20, 32])]);
    expect(only(reach([SKIN, RIB, bracket])).blockedBy).toEqual([
      { part: "bracket", kind: "geometry", room: "puller nose", side: "head", why: null },
    ]);
  });

  test("a room for the drill is looked at by itself: what stops the puller may let a drill bit past", () => {
    const bitted = [approach("puller", PULLER.rooms, 0, [room("head", 2, 60, { what: "drill bit" })])];
    const ring = part("ring", [box([5, -20, 10], [20, 20, 12])]);
    const found = only(reach([SKIN, RIB, ring], RIVET, bitted));
    expect(found.blockedBy.map(({ part: by }) => by)).toEqual(["ring"]);
    expect(found.drill).toEqual({ blockedBy: [], ownStack: [] });
    const lid = part("lid", [box([-5, -5, 50], [5, 5, 52])]);
    expect(only(reach([SKIN, RIB, lid], RIVET, bitted)).drill?.blockedBy).toEqual([
      { part: "lid", kind: "geometry", room: "drill bit", side: "head", why: null },
    ]);
    expect(only(reach([SKIN, RIB, lid])).drill).toBeUndefined();
  });

  test("a bracket may stand in both rooms: one entry for each", () => {
    const clamp = part("clamp", [box([3, -5, -8], [30, 5, -3]), box([5, -5, 5], [30, 5, 8])]);
    expect(only(reach([SKIN, RIB, clamp])).blockedBy.map(({ side }) => side)).toEqual(["head", "tail"]);
  });

  test("two bodies of one part in one room are one entry", () => {
    const comb = part("comb", [box([5, -5, 5], [30, 5, 8]), box([5, -5, 15], [30, 5, 18])]);
    expect(only(reach([SKIN, RIB, comb])).blockedBy).toHaveLength(1);
  });

  test("the sheets that the rivet goes through are not in its way, the rib's own web is", () => {
    const web = box([5, -200, -40], [5.5, 200, -1], "web");
    const away = box([15, -200, -40], [15.5, 200, -1], "web");
    expect(only(reach([SKIN, { ...RIB, bodies: [...RIB.bodies, away] }])).ownStack).toEqual([]);
    const wide = [approach("puller", [room("tail", 6, 12)])];
    const found = only(reach([SKIN, { ...RIB, bodies: [...RIB.bodies, web] }], RIVET, wide));
    expect(found.ownStack).toEqual([
      { part: "rib", kind: "geometry", room: "tail", side: "tail", why: null },
    ]);
    expect(found.blockedBy).toEqual([]);
  });

  test("the clearance is kept all round the tool", () => {
    const flange = part("flange", [box([11, -50, 0], [12, 50, 30])]);
    expect(only(reach([SKIN, RIB, flange])).blockedBy).toEqual([]);
    const careful = [approach("puller", PULLER.rooms, 1.5)];
    expect(only(reach([SKIN, RIB, flange], RIVET, careful)).blockedBy.map((found) => found.part)).toEqual([
      "flange",
    ]);
  });

  test("a skin that butts against this one at the same level is clear; a doubler that stands proud is not", () => {
    const butt = part("butt", [box([3, -200, -0.5], [200, 200, 0])]);
    expect(only(reach([SKIN, RIB, butt])).blockedBy).toEqual([]);
    const doubler = part("doubler", [box([3, -200, 0], [200, 200, 0.8])]);
    expect(only(reach([SKIN, RIB, doubler])).blockedBy.map((found) => found.part)).toEqual(["doubler"]);
  });

  test("a room that starts off the sheet passes over what lies below its start", () => {
    const doubler = part("doubler", [box([3, -200, 0], [200, 200, 0.8])]);
    const over = [approach("puller", [room("head", 10, 100, { fromMm: 1 })])];
    expect(only(reach([SKIN, RIB, doubler], RIVET, over)).blockedBy).toEqual([]);
  });

  test("a fact that the kit states counts beside the drawing, and says that it was stated", () => {
    const drawn = assembly([SKIN, RIB, part("conduit")], [RIVET], {
      statedBlocks: [{ hole: RIVET.id, approach: "puller", by: "conduit", why: "the loom is tied here" }],
    });
    expect(only(reachOf(kit([PULLER], [drawn]), drawn)).blockedBy).toEqual([
      { part: "conduit", kind: "stated", room: null, side: null, why: "the loom is tied here" },
    ]);
  });

  test("a stated fact about a part of the hole's own stack ends the approach for good", () => {
    const drawn = assembly([SKIN, RIB], [RIVET], {
      statedBlocks: [{ hole: RIVET.id, approach: "puller", by: "rib", why: "the joggle" }],
    });
    expect(only(reachOf(kit([PULLER], [drawn]), drawn)).ownStack.map((found) => found.part)).toEqual(["rib"]);
  });

  test("an approach that the kit doesn't have is refused by name", () => {
    const lost = { ...RIVET, approaches: ["gun"] };
    expect(() => reach([SKIN, RIB], lost)).toThrow(expect.objectContaining({ code: "UNKNOWN_ID" }));
  });
});

describe("a hole's rooms", () => {
  test("head and tail rooms run away from each other, off the two faces of the stack", () => {
    const rivet = { ...RIVET, at: [10, 20, 30] as Vec, normal: [0, 1, 0] as Vec };
    const [nose, tail] = PULLER.rooms;
    if (!nose || !tail) throw new Error("no rooms");
    expect(roomAt(rivet, nose, PULLER)).toMatchObject({
      start: [10, 20 + START_GAP_MM, 30],
      axis: [0, 1, 0],
    });
    const behind = roomAt(rivet, tail, PULLER);
    expect(behind.start[1]).toBeCloseTo(20 - 1 - START_GAP_MM, 12);
    expect(behind.axis).toEqual([-0, -1, -0]);
  });

  test("the layers that a hole goes through lie between its rooms, however it is turned", () => {
    const angle = fc.double({ min: 0, max: 2 * Math.PI, noNaN: true });
    const thick = fc.array(fc.double({ min: 0.3, max: 6, noNaN: true }), { minLength: 1, maxLength: 4 });
    fc.assert(
      fc.property(angle, angle, thick, (a, b, layersMm) => {
        const normal: Vec = [Math.cos(a) * Math.cos(b), Math.sin(a) * Math.cos(b), Math.sin(b)];
        const gripMm = layersMm.reduce((sum, one) => sum + one, 0);
        const rivet = { ...RIVET, normal, gripMm, at: [1234, -567, 89] as Vec };
        for (const one of PULLER.rooms) {
          const { start, axis } = roomAt(rivet, one, PULLER);
          // The stack reaches from 0 to −grip along the normal; a room begins outside and runs further away.
          const height = dot(minus(start, rivet.at), normal);
          const outside = one.side === "head" ? height : -gripMm - height;
          expect(outside).toBeCloseTo(START_GAP_MM, 9);
          expect(dot(axis, normal) * (one.side === "head" ? 1 : -1)).toBeCloseTo(1, 12);
        }
      }),
    );
  });
});

describe("laws of reach", () => {
  const at = fc.integer({ min: -40, max: 40 });
  const side = fc.integer({ min: 1, max: 30 });
  const someBox = fc
    .tuple(at, at, at, side, side, side)
    .map(([x, y, z, a, b, c]) => box([x, y, z], [x + a, y + b, z + c]));
  const someParts = fc
    .array(fc.array(someBox, { minLength: 1, maxLength: 3 }), { minLength: 1, maxLength: 8 })
    .map((bodies) => bodies.map((of, i) => part(`p${i}`, of)));
  const rivet = hole("p0.a.1", ["p0/flat"], { approaches: ["puller"] });

  test("shuffling the parts changes nothing", () => {
    fc.assert(
      fc.property(
        someParts.chain((parts) =>
          fc.tuple(fc.constant(parts), fc.shuffledSubarray(parts, { minLength: parts.length })),
        ),
        ([parts, shuffled]) => {
          expect(reach(shuffled, rivet)).toEqual(reach(parts, rivet));
        },
      ),
    );
  });

  test("a longer or wider room, or more clearance, is never less in the way", () => {
    const more = fc.double({ min: 0, max: 20, noNaN: true });
    fc.assert(
      fc.property(someParts, more, more, more, (parts, longer, wider, clearance) => {
        const small = [approach("puller", [room("head", 4, 20), room("tail", 3, 10)])];
        const large = [
          approach(
            "puller",
            [room("head", 4 + wider, 20 + longer), room("tail", 3 + wider, 10 + longer)],
            clearance,
          ),
        ];
        const inTheWay = (found: Reach): string[] =>
          [...only(found).blockedBy, ...only(found).ownStack].map(
            (blocker) => `${blocker.part} ${blocker.room}`,
          );
        expect(inTheWay(reach(parts, rivet, large))).toEqual(
          expect.arrayContaining(inTheWay(reach(parts, rivet, small))),
        );
      }),
    );
  });
});
