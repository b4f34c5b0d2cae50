import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import type { FormAnswer, Job } from "../../../server/ask/types.js";
import { sayTabledLengths } from "../../../server/ask/wording/fastener.js";
import { mmOfInch } from "../../../server/fastener/input.js";
import { tabledLengths } from "../../../server/fastener/length.js";
import type { Rivet } from "../../../server/kit/types.js";
import { edited, jobFromDisk, redrawnHoles, withLayers } from "../../support/job.js";
import { answer, rowOf, textOf } from "./answer.js";

let tail: Job;
let door: Job;
beforeAll(async () => {
  tail = await jobFromDisk();
  door = await jobFromDisk({ kit: "vetch-six" });
});

type Ranges = Readonly<Record<string, Rivet["grip"]>>;

/** A hole's answer on the tailplane, its stack so thick and the kit's rivets with these ranges. */
async function told(hole: string, stack: readonly number[], ranges: Ranges): Promise<FormAnswer> {
  const job = await jobFromDisk({
    redrawn: (kit) => redrawnHoles(kit, (one) => (one.id === hole ? withLayers(one, stack) : one)),
  });
  const ranged = edited(job, (rivet) => ({ ...rivet, grip: ranges[rivet.code] ?? null }));
  return answer(ranged, "fastener", { hole });
}

const DOMED = "RIB-3.top.3";
const range = (minMm: number, maxMm: number) => ({ minMm, maxMm });

describe("the length of a pulled rivet, where the kit states no range for it", () => {
  it("is the handbook's for the stack, with its source and what of it is inferred (ISO 15981:2002, table 2): 1.1 mm takes a 5 mm body", async () => {
    const found = await told(DOMED, [0.5, 0.6], {});
    expect(found.verdict).toBe("undecided");
    expect(rowOf(found, DOMED).what).toContain(
      "the handbook's table has a body of 5 mm (0.197 in) for 0.5 to 1.5 mm (0.020 to 0.059 in); the kit maker decides",
    );
    expect(found.sources).toContainEqual(
      expect.objectContaining({
        document: expect.stringContaining("ISO 15981:2002"),
        place: expect.stringContaining("which column is for which diameter is inferred"),
      }),
    );
  });

  it("at the limit of two lengths is both, and a maker's rule of thumb speaks for the one that reaches: 4.0 mm through 3 mm wants 7 mm of body", () => {
    const both = tabledLengths({ kind: "pulled", head: "protruding", diameterMm: 4 }, 3);
    expect(both?.choices.map(({ lengthMm }) => lengthMm)).toEqual([6, 8]);
    expect(both && sayTabledLengths(both, "mm")).toMatch(
      /where two lengths of the handbook's table meet, a body of 6 mm .* and a body of 8 mm .*wants at least 7 mm .*speaks for 8 mm/,
    );
  });

  it("at a limit that both lengths reach is left open: 3.2 mm through 1.5 mm wants 4.7 mm, and 5 and 6 mm are more", async () => {
    const { what } = rowOf(await told(DOMED, [0.5, 1], {}), DOMED);
    expect(what).toMatch(
      /a body of 5 mm .* and a body of 6 mm .*at least 4\.7 mm \([\d.]+ in\); the kit maker decides/,
    );
  });

  it("is none where the table has no such range, and none is made up: 3.2 mm through 0.3 mm", async () => {
    const found = await told(DOMED, [0.15, 0.15], {});
    expect(rowOf(found, DOMED)).toMatchObject({ tabled: [] });
    expect(textOf(found)).toContain("no length for this stack either");
  });

  it("is the chart's number for an inch rivet: 1/8 in through 0.100 in is number 42 (TM 10-5410-221-14/1, table 4-3)", () => {
    const eighth = { kind: "pulled", head: "protruding", diameterMm: mmOfInch(1 / 8) } as const;
    const found = tabledLengths(eighth, mmOfInch(0.1));
    expect(found?.choices.map(({ name }) => name)).toEqual(["42"]);
    expect(found && sayTabledLengths(found, "inch")).toContain("number 42, a body of 0.232 in");
    expect(tabledLengths(eighth, mmOfInch(0.51))?.choices).toEqual([]);
  });

  it("is not looked up for a flush rivet, a solid one, or a size that no table has: they are for protruding heads", () => {
    const domed = { kind: "pulled", head: "protruding", diameterMm: 3.2 } as const;
    expect(tabledLengths({ ...domed, head: "flush" }, 2)).toBeNull();
    expect(tabledLengths({ ...domed, kind: "solid" }, 2)).toBeNull();
    expect(tabledLengths({ ...domed, diameterMm: 7 }, 2)).toBeNull();
    expect(tabledLengths({ ...domed, diameterMm: mmOfInch(3 / 16) }, 2)).toBeNull();
    for (const { rivet, tabled } of answer(tail, "fastener", {}).rows)
      if (String(rivet).startsWith("CR-")) expect(tabled).toBeNull();
  });

  it("a length that is offered holds the stack, whatever the stack", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(2.4, 3, 3.2, 4, 4.8, 5, 6.4),
        fc.double({ min: 0.1, max: 30, noNaN: true }),
        (diameterMm, stackMm) => {
          const found = tabledLengths({ kind: "pulled", head: "protruding", diameterMm }, stackMm);
          for (const { gripMinMm, gripMaxMm } of found?.choices ?? []) {
            expect(stackMm).toBeGreaterThanOrEqual(gripMinMm - 1e-6);
            expect(stackMm).toBeLessThanOrEqual(gripMaxMm + 1e-6);
          }
        },
      ),
    );
  });
});

describe("a stack that falls between the ranges of the kit's rivets", () => {
  const GAP = { "PR-32-5": range(0.5, 1.5), "PR-32-6": range(2, 3.5) };

  it("is held by none of them: the nearest two are named, and the handbook's length beside them", async () => {
    const found = await told(DOMED, [0.8, 1], GAP);
    expect(found.verdict).toBe("no");
    expect(rowOf(found, DOMED).what).toMatch(
      /has none of that size and head that holds it \(PR-32-5 up to 1\.5 mm .*, PR-32-6 from 2 mm .*\); the handbook's table has a body of 6 mm/,
    );
  });

  it("is answered by another rivet of the kit where one holds it, and the table is not asked", async () => {
    const found = await told(DOMED, [0.8, 1.4], GAP);
    expect(found.verdict).toBe("no");
    expect(rowOf(found, DOMED)).toMatchObject({ tabled: null });
    expect(textOf(found)).toContain("in the kit PR-32-6 of the same size and head would hold it");
  });
});

describe("the length of a solid rivet", () => {
  it("of a flush one is measured over all, and in dimples takes more than the tables say", () => {
    const dimpled = door.assembly.holes.find(({ id }) => {
      const { treatment, rivet } = door.rulings.of(id).attributes;
      return treatment?.value === "dimple" && rivet?.value === "SC-4-5";
    });
    const { what } = rowOf(answer(door, "fastener", { hole: dimpled?.id ?? "" }), dimpled?.id ?? "");
    expect(what).toMatch(/in long|mm\) long, over all, its head included/);
    expect(what).toContain("that is for flat layers: dimples take more");
    const [domed] = answer(door, "fastener", { row: "FRAME-FWD.inner" }).rows;
    expect(domed?.what).not.toMatch(/over all|dimples take more/);
  });

  it("is not told above half an inch of stack, where two editions of one table disagree, and that is said", async () => {
    const hole = "FRAME-FWD.inner.1";
    const job = await jobFromDisk({
      kit: "vetch-six",
      redrawn: (kit) => redrawnHoles(kit, (one) => (one.id === hole ? withLayers(one, [6, 7]) : one)),
    });
    expect(textOf(answer(job, "fastener", { hole }))).toContain(
      "two editions of one table disagree on its length",
    );
  });
});
