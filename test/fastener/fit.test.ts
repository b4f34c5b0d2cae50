import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../server/ask/types.js";
import { pickingList } from "../../server/fastener/count.js";
import { type RivetFit, rivetFit } from "../../server/fastener/fit.js";
import type { Hole, Treatment } from "../../server/kit/types.js";
import type { Problem } from "../../server/problem.js";
import { jobFromDisk } from "../support/job.js";

let job: Job;
beforeAll(async () => {
  job = await jobFromDisk();
});

function fitAsRuled(hole: Hole): RivetFit | null {
  const { rivet, finalDiameterMm, treatment } = job.rulings.of(hole.id).attributes;
  const found = job.kit.rivets.find(({ code }) => code === rivet?.value);
  if (!found || typeof finalDiameterMm?.value !== "number") return null;
  return rivetFit(hole, found, finalDiameterMm.value, treatment?.value as Treatment);
}

describe("the rivets that the tailplane's rulings call for", () => {
  it("fit their finished holes, edges and pitches, and no stack is outside a known grip", () => {
    let looked = 0;
    for (const hole of job.assembly.holes) {
      const fit = fitAsRuled(hole);
      if (!fit) continue;
      looked += 1;
      expect(fit.holeFit, hole.id).toBe("fits");
      expect(fit.edge.serves, `${hole.id}: ${JSON.stringify(fit.edge)}`).toBe(true);
      expect(fit.pitch?.serves ?? true, hole.id).toBe(true);
      expect(["fits", "not known"], hole.id).toContain(fit.gripFit);
    }
    expect(looked).toBeGreaterThan(300);
  });

  it("a sunk head in dimpled layers leaves the grip unknown where the kit gives no height for it", () => {
    const dimpled = job.assembly.holes.find(
      (hole) => job.rulings.of(hole.id).attributes.treatment?.value === "dimple",
    );
    expect(dimpled && fitAsRuled(dimpled)?.gripFit).toBe("not known");
  });

  it("a stack thicker than the grip range is told, not passed", () => {
    const hole = job.assembly.holes.find((one) => one.rivet.grip !== null);
    if (!hole?.rivet.grip) throw new Error("no rivet with a grip range");
    const thick = hole.layers.map((layer) => ({ ...layer, thicknessMm: layer.thicknessMm + 20 }));
    expect(
      rivetFit({ ...hole, layers: thick }, hole.rivet, hole.rivet.hole.minMm, "as punched").gripFit,
    ).toBe("stack too thick");
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
