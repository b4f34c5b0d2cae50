import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../server/ask/types.js";
import { finder } from "../../server/kit/find.js";
import type { Vec } from "../../server/kit/types.js";
import { withMarks } from "../../server/kit/work.js";
import { solve } from "../../server/order/backward.js";
import { whyImpossible } from "../../server/order/impossible.js";
import { maySet } from "../../server/order/may-set.js";
import { benchSide, planOf } from "../../server/order/plan.js";
import type { PlanStep } from "../../server/order/plan-types.js";
import type { Puzzle } from "../../server/order/puzzle.js";
import { stackOf } from "../../server/order/standing.js";
import { marksOf } from "../support/any-bench.js";
import { approach, assembly, hole, kit, room } from "../support/by-hand.js";
import { jobFromDisk } from "../support/job.js";
import { seeded } from "../support/random.js";

let job: Job;
beforeAll(async () => {
  job = await jobFromDisk();
});

const rivetsOf = (steps: readonly PlanStep[]): string[] =>
  steps.flatMap((step) => (step.kind === "rivets" ? step.holes : []));

describe("the plan of the tailplane", () => {
  it("sets every rivet once, save those that stay open, each with its reason", () => {
    const plan = planOf(job);
    const rivets = rivetsOf(plan.steps);
    const open = plan.leftOpen.map(({ hole }) => hole);
    expect(plan.status).toBe("open");
    expect(new Set(rivets).size).toBe(rivets.length);
    expect([...rivets, ...open].sort()).toEqual(job.assembly.holes.map(({ id }) => id).sort());
  });

  it("sets nothing before its parts are on, and preps a part before it comes on", () => {
    const on = new Set<string>();
    const ready = new Set<string>();
    const find = finder(job.assembly);
    for (const step of planOf(job).steps) {
      if (step.kind === "prep") ready.add(step.part);
      if (step.kind === "part") {
        expect(find.part(step.part).prep.length === 0 || ready.has(step.part), step.part).toBe(true);
        on.add(step.part);
      }
      if (step.kind === "rivets") {
        for (const hole of step.holes)
          for (const part of stackOf(find.hole(hole))) expect(on.has(part)).toBe(true);
      }
    }
  });

  it("every rivet may be set when its turn comes: may-I says yes all along", () => {
    let standing = job;
    for (const step of planOf(job).steps) {
      if (step.kind === "rivets") {
        for (const hole of step.holes) {
          const may = maySet(standing, hole);
          expect(
            may.verdict,
            `${hole}: ${JSON.stringify(may.reasons.filter((r) => r.weight !== "note"))}`,
          ).toBe("yes");
          standing = { ...standing, work: withMarks(standing.work, [{ kind: "hole", hole, state: "set" }]) };
        }
      } else standing = { ...standing, work: withMarks(standing.work, marksOf(step)) };
    }
  });

  it("is done for now when all its steps are done: only what stays open is left", () => {
    const plan = planOf(job);
    const work = withMarks(job.work, plan.steps.flatMap(marksOf));
    const after = planOf({ ...job, work });
    expect(after.status).toBe("done");
    expect(after.steps).toEqual([]);
    expect(after.leftOpen.map(({ hole }) => hole)).toEqual(plan.leftOpen.map(({ hole }) => hole));
  });

  it("goes on from any point: the rest of a plan never needs what is closed to come off", () => {
    const random = seeded(7);
    const { steps } = planOf(job);
    for (let i = 0; i < 8; i += 1) {
      const cut = Math.floor(random() * steps.length);
      const work = withMarks(job.work, steps.slice(0, cut).flatMap(marksOf));
      const rest = planOf({ ...job, work });
      expect(rest.status === "impossible").toBe(false);
      expect(rivetsOf(rest.steps).sort()).toEqual(rivetsOf(steps.slice(cut)).sort());
    }
  });

  it("the same standing gives the same plan, however the kit's lists are shuffled", () => {
    const { assembly } = job;
    const parts = [...assembly.parts].reverse();
    expect(planOf({ ...job, assembly: { ...assembly, parts } }).steps).toEqual(planOf(job).steps);
  });

  it("rivets that the servo mount walls in come before it, and the reason names it", () => {
    const { steps } = planOf(job);
    const walled = steps.filter((step) =>
      step.reasons.some((reason) => reason.code === "walled-in-by" && reason.part === "SERVO-MOUNT"),
    );
    expect(walled.length).toBeGreaterThan(0);
    const mount = steps.findIndex((step) => step.kind === "part" && step.part === "SERVO-MOUNT");
    for (const step of walled) expect(steps.indexOf(step)).toBeLessThan(mount);
  });

  it("a hole walled in by a closing that came too early is named as lost, and the rest is still planned", () => {
    const plan = planOf(job);
    const mount = plan.steps.findIndex((step) => step.kind === "part" && step.part === "SERVO-MOUNT");
    const early = job.assembly.holes.filter(({ rowId }) => rowId.startsWith("SERVO-MOUNT."));
    const work = withMarks(
      job.work,
      early.map(({ id }) => ({ kind: "hole", hole: id, state: "set" })),
    );
    const after = planOf({ ...job, work });
    const lost = after.leftOpen.filter(({ code }) => code === "walled-in").map(({ hole }) => hole);
    const expected = plan.steps
      .slice(0, mount)
      .flatMap(({ reasons }) => reasons)
      .flatMap((reason) =>
        reason.code === "walled-in-by" && reason.part === "SERVO-MOUNT" ? reason.holes : [],
      );
    for (const hole of expected) expect(lost).toContain(hole);
    expect(after.status).toBe("open");
  });
});

describe("the side of the bench that a rivet needs up", () => {
  const straight = approach("straight", [room("head", 6, 170), room("tail", 2, 9)]);
  const turned = approach("turned", [room("tail", 6, 95), room("head", 2, 9)]);
  const bench = kit([straight, turned], []);
  const at = (normal: Vec, approaches: string[]) =>
    benchSide(bench, assembly([], []), hole("rib.a.1", ["skin", "rib"], { normal, approaches }));

  it("is that of its head, and that of its tail when the puller only ever stands there", () => {
    expect(at([0, 0, 1], ["straight"])).toBe("up");
    expect(at([0, 0, 1], ["straight", "turned"])).toBe("up");
    expect(at([0, 0, 1], ["turned"])).toBe("over");
    expect(at([0, 0, -1], ["turned"])).toBe("up");
    expect(at([1, 0, 0], ["turned"])).toBeNull();
  });
});

describe("why there is no order", () => {
  it("a chain that ends at a closed part is no circle, and the part is named", () => {
    const puzzle: Puzzle = {
      parts: ["a", "b"],
      on: ["cover"],
      rivets: [
        { id: "a.r.1", run: "a.r", through: ["a"], approaches: [["cover"], ["b"]], side: null },
        { id: "b.r.1", run: "b.r", through: ["b"], approaches: [["cover"], ["a"]], side: null },
      ],
      rules: [],
      rank: new Map(),
    };
    const knot = whyImpossible(puzzle, solve(puzzle).stuck);
    expect(knot.closed).toBeNull();
    expect(knot.loop.map(({ part }) => part)).toEqual(["b", "b", "a", "a"]);
    expect(knot.loop[0]).toMatchObject({ because: "access", ways: 2 });
    const shut: Puzzle = { ...puzzle, parts: ["a"], rivets: puzzle.rivets.slice(0, 1), on: ["cover", "b"] };
    expect(whyImpossible(shut, solve(shut).stuck)).toMatchObject({ closed: "cover", core: ["a.r.1"] });
  });
});
