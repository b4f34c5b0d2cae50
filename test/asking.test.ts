import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { loadForms } from "../server/ask/questions.js";
import type { Job } from "../server/ask/types.js";
import { askAndSolve } from "../server/asking.js";
import { reworkSolver } from "../server/rework-solver.js";
import { allGatesDone, filesIn, jobFromDisk, rowMarks } from "./support/job.js";

const forms = loadForms(filesIn("kb/questions", ".json"));
const solver = reworkSolver();
let walled: Job;
beforeAll(async () => {
  const job = await jobFromDisk();
  const feet = ["SERVO-MOUNT.outer", "SERVO-MOUNT.inner"].flatMap((row) => rowMarks(job, row, "set"));
  walled = await jobFromDisk({ marks: [...allGatesDone(job), ...feet] });
});
afterAll(() => solver.close());

describe("asking with a solver at hand", () => {
  it("the way back is proved to be the least", async () => {
    const told = await askAndSolve(walled, { form: "rework", slots: {} }, forms, solver);
    expect(told.headline).toContain("Drill out 6 rivets");
    expect(told.headline).toContain("Fewer will not do");
  });

  it("asks the solver once for equal questions", async () => {
    let asked = 0;
    const counting = {
      known: solver.known,
      solve: (program: string) => {
        asked += 1;
        return solver.solve(program);
      },
    };
    const question = { form: "rework", slots: { row: "RIB-3.rear" } };
    await askAndSolve(walled, question, forms, counting);
    const once = asked;
    await askAndSolve({ ...walled }, question, forms, counting);
    expect(asked).toBe(once);
  });

  it("what if is solved for the work as it would stand", async () => {
    const job = await jobFromDisk();
    const told = await askAndSolve(job, { question: "What if I hang the servo mount first?" }, forms, solver);
    expect(told.reading).toMatchObject({ form: "rework", slots: { part: "SERVO-MOUNT", first: "yes" } });
    expect(told.headline).toContain("drilling out 6 rivets; fewer will not do");
  });

  it("other questions need no solver", async () => {
    const none = {
      known: () => null,
      solve: () => Promise.reject(new Error("not asked for")),
    };
    const told = await askAndSolve(walled, { form: "next", slots: {} }, forms, none);
    expect(told.outcome).toBe("answered");
  });

  it("a solver that never gets on is not asked for ever", async () => {
    const forgetful = { known: () => null, solve: async () => ({ open: null, proved: false }) };
    const told = await askAndSolve(walled, { form: "rework", slots: {} }, forms, forgetful);
    expect(told.headline).toContain("Best found so far, not proved");
  });
});
