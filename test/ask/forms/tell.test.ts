import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import { sentences } from "../../../server/ask/wording/grammar.js";
import { namesOf } from "../../../server/ask/wording/names.js";
import { finder } from "../../../server/kit/find.js";
import { type Mark, withMarks } from "../../../server/kit/work.js";
import { allGatesDone, jobFromDisk, rowMarks } from "../../support/job.js";
import { answer, problemOf, rowOf } from "./answer.js";

let job: Job;
beforeAll(async () => {
  job = await jobFromDisk();
});

const marksOf = (on: Job, slots: Parameters<typeof answer>[2]): readonly Mark[] =>
  answer(on, "tell", slots).proposal?.marks ?? [];

describe("a statement of work done", () => {
  it("proposes a mark for exactly the holes named, and records nothing", () => {
    const before = job.work;
    expect(marksOf(job, { row: "WEB-DOUBLER.upper", state: "set" })).toEqual(
      rowMarks(job, "WEB-DOUBLER.upper", "set"),
    );
    expect(answer(job, "tell", { row: "WEB-DOUBLER.upper", state: "set" }).headline).toContain(
      "To record: 6 holes set: rib 3 web doubler, upper row, all 6 holes",
    );
    expect(job.work).toBe(before);
  });

  it("leaves out what is marked so already, and says it", async () => {
    const some = await jobFromDisk({ marks: [{ kind: "hole", hole: "WEB-DOUBLER.upper.1", state: "set" }] });
    const told = answer(some, "tell", { row: "WEB-DOUBLER.upper", state: "set" });
    expect(told.holes).not.toContain("WEB-DOUBLER.upper.1");
    expect(told.headline).toContain(
      "Marked as set already: rib 3 web doubler, upper row, hole 1 from the front",
    );
  });

  it("with nothing new proposes nothing", async () => {
    const all = await jobFromDisk({ marks: rowMarks(job, "WEB-DOUBLER.upper", "set") });
    const told = answer(all, "tell", { row: "WEB-DOUBLER.upper", state: "set" });
    expect(told.proposal).toBeUndefined();
    expect(told.headline).toBe("Nothing to record: they are marked as set already.");
  });

  it("says which parts the first rivet through them closes, and of which the last one is out", async () => {
    const ready = await jobFromDisk({ marks: allGatesDone(job) });
    const first = answer(ready, "tell", { row: "WEB-DOUBLER.upper", state: "set" });
    expect(first.rows.map(({ what }) => what)).toEqual([
      "Mark as set. With that rib 3 and the rib 3 web doubler no longer come off without drilling.",
    ]);
    const marks = [...allGatesDone(job), ...rowMarks(job, "WEB-DOUBLER.upper", "set")];
    const set = await jobFromDisk({ marks });
    const out = answer(set, "tell", { row: "WEB-DOUBLER.upper", state: "unset" });
    expect(out.rows[0]?.what).toContain("With that no rivet holds rib 3 or the rib 3 web doubler any more.");
    const more = answer(set, "tell", { hole: "WEB-DOUBLER.lower.1", state: "set" });
    expect(more.proposal?.marks).toHaveLength(1);
    expect(more.rows).toEqual([]);
  });

  it("of a prep done says what is left of it on the part", async () => {
    const what = (on: Job, gate: string): string | undefined =>
      answer(on, "tell", { part: "RIB-3", gate, done: "yes" }).rows[0]?.what;
    const { prep } = finder(job.assembly).part("RIB-3");
    const [last, ...earlier] = [...prep].reverse();
    const names = namesOf(job);
    let on = job;
    for (const gate of earlier.reverse()) {
      const after = prep.slice(prep.indexOf(gate) + 1).map(names.gate);
      expect(what(on, gate)).toBe(`Mark as done. To be done after it: ${after.join(", ")}.`);
      on = { ...on, work: withMarks(on.work, [{ kind: "prep", part: "RIB-3", gate, done: true }]) };
    }
    expect(what(on, last ?? "")).toBe(
      "Mark as done. With that all the prep is done that the kit lists for it.",
    );
    expect(what(on, prep[0] ?? "")).toBeUndefined();
  });

  it("a milestone's row is the holes that are held open until then; of one that holds nothing there is none", () => {
    const told = answer(job, "tell", { milestone: "twist-checked", reached: "yes" });
    const later = answer(job, "close-later", { milestone: "twist-checked" });
    expect(told.rows.flatMap(({ holes }) => holes)).toEqual(later.holes);
    expect(told.rows[0]?.what).toBe("Held open until then.");
    for (const { id } of job.assembly.milestones) {
      const held = answer(job, "close-later", { milestone: id }).holes;
      expect(answer(job, "tell", { milestone: id, reached: "yes" }).holes, id).toEqual(held);
    }
  });

  it("warns of a hold, and still proposes what was done", () => {
    const told = answer(job, "tell", { row: "RIB-1.bottom", state: "set" });
    expect(told.proposal?.marks).toHaveLength(8);
    expect(told.headline).toContain("But mind, for them: it stays open until the twist is checked");
  });

  it("warns of a treatment that is undecided", async () => {
    const ready = await jobFromDisk({ marks: allGatesDone(job) });
    const told = answer(ready, "tell", { hole: "RIB-7.top.8", state: "set" });
    expect(rowOf(told, "RIB-7.top.8").what).toContain(
      "undecided: the gap to the elevator's gap seal is not known",
    );
    expect(told.proposal?.marks).toHaveLength(1);
  });

  it("warns of every hole that may not be set, and of no other", async () => {
    const ready = await jobFromDisk({ marks: allGatesDone(job) });
    for (const part of ["WEB-DOUBLER", "HINGE-1", "RIB-7"]) {
      const holes = job.assembly.holes.filter((hole) => hole.part === part).map(({ id }) => id);
      const told = answer(ready, "tell", { holes, state: "set" });
      const asked = answer(ready, "may-i", { act: "set", holes });
      for (const hole of holes) {
        const warned = (rowOf(told, hole).warnings as string[]).length > 0;
        expect(warned, hole).toBe(rowOf(asked, hole).verdict !== "yes");
      }
    }
  });

  it("of a whole step says each warning, and each part that closes, once, with all the holes that it is about", async () => {
    for (const kit of ["sedge-two", "vetch-six"]) {
      const on = await jobFromDisk({ kit });
      for (const { id } of on.assembly.steps) {
        const { rows } = answer(on, "tell", { step: id, state: "set" });
        const warnings = new Set(
          rows.flatMap((row) => (row.warnings as readonly string[] | undefined) ?? []),
        );
        const whats = rows.map(({ what }) => what).join(" ");
        for (const warning of warnings) {
          const about = rows.filter((row) =>
            (row.warnings as readonly string[] | undefined)?.includes(warning),
          );
          const said = sentences(warning).replace(/\.$/, "");
          expect(whats.split(said), warning).toHaveLength(2);
          const told = rows.find(({ what }) => what.includes(said));
          expect(new Set(told?.holes), warning).toEqual(new Set(about.flatMap(({ holes }) => holes)));
        }
        const closed = rows.flatMap(({ what }) => what.match(/With that .* no longer comes? off/)?.[0] ?? []);
        for (const part of new Set(rows.flatMap((row) => (row.parts as readonly string[] | undefined) ?? [])))
          expect(
            closed.filter((text) =>
              new RegExp(`(that|,|and) ${namesOf(on).thePart(part)}(,| and| no)`).test(text),
            ),
            part,
          ).toHaveLength(1);
      }
    }
  });

  it("of many holes names in its first line what matters most, and for how many of them", async () => {
    const ready = await jobFromDisk({ marks: allGatesDone(job) });
    const { headline } = answer(ready, "tell", {
      holes: ["WEB-DOUBLER.upper.1", "RIB-7.top.8", "RIB-1.bottom.1"],
      state: "set",
    });
    expect(headline).toMatch(
      /But mind, for 1 of them: it stays open until the twist is checked.*more warning/,
    );
    expect(answer(ready, "tell", { hole: "RIB-1.bottom.1", state: "set" }).headline).toMatch(
      /But mind: it stays open/,
    );
  });

  it("taking a rivet out means drilling, and says so", async () => {
    const set = await jobFromDisk({ marks: rowMarks(job, "WEB-DOUBLER.upper", "set") });
    const told = answer(set, "tell", { hole: "WEB-DOUBLER.upper.1", state: "unset" });
    expect(rowOf(told, "WEB-DOUBLER.upper.1").what).toContain("drilling");
    expect(told.cautions.join(" ")).toMatch(/eye protection/i);
  });

  it("a gate done, or not done after all, is one mark", async () => {
    expect(marksOf(job, { part: "RIB-3", gate: "deburr", done: "yes" })).toEqual([
      { kind: "prep", part: "RIB-3", gate: "deburr", done: true },
    ]);
    const done = await jobFromDisk({ marks: [{ kind: "prep", part: "RIB-3", gate: "deburr", done: true }] });
    expect(marksOf(done, { part: "RIB-3", gate: "deburr", done: "yes" })).toEqual([]);
    expect(marksOf(done, { part: "RIB-3", gate: "deburr", done: "no" })).toEqual([
      { kind: "prep", part: "RIB-3", gate: "deburr", done: false },
    ]);
  });

  it("a gate out of turn is recorded, with the ones before it named", () => {
    expect(answer(job, "tell", { part: "RIB-3", gate: "prime", done: "yes" }).headline).toContain(
      "Not marked as done before it: protective film off",
    );
  });

  it("a milestone reached is one mark, and what it lets go is the next question", () => {
    const told = answer(job, "tell", { milestone: "twist-checked", reached: "yes" });
    expect(told.proposal?.marks).toEqual([{ kind: "milestone", milestone: "twist-checked", reached: true }]);
    expect(told.followUps[0]).toMatchObject({ form: "close-later", slots: { milestone: "twist-checked" } });
  });

  it("marks proposed change the work to what was told", () => {
    const marks = marksOf(job, { row: "WEB-DOUBLER.lower", state: "pinned" });
    const work = withMarks(job.work, marks);
    for (const { id } of job.assembly.holes.filter(({ rowId }) => rowId === "WEB-DOUBLER.lower")) {
      expect(work.holes.get(id)).toBe("pinned");
    }
  });

  it("a whole part is not guessed at: the row or the holes are asked for", () => {
    expect(problemOf(job, "tell", { part: "RIB-3", state: "set" }).code).toBe("SLOT_MISSING");
    expect(problemOf(job, "tell", { row: "RIB-3.top" }).code).toBe("SLOT_MISSING");
    expect(problemOf(job, "tell", { part: "RIB-3", gate: "polish" }).code).toBe("UNKNOWN_ID");
  });
});
