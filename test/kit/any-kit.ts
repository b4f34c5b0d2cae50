import fc from "fast-check";
import type { AssemblyFile, GapFile, StillGapFile } from "../../server/kit/schema.js";
import { type SmallKit, smallKit } from "./small-kit.js";

/** A row of a made-up skin: its strip underneath, its holes, and what comes near or over it. */
interface AnyRow {
  readonly count: number;
  readonly pitch: number;
  readonly strip: number;
  readonly gap: GapFile["gap"];
  /** Share of the row, from its far end, that a second skin comes to lie over. */
  readonly covered: number;
  readonly exception: boolean;
}

const stillGap: fc.Arbitrary<StillGapFile> = fc.oneof(
  fc.constant(null),
  fc.constantFrom(0.5, 1.9, 3),
  fc.record({ first: fc.constantFrom(0.5, 1), last: fc.constantFrom(2, 8) }),
);

const anyRow: fc.Arbitrary<AnyRow> = fc.record({
  count: fc.integer({ min: 2, max: 40 }),
  pitch: fc.integer({ min: 80, max: 400 }).map((tenths) => tenths / 10),
  strip: fc.constantFrom(0.5, 0.8, 1, 1.6),
  gap: fc.oneof(
    stillGap,
    fc.tuple(stillGap, stillGap).map(([up, down]) => ({
      positions: [
        { name: "up", gap: up },
        { name: "down", gap: down },
      ],
    })),
  ),
  covered: fc.constantFrom(0, 0, 0.3, 1),
  exception: fc.boolean(),
});

/** Skins with rows of holes onto strips, lying flat: valid by the way they are made. */
export const anyKit: fc.Arbitrary<SmallKit> = fc
  .array(anyRow, { minLength: 1, maxLength: 6 })
  .map((rows) => ({ kit: smallKit().kit, assembly: assemblyOf(rows) }));

const SKIN_MM = 0.8;
const BETWEEN_MM = 40;

function assemblyOf(rows: readonly AnyRow[]): AssemblyFile {
  const longest = Math.max(...rows.map((row) => (row.count - 1) * row.pitch)) + 40;
  const common = { kind: "strip", material: "2024-T3" };
  return {
    ...smallKit().assembly,
    parts: [
      {
        ...common,
        id: "SKIN",
        name: "skin",
        kind: "skin",
        thickness: SKIN_MM,
        sheets: [{ id: "flat", outline: slab(0, longest, -20, rows.length * BETWEEN_MM, 0) }],
      },
      ...rows.map(({ count, pitch, strip }, i) => ({
        ...common,
        id: `STRIP-${i + 1}`,
        name: `strip ${i + 1}`,
        thickness: strip,
        sheets: [
          {
            id: "flat",
            outline: slab(
              5,
              (count - 1) * pitch + 35,
              i * BETWEEN_MM - 12,
              i * BETWEEN_MM + 12,
              -(SKIN_MM + strip) / 2,
            ),
          },
        ],
      })),
      ...rows.flatMap(({ count, pitch, covered }, i) =>
        covered === 0
          ? []
          : [
              {
                ...common,
                id: `LAP-${i + 1}`,
                name: `lap ${i + 1}`,
                thickness: SKIN_MM,
                sheets: [
                  {
                    id: "flat",
                    outline: slab(
                      15 + (1 - covered) * (count - 1) * pitch,
                      longest + 50,
                      i * BETWEEN_MM - 10,
                      i * BETWEEN_MM + 10,
                      SKIN_MM,
                    ),
                  },
                ],
              },
            ],
      ),
    ],
    families: [
      { id: "strips", name: "strips", members: rows.map((_, i) => `STRIP-${i + 1}`), numbered: "across" },
    ],
    rows: rows.map(({ count, pitch, exception }, i) => ({
      part: "SKIN",
      row: `r${i + 1}`,
      name: `row ${i + 1}`,
      numbered: "along",
      holes: {
        from: [20, i * BETWEEN_MM, SKIN_MM / 2],
        to: [20 + (count - 1) * pitch, i * BETWEEN_MM, SKIN_MM / 2],
        count,
      },
      normal: [0, 0, 1],
      stack: [
        { part: "SKIN", sheet: "flat" },
        { part: `STRIP-${i + 1}`, sheet: "flat" },
      ],
      punched: 3.3,
      rivet: "PR-32-8",
      approaches: ["straight"],
      except: exception ? [{ holes: [count], rivet: "PF-40-8", punched: 4.1 }] : [],
    })),
    neighbours: [
      {
        id: "fairing",
        name: "fairing",
        gaps: rows.map(({ gap }, i) => ({ row: `SKIN.r${i + 1}`, gap })),
      },
    ],
    steps: [],
    closings: ["SKIN"],
    blocks: [],
  };
}

function slab(x0: number, x1: number, y0: number, y1: number, z: number): [number, number, number][] {
  return [
    [x0, y0, z],
    [x1, y0, z],
    [x1, y1, z],
    [x0, y1, z],
  ];
}
