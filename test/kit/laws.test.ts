import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { loadKit } from "../../server/kit/load.js";
import { drawMap } from "../../server/kit/map.js";
import type { Assembly, Hole, Kit } from "../../server/kit/types.js";
import { anyKit } from "./any-kit.js";
import { inInches } from "./in-inches.js";
import { filesOf, problemsOf, type SmallKit, smallKit } from "./small-kit.js";

function assemblyOf(small: SmallKit): Assembly {
  const [assembly] = loadKit(filesOf(small)).assemblies;
  if (!assembly) throw new Error("the kit has one assembly");
  return assembly;
}

/** Holes by id, without their place in the list. */
function holesById(assembly: Assembly): Map<string, Omit<Hole, "index">> {
  return new Map(assembly.holes.map(({ index: _, ...hole }) => [hole.id, hole]));
}

function shuffled<T>(list: readonly T[], keys: readonly number[]): T[] {
  return list
    .map((entry, i) => ({ entry, key: keys[i % keys.length] ?? 0, i }))
    .sort((one, other) => one.key - other.key || one.i - other.i)
    .map(({ entry }) => entry);
}

/** Every number of a value, in the order of its keys. */
function numbersIn(value: unknown): number[] {
  if (typeof value === "number") return [value];
  if (typeof value !== "object" || value === null) return [];
  return Object.values(value).flatMap(numbersIn);
}

/** The value with every number set to 0: what is left is everything else. */
function withoutNumbers(value: unknown): unknown {
  return JSON.parse(JSON.stringify(value, (_, inner) => (typeof inner === "number" ? 0 : inner)));
}

function expectWithin(one: unknown, other: unknown, limit: number): void {
  expect(withoutNumbers(one)).toEqual(withoutNumbers(other));
  const [mine, others] = [numbersIn(one), numbersIn(other)];
  const worst = mine.reduce(
    (most, number, i) => Math.max(most, Math.abs(number - (others[i] ?? Number.NaN))),
    0,
  );
  expect(worst).toBeLessThan(limit);
}

type Turn = (point: readonly [number, number, number]) => [number, number, number];

/** The same assembly somewhere else in space: turned about all three axes, directions with it, then moved. */
function moved({ kit, assembly }: SmallKit, angles: readonly number[], by: readonly number[]): SmallKit {
  const turn: Turn = (point) => {
    let here: [number, number, number] = [...point];
    angles.forEach((angle, axis) => {
      const [a, b] = [(axis + 1) % 3, (axis + 2) % 3];
      const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
      const next: [number, number, number] = [...here];
      next[a] = (here[a] ?? 0) * cos - (here[b] ?? 0) * sin;
      next[b] = (here[a] ?? 0) * sin + (here[b] ?? 0) * cos;
      here = next;
    });
    return here;
  };
  const place: Turn = (point) => {
    const [x, y, z] = turn(point);
    return [x + (by[0] ?? 0), y + (by[1] ?? 0), z + (by[2] ?? 0)];
  };
  return {
    kit,
    assembly: {
      ...assembly,
      parts: assembly.parts.map((part) => ({
        ...part,
        bodies: [],
        sheets: part.sheets.map((sheet) => ({ ...sheet, outline: sheet.outline.map(place) })),
      })),
      rows: assembly.rows.map((row) => ({
        ...row,
        normal: turn(row.normal),
        holes:
          "at" in row.holes
            ? { at: row.holes.at.map(place) }
            : { ...row.holes, from: place(row.holes.from), to: place(row.holes.to) },
      })),
      views: assembly.views.map((view) => ({
        ...view,
        normal: turn(view.normal),
        right: turn(view.right),
        up: turn(view.up),
      })),
    },
  };
}

const keys = fc.array(fc.integer({ min: 0, max: 1000 }), { minLength: 5, maxLength: 20 });
const runs = { numRuns: 60 };

describe("for any kit", () => {
  it("a row has as many holes as it counts, and no two holes have one id", () => {
    fc.assert(
      fc.property(anyKit, (small) => {
        const assembly = assemblyOf(small);
        for (const row of small.assembly.rows) {
          const id = `${row.part}.${row.row}`;
          const count = "count" in row.holes ? row.holes.count : row.holes.at.length;
          const numbers = assembly.holes.filter((hole) => hole.rowId === id).map((hole) => hole.number);
          expect(numbers).toEqual(Array.from({ length: count }, (_, i) => i + 1));
        }
        expect(new Set(assembly.holes.map((hole) => hole.id)).size).toBe(assembly.holes.length);
      }),
      runs,
    );
  });

  it("the order of parts and rows in the file changes nothing at any hole but its place in the list", () => {
    fc.assert(
      fc.property(anyKit, keys, (small, order) => {
        const { kit, assembly } = small;
        const other = assemblyOf({
          kit: { ...kit, rivets: shuffled(kit.rivets, order), approaches: shuffled(kit.approaches, order) },
          assembly: {
            ...assembly,
            parts: shuffled(assembly.parts, order),
            rows: shuffled(assembly.rows, order),
            neighbours: assembly.neighbours.map((neighbour) => ({
              ...neighbour,
              gaps: shuffled(neighbour.gaps, order),
            })),
          },
        });
        expect(holesById(other)).toEqual(holesById(assemblyOf(small)));
      }),
      runs,
    );
  });

  it("the same drawing in inches is the same kit to a thousandth of a millimetre", () => {
    const small = smallKit();
    expectWithin(assemblyOf(inInches(small)), assemblyOf(small), 0.001);
    expectWithin(loadKit(filesOf(inInches(small))).rivets, loadKit(filesOf(small)).rivets, 0.001);
    expectWithin(loadKit(filesOf(inInches(small))).approaches, loadKit(filesOf(small)).approaches, 0.001);
    fc.assert(
      fc.property(anyKit, (any) => {
        expectWithin(assemblyOf(inInches(any)), assemblyOf(any), 0.001);
      }),
      runs,
    );
  });

  it("turning and moving the whole drawing in space changes no distance, cover or drawing on paper", () => {
    const angle = fc.double({ min: -3, max: 3, noNaN: true });
    const offset = fc.double({ min: -2000, max: 2000, noNaN: true });
    fc.assert(
      fc.property(
        anyKit,
        fc.tuple(angle, angle, angle),
        fc.tuple(offset, offset, offset),
        (small, angles, by) => {
          const [here, there] = [assemblyOf(small), assemblyOf(moved(small, angles, by))];
          const measures = (hole: Hole) => ({ ...hole, at: null, normal: null });
          expectWithin(there.holes.map(measures), here.holes.map(measures), 1e-6);
          const paper = (assembly: Assembly) =>
            drawMap(assembly).views.map((view) => ({
              id: view.id,
              holes: view.holes.map((hole) => hole.id),
              size: view.box && [view.box.maxX - view.box.minX, view.box.maxY - view.box.minY],
            }));
          expectWithin(paper(there), paper(here), 0.021);
        },
      ),
      runs,
    );
  });

  it("no hole is nearer to an edge than half its diameter, and none nearer to its next than its pitch", () => {
    fc.assert(
      fc.property(anyKit, (small) => {
        const { holes } = assemblyOf(small);
        for (const hole of holes) {
          for (const layer of hole.layers) expect(layer.edgeMm).toBeGreaterThanOrEqual(hole.punchedMm / 2);
          for (const other of holes) {
            if (other === hole || other.rowId !== hole.rowId) continue;
            const apart = Math.hypot(...hole.at.map((value, i) => value - (other.at[i] ?? Number.NaN)));
            expect(apart).toBeGreaterThanOrEqual((hole.pitchMm ?? Number.POSITIVE_INFINITY) - 1e-9);
          }
        }
      }),
      { numRuns: 20 },
    );
  });

  it("the nearest hole is the nearest of any row through one of its sheets, as trying all pairs finds it", () => {
    const sheetsOf = ({ layers }: Hole): string[] => layers.map(({ part, sheet }) => `${part} ${sheet}`);
    fc.assert(
      fc.property(anyKit, (small) => {
        const { holes } = assemblyOf(small);
        for (const hole of holes) {
          const sheets = sheetsOf(hole);
          const others = holes.filter(
            (other) => other !== hole && sheetsOf(other).some((sheet) => sheets.includes(sheet)),
          );
          // All of these holes start on one flat skin, so the straight distance lies in it.
          const nearest = Math.min(
            ...others.map((other) => Math.hypot(...hole.at.map((v, i) => v - (other.at[i] ?? Number.NaN)))),
          );
          expect(hole.nearestMm).toBeCloseTo(nearest, 6);
        }
      }),
      { numRuns: 20 },
    );
  });
});

describe("for any spoiled file", () => {
  it("the kit is refused with Problems that have code, file, pointer and fix, or it loads whole", () => {
    const junk = fc.oneof(
      fc.constant(null),
      fc.integer(),
      fc.double(),
      fc.string(),
      fc.constantFrom([], {}, true, -1, 0, 5e-324, 1e300, "0.1 in", [0, 0, 0]),
    );
    fc.assert(
      fc.property(fc.nat(), junk, fc.boolean(), (where, value, drop) => {
        const small = JSON.parse(JSON.stringify(smallKit())) as SmallKit;
        const places: (() => void)[] = [];
        const walk = (node: unknown): void => {
          if (typeof node !== "object" || node === null) return;
          for (const key of Object.keys(node)) {
            places.push(() => {
              if (drop) Reflect.deleteProperty(node, key);
              else Reflect.set(node, key, value);
            });
            walk(Reflect.get(node, key));
          }
        };
        walk(small);
        places[where % places.length]?.();
        let kit: Kit | null = null;
        const problems = problemsOf(() => {
          kit = loadKit(filesOf(small));
        });
        expect(kit === null).toBe(problems.length > 0);
        // What does load must be fit for use: no number of it is missing.
        expect(numbersIn(kit).every(Number.isFinite)).toBe(true);
        for (const problem of problems) {
          expect(problem).toMatchObject({
            code: expect.stringMatching(/^[A-Z_]+$/),
            fix: expect.stringMatching(/\S/),
            where: { file: expect.stringMatching(/\.json$/), pointer: expect.any(String) },
          });
        }
      }),
      { numRuns: 1500 },
    );
  });
});
