import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import { saidSheet } from "../../server/ask/step-sheet.js";
import type { Job } from "../../server/ask/types.js";
import { namesOf } from "../../server/ask/wording/names.js";
import { sayDrillName, sayDrills } from "../../server/ask/wording/step-sheet.js";
import { drillInch } from "../../server/kit/drills.js";
import { type Mark, withMarks } from "../../server/kit/work.js";
import { walledInNow } from "../../server/order/closing.js";
import { holdOf } from "../../server/order/holds.js";
import { planOf } from "../../server/order/plan.js";
import { stepSheet } from "../../server/order/step-sheet.js";
import { allGatesDone, jobFromDisk, rowMarks, trialRules } from "../support/job.js";

const KITS = ["sedge-two", "vetch-six"];
const jobs = new Map<string, Job>();
beforeAll(async () => {
  for (const kit of KITS) jobs.set(kit, await jobFromDisk({ kit }));
});
const jobOf = (kit: string): Job => jobs.get(kit) as Job;

/** What a rule book settled at a hole, read off the rulings themselves. */
function settled(job: Job, hole: string, attribute: string): unknown {
  const found = job.rulings.of(hole).attributes[attribute];
  return found?.status === "settled" ? found.value : null;
}

/** Rivets that the plan sets, and those that wait for nothing but their part, which stays off for now. */
const plannedIn = (job: Job): string[] => {
  const { steps, leftOpen } = planOf(job);
  const waiting = leftOpen.filter(({ code }) => code === "part-off").map(({ hole }) => hole);
  return [...steps.flatMap((step) => (step.kind === "rivets" ? step.holes : [])), ...waiting];
};

describe.each(KITS)("the sheets of %s", (kit) => {
  it("the picking list holds the rivets that the plan sets or that wait for their part alone, by the code that is ruled", () => {
    const job = jobOf(kit);
    const { rivets, counts, open } = saidSheet(job, null);
    const planned = plannedIn(job);
    const byCode = new Map<string, number>();
    for (const hole of planned) {
      const code = String(settled(job, hole, "rivet"));
      byCode.set(code, (byCode.get(code) ?? 0) + 1);
    }
    const listed = rivets.filter(({ count }) => Number(count) > 0);
    expect(new Map(listed.map(({ code, count }) => [code, count]))).toEqual(byCode);
    expect(rivets.flatMap(({ holes }) => holes).sort()).toEqual([...planned].sort());
    expect(counts.toSet).toBe(planned.length);
    expect(open.flatMap(({ holes }) => holes)).toHaveLength(counts.open);
    expect(counts.toSet + counts.open).toBe(job.assembly.holes.length);
  });

  it("a held hole is dimpled and countersunk with the others: a hold keeps a rivet out, and the layers are apart now", () => {
    const job = jobOf(kit);
    const { forming } = saidSheet(job, null);
    const done = new Set(forming.flatMap(({ holes }) => holes));
    const held = job.assembly.holes.filter(({ id }) => {
      const formed = ["dimple", "countersink"].includes(String(settled(job, id, "treatment")));
      return formed && holdOf(job.rulings, job.work, id) !== null && job.rulings.of(id).verdict === "settled";
    });
    expect(held.length).toBeGreaterThan(0);
    for (const { id } of held) expect(done.has(id), id).toBe(true);
    for (const { apart } of forming)
      expect((apart as string[]).filter((id) => held.some((one) => one.id === id))).toEqual([]);
  });

  it("a part that is kept off for now is told with the reason, and its rivets are to be fetched all the same", () => {
    const job = jobOf(kit);
    const off = planOf(job).leftOff.filter((one) => one.keepApart.length + one.wouldWallIn.length > 0);
    expect(off.length).toBeGreaterThan(0);
    const { sum, counts } = saidSheet(job, null);
    for (const { part } of off)
      expect(sum).toContain(`${namesOf(job).thePart(part).replace(/^the /, "")} stays off for now`);
    expect(counts.toSet).toBeGreaterThan(counts.open);
  });

  it("the steps' sheets together hold every rivet of the picking list once", () => {
    const job = jobOf(kit);
    const steps = job.assembly.steps.map(({ id }) => saidSheet(job, id));
    const holes = steps.flatMap(({ rivets }) => rivets.flatMap((line) => line.holes));
    expect([...holes].sort()).toEqual(plannedIn(job).sort());
  });

  it("a held or undecided hole is told apart and never counted", () => {
    const job = jobOf(kit);
    const { rivets, open } = saidSheet(job, null);
    const counted = new Set(rivets.flatMap(({ holes }) => holes));
    const apart = new Set(open.flatMap(({ holes }) => holes));
    let looked = 0;
    for (const { id } of job.assembly.holes) {
      if (!holdOf(job.rulings, job.work, id) && job.rulings.of(id).verdict === "settled") continue;
      looked += 1;
      expect(counted.has(id), id).toBe(false);
      expect(apart.has(id), id).toBe(true);
    }
    expect(looked).toBeGreaterThan(5);
    for (const line of open.filter(({ code }) => code === "held"))
      expect(job.assembly.milestones.map(({ id }) => id)).toContain(line.until);
  });

  it("a hole is on a drill's line when its final size is above the punched one, and the drill has that size", () => {
    const job = jobOf(kit);
    const { drills } = saidSheet(job, null);
    const drilled = new Set(
      drills.filter(({ count }) => Number(count) > 0).flatMap(({ holes }) => holes as string[]),
    );
    for (const id of plannedIn(job)) {
      const hole = job.assembly.holes.find((one) => one.id === id);
      const final = Number(settled(job, id, "finalDiameterMm"));
      expect(drilled.has(id), id).toBe(final > (hole?.punchedMm ?? 0) + 0.005);
    }
    for (const { drill, finalMm } of drills) {
      if (drill === null) continue;
      const mm = /^[\d.]+ mm$/.test(String(drill))
        ? Number.parseFloat(String(drill))
        : (drillInch(String(drill)) ?? Number.NaN) * 25.4;
      expect(Math.abs(mm - Number(finalMm)), String(drill)).toBeLessThan(0.013);
    }
  });

  it("spares are added to what is fetched, rounded up, and to nothing else", () => {
    const [plain, spared] = [saidSheet(jobOf(kit), null), saidSheet(jobOf(kit), null, 10)];
    expect(spared.rivets.map(({ count }) => count)).toEqual(plain.rivets.map(({ count }) => count));
    for (const { count, fetch } of spared.rivets)
      expect(fetch).toBe(Math.ceil((Number(count) * 110) / 100 - 1e-9) + 0);
  });

  it("says on which manual and which shop book it rests, and that the kit maker's data govern", () => {
    const job = jobOf(kit);
    for (const { id } of job.assembly.steps) {
      const sheet = saidSheet(job, id);
      expect(sheet.ground).toContain(job.kit.revision);
      expect(sheet.ground).toContain(job.kit.dated);
      expect(sheet.ground).toContain(`version ${job.version}`);
      expect(sheet.cautions.join(" ")).toContain("kit maker's data");
      expect(sheet.sources.length).toBeGreaterThan(0);
    }
  });
});

describe("the sheet of the servo mount's step", () => {
  it("names the rivets that the mount walls in, and what the manual wants before it", () => {
    const { before } = saidSheet(jobOf("sedge-two"), "6-4");
    expect(before.map(({ parts, count, what }) => [parts, count, what])).toEqual([
      [["SERVO-MOUNT"], 5, expect.stringContaining("walled in afterwards")],
      [["SERVO-MOUNT"], 3, expect.stringContaining("Rib 3 is riveted to the rear spar before")],
      [["SERVO-MOUNT"], 12, expect.stringContaining("web doubler is riveted before")],
    ]);
  });

  it("names them no longer once they are set", async () => {
    const job = jobOf("sedge-two");
    const marks = ["RIB-3.rear", "WEB-DOUBLER.upper", "WEB-DOUBLER.lower"].flatMap((row) =>
      rowMarks(job, row, "set"),
    );
    const after = await jobFromDisk({ marks });
    expect(saidSheet(after, "6-4").before).toEqual([]);
  });

  it("a gate that is done is said to be done, and what was marked as enlarged is not drilled again", async () => {
    const before = saidSheet(jobOf("sedge-two"), "6-5");
    const job = await jobFromDisk({ marks: allGatesDone(jobOf("sedge-two")) });
    const after = saidSheet(job, "6-5");
    expect(before.drills.some(({ count }) => Number(count) > 0)).toBe(true);
    expect(after.drills.every(({ count }) => count === 0)).toBe(true);
    expect(after.forming.every(({ count }) => count === 0)).toBe(true);
    for (const { open, done } of after.gates) {
      expect(open).toEqual([]);
      expect(done).not.toEqual([]);
    }
    expect(after.counts).toEqual(before.counts);
  });
});

describe("the sheet of the corner doubler's step", () => {
  it("counts a countersink in the sheet under the head alone, until that sheet is marked as countersunk", async () => {
    const before = saidSheet(jobOf("vetch-six"), "9-5").forming;
    expect(before).toEqual([expect.objectContaining({ act: "countersink", count: 6, done: [] })]);
    const [top] = jobOf("vetch-six").assembly.holes.filter(({ id }) => before[0]?.holes.includes(id));
    const part = top?.layers[0]?.part ?? "";
    const marks: Mark[] = [{ kind: "prep", part, gate: "countersink", done: true }];
    const after = saidSheet(await jobFromDisk({ kit: "vetch-six", marks }), "9-5").forming;
    expect(after).toEqual([expect.objectContaining({ act: "countersink", count: 0, holes: [] })]);
    expect(after[0]?.what).toContain("6 holes marked as countersunk already");
  });
});

describe("the sheet of a step for which the manual names no rows", () => {
  const rowless = (id: string): Job => {
    const job = jobOf("sedge-two");
    const steps = job.assembly.steps.map((step) => (step.id === id ? { ...step, rows: [] } : step));
    return { ...job, assembly: { ...job.assembly, steps } };
  };

  it("lists the parts that come on with their gates, and tools for the holes through them", () => {
    const job = rowless("6-4");
    const parts = job.assembly.steps.find(({ id }) => id === "6-4")?.parts ?? [];
    const sheet = saidSheet(job, "6-4");
    expect(sheet.sum).toContain("the trim-servo mount comes on");
    for (const part of parts)
      expect(sheet.gates.some(({ open, done }) => [open, done].flat().includes(part))).toBe(true);
    const through = job.assembly.holes.filter(({ layers }) =>
      layers.some(({ part }) => parts.includes(part)),
    );
    expect(sheet.counts.holes).toBe(through.length);
    const pinned = new Set(sheet.pins.flatMap(({ holes }) => holes));
    expect([...pinned].sort()).toEqual(through.map(({ id }) => id).sort());
  });

  it("counts no rivet through a part that comes on in a later step", () => {
    const job = rowless("6-3");
    const at = job.assembly.steps.findIndex(({ id }) => id === "6-3");
    const later = new Set(job.assembly.steps.slice(at + 1).flatMap(({ parts }) => parts));
    const { rivets, counts } = saidSheet(job, "6-3");
    const find = new Map(job.assembly.holes.map((hole) => [hole.id, hole]));
    const counted = rivets.flatMap(({ holes }) => holes);
    expect(counted.length).toBeGreaterThan(0);
    expect(counts.toSet).toBeLessThan(counts.holes);
    for (const hole of counted)
      expect(find.get(hole)?.layers.some(({ part }) => later.has(part))).toBe(false);
  });

  it("says it where the manual names neither parts nor rows", () => {
    expect(saidSheet(jobOf("sedge-two"), "6-10").sum).toContain("neither a part nor a row");
  });
});

describe("a sheet after any work", () => {
  it("every hole of it is to be set, set, or open for a reason, and never two of these", async () => {
    const job = jobOf("sedge-two");
    const ids = job.assembly.holes.map(({ id }) => id);
    await fc.assert(
      fc.asyncProperty(
        fc.subarray(ids, { maxLength: 60 }),
        fc.constantFrom(...job.assembly.steps.map(({ id }) => id), null),
        async (set, step) => {
          const marks = set.map((hole): Mark => ({ kind: "hole", hole, state: "set" }));
          const now = await jobFromDisk({ marks });
          const sheet = stepSheet(now, step);
          const toSet = sheet.rivets.flatMap(({ holes }) => holes);
          const open = sheet.leftOpen.map(({ hole }) => hole);
          expect([...toSet, ...sheet.set, ...open].sort()).toEqual([...sheet.holes].sort());
          for (const hole of sheet.set) expect(set).toContain(hole);
          for (const { hole } of sheet.wallsIn) expect(set).not.toContain(hole);
        },
      ),
      { numRuns: 15 },
    );
  });

  it("walls in what cannot be reached any more once all of it is set, and nothing else", async () => {
    const job = jobOf("sedge-two");
    const ids = job.assembly.holes.map(({ id }) => id);
    let found = 0;
    await fc.assert(
      fc.asyncProperty(
        fc.subarray(ids, { maxLength: 40 }),
        fc.constantFrom(...job.assembly.steps.filter(({ rows }) => rows.length > 0)),
        async (set, step) => {
          const now = await jobFromDisk({ marks: set.map((hole) => ({ kind: "hole", hole, state: "set" })) });
          const { holes, wallsIn } = stepSheet(now, step.id);
          const after = withMarks(
            now.work,
            holes.map((hole) => ({ kind: "hole", hole, state: "set" })),
          );
          const lost = (work: Job["work"]): string[] =>
            walledInNow(now.assembly, now.reach, work).map(({ hole }) => hole);
          const before = new Set(lost(now.work));
          const others = wallsIn.filter(({ own }) => !own).map(({ hole }) => hole);
          expect(others).toEqual(lost(after).filter((hole) => !before.has(hole)));
          found += others.length;
        },
      ),
      { numRuns: 15 },
    );
    expect(found).toBeGreaterThan(0);
  });

  it("a rivet that is set though it is held is named", async () => {
    const marks = rowMarks(jobOf("sedge-two"), "HINGE-1.inner", "set");
    const { warnings } = saidSheet(await jobFromDisk({ marks }), "6-8");
    expect(warnings.join(" ")).toContain("to stay open until the hinges are lined up");
  });

  it("a step that the manual does not have is refused, with the steps that it has", () => {
    expect(() => saidSheet(jobOf("sedge-two"), "9-9")).toThrow(
      expect.objectContaining({ code: "UNKNOWN_STEP", fix: expect.stringContaining("6-4") }),
    );
  });

  it("rivets that no order reaches are named, so that the count is not taken for what can be done", async () => {
    const first = (id: string, row: string, part: string) => ({
      id,
      family: "order" as const,
      params: { before: part, strength: "must" },
      conditions: { all: [{ fact: "rowId", operator: "equal", value: row }] },
      fires: `${row}.1`,
      spares: "RIB-4.top.1",
    });
    const rules = trialRules(
      first("ribs-first", "RIB-5.bottom", "NOSE-SKIN"),
      first("nose-first", "FRONT-SPAR.nose-bottom", "BOTTOM-SKIN"),
    );
    const { warnings } = saidSheet(await jobFromDisk({ moreRules: [rules] }), "6-9");
    expect(warnings.join(" ")).toContain("There is no order in which these rivets can be set");
    expect(saidSheet(jobOf("sedge-two"), "6-9").warnings).toEqual([]);
  });

  it("no drill is named for a finished hole outside the rivet's limits, or of a size that no drill has", () => {
    const job = jobOf("sedge-two");
    const lot = {
      holes: ["RIB-2.top.1"],
      apart: [],
      done: [],
      punchedMm: 3.3,
      finalMm: 4.5,
      drill: { name: "4.5 mm", mm: 4.5 },
      within: [{ name: "4.1 mm", mm: 4.1 }],
      fit: "oversize" as const,
      limits: { minMm: 4.1, maxMm: 4.2 },
    };
    const outside = sayDrills(job, lot);
    expect(outside).toContain("do not drill, ask the kit maker");
    expect(outside).not.toContain("drill.");
    const none = sayDrills(job, { ...lot, finalMm: 4.13, drill: null, fit: "fits" });
    expect(none).toContain(
      "no standard drill has that very size; inside the rivet's limits lie the 4.1 mm drill",
    );
    expect(sayDrills(job, { ...lot, finalMm: 4.13, drill: null, within: [], fit: null })).toContain(
      "ask the kit maker",
    );
  });

  it("a drill is called as the shop calls it", () => {
    expect(["#30", "F", "1/8 in", "4.1 mm"].map((name) => sayDrillName({ name, mm: 1 }))).toEqual([
      "No. 30 drill",
      "letter F drill",
      "1/8 in drill",
      "4.1 mm drill",
    ]);
  });
});
