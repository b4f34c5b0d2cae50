import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../server/ask/types.js";
import { pickingList } from "../../server/fastener/count.js";
import { gripAt, gripFitOf, type StackForm, stackFormOf } from "../../server/fastener/fit.js";
import { layerWork } from "../../server/fastener/layer-work.js";
import type { Rivet } from "../../server/kit/types.js";
import { workAt } from "../../server/order/prep.js";
import type { Problem } from "../../server/problem.js";
import { FLUSH_RIVET } from "../support/by-hand.js";
import { jobFromDisk } from "../support/job.js";

let job: Job;
beforeAll(async () => {
  job = await jobFromDisk();
});

const FLUSH: Rivet = { ...FLUSH_RIVET, grip: { minMm: 1.5, maxMm: 3.5 }, sunkHeightMm: 1.2 };
const sheets = (...mm: readonly number[]) => mm.map((thicknessMm) => ({ part: "SHEET", thicknessMm }));

describe("whether a rivet holds its stack", () => {
  it("on the tailplane is known for every domed rivet, and for no flush one: the kit states no range for those", () => {
    let looked = 0;
    for (const hole of job.assembly.holes) {
      const code = job.rulings.of(hole.id).attributes.rivet?.value;
      const rivet = job.kit.rivets.find((one) => one.code === code);
      if (!rivet) continue;
      looked += 1;
      const fit = gripFitOf(rivet, hole.gripMm, stackFormOf(workAt(hole, job.rulings.of(hole.id))));
      expect(fit, hole.id).toBe(rivet.head === "flush" ? "not known" : "fits");
    }
    expect(looked).toBeGreaterThan(300);
  });

  it("in dimples is what the sheets and the sunk head make together (TM 9-2320-363-34-2, page 22-21)", () => {
    const hole = { layers: job.assembly.holes[0]?.layers.slice(0, 2) ?? [] };
    const sheetsMm = hole.layers.reduce((sum, { thicknessMm }) => sum + thicknessMm, 0);
    expect(gripAt(hole, FLUSH, "dimpled").value).toBeCloseTo(sheetsMm + 1.2, 9);
    expect(gripAt(hole, FLUSH, "flat").value).toBeCloseTo(sheetsMm, 9);
    // 1.0 mm of sheet is too thin for 1.5 to 3.5 mm, unless the head of 1.2 mm sinks in; 2.4 mm is too thick with it.
    expect(gripFitOf(FLUSH, 1, "flat")).toBe("stack too thin");
    expect(gripFitOf(FLUSH, 1, "dimpled")).toBe("fits");
    expect(gripFitOf(FLUSH, 2.4, "flat")).toBe("fits");
    expect(gripFitOf(FLUSH, 2.4, "dimpled")).toBe("stack too thick");
  });

  it("in dimples is not known where the kit does not say how high the sunk head is, nor for a solid rivet", () => {
    expect(gripFitOf({ ...FLUSH, sunkHeightMm: null }, 2, "dimpled")).toBe("not known");
    expect(gripFitOf({ ...FLUSH, kind: "solid" }, 2, "dimpled")).toBe("not known");
    expect(gripFitOf({ ...FLUSH, sunkHeightMm: null }, 3.6, "dimpled")).toBe("stack too thick");
  });

  it("is not known while it is open how the layers are formed, but for a stack that is too thick anyway", () => {
    expect(stackFormOf([])).toBe("open");
    expect(gripFitOf(FLUSH, 2, "open")).toBe("not known");
    expect(gripFitOf(FLUSH, 3.6, "open")).toBe("stack too thick");
  });

  it("is that of flat sheets where the dimples sit in a countersink: the far face is flat", () => {
    expect(stackFormOf(layerWork(sheets(0.5, 2), "dimple", "countersink"))).toBe("flat");
    expect(stackFormOf(layerWork(sheets(0.5, 0.5), "dimple", null))).toBe("dimpled");
    expect(stackFormOf(layerWork(sheets(2, 0.5), "countersink", null))).toBe("flat");
  });

  it("a thicker stack never fits again once it was too thick, in whatever form", () => {
    const mm = fc.double({ min: 0.1, max: 6, noNaN: true });
    fc.assert(
      fc.property(mm, mm, fc.constantFrom("flat", "dimpled", "open" as const), (stack, more, form) => {
        if (gripFitOf(FLUSH, stack, form as StackForm) === "stack too thick")
          expect(gripFitOf(FLUSH, stack + more, form as StackForm)).toBe("stack too thick");
      }),
    );
  });
});

describe("what to fetch from the bin", () => {
  it("counts by code, rounds spares up, and counts nothing for a hole whose rivet is not settled", () => {
    const list = pickingList(
      new Map([
        ["A.r.1", "B-2"],
        ["A.r.2", "A-1"],
        ["A.r.3", "B-2"],
        ["A.r.4", null],
      ]),
      10,
    );
    expect(list.bins).toEqual([
      { code: "A-1", holes: ["A.r.2"], count: 1, fetch: 2 },
      { code: "B-2", holes: ["A.r.1", "A.r.3"], count: 2, fetch: 3 },
    ]);
    expect(list.unsettled).toEqual(["A.r.4"]);
  });

  it("never fetches fewer than it counts, and every hole is counted once or named", () => {
    fc.assert(
      fc.property(
        fc.array(fc.option(fc.constantFrom("A", "B", "C")), { maxLength: 40 }),
        fc.integer({ min: 0, max: 100 }),
        (codes, spares) => {
          const list = pickingList(new Map(codes.map((code, i) => [`h${i}`, code])), spares);
          const counted = list.bins.flatMap(({ holes }) => holes);
          expect([...counted, ...list.unsettled].sort()).toEqual(codes.map((_, i) => `h${i}`).sort());
          for (const bin of list.bins) expect(bin.fetch).toBeGreaterThanOrEqual(bin.count);
        },
      ),
    );
  });

  it("refuses spares that are no percentage", () => {
    for (const spares of [-1, 101, Number.NaN]) {
      expect(() => pickingList(new Map(), spares)).toThrowError(
        expect.objectContaining<Partial<Problem>>({ code: "FASTENER_INPUT" }),
      );
    }
  });
});
