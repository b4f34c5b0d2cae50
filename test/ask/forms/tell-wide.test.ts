import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import { finder } from "../../../server/kit/find.js";
import type { Mark } from "../../../server/kit/work.js";
import { planOf } from "../../../server/order/plan.js";
import { allGatesDone, GAP_MEASURED, jobFromDisk, rowMarks } from "../../support/job.js";
import { answer, problemOf } from "./answer.js";

let fresh: Job;
let door: Job;
let jobs: readonly Job[];
beforeAll(async () => {
  fresh = await jobFromDisk();
  door = await jobFromDisk({ kit: "vetch-six" });
  jobs = [fresh, await jobFromDisk({ moreRules: [GAP_MEASURED], marks: allGatesDone(fresh) }), door];
});

const marksOf = (job: Job, slots: Parameters<typeof answer>[2]): readonly Mark[] =>
  answer(job, "tell", slots).proposal?.marks ?? [];

describe("a prep told of a whole family", () => {
  it("is one mark for each member that it is asked for and that is not marked yet, in the kit's order", () => {
    for (const job of jobs) {
      for (const { id, members } of job.assembly.families) {
        for (const { id: gate } of job.kit.prepGates) {
          const told = answer(job, "tell", { family: id, gate, done: "yes" });
          const marks = told.proposal?.marks ?? [];
          const parts = marks.flatMap((mark) => (mark.kind === "prep" && mark.done ? [mark.part] : []));
          expect(parts.length).toBe(marks.length);
          for (const part of members) {
            const isListed = finder(job.assembly).part(part).prep.includes(gate);
            const isDone = job.work.prep.get(part)?.has(gate) ?? false;
            if (isDone) expect(parts, part).not.toContain(part);
            else if (isListed) expect(parts, part).toContain(part);
            const kinds = told.rows.filter((row) => row.part === part).map(({ kind }) => kind);
            const left = isDone ? "marked already" : "left out";
            expect(kinds, part).toEqual([parts.includes(part) ? "to record" : left]);
          }
        }
      }
    }
  });

  it("members that nothing asks for it are left out by name", () => {
    const told = answer(fresh, "tell", { family: "RIBS", gate: "dimple", done: "yes" });
    expect(told.headline).toContain("Left out, for neither the kit nor a ruling asks for it there: rib 4");
    expect(told.proposal?.marks).not.toContainEqual({
      kind: "prep",
      part: "RIB-4",
      gate: "dimple",
      done: true,
    });
  });

  it("holes that may yet call for it are named with the mark, and the mark settles nothing", () => {
    const told = answer(fresh, "tell", { part: "RIB-7", gate: "dimple", done: "yes" });
    expect(told.proposal?.marks).toHaveLength(1);
    expect(told.holes).toEqual(["RIB-7.top.7", "RIB-7.top.8"]);
    expect(told.headline).toContain(
      "The mark does not settle whether rib 7, top flange row, holes 7 and 8 from the front are dimpled",
    );
    expect(told.rows[0]?.what).toContain("gap to the elevator's gap seal is not known");
    expect(answer(fresh, "tell", { part: "RIB-3", gate: "dimple", done: "yes" }).headline).not.toContain(
      "settle",
    );
  });
});

describe("a step of the manual told as done", () => {
  it("proposes every rivet of it that may be set, and none that is held, undecided or outside a limit", () => {
    for (const job of jobs) {
      const held = new Set(
        planOf(job).leftOpen.flatMap((open) =>
          ["held", "not-settled", "limit", "misfit", "rule-unknown"].includes(open.code) ? [open.hole] : [],
        ),
      );
      for (const { id, rows } of job.assembly.steps.filter((step) => step.rows.length > 0)) {
        const holes = rows.flatMap((row) => finder(job.assembly).row(row).holes);
        const told = answer(job, "tell", { step: id, state: "set" });
        const marks = told.proposal?.marks ?? [];
        expect(
          new Set(marks.flatMap((mark) => (mark.kind === "hole" && mark.state === "set" ? [mark.hole] : []))),
          id,
        ).toEqual(new Set(holes.filter((hole) => !held.has(hole))));
        const out = told.rows.filter(({ kind }) => kind === "left out").flatMap((row) => row.holes);
        expect(new Set(out), id).toEqual(new Set(holes.filter((hole) => held.has(hole))));
        if (out.length > 0) expect(told.headline, id).toMatch(/Left out: \d+ hole/);
      }
    }
  });

  it("asks about what it leaves out: pinned where it is held, or set all the same", () => {
    const { followUps } = answer(fresh, "tell", { step: "6-7", state: "set" });
    const [pinned, set] = followUps;
    expect(pinned).toMatchObject({ form: "tell", slots: { state: "pinned" } });
    expect(set).toMatchObject({ form: "tell", slots: { state: "set" } });
    expect(set?.slots.holes).toContain("RIB-7.top.8");
    expect(pinned?.slots.holes).not.toContain("RIB-7.top.8");
  });

  it("of which the manual names no rows marks nothing, and says what to tell in its place", () => {
    const told = answer(fresh, "tell", { step: "6-1", state: "set" });
    expect(told.proposal).toBeUndefined();
    expect(told.headline).toContain("the manual names no rows in step 6-1");
    expect(answer(fresh, "tell", { step: "6-1", gate: "deburr", done: "yes" }).proposal).toBeUndefined();
  });

  it("leaves out what is marked already", async () => {
    const marks = rowMarks(fresh, "WEB-DOUBLER.upper", "set");
    const begun = await jobFromDisk({ marks });
    const proposed = marksOf(begun, { step: "6-2", state: "set" });
    for (const mark of marks) expect(proposed).not.toContainEqual(mark);
    expect(answer(begun, "tell", { step: "6-2", state: "set" }).headline).toContain(
      "Marked as set already: 6 holes",
    );
  });

  it("pinned is proposed for all of its holes: a hold does not speak against a pin", () => {
    const holes = finder(fresh.assembly).holesOfStep("6-7");
    expect(marksOf(fresh, { step: "6-7", state: "pinned" })).toHaveLength(holes.length);
  });

  it("a family said to be set is asked about: which of its holes would be a guess", () => {
    expect(problemOf(fresh, "tell", { family: "RIBS", state: "set" }).code).toBe("SLOT_MISSING");
  });
});
