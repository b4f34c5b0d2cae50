import { beforeAll, describe, expect, it } from "vitest";
import type { FormAnswer, Job } from "../../../server/ask/types.js";
import { finder } from "../../../server/kit/find.js";
import { stateOf } from "../../../server/kit/work.js";
import { planOf } from "../../../server/order/plan.js";
import { stackOf } from "../../../server/order/standing.js";
import { marksOf } from "../../support/any-bench.js";
import { allGatesDone, GAP_MEASURED, jobFromDisk, rowMarks } from "../../support/job.js";
import { answer } from "./answer.js";

let fresh: Job;
let measured: Job;
let door: Job;
let walled: Job;
/** Both kits, fresh and begun, with and without what is left unknown, and with a part closed too early. */
let jobs: readonly (readonly [string, Job])[];
beforeAll(async () => {
  fresh = await jobFromDisk();
  measured = await jobFromDisk({ moreRules: [GAP_MEASURED] });
  door = await jobFromDisk({ kit: "vetch-six" });
  const begun = (job: Job) => planOf(job).steps.slice(0, 12).flatMap(marksOf);
  const feet = ["SERVO-MOUNT.outer", "SERVO-MOUNT.inner"].flatMap((row) => rowMarks(fresh, row, "set"));
  walled = await jobFromDisk({ marks: [...allGatesDone(fresh), ...feet] });
  jobs = [
    ["the tailplane", fresh],
    ["the tailplane, its gap measured", measured],
    ["the tailplane begun", await jobFromDisk({ moreRules: [GAP_MEASURED], marks: begun(measured) })],
    ["the tailplane with its mount closed too early", walled],
    ["the door", door],
    ["the door begun", await jobFromDisk({ kit: "vetch-six", marks: begun(door) })],
  ];
});

/** Numbers of the plan's steps that rows tell. */
const stepsIn = ({ rows }: FormAnswer) =>
  rows.flatMap((row) => (typeof row.step === "number" ? [{ step: row.step, holes: row.holes, row }] : []));

describe("when in the plan something comes", () => {
  it("every hole has its step of the whole plan, or the reason why no step sets it", () => {
    for (const [name, job] of jobs) {
      const whole = planOf(job);
      const full = answer(job, "plan", {});
      expect(whole.status, name).not.toBe("impossible");
      for (const { id } of job.assembly.holes) {
        const told = answer(job, "plan", { hole: id });
        const at = whole.steps.findIndex((step) => step.kind === "rivets" && step.holes.includes(id));
        const found = stepsIn(told);
        if (at >= 0) {
          expect(
            found.map(({ step }) => step),
            `${name}: ${id}`,
          ).toEqual([at + 1]);
          expect(found[0]?.holes, id).toEqual([id]);
          expect(full.rows[at]?.holes, id).toContain(id);
          expect(told.headline, id).toContain(`set in step ${at + 1} of ${whole.steps.length}`);
          expect(told.verdict, id).toBeUndefined();
          continue;
        }
        expect(found, `${name}: ${id}`).toEqual([]);
        const open = whole.leftOpen.find(({ hole }) => hole === id);
        if (!open) {
          expect(stateOf(job.work, id), id).toBe("set");
          expect(told.headline, id).toContain("marked as set already");
          continue;
        }
        expect(told.headline, id).toContain("not in the plan for now");
        if (open.code === "held" && open.hold.until !== null)
          expect(told.headline, id).toContain(
            job.assembly.milestones.find(({ id: milestone }) => milestone === open.hold.until)?.name,
          );
        if (open.code === "not-settled") expect(told.verdict, id).toBe("undecided");
      }
    }
  });

  it("a hole comes after its parts are on and before what would wall it in", () => {
    for (const [name, job] of jobs) {
      const { steps } = planOf(job);
      const find = finder(job.assembly);
      for (const [at, step] of steps.entries()) {
        if (step.kind !== "rivets") continue;
        const [hole = ""] = step.holes;
        const [found] = stepsIn(answer(job, "plan", { hole }));
        const sides = (found?.row ?? {}) as { after?: number | null; before?: number | null };
        const { after = null, before = null } = sides;
        expect(found?.step, hole).toBe(at + 1);
        const onAt = stackOf(find.hole(hole)).map((part) =>
          steps.findIndex((one) => one.kind === "part" && one.part === part),
        );
        // A part that no step brings on is on already.
        for (const on of onAt) expect(on, `${name}: ${hole}`).toBeLessThan(at);
        if (onAt.some((on) => on >= 0)) expect(after, hole).toBe(Math.max(...onAt) + 1);
        if (after !== null) expect(after, hole).toBeLessThanOrEqual(at);
        if (before !== null) expect(before, hole).toBeGreaterThan(at + 1);
        const keeping = step.reasons.flatMap((reason) =>
          reason.code === "walled-in-by" || (reason.code === "rule" && reason.relation === "before")
            ? [steps.findIndex((one) => one.kind === "part" && one.part === reason.part)]
            : [],
        );
        for (const part of keeping.filter((one) => one >= 0))
          expect(before, hole).toBeLessThanOrEqual(part + 1);
      }
    }
  });

  it("names the manual's step where the manual names the row", () => {
    for (const [, job] of jobs) {
      for (const { id, rows } of job.assembly.steps) {
        for (const row of rows) {
          const told = answer(job, "plan", { row });
          if (stepsIn(told).length === 0) continue;
          const first = job.assembly.steps.find((step) => step.rows.includes(row))?.id;
          if (first === id) expect(told.headline, row).toContain(`Manual step ${id}`);
        }
      }
    }
  });

  it("a part's rivets are those through it, in the steps that the whole plan has for them", () => {
    for (const [name, job] of jobs) {
      const { steps } = planOf(job);
      for (const { id } of job.assembly.parts) {
        const through = new Set(
          finder(job.assembly)
            .holesThrough(id)
            .map((hole) => hole.id),
        );
        const wanted = steps.flatMap((step, at) =>
          step.kind === "rivets" && step.holes.some((hole) => through.has(hole)) ? [at + 1] : [],
        );
        const told = answer(job, "plan", { part: id, act: "set" });
        expect(
          stepsIn(told).map(({ step }) => step),
          `${name}: ${id}`,
        ).toEqual(wanted);
        for (const { holes } of stepsIn(told)) expect(holes.every((hole) => through.has(hole))).toBe(true);
      }
    }
  });

  it("the members of a family come on where the plan brings them on, and those that stay off are named", () => {
    for (const [name, job] of jobs) {
      const { steps } = planOf(job);
      for (const { id, members } of job.assembly.families) {
        const told = answer(job, "plan", { family: id });
        const wanted = steps.flatMap((step, at) =>
          step.kind === "part" && members.includes(step.part) ? [at + 1] : [],
        );
        expect(
          stepsIn(told).map(({ step }) => step),
          `${name}: ${id}`,
        ).toEqual(wanted);
        const off = told.rows.filter(({ step }) => step === undefined).map(({ part }) => part);
        expect(new Set([...off, ...stepsIn(told).map(({ row }) => row.part)])).toEqual(new Set(members));
      }
    }
  });

  it("a preparation's turn among those of its part is told first, in the order of the kit's gates", () => {
    expect(answer(fresh, "plan", { part: "RIB-3", gate: "clean" }).headline).toMatch(
      /^“cleaned” on rib 3: after “holes dimpled” and before “primed”, in step \d+ of \d+/,
    );
    for (const [name, job] of jobs) {
      const named = (id: string): string => `“${job.kit.prepGates.find((one) => one.id === id)?.name}”`;
      for (const step of planOf(job).steps) {
        if (step.kind !== "prep") continue;
        const own = job.kit.prepGates.filter(
          (gate) => !gate.assumed && step.gates.some((one) => one.gate === gate.id),
        );
        for (const [at, { id: gate }] of own.entries()) {
          const { headline } = answer(job, "plan", { part: step.part, gate });
          const [before, next] = [own[at - 1], own[at + 1]];
          expect(headline.includes(`after ${named(before?.id ?? "")}`), `${name}: ${headline}`).toBe(
            before !== undefined,
          );
          expect(headline.includes(`before ${named(next?.id ?? "")}`), `${name}: ${headline}`).toBe(
            next !== undefined,
          );
        }
      }
    }
  });

  it("a part is got ready where the plan does it, before it comes on", () => {
    for (const [name, job] of jobs) {
      const { steps } = planOf(job);
      for (const { id } of job.assembly.parts) {
        for (const { id: gate } of job.kit.prepGates) {
          const at = steps.findIndex(
            (step) =>
              step.kind === "prep" &&
              step.part === id &&
              step.gates.some((one) => one.gate === gate && one.needed === "true"),
          );
          const told = answer(job, "plan", { part: id, gate });
          expect(
            stepsIn(told).map(({ step }) => step),
            `${name}: ${gate} on ${id}`,
          ).toEqual(at < 0 ? [] : [at + 1]);
          const on = steps.findIndex((step) => step.kind === "part" && step.part === id);
          if (at >= 0 && on >= 0) expect(stepsIn(told)[0]?.row.before).toBe(on + 1);
          if (job.work.prep.get(id)?.has(gate)) expect(told.headline).toContain("marked as done already");
        }
      }
    }
  });

  it("where it hangs on a fact the answer says which, and until then nothing", () => {
    const told = answer(fresh, "plan", { hole: "RIB-7.top.8" });
    expect(told.verdict).toBe("undecided");
    expect(told.headline).toContain("the gap to the elevator's gap seal is not known");
    const off = answer(fresh, "plan", { row: "RIB-3.top" });
    expect(off.verdict).toBe("undecided");
    expect(off.headline).toContain("the top skin stays off until it is known whether 4 holes are dimpled");
    expect(answer(measured, "plan", { row: "RIB-3.top" }).headline).toMatch(
      /set in step \d+ of \d+, after the top skin is on/,
    );
  });

  it("a hole that is not dimpled has no dimpling to come, and one of which it is not known is undecided", () => {
    expect(answer(fresh, "plan", { hole: "RIB-3.top.1", gate: "dimple" }).headline).toContain(
      "not to be dimpled",
    );
    const unknown = answer(fresh, "plan", { hole: "RIB-7.top.8", gate: "dimple" });
    expect(unknown.verdict).toBe("undecided");
    expect(stepsIn(unknown)).toEqual([]);
    const row = answer(fresh, "plan", { row: "RIB-3.top", gate: "dimple" });
    expect(stepsIn(row).flatMap(({ holes }) => holes)).toEqual(["RIB-3.top.7", "RIB-3.top.8"]);
    for (const { id } of fresh.assembly.holes) {
      const { treatment } = fresh.rulings.of(id).attributes;
      const told = answer(fresh, "plan", { hole: id, gate: "dimple" });
      if (treatment?.status !== "settled") expect(told.verdict, id).toBe("undecided");
      else if (treatment.value !== "dimple") expect(told.headline, id).toContain("not to be dimpled");
      else expect(told.holes, id).toEqual([id]);
    }
  });

  it("a rivet that was walled in is not promised a time", () => {
    const told = answer(walled, "plan", { hole: "RIB-3.rear.2" });
    expect(stepsIn(told)).toEqual([]);
    expect(told.headline).toContain("walled in");
    expect(told.followUps[0]?.form).toBe("rework");
  });
});
