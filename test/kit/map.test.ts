import { describe, expect, it } from "vitest";
import { loadKit } from "../../server/kit/load.js";
import { drawMap, type HoleMap } from "../../server/kit/map.js";
import { filesOf, type SmallKit, smallKit } from "./small-kit.js";

function mapOf(change: (small: SmallKit) => void = () => {}): HoleMap {
  const small = smallKit();
  change(small);
  const [assembly] = loadKit(filesOf(small)).assemblies;
  if (!assembly) throw new Error("the small kit has one assembly");
  return drawMap(assembly);
}

const viewOf = (map: HoleMap, id: string) => {
  const view = map.views.find((view) => view.id === id);
  if (!view) throw new Error(`no view ${id}`);
  return view;
};

describe("the map of an assembly", () => {
  it("has each hole on one drawing, the one that looks at its head", () => {
    const map = mapOf();
    expect(viewOf(map, "top").holes.map((hole) => hole.id)).toEqual(
      [1, 2, 3, 4, 5, 6, 7, 8, 9].map((n) => `SKIN.a.${n}`),
    );
    expect(viewOf(map, "side").holes.map((hole) => hole.id)).toEqual(["BRACKET.c.1", "BRACKET.c.2"]);
    expect(map.unseen).toEqual([]);
  });

  it("counts millimetres to the right and up the paper", () => {
    const map = mapOf();
    expect(viewOf(map, "top").holes[0]).toEqual({ id: "SKIN.a.1", at: [20, 50] });
    expect(viewOf(map, "side").holes[1]).toEqual({ id: "BRACKET.c.2", at: [110, -30] });
  });

  it("from the other side, left and right change places and up stays up", () => {
    const map = mapOf(({ assembly }) => {
      const row = assembly.rows[1];
      const [view] = assembly.views.slice(1);
      if (!row || !view) return;
      row.normal = [0, 1, 0];
      row.holes = {
        at: [
          [90, 41, -30],
          [110, 41, -20],
        ],
      };
      row.stack.reverse();
      Object.assign(view, { normal: [0, 1, 0], right: [-1, 0, 0] });
    });
    expect(viewOf(map, "side").holes).toEqual([
      { id: "BRACKET.c.1", at: [-90, -30] },
      { id: "BRACKET.c.2", at: [-110, -20] },
    ]);
  });

  it("draws the sheets that its holes go through, the furthest from the eye first", () => {
    const map = mapOf();
    expect(viewOf(map, "side").outlines.map(({ part, sheet }) => `${part}/${sheet}`)).toEqual([
      "RIB/web",
      "BRACKET/foot",
    ]);
  });

  it("draws a sheet without holes once, from the side that it faces", () => {
    const map = mapOf();
    const lap = map.views.filter((view) => view.outlines.some((outline) => outline.part === "LAP"));
    expect(lap.map((view) => view.id)).toEqual(["top"]);
    expect(viewOf(map, "top").outlines.map(({ part }) => part)).toEqual(["RIB", "SKIN", "LAP"]);
  });

  it("has a box around everything drawn", () => {
    expect(viewOf(mapOf(), "top").box).toEqual({ minX: 0, minY: 0, maxX: 260, maxY: 100 });
  });

  it("has no box for a view that shows nothing", () => {
    const map = mapOf(({ assembly }) => {
      assembly.views.push({
        id: "end",
        name: "from the end",
        normal: [1, 0, 0],
        right: [0, 1, 0],
        up: [0, 0, 1],
      });
    });
    expect(viewOf(map, "end")).toEqual({
      id: "end",
      name: "from the end",
      outlines: [],
      holes: [],
      box: null,
    });
  });

  it("names the holes that no view looks at, instead of leaving them out unsaid", () => {
    const map = mapOf(({ assembly }) => {
      assembly.views.pop();
    });
    expect(map.unseen).toEqual(["BRACKET.c.1", "BRACKET.c.2"]);
  });

  it("of two views that look equally squarely, the first has the hole", () => {
    const map = mapOf(({ assembly }) => {
      assembly.views.push({ id: "plan", name: "plan", normal: [0, 0, 1], right: [0, 1, 0], up: [-1, 0, 0] });
    });
    expect(viewOf(map, "plan").holes).toEqual([]);
    expect(viewOf(map, "top").holes).toHaveLength(9);
  });
});
