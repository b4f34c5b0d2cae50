import { afterEach, describe, expect, it } from "vitest";
import type { Job } from "../server/ask/types.js";
import { type Mark, withMarks } from "../server/kit/work.js";
import { planOf } from "../server/order/plan.js";
import { type ReworkAsked, reworkFound, reworkTask } from "../server/order/rework-asked.js";
import type { ReworkSolution } from "../server/order/rework-types.js";
import { Problem } from "../server/problem.js";
import { type DeskOptions, type ReworkDesk, reworkDesk } from "../server/rework-desk.js";
import { type ReworkSolver, reworkSolver } from "../server/rework-solver.js";
import { openShop, place } from "./routes/shop.js";
import { standing } from "./support/any-bench.js";
import { jobFromDisk, rowMarks } from "./support/job.js";
import { orderPlane } from "./support/order-plane.js";

let desk: ReworkDesk | null = null;
afterEach(async () => {
  await desk?.close();
  desk = null;
});
const opened = (options?: DeskOptions): ReworkDesk => {
  desk = reworkDesk(options);
  return desk;
};

const ALL: ReworkAsked = { only: null, skipped: false };
const NOT_FOUND: ReworkSolution = { open: null, proved: false };
const code = (error: unknown): string => (error instanceof Problem ? error.code : String(error));

/** Stands in for the solver: gives these answers in turn, the last of them for ever. */
function answering(...answers: readonly ReworkSolution[]): ReworkSolver & { asked: number } {
  const stand = {
    asked: 0,
    known: () => null,
    solve: async () => {
      const answer = answers[Math.min(stand.asked, answers.length - 1)] ?? NOT_FOUND;
      stand.asked += 1;
      return answer;
    },
    close: async () => undefined,
  };
  return stand;
}

/** The servo mount was riveted before what lies behind it; no gate is marked as done. */
async function walledJob(): Promise<Job> {
  const job = await jobFromDisk();
  return jobFromDisk({
    marks: ["SERVO-MOUNT.outer", "SERVO-MOUNT.inner"].flatMap((row) => rowMarks(job, row, "set")),
  });
}

describe("ways back worked out beside the server", () => {
  it.each<[string, ReworkAsked]>([
    ["all that is walled in", ALL],
    ["one rivet of those", { only: ["RIB-3.rear.2"], skipped: false }],
    ["rivets that are not walled in", { only: ["RIB-5.top.1"], skipped: false }],
    ["what was skipped", { only: null, skipped: true }],
  ])("are what the order core finds itself: %s", async (_what, asked) => {
    const job = await walledJob();
    const here = reworkFound(reworkTask(job, asked), NOT_FOUND);
    expect(await opened({ solver: answering(NOT_FOUND) }).workOut(job, asked)).toEqual(here);
  });

  it("are known once they are certain, for the same work alone", async () => {
    const job = await walledJob();
    const { workOut, known } = opened();
    const found = await workOut(job, ALL);
    expect(found.back).toMatchObject({ status: "found", proved: true });
    expect(known(job, ALL)).toBe(found);
    expect(await workOut({ ...job }, ALL)).toBe(found);
    expect(known(job, { only: null, skipped: true })).toBeNull();
    const fresh = await jobFromDisk();
    expect(known(fresh, ALL)).toBeNull();
    expect((await workOut(fresh, ALL)).back?.status).toBe("none needed");
  });

  it("that are only the best so far are looked for again when they are asked for again", async () => {
    const job = await walledJob();
    const solver = answering(NOT_FOUND);
    const { workOut, known } = opened({ solver });
    expect((await workOut(job, ALL)).back).toMatchObject({ status: "found", proved: false });
    expect(known(job, ALL)).toBeNull();
    await workOut(job, ALL);
    expect(solver.asked).toBe(2);
  });

  it("that are heavier than what was found before are not told in its place", async () => {
    // The missing rivet is got at by opening the mount or the cover, and the cover has more rivets.
    const here = standing({
      holes: {
        "rib.a.1": { through: ["rib"], approaches: { front: ["mount"], rear: ["cover"] } },
        "mount.foot.1": { through: ["mount"], approaches: { front: [] }, state: "set" },
        "cover.rim.1": { through: ["cover"], approaches: { front: [] }, state: "set" },
        "cover.rim.2": { through: ["cover"], approaches: { front: [] }, state: "set" },
      },
    });
    const program = reworkTask(here, ALL).question?.program;
    const opening = (rivets: number): ReworkSolution => {
      const open = [0, 1].find((part) => program?.drillFor([part]).size === rivets);
      return { open: [open ?? -1], proved: false };
    };
    const { workOut } = opened({ solver: answering(opening(2), opening(1), opening(2), NOT_FOUND) });
    const weights: number[] = [];
    for (let i = 0; i < 4; i += 1) weights.push((await workOut(here, ALL)).back?.weight ?? 0);
    expect(weights).toEqual([2, 1, 1, 1]);
  });

  it("a job that cannot be sent over is a fault of its own, and the next question is answered", async () => {
    const job = await walledJob();
    const { workOut } = opened({ solver: answering(NOT_FOUND) });
    const odd = { ...job, kit: { ...job.kit, odd: () => 1 } };
    await expect(workOut(odd, ALL)).rejects.toThrow(/could not be cloned/);
    expect((await workOut(job, ALL)).back?.status).toBe("found");
  });

  it("are worked out once for all who ask the same at the same time", async () => {
    const job = await walledJob();
    const solver = answering(NOT_FOUND);
    const { workOut } = opened({ solver });
    const [one, other] = await Promise.all([workOut(job, ALL), workOut(job, ALL)]);
    expect(other).toBe(one);
    expect(solver.asked).toBe(1);
  });

  it("an answer of the solver that does not stand up to the order core is never told; the next question is answered", async () => {
    const job = await walledJob();
    const { workOut } = opened({ solver: answering({ open: [], proved: true }, NOT_FOUND) });
    await expect(workOut(job, ALL)).rejects.toThrow(/can't be drilled and set/);
    expect((await workOut(job, ALL)).back?.status).toBe("found");
  });

  it("refuses more than may wait", async () => {
    const [job, fresh] = [await walledJob(), await jobFromDisk()];
    const { workOut } = opened({ solver: answering(NOT_FOUND), mostWaiting: 1 });
    const first = workOut(job, ALL);
    expect(await workOut(fresh, ALL).catch(code)).toBe("SOLVER_BUSY");
    await first;
    expect((await workOut(fresh, ALL)).back?.status).toBe("none needed");
  });

  it("ends what it works on when it closes, and takes nothing after that", async () => {
    const job = await walledJob();
    const { workOut, close } = opened({ solver: reworkSolver({ timeLimitMs: 60_000 }) });
    const running = workOut(job, ALL).catch(code);
    await close();
    expect(await running).toBe("SOLVER_CLOSED");
    expect(await workOut(job, ALL).catch(code)).toBe("SOLVER_CLOSED");
  });
});

describe("a way back on a large assembly", () => {
  const PARTS = 300;
  /** The tailplane's job over a large assembly in which some parts were forgotten. */
  async function largeJob(): Promise<Job> {
    const here = orderPlane(PARTS);
    const forgotten = new Set(here.assembly.parts.filter((_, i) => i % 50 === 1).map(({ id }) => id));
    const marks = planOf(here)
      .steps.flatMap((step) => (step.kind === "rivets" ? step.holes : []))
      .filter((id) => !forgotten.has(id.split(".")[0] ?? ""))
      .map((id): Mark => ({ kind: "hole", hole: id, state: "set" }));
    const { rulings, ...job } = await jobFromDisk();
    const settled = Object.assign(Object.create(rulings), here.rulings);
    return { ...job, ...here, rulings: settled, work: withMarks(here.work, marks) };
  }

  it("holds up nobody else for as long as finding it takes", async () => {
    const job = await largeJob();
    const solver = reworkSolver();
    const { app, workshop } = await openShop(undefined, { desk: opened({ solver }) });
    Object.assign(workshop, { job: async () => job });
    const start = performance.now();
    const task = reworkTask(job, ALL);
    const asked = performance.now();
    const solution = await solver.solve(task.question?.program?.text ?? "");
    const solved = performance.now();
    reworkFound(task, solution);
    // What it takes in this thread, without the solving.
    const wholeMs = asked - start + performance.now() - solved;

    let isAnswered = false;
    const asking = app
      .inject({ method: "POST", url: "/api/ask", payload: { ...place, form: "rework", slots: {} } })
      .then((reply) => {
        isAnswered = true;
        return reply;
      });
    const waitsMs: number[] = [];
    while (!isAnswered) {
      const from = performance.now();
      expect((await app.inject({ url: "/health" })).statusCode).toBe(200);
      waitsMs.push(performance.now() - from);
      await new Promise((resolve) => setTimeout(resolve, 1));
    }
    expect((await asking).json().headline).toMatch(/^Drill out \d+ rivets; fewer will not do/);
    expect(waitsMs.length).toBeGreaterThan(10);
    expect(Math.max(...waitsMs)).toBeLessThan(wholeMs / 2);
  });
});
