import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../server/ask/types.js";
import { sayMisfit } from "../../server/ask/wording/reasons.js";
import type { Hole, Rivet } from "../../server/kit/types.js";
import { maySet } from "../../server/order/may-set.js";
import { mayTreat } from "../../server/order/may-treat.js";
import { type Misfit, misfitsOf } from "../../server/order/misfit.js";
import { planOf } from "../../server/order/plan.js";
import { stepSheet } from "../../server/order/step-sheet.js";
import type { SourceFile } from "../../server/source.js";
import { RIVET } from "../support/by-hand.js";
import {
  crowdedDoubler,
  edited,
  jobFromDisk,
  redrawnHoles,
  trialRules,
  trialRulesOf,
  withLayers,
} from "../support/job.js";

const HOLE = "RIB-3.top.3";
const here = { all: [{ fact: "rowId", operator: "equal", value: "RIB-3.top" }] };

/** The tailplane with a notice that settles more on rib 3's top row. */
function ruledOn(params: Readonly<Record<string, unknown>>): Promise<Job> {
  const rule = {
    id: "trial-misfit",
    family: "treatment",
    rank: "notice",
    dated: "2030-01-01",
    params,
    conditions: here,
    fires: HOLE,
    spares: "RIB-4.top.3",
  } as const;
  return jobFromDisk({ moreRules: [trialRules(rule)] });
}

function misfits(job: Job): readonly Misfit[] {
  const hole = job.assembly.holes.find(({ id }) => id === HOLE);
  return hole ? misfitsOf(job, hole) : [];
}

describe("a rivet that is ruled and does not go in", () => {
  let asDrawn: Job;
  beforeAll(async () => {
    asDrawn = await jobFromDisk();
  });

  it("is none on either demo kit as it is ruled", async () => {
    for (const job of [asDrawn, await jobFromDisk({ kit: "vetch-six" })]) {
      expect(job.assembly.holes.length).toBeGreaterThan(100);
      for (const hole of job.assembly.holes) expect(misfitsOf(job, hole), hole.id).toEqual([]);
    }
  });

  it("has a grip range that the stack is too thin for: it is not set, and not on the sheet to fetch", async () => {
    // 5 to 7 mm is a 10 mm body (ISO 15981:2002, table 2); skin and flange make 1.1 mm.
    const job = edited(await ruledOn({ rivet: "PR-32-5" }), (rivet) =>
      rivet.code === "PR-32-5" ? { ...rivet, grip: { minMm: 5, maxMm: 7 } } : rivet,
    );
    expect(misfits(job)).toMatchObject([{ what: "too thin", rivet: "PR-32-5", minMm: 5, maxMm: 7 }]);
    expect(maySet(job, HOLE).verdict).toBe("no");
    expect(planOf(job).leftOpen.find(({ hole }) => hole === HOLE)).toMatchObject({ code: "misfit" });
    const sheet = stepSheet(job, null);
    expect(sheet.rivets.flatMap(({ holes }) => holes)).not.toContain(HOLE);
    expect(sheet.leftOpen.map(({ hole }) => hole)).toContain(HOLE);
  });

  it("has another head than the one that is ruled", async () => {
    const job = await ruledOn({ rivet: "CR-40-6", finalDiameterMm: 4.1 });
    expect(misfits(job)).toContainEqual({
      what: "head",
      rivet: "CR-40-6",
      head: "flush",
      ruled: "protruding",
    });
    expect(maySet(job, HOLE).verdict).toBe("no");
  });

  it("has a protruding head over a dimple", async () => {
    const job = await ruledOn({ treatment: "dimple" });
    expect(misfits(job)).toMatchObject([{ what: "treatment", head: "protruding", treatment: "dimple" }]);
    expect(mayTreat(job, HOLE, "dimple").verdict).toBe("no");
  });

  it("is countersunk by the handbook's gauge for the drawn rivet alone: a larger one of a notice needs 0.064 in (TM 9-2320-363-34-2, table 4)", async () => {
    const door = (mm: number, moreRules: readonly SourceFile[] = []): Promise<Job> =>
      jobFromDisk({
        kit: "vetch-six",
        moreRules,
        redrawn: (kit) =>
          redrawnHoles(kit, (hole) => (hole.part === "CORNER-DOUBLER" ? withLayers(hole, [mm]) : hole)),
      });
    // 1.4 mm takes a 1/8 in rivet's countersink (0.050 in, 1.27 mm), and not a 5/32 in one's (0.064 in, 1.63 mm).
    const thin = await door(1.4);
    const [hole] = thin.assembly.holes.filter(({ part }) => part === "CORNER-DOUBLER") as [Hole];
    expect(thin.rulings.of(hole.id).attributes).toMatchObject({
      treatment: { value: "countersink", rank: "handbook" },
      rivet: { value: "SC-5-6", rank: "notice" },
    });
    expect(misfitsOf(thin, hole)).toMatchObject([{ what: "gauge", rivet: "SC-5-6", thereMm: 1.4 }]);
    expect(mayTreat(thin, hole.id, "countersink").verdict).toBe("no");
    expect(maySet(thin, hole.id).verdict).toBe("no");
    const thick = await door(1.7);
    expect(misfitsOf(thick, thick.assembly.holes[hole.index] as Hole)).toEqual([]);
    // Where the kit's own notice says countersink it is the kit maker's word, which governs.
    const said = await door(1.4, [
      trialRulesOf("vetch-six", {
        id: "trial-countersink",
        family: "treatment",
        rank: "notice",
        params: { treatment: "countersink" },
        conditions: { all: [{ fact: "part", operator: "equal", value: "CORNER-DOUBLER" }] },
        fires: hole.id,
        spares: "FRAME-FWD.inner.1",
      }),
    ]);
    expect(misfitsOf(said, said.assembly.holes[hole.index] as Hole)).toEqual([]);
  });

  it("stands in one of two rows that crowd each other: four diameters along a row, two and a half between them", async () => {
    const crowded = await jobFromDisk({ redrawn: crowdedDoubler });
    const hole = crowded.assembly.holes.find(({ id }) => id === "WEB-DOUBLER.upper.3") as Hole;
    expect(misfitsOf(crowded, hole)).toMatchObject([{ what: "along", thereMm: 11, neededMm: 12.8 }]);
  });

  it("takes a smaller hole than the finished one: the hole is not drilled to it, for that cannot be taken back", async () => {
    const job = await ruledOn({ finalDiameterMm: 4.1, treatment: "enlarge" });
    expect(misfits(job)).toMatchObject([{ what: "hole", finishedMm: 4.1, minMm: 3.3, maxMm: 3.4 }]);
    expect(mayTreat(job, HOLE, "enlarge").verdict).toBe("no");
    expect(maySet(job, HOLE).verdict).toBe("no");
  });

  it("is larger than the drawn one, and the edge that served that one does not serve it (2 D: AC 43.13-1B par. 4-57c)", async () => {
    const job = edited(asDrawn, (rivet) => ({ ...rivet, diameterMm: 6.4 }));
    const hole = job.assembly.holes.find(({ id }) => id === HOLE) as Hole;
    const leastMm = Math.min(...hole.layers.map(({ edgeMm }) => edgeMm));
    expect(leastMm).toBeLessThan(12.8);
    const edges = misfits(job).filter(({ what }) => what === "edge");
    expect(edges.length).toBeGreaterThan(0);
    for (const one of edges) expect(one).toMatchObject({ neededMm: 12.8 });
    expect(sayMisfit(job, edges[0] as Misfit)).toMatch(/needs 12.8 mm by the handbook: ask the kit maker$/);
  });

  it("goes in exactly where the stack is within its range, head and treatment agree and the hole fits, whatever the numbers", () => {
    /** Sizes as they are written: hundredths of a millimetre. What lies between is no size of anything. */
    const hundredths = (min: number, max: number): fc.Arbitrary<number> =>
      fc.integer({ min: Math.round(min * 100), max: Math.round(max * 100) }).map((value) => value / 100);
    const atMost = (one: number, other: number): boolean => one <= other + 1e-9;
    const sizes = fc.record({
      stackMm: hundredths(0.5, 9),
      minMm: hundredths(0.5, 5),
      spanMm: hundredths(0.1, 4),
      finalMm: hundredths(3, 3.8),
      head: fc.constantFrom("protruding", "flush"),
      ruledHead: fc.constantFrom("protruding", "flush"),
      treatment: fc.constantFrom("as punched", "enlarge", "dimple", "countersink"),
      edgeMm: hundredths(4, 12),
    });
    fc.assert(
      fc.property(sizes, (one) => {
        const rivet: Rivet = {
          ...RIVET,
          head: one.head as Rivet["head"],
          grip: { minMm: one.minMm, maxMm: one.minMm + one.spanMm },
          hole: { minMm: 3.3, maxMm: 3.4 },
        };
        const drawn = asDrawn.assembly.holes[0] as Hole;
        const hole: Hole = {
          ...drawn,
          gripMm: one.stackMm,
          punchedMm: 3,
          nearestMm: null,
          layers: drawn.layers.map((layer) => ({ ...layer, edgeMm: one.edgeMm })),
        };
        const values = {
          rivet: rivet.code,
          head: one.ruledHead,
          treatment: one.treatment,
          finalDiameterMm: one.finalMm,
        };
        const attributes = Object.fromEntries(
          Object.entries(values).map(([attribute, value]) => [
            attribute,
            { attribute, status: "settled", value, ruleIds: [], rank: null, missing: [], unsettled: [] },
          ]),
        );
        const rulings = { of: () => ({ attributes, verdict: "settled", orders: [], limits: [] }) };
        const found = misfitsOf(
          {
            kit: { ...asDrawn.kit, rivets: [rivet] },
            assembly: asDrawn.assembly,
            rulings: rulings as unknown as Job["rulings"],
          },
          hole,
        );
        const sunk = one.treatment === "dimple" || one.treatment === "countersink";
        const holds =
          atMost(one.stackMm, one.minMm + one.spanMm) &&
          (one.treatment === "dimple" || atMost(one.minMm, one.stackMm));
        const serves =
          holds &&
          one.head === one.ruledHead &&
          sunk === (one.head === "flush") &&
          atMost(3.3, one.finalMm) &&
          atMost(one.finalMm, 3.4) &&
          atMost((one.head === "flush" ? 2.5 : 2) * 3.2, one.edgeMm);
        expect(found.length === 0).toBe(serves);
      }),
      { numRuns: 2000 },
    );
  });
});
