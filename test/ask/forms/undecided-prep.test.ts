import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import type { Mark } from "../../../server/kit/work.js";
import { planOf } from "../../../server/order/plan.js";
import { openGates } from "../../../server/order/prep.js";
import { jobFromDisk, trialRules } from "../../support/job.js";
import { answer, rowOf } from "./answer.js";

let fresh: Job;
/** A hole of rib 4's forward row may have to be dimpled, for all that is known; the kit lists no dimpling for its parts. */
let doubtful: Job;
beforeAll(async () => {
  fresh = await jobFromDisk();
  const may = trialRules({
    id: "trial-may-be-dimpled",
    family: "treatment",
    params: { treatment: "dimple" },
    conditions: {
      all: [
        { fact: "rowId", operator: "equal", value: "RIB-4.front" },
        { fact: "number", operator: "equal", value: 1 },
        { fact: "worstHeadroomMm", operator: "lessThan", value: 1 },
      ],
    },
    fires: "RIB-4.front.1",
    spares: "RIB-4.front.2",
  });
  const marks = fresh.assembly.parts.flatMap(({ id, prep }) =>
    prep.map((gate): Mark => ({ kind: "prep", part: id, gate, done: true })),
  );
  doubtful = await jobFromDisk({ moreRules: [may], marks });
});

describe("a part of which it is not known whether it needs more prep", () => {
  it("stands so in the rulings", () => {
    expect(doubtful.rulings.of("RIB-4.front.1").attributes.treatment?.status).toBe("undecided");
    expect(openGates(doubtful, "FRONT-SPAR").map(({ needed }) => needed)).toContain("unknown");
  });

  it("the plan and the answer to 'may I' say the same of it, and neither is a yes", () => {
    const asked = answer(doubtful, "may-i", { act: "set", hole: "RIB-5.front.1" });
    expect(asked.verdict).toBe("undecided");
    const whole = answer(doubtful, "plan", {});
    const row = whole.rows.find(({ kind, part }) => kind === "prep" && part === "FRONT-SPAR");
    expect(row?.verdict).toBe("undecided");
    const same =
      /whether “holes dimpled”[^.]*needed on the front spar is not decided, and not marked as done: find that out before it is closed/i;
    expect(rowOf(asked, "RIB-5.front.1").what).toMatch(same);
    expect(row?.what).toMatch(same);
    expect(row?.what).toContain("rib 4, forward attach row, hole 1");
    expect(whole.headline).toMatch(/Not decided: whether the front spar needs? more prep/);
  });

  it("every undecided part that the plan brings on is undecided to close as well", () => {
    const parts = planOf(doubtful).steps.flatMap((step) =>
      step.kind === "prep" && step.gates.every(({ needed }) => needed === "unknown") ? [step.part] : [],
    );
    expect(parts).toContain("FRONT-SPAR");
    for (const part of parts)
      expect(answer(doubtful, "may-i", { act: "close", part }).verdict, part).not.toBe("yes");
  });
});

describe("what comes next on a part with holes that are not decided", () => {
  it("names them beside what is to be done for certain", () => {
    const told = answer(fresh, "next", { part: "RIB-7" });
    expect(told.rows[0]?.what).toContain(
      "Whether rib 7, top flange row, holes 7 and 8 from the front are enlarged or dimpled is not decided: the gap to the elevator's gap seal is not known",
    );
    expect(answer(fresh, "next", { part: "RIB-3" }).rows[0]?.what).not.toContain("not decided");
  });
});

describe("what if a part were hung first", () => {
  it("preferences that it would not keep are told beside the rest, and decide nothing", async () => {
    const marks = fresh.assembly.milestones.map(
      ({ id }): Mark => ({ kind: "milestone", milestone: id, reached: true }),
    );
    const free = await jobFromDisk({ marks });
    const told = answer(free, "rework", { part: "HINGE-1", first: "yes" });
    const wishes = told.rows.filter(({ kind }) => kind === "preference");
    expect(wishes.map(({ rule }) => rule).sort()).toEqual([
      "sedge-two-hinges-after-bottom-skin",
      "sedge-two-hinges-after-top-skin",
    ]);
    expect(told.trace.flatMap((entry) => (entry.kind === "order" ? [entry.rule] : []))).toEqual(
      expect.arrayContaining(["sedge-two-hinges-after-top-skin"]),
    );
    const door = await jobFromDisk({ kit: "vetch-six" });
    const skin = answer(door, "rework", { part: "OUTER-SKIN", first: "yes" });
    expect(skin.verdict).toBeUndefined();
    expect(skin.rows.filter(({ kind }) => kind === "preference")).toHaveLength(1);
    expect(skin.headline).toContain("1 preference would not be kept");
  });
});
