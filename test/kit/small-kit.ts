import type { AssemblyFile, KitFile } from "../../server/kit/schema.js";
import { Problem } from "../../server/problem.js";
import type { SourceFile } from "../../server/source.js";

/**
 * A small kit to break: a skin on a rib, a second skin that comes to lie over two of its heads, and a bracket
 * on the rib's web. Invented.
 */
export interface SmallKit {
  kit: KitFile;
  assembly: AssemblyFile;
}

export const KIT_PATH = "kits/bench-sample/kit.json";
export const ASSEMBLY_PATH = "kits/bench-sample/assemblies/sample.json";

export function smallKit(): SmallKit {
  return { kit: kitFile(), assembly: assemblyFile() };
}

export function filesOf({ kit, assembly }: SmallKit): SourceFile[] {
  return [
    { path: KIT_PATH, text: JSON.stringify(kit) },
    { path: ASSEMBLY_PATH, text: JSON.stringify(assembly) },
  ];
}

/** The problems that an act throws, first to last; none when it does not throw. */
export function problemsOf(act: () => unknown): readonly Problem[] {
  try {
    act();
  } catch (error) {
    if (error instanceof Problem) return [error, ...error.others];
    throw error;
  }
  return [];
}

function kitFile(): KitFile {
  return {
    format: "tailroom kit 1",
    id: "bench-sample",
    name: "Bench sample",
    revision: "A",
    dated: "2024-02-29",
    units: "mm",
    rivets: [
      {
        code: "PR-32-8",
        name: "3.2 x 8 domed pulled rivet",
        kind: "pulled",
        head: "protruding",
        diameter: 3.2,
        headHeight: 1.1,
        headDiameter: 6.5,
        hole: { min: 3.3, max: 3.4 },
        grip: { min: 1, max: 5 },
        source: "invented",
      },
      {
        code: "PF-40-8",
        name: "4.0 x 8 flush pulled rivet",
        kind: "pulled",
        head: "flush",
        diameter: 4,
        headHeight: 0,
        hole: { min: 4.1, max: 4.2 },
        source: "invented",
      },
      {
        code: "SR-32-8",
        name: "3.2 x 8 domed solid rivet",
        kind: "solid",
        head: "protruding",
        diameter: 3.2,
        headHeight: 1.3,
        hole: { min: 3.25, max: 3.3 },
        source: "invented",
      },
    ],
    approaches: [
      {
        id: "straight",
        name: "puller straight on",
        kind: "pulled",
        clearance: 1,
        rooms: [
          { side: "head", what: "puller nose", radius: 12, length: 150 },
          { side: "tail", what: "tail", radius: 3, from: 0.5, length: 9 },
        ],
        drill: [
          { side: "head", what: "drill bit", radius: 3, length: 40 },
          { side: "head", what: "drill", radius: 20, from: 40, length: 150 },
        ],
      },
      {
        id: "gun-and-bar",
        name: "gun and bar",
        kind: "solid",
        rooms: [
          { side: "head", what: "rivet set", radius: 10, length: 200 },
          { side: "tail", what: "bucking bar", radius: 15, length: 40 },
        ],
      },
    ],
    prepGates: [
      { id: "deburr", name: "deburr" },
      { id: "prime", name: "prime" },
    ],
    notices: [
      {
        id: "N-1",
        title: "Flush rivets beside the fairing",
        dated: "2024-06-01",
        changes: "Holes 1 to 3 of the skin's row take flush rivets.",
        overtakes: "page 4, step 2",
      },
    ],
    assemblies: ["sample"],
  };
}

function assemblyFile(): AssemblyFile {
  return {
    format: "tailroom assembly 1",
    id: "sample",
    name: "Sample",
    units: "mm",
    parts: [
      {
        id: "SKIN",
        name: "skin",
        kind: "skin",
        material: "2024-T3",
        thickness: 0.8,
        sheets: [{ id: "flat", outline: rectangle([0, 200], [0, 100], 0) }],
        prep: ["deburr", "prime"],
      },
      {
        id: "LAP",
        name: "lapping skin",
        kind: "skin",
        material: "2024-T3",
        thickness: 0.8,
        sheets: [{ id: "flat", outline: rectangle([150, 260], [0, 100], 0.8) }],
      },
      {
        id: "RIB",
        name: "rib",
        nicknames: ["middle rib"],
        kind: "rib",
        material: "6061-T6",
        thickness: 1,
        sheets: [
          { id: "flange", outline: rectangle([0, 200], [40, 60], -0.9) },
          {
            id: "web",
            outline: [
              [0, 40.5, -1.4],
              [200, 40.5, -1.4],
              [200, 40.5, -60],
              [0, 40.5, -60],
            ],
          },
        ],
        prep: ["deburr"],
      },
      {
        id: "BRACKET",
        name: "bracket",
        kind: "bracket",
        material: "6061-T6",
        thickness: 1.2,
        sheets: [
          {
            id: "foot",
            outline: [
              [80, 39.4, -50],
              [120, 39.4, -50],
              [120, 39.4, -10],
              [80, 39.4, -10],
            ],
          },
        ],
        bodies: [
          { box: { min: [95, 0, -32], max: [105, 38.8, -30] } },
          {
            prism: {
              base: [
                [95, 38.8, -20],
                [105, 38.8, -20],
                [100, 20, -20],
              ],
              along: [0, 0, 2],
            },
          },
        ],
      },
    ],
    families: [{ id: "skins", name: "skins", members: ["SKIN", "LAP"], numbered: "from the root" }],
    rows: [
      {
        part: "SKIN",
        row: "a",
        name: "rib row",
        numbered: "from the root",
        holes: { from: [20, 50, 0.4], to: [180, 50, 0.4], count: 9 },
        normal: [0, 0, 1],
        stack: [
          { part: "SKIN", sheet: "flat" },
          { part: "RIB", sheet: "flange" },
        ],
        punched: 3.3,
        rivet: "PR-32-8",
        approaches: ["straight"],
        given: { zone: "root" },
        except: [{ holes: [1, 2], rivet: "PF-40-8", given: { faired: true } }],
      },
      {
        part: "BRACKET",
        row: "c",
        name: "foot row",
        numbered: "from the root",
        holes: {
          at: [
            [90, 38.8, -30],
            [110, 38.8, -30],
          ],
        },
        normal: [0, -2, 0],
        stack: [
          { part: "BRACKET", sheet: "foot" },
          { part: "RIB", sheet: "web" },
        ],
        punched: 3.3,
        rivet: "SR-32-8",
        approaches: ["gun-and-bar"],
      },
    ],
    neighbours: [
      {
        id: "fairing",
        name: "fairing",
        gaps: [
          { row: "SKIN.a", holes: [1, 2, 3, 5], gap: { first: 1.5, last: 2.5 } },
          { row: "SKIN.a", holes: [6], gap: null },
          { row: "SKIN.a", holes: [7], gap: 3 },
        ],
      },
    ],
    milestones: [{ id: "fairing-matched", name: "the fairing is matched" }],
    steps: [
      {
        id: "1",
        title: "Bracket on",
        text: "Rivet the bracket.",
        parts: ["RIB", "BRACKET"],
        rows: ["BRACKET.c"],
      },
      { id: "2", title: "Skin on", text: "Rivet the skin.", parts: ["SKIN"], rows: ["SKIN.a"] },
    ],
    closings: ["BRACKET", "SKIN"],
    blocks: [
      { holes: ["BRACKET.c.1"], approach: "gun-and-bar", by: "SKIN", why: "the skin keeps the gun out" },
    ],
    views: [
      { id: "top", name: "from above", normal: [0, 0, 1], right: [1, 0, 0], up: [0, 1, 0] },
      { id: "side", name: "from the side", normal: [0, -1, 0], right: [1, 0, 0], up: [0, 0, 1] },
    ],
  };
}

function rectangle(
  [x0, x1]: readonly [number, number],
  [y0, y1]: readonly [number, number],
  z: number,
): [number, number, number][] {
  return [
    [x0, y0, z],
    [x1, y0, z],
    [x1, y1, z],
    [x0, y1, z],
  ];
}
