import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import type { Mark } from "../../../server/kit/work.js";
import { allGatesDone, jobFromDisk, rowMarks, trialRules } from "../../support/job.js";
import { answer, problemOf, rowOf } from "./answer.js";

let job: Job;
beforeAll(async () => {
  job = await jobFromDisk();
});

/** Holes that a settled hold keeps open on a job, until the milestone if one is given. */
function heldOn(on: Job, milestone?: string): string[] {
  return on.assembly.holes
    .map(({ id }) => id)
    .filter((id) => {
      const hold = on.rulings.of(id).attributes.hold;
      if (hold?.status !== "settled" || hold.value === "none" || on.work.holes.get(id) === "set")
        return false;
      return !on.work.milestones.has(String(hold.value)) && (!milestone || hold.value === milestone);
    });
}

const reached = (milestone: string): Mark => ({ kind: "milestone", milestone, reached: true });

describe("holes that stay open", () => {
  it("are those with a hold in force, no more and no fewer", () => {
    expect(answer(job, "stay-open", {}).holes).toEqual(heldOn(job));
    expect(heldOn(job).length).toBeGreaterThan(20);
  });

  it("say why and until when", () => {
    const { what, until } = rowOf(answer(job, "stay-open", {}), "RIB-1.bottom.1");
    expect(until).toBe("twist-checked");
    expect(what).toMatch(/^Stays open until the twist is checked on the fuselage\. /);
    const [rule = ""] = job.rulings.of("RIB-1.bottom.1").attributes.hold?.ruleIds ?? [];
    expect(what).toContain(job.rulebook.byId.get(rule)?.why);
  });

  it("are said to have been held once their milestone is reached, not to be held", async () => {
    const hole = "RIB-1.bottom.1";
    const now = answer(job, "why", { hole, attribute: "hold" }).headline;
    expect(now).toContain("stays open until the twist is checked");
    const then = await jobFromDisk({ marks: [reached("twist-checked")] });
    const later = answer(then, "why", { hole, attribute: "hold" });
    expect(later.headline).toContain(
      "was to stay open until the twist is checked on the fuselage, which is reached",
    );
    expect(later.headline).not.toContain("stays open");
    expect(rowOf(later, hole).what).toContain("need not stay open any longer");
  });

  it("are counted by milestone", () => {
    const { headline } = answer(job, "stay-open", {});
    for (const { id, name } of job.assembly.milestones) {
      expect(headline).toContain(`${heldOn(job, id).length} until ${name}`);
    }
  });

  it("asked for one milestone, only its own", () => {
    expect(answer(job, "stay-open", { milestone: "hinges-lined-up" }).holes).toEqual(
      heldOn(job, "hinges-lined-up"),
    );
  });

  it("a milestone that is reached holds nothing any more", async () => {
    const later = await jobFromDisk({ marks: [reached("twist-checked")] });
    expect(answer(later, "stay-open", {}).holes).toEqual(heldOn(later));
    expect(answer(later, "stay-open", { row: "RIB-1.bottom" }).headline).toBe(
      "No hole of the bottom flange row of rib 1 has to stay open.",
    );
  });

  it("one that was set all the same is told, not passed over", async () => {
    const early = await jobFromDisk({ marks: [{ kind: "hole", hole: "RIB-1.bottom.1", state: "set" }] });
    const told = answer(early, "stay-open", { row: "RIB-1.bottom" });
    expect(told.holes).not.toContain("RIB-1.bottom.1");
    expect(told.headline).toContain("already set, though it was to stay open".replace("a", "A"));
    expect(rowOf(told, "RIB-1.bottom.1").what).toContain("Ask the kit maker");
  });

  it("a hold that hangs on an unknown fact is undecided, not open and not free", async () => {
    const unsure = await jobFromDisk({
      moreRules: [
        trialRules({
          id: "trial-hold",
          family: "hold",
          params: { hold: "twist-checked" },
          conditions: {
            all: [
              { fact: "rowId", operator: "equal", value: "RIB-7.top" },
              { fact: "gapMm", operator: "lessThan", value: 2 },
            ],
          },
          fires: "RIB-7.top.8",
          spares: "RIB-6.top.1",
        }),
      ],
    });
    const told = answer(unsure, "stay-open", { hole: "RIB-7.top.8" });
    expect(told.verdict).toBe("undecided");
    expect(told.holes).toEqual([]);
    expect(told.headline).toContain("whether 1 more hole stays open is not decided".replace("w", "W"));
    expect(rowOf(told, "RIB-7.top.8").what).toContain("the gap to the elevator's gap seal is not known");
  });

  it("the evidence groups holes under the rule that holds them", () => {
    const { trace } = answer(job, "stay-open", {});
    const held = trace.flatMap((entry) => (entry.kind === "hold" ? entry.holes : []));
    expect([...held].sort()).toEqual([...heldOn(job)].sort());
    expect(trace.filter(({ kind }) => kind === "hold").length).toBeLessThan(6);
  });

  it("a milestone that is not there is refused", () => {
    expect(problemOf(job, "stay-open", { milestone: "never" }).code).toBe("UNKNOWN_ID");
  });
});

describe("what is closed later", () => {
  it("is told by milestone, in the kit's order", () => {
    const { rows, holes } = answer(job, "close-later", {});
    expect(holes).toEqual(job.assembly.milestones.flatMap(({ id }) => heldOn(job, id)));
    for (const row of rows) expect(row.what).toContain("Open until");
  });

  it("once a milestone is reached, each hole says whether it may be set now, and means it", async () => {
    const later = await jobFromDisk({ marks: [...allGatesDone(job), reached("hinges-lined-up")] });
    const told = answer(later, "close-later", { milestone: "hinges-lined-up" });
    expect(told.headline).toMatch(/^The hinges are lined up: 18 holes are no longer held/);
    for (const row of told.rows) {
      for (const hole of row.holes) {
        expect(row.verdict, hole).toBe(answer(later, "may-i", { act: "set", hole }).verdict);
      }
    }
  });

  it("a rivet that is in needs no closing any more", async () => {
    const set = await jobFromDisk({ marks: rowMarks(job, "RIB-1.bottom", "set") });
    expect(answer(set, "close-later", { row: "RIB-1.bottom" })).toMatchObject({
      headline: "No hole of the bottom flange row of rib 1 is held open.",
      holes: [],
    });
  });
});
