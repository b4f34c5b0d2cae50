import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { loadForms } from "../server/ask/questions.js";
import type { Job } from "../server/ask/types.js";
import { askAndSolve } from "../server/asking.js";
import { type ReworkAsked, reworkFound, reworkTask } from "../server/order/rework-asked.js";
import type { Standing } from "../server/order/types.js";
import { reworkDesk } from "../server/rework-desk.js";
import { allGatesDone, filesIn, jobFromDisk, rowMarks } from "./support/job.js";

const forms = loadForms(filesIn("kb/questions", ".json"));
const desk = reworkDesk();
let walled: Job;
beforeAll(async () => {
  const job = await jobFromDisk();
  const feet = ["SERVO-MOUNT.outer", "SERVO-MOUNT.inner"].flatMap((row) => rowMarks(job, row, "set"));
  walled = await jobFromDisk({ marks: [...allGatesDone(job), ...feet] });
});
afterAll(() => desk.close());

describe("asking with a solver at hand", () => {
  it("the way back is proved to be the least", async () => {
    const told = await askAndSolve(walled, { form: "rework", slots: {} }, forms, desk);
    expect(told.headline).toContain("Drill out 6 rivets");
    expect(told.headline).toContain("fewer will not do");
  });

  it("works a way back out once for equal questions about the same work", async () => {
    let asked = 0;
    const counting = {
      known: desk.known,
      workOut: (standing: Standing, what: ReworkAsked) => {
        asked += 1;
        return desk.workOut(standing, what);
      },
    };
    const question = { form: "rework", slots: { row: "RIB-3.rear" } };
    const told = await askAndSolve(walled, question, forms, counting);
    const once = asked;
    expect(once).toBeGreaterThan(0);
    expect(await askAndSolve({ ...walled }, question, forms, counting)).toEqual(told);
    expect(asked).toBe(once);
  });

  it("what if is solved for the work as it would stand", async () => {
    const job = await jobFromDisk();
    const told = await askAndSolve(job, { question: "What if I hang the servo mount first?" }, forms, desk);
    expect(told.reading).toMatchObject({ form: "rework", slots: { part: "SERVO-MOUNT", first: "yes" } });
    expect(told.headline).toContain("drilling out 6 rivets; fewer will not do");
  });

  it("other questions need no way back", async () => {
    const none = {
      known: () => null,
      workOut: () => Promise.reject(new Error("not asked for")),
    };
    const told = await askAndSolve(walled, { form: "next", slots: {} }, forms, none);
    expect(told.outcome).toBe("answered");
  });

  it("a desk that never remembers is not asked for ever", async () => {
    let asked = 0;
    const forgetful = {
      known: () => null,
      workOut: async (standing: Standing, what: ReworkAsked) => {
        asked += 1;
        return reworkFound(reworkTask(standing, what), { open: null, proved: false });
      },
    };
    const told = await askAndSolve(walled, { form: "rework", slots: {} }, forms, forgetful);
    expect(told.headline).toContain("best found so far, not proved");
    expect(asked).toBe(2);
  });
});
