import { describe, expect, it } from "vitest";
import { finder } from "../../server/kit/find.js";
import { loadKit } from "../../server/kit/load.js";
import type { StillGapFile } from "../../server/kit/schema.js";
import type { Assembly, Hole, Kit } from "../../server/kit/types.js";
import { filesOf, type SmallKit, smallKit } from "./small-kit.js";

function load(change: (small: SmallKit) => void = () => {}): Kit {
  const small = smallKit();
  change(small);
  return loadKit(filesOf(small));
}

function assemblyOf(kit: Kit): Assembly {
  const [assembly] = kit.assemblies;
  if (!assembly) throw new Error("the small kit has one assembly");
  return assembly;
}

function holeOf(kit: Kit, id: string): Hole {
  return finder(assemblyOf(kit)).hole(id);
}

describe("a row", () => {
  it("puts its holes evenly from its first to its last, numbered from 1", () => {
    const assembly = assemblyOf(load());
    const holes = finder(assembly).holesOfRow("SKIN.a");
    expect(holes.map((hole) => hole.id)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9].map((n) => `SKIN.a.${n}`));
    expect(holes.map((hole) => hole.at[0])).toEqual([20, 40, 60, 80, 100, 120, 140, 160, 180]);
    expect(holes.every((hole) => hole.pitchMm === 20)).toBe(true);
  });

  it("of one hole has no pitch", () => {
    const kit = load(({ assembly }) => {
      const row = assembly.rows[1];
      if (row) row.holes = { at: [[90, 38.8, -30]] };
    });
    expect(holeOf(kit, "BRACKET.c.1").pitchMm).toBeNull();
  });

  it("has the pitch of each hole to its nearest, even when holes are drawn one by one and in no order", () => {
    const kit = load(({ assembly }) => {
      const row = assembly.rows[1];
      if (!row) return;
      row.holes = {
        at: [
          [90, 38.8, -30],
          [110, 38.8, -30],
          [90, 38.8, -42],
          [102, 38.8, -30],
        ],
      };
    });
    expect([1, 2, 3, 4].map((n) => holeOf(kit, `BRACKET.c.${n}`).pitchMm)).toEqual([12, 8, 12, 8]);
  });

  it("leaves its normal any length: the hole's is 1 long", () => {
    expect(holeOf(load(), "BRACKET.c.1").normal).toEqual([0, -1, 0]);
  });

  it("passes on to each hole what the drawing states, and an exception adds to it", () => {
    const kit = load();
    expect(holeOf(kit, "SKIN.a.3").given).toEqual({ zone: "root" });
    expect(holeOf(kit, "SKIN.a.2").given).toEqual({ zone: "root", faired: true });
    expect(holeOf(kit, "SKIN.a.3").rivet.code).toBe("PR-32-8");
    expect(holeOf(kit, "SKIN.a.2").rivet.code).toBe("PF-40-8");
  });

  it("can change the layers, the punched size and the approaches for some holes", () => {
    const kit = load(({ assembly }) => {
      assembly.rows[0]?.except?.push({
        holes: [9],
        stack: [{ part: "SKIN", sheet: "flat" }],
        punched: 2.5,
        rivet: "SR-32-8",
        approaches: ["gun-and-bar"],
      });
    });
    expect(holeOf(kit, "SKIN.a.9")).toMatchObject({
      punchedMm: 2.5,
      gripMm: 0.8,
      approaches: ["gun-and-bar"],
      layers: [{ part: "SKIN" }],
    });
    expect(holeOf(kit, "SKIN.a.8").layers).toHaveLength(2);
  });
});

describe("a hole's stack", () => {
  it("has its layers head side first, each with its own material and thickness; the grip is their sum", () => {
    const hole = holeOf(load(), "SKIN.a.1");
    expect(
      hole.layers.map(({ part, sheet, material, thicknessMm }) => [part, sheet, material, thicknessMm]),
    ).toEqual([
      ["SKIN", "flat", "2024-T3", 0.8],
      ["RIB", "flange", "6061-T6", 1],
    ]);
    expect(hole.gripMm).toBeCloseTo(1.8, 9);
  });

  it("has in each layer the distance to that layer's own nearest edge", () => {
    const kit = load();
    expect(holeOf(kit, "SKIN.a.1").layers.map((layer) => layer.edgeMm)).toEqual([20, 10]);
    expect(holeOf(kit, "SKIN.a.5").layers.map((layer) => layer.edgeMm)).toEqual([50, 10]);
  });

  it("may be drawn to a tenth of a millimetre", () => {
    const shifted = load(({ assembly }) => {
      const sheet = assembly.parts[2]?.sheets[0];
      if (sheet) sheet.outline = sheet.outline.map(([x, y, z]) => [x, y, z - 0.09]);
    });
    expect(assemblyOf(shifted).holes).toHaveLength(11);
  });

  it("is the same whichever way round its outlines are drawn", () => {
    const reversed = load(({ assembly }) => {
      for (const part of assembly.parts) for (const sheet of part.sheets) sheet.outline.reverse();
    });
    expect(assemblyOf(reversed).holes).toEqual(assemblyOf(load()).holes);
  });
});

describe("a sheet that comes over a head", () => {
  const coveredIn = (kit: Kit): string[] =>
    assemblyOf(kit)
      .holes.filter((hole) => hole.coveredBy !== null)
      .map((hole) => `${hole.id} by ${hole.coveredBy}`);
  const lapAt = (x: number, z: number, thickness = 0.8): Kit =>
    load(({ assembly }) => {
      const lap = assembly.parts[1];
      if (!lap) return;
      lap.thickness = thickness;
      lap.sheets = [
        {
          id: "flat",
          outline: [
            [x, 0, z],
            [260, 0, z],
            [260, 100, z],
            [x, 100, z],
          ],
        },
      ];
    });

  it("covers the holes under it that it is not riveted by", () => {
    expect(coveredIn(load())).toEqual(["SKIN.a.8 by LAP", "SKIN.a.9 by LAP"]);
  });

  it("covers them up to two millimetres off the surface, measured to its near face", () => {
    expect(coveredIn(lapAt(150, 0.4 + 1.9 + 0.4))).toHaveLength(2);
    expect(coveredIn(lapAt(150, 0.4 + 2.1 + 0.4))).toEqual([]);
    expect(coveredIn(lapAt(150, 0.4 + 3, 6))).toHaveLength(2);
  });

  it("covers a head that only reaches under its edge", () => {
    expect(coveredIn(lapAt(143, 0.8))).toContain("SKIN.a.7 by LAP");
    expect(coveredIn(lapAt(143.5, 0.8))).not.toContain("SKIN.a.7 by LAP");
  });

  it("does not cover from behind", () => {
    expect(coveredIn(lapAt(150, -2))).toEqual([]);
  });

  it("does not cover when it stands on edge", () => {
    const kit = load(({ assembly }) => {
      const lap = assembly.parts[1];
      if (!lap) return;
      lap.sheets = [
        {
          id: "flat",
          outline: [
            [150, 50, 0.4],
            [260, 50, 0.4],
            [260, 50, 60],
            [150, 50, 60],
          ],
        },
      ];
    });
    expect(coveredIn(kit)).toEqual([]);
  });

  it("does not count when it is another face of a part that the hole goes through", () => {
    const kit = load(({ assembly }) => {
      const [, lap, rib] = assembly.parts;
      const [face] = lap?.sheets ?? [];
      if (!lap || !rib || !face) return;
      rib.sheets.push({ ...face, id: "cap" });
      lap.sheets = [{ ...face, outline: face.outline.map(([x, y]) => [x, y, 50]) }];
    });
    expect(coveredIn(kit)).toEqual([]);
  });

  it("of several, the nearest is named", () => {
    const kit = load(({ assembly }) => {
      const lap = assembly.parts[1];
      if (!lap) return;
      assembly.parts.push({
        ...structuredClone(lap),
        id: "A-DOUBLER",
        sheets: lap.sheets.map((sheet) => ({
          ...sheet,
          outline: sheet.outline.map(([x, y, z]): [number, number, number] => [x, y, z + 0.8]),
        })),
      });
    });
    expect(coveredIn(kit)).toEqual(["SKIN.a.8 by LAP", "SKIN.a.9 by LAP"]);
  });
});

describe("a gap to a neighbouring surface", () => {
  const gapAt = (n: number): number | null | undefined => {
    const { neighbour } = holeOf(load(), `SKIN.a.${n}`);
    return neighbour === null ? undefined : neighbour.gapMm;
  };

  it("runs evenly from the first named hole to the last, with the way between them", () => {
    expect([1, 2, 3, 5].map(gapAt)).toEqual([1.5, 1.75, 2, 2.5]);
  });

  it("is absent where nothing comes near, and null where something does but how near is not known", () => {
    expect(gapAt(4)).toBeUndefined();
    expect(gapAt(6)).toBeNull();
    expect(gapAt(7)).toBe(3);
  });

  it("without hole numbers is for the whole row", () => {
    const kit = load(({ assembly }) => {
      const [neighbour] = assembly.neighbours;
      if (neighbour) neighbour.gaps = [{ row: "SKIN.a", gap: { first: 4, last: 2 } }];
    });
    expect([1, 5, 9].map((n) => holeOf(kit, `SKIN.a.${n}`).neighbour?.gapMm)).toEqual([4, 3, 2]);
  });

  it("has no tolerance, no margin and no travel where the kit states none", () => {
    expect(holeOf(load(), "SKIN.a.7").neighbour).toEqual({
      id: "fairing",
      name: "fairing",
      gapMm: 3,
      toleranceMm: null,
      headMarginMm: null,
      positions: [],
    });
  });

  it("of a moving surface is the least over its travel, hole by hole", () => {
    const { neighbour } = holeOf(load(moving({ first: 3, last: 1 }, 2)), "SKIN.a.1");
    expect(neighbour).toMatchObject({ gapMm: 2, toleranceMm: 0.2, headMarginMm: 0.8 });
    expect(neighbour?.positions).toEqual([
      { name: "down", gapMm: 3 },
      { name: "up", gapMm: 2 },
    ]);
    const gaps = (n: number) =>
      holeOf(load(moving({ first: 3, last: 1 }, 2)), `SKIN.a.${n}`).neighbour?.gapMm;
    expect([1, 5, 7, 9].map(gaps)).toEqual([2, 2, 1.5, 1]);
  });

  it("of a moving surface is not known while it is not known in one position, however near it comes in another", () => {
    const { neighbour } = holeOf(load(moving(0.5, null)), "SKIN.a.4");
    expect(neighbour?.gapMm).toBeNull();
    expect(neighbour?.positions).toEqual([
      { name: "down", gapMm: 0.5 },
      { name: "up", gapMm: null },
    ]);
  });
});

/** A flap that moves over the whole row, with its gaps down and up. */
function moving(down: StillGapFile, up: StillGapFile): (small: SmallKit) => void {
  return ({ assembly }) => {
    assembly.neighbours = [
      {
        id: "flap",
        name: "the flap",
        tolerance: 0.2,
        headMargin: 0.8,
        gaps: [
          {
            row: "SKIN.a",
            gap: {
              positions: [
                { name: "down", gap: down },
                { name: "up", gap: up },
              ],
            },
          },
        ],
      },
    ];
  };
}

describe("a part", () => {
  it("knows its family and its place there", () => {
    const { part } = finder(assemblyOf(load()));
    expect(part("LAP")).toMatchObject({ family: "skins", member: 2 });
    expect(part("RIB")).toMatchObject({ family: null, member: null });
  });

  it("has the bodies that are given, and each of its sheets as thick as it is", () => {
    const bodies = finder(assemblyOf(load())).part("BRACKET").bodies;
    expect(bodies.map((body) => [body.sheet, body.corners.length])).toEqual([
      [null, 8],
      [null, 6],
      ["foot", 8],
    ]);
    const foot = bodies[2]?.corners.map((corner) => corner[1]) ?? [];
    expect(Math.min(...foot)).toBeCloseTo(38.8, 9);
    expect(Math.max(...foot)).toBeCloseTo(40, 9);
  });

  it("leaves out the body of a sheet that is said not to be in a tool's way", () => {
    const kit = load(({ assembly }) => {
      const foot = assembly.parts[3]?.sheets[0];
      if (foot) foot.body = false;
    });
    expect(
      finder(assemblyOf(kit))
        .part("BRACKET")
        .bodies.map((body) => body.sheet),
    ).toEqual([null, null]);
  });

  it("is no less in the way for a sheet that is not convex: several bodies make it up", () => {
    const kit = load(({ assembly }) => {
      const lap = assembly.parts[1]?.sheets[0];
      lap?.outline.push([200, 50, 0.8]);
    });
    const bodies = finder(assemblyOf(kit)).part("LAP").bodies;
    expect(bodies.map((body) => body.sheet)).toEqual(["flat", "flat"]);
  });
});

describe("a loaded kit", () => {
  it("is frozen all the way down", () => {
    const kit = load();
    const open: unknown[] = [kit];
    let seen = 0;
    while (open.length > 0) {
      const value = open.pop();
      if (typeof value !== "object" || value === null) continue;
      seen++;
      expect(Object.isFrozen(value)).toBe(true);
      open.push(...Object.values(value));
    }
    expect(seen).toBeGreaterThan(100);
    expect(() => {
      (kit.assemblies as Assembly[]).push(assemblyOf(kit));
    }).toThrow(TypeError);
  });

  it("keeps the file's order and numbers its holes through", () => {
    const assembly = assemblyOf(load());
    expect(assembly.rows.map((row) => row.id)).toEqual(["SKIN.a", "BRACKET.c"]);
    expect(assembly.holes.map((hole) => hole.index)).toEqual(assembly.holes.map((_, i) => i));
    expect(assembly.closings).toEqual(["BRACKET", "SKIN"]);
  });

  it("states blocks hole by hole", () => {
    expect(assemblyOf(load()).statedBlocks).toEqual([
      { hole: "BRACKET.c.1", approach: "gun-and-bar", by: "SKIN", why: "the skin keeps the gun out" },
    ]);
  });

  it("does not mind the order in which its files come", () => {
    expect(loadKit(filesOf(smallKit()).reverse())).toEqual(load());
  });

  it("takes a drill number for a hole when its file is in inches", () => {
    const kit = load((small) => {
      small.kit.rivets = small.kit.rivets.map((rivet) => ({
        ...rivet,
        diameter: rivet.code === "PF-40-8" ? "5/32 in" : "1/8 in",
        headHeight: rivet.head === "flush" ? 0 : "3/64 in",
        headDiameter: undefined,
        grip: undefined,
        hole: rivet.code === "PF-40-8" ? { min: "#20", max: "0.164 in" } : { min: "#30", max: "0.132 in" },
      }));
      for (const approach of small.kit.approaches) {
        approach.clearance = undefined;
        for (const room of [...approach.rooms, ...(approach.drill ?? [])])
          Object.assign(room, { radius: "1/2 in", from: undefined, length: "2 in" });
      }
      small.kit.units = "inch";
    });
    expect(kit.rivets[0]?.hole.minMm).toBeCloseTo(0.1285 * 25.4, 9);
    expect(kit.rivets[0]?.diameterMm).toBe(3.175);
    expect(holeOf(kit, "SKIN.a.1").punchedMm).toBe(3.3);
  });
});
