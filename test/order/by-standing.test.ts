import { describe, expect, it } from "vitest";
import { wholePlan } from "../../server/ask/whole-plan.js";
import { type Mark, withMarks } from "../../server/kit/work.js";
import { ByStanding } from "../../server/order/by-standing.js";
import { planOf } from "../../server/order/plan.js";
import { jobFromDisk } from "../support/job.js";

describe("what is kept for where the work stands", () => {
  it("is there for a job made anew over the same work, rulings and drawing, and for no other", async () => {
    const job = await jobFromDisk();
    const kept = new ByStanding<string>();
    kept.set(job, "kept");
    expect(kept.get({ ...job })).toBe("kept");
    for (const part of ["kit", "assembly", "reach", "rulings", "work"] as const) {
      expect(kept.get({ ...job, [part]: { ...job[part] } })).toBeUndefined();
    }
  });

  it("the plan is worked out once for a state of the work, and anew for the next", async () => {
    const job = await jobFromDisk();
    const plan = wholePlan(job);
    const anew = { ...job, version: job.version + 1 };
    expect(wholePlan(anew)).toBe(plan);
    const [first] = plan.steps.flatMap((step) => (step.kind === "rivets" ? step.holes : []));
    const mark: Mark = { kind: "hole", hole: first ?? "", state: "set" };
    const later = { ...job, work: withMarks(job.work, [mark]) };
    expect(wholePlan(later)).toEqual(planOf(later));
    expect(wholePlan(later)).not.toEqual(plan);
  });
});
