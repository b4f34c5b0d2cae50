import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import { ask } from "../../server/ask/ask.js";
import type { FormSpec } from "../../server/ask/form.js";
import { offersFor } from "../../server/ask/offers.js";
import { loadForms } from "../../server/ask/questions.js";
import { questionsAbout } from "../../server/ask/suggest.js";
import type { Job, Slots } from "../../server/ask/types.js";
import { closedParts } from "../../server/kit/work.js";
import { filesIn, jobFromDisk, rowMarks } from "../support/job.js";

let forms: readonly FormSpec[];
let jobs: readonly Job[];
beforeAll(async () => {
  forms = loadForms(filesIn("kb/questions", ".json"));
  const begun = await jobFromDisk();
  jobs = [
    begun,
    await jobFromDisk({ kit: "vetch-six" }),
    // The servo mount came on too early: five rivets are walled in.
    await jobFromDisk({ marks: rowMarks(begun, "SERVO-MOUNT.outer", "set") }),
  ];
});

const tailplane = (): Job => jobs[0] as Job;
const chip = (job: Job, form: string, slots: Slots, slot: string) =>
  offersFor(job, form, slots, forms).chips.find((one) => one.slot === slot);

describe("choosing a question slot by slot", () => {
  it("whatever is chosen among what is offered, a question that is whole is answered or asked back", () => {
    let answered = 0;
    // Work done is told in words, on the map or on the parts list; it is not put together slot by slot.
    const questions = forms.filter(({ statement }) => !statement);
    fc.assert(
      fc.property(
        fc.nat({ max: 2 }),
        fc.nat(),
        fc.array(fc.tuple(fc.nat(), fc.nat()), { minLength: 1, maxLength: 5 }),
        (at, which, picks) => {
          const job = jobs[at] as Job;
          const form = questions[which % questions.length] as FormSpec;
          let slots: Slots = {};
          for (const [chipAt, offerAt] of picks) {
            const { chips } = offersFor(job, form.id, slots, forms);
            const { offers = [] } = chips[chipAt % Math.max(1, chips.length)] ?? {};
            slots = offers[offerAt % Math.max(1, offers.length)]?.slots ?? slots;
          }
          const { said, missing } = offersFor(job, form.id, slots, forms);
          expect(said === null).toBe(missing.length > 0);
          if (said === null) return;
          const answer = ask(job, { form: form.id, slots }, forms);
          // Some slots call for another one beside them, which is asked for in its turn.
          if (answer.outcome === "ask-back") expect(answer.choices?.length).toBeGreaterThan(0);
          else {
            answered += 1;
            expect(answer.outcome).toBe("answered");
            expect(answer.reading?.said).toBe(said);
          }
        },
      ),
      { numRuns: 300 },
    );
    expect(answered).toBeGreaterThan(50);
  });

  it("closing asks for a part where a hole is chosen: one that the hole goes through, or any where those are closed", () => {
    const closings = (job: Job, hole: string): readonly Slots[] => {
      const answer = ask(job, { form: "may-i", slots: { act: "close", hole } }, forms);
      expect(answer.outcome).toBe("ask-back");
      return (answer.choices ?? []).map(({ slots }) => slots);
    };
    expect(closings(tailplane(), "RIB-3.top.1")).toEqual([
      { act: "close", part: "TOP-SKIN" },
      { act: "close", part: "RIB-3" },
    ]);
    const late = jobs[2] as Job;
    for (const { id, layers } of late.assembly.holes) {
      const open = layers
        .map(({ part }) => part)
        .filter((part) => !closedParts(late.assembly, late.work).has(part));
      const parts = closings(late, id).map(({ part }) => part);
      expect(parts.length, id).toBeGreaterThan(0);
      if (open.length > 0) expect([...parts].sort(), id).toEqual([...new Set(open)].sort());
    }
  });

  it("of a statement that was read, each slot can be changed for another, and it is proposed anew", () => {
    const job = tailplane();
    const told: Slots[] = [
      { row: "RIB-3.top", state: "set" },
      { holes: ["RIB-3.top.1", "RIB-3.top.2"], state: "pinned" },
      { part: "RIB-3", gate: "deburr", done: "yes" },
    ];
    for (const slots of told) {
      const filled = offersFor(job, "tell", slots, forms).chips.filter(({ slot }) => slot in slots);
      for (const { offers } of filled) {
        const others = offers.filter(({ current }) => !current);
        expect(others.length).toBeGreaterThan(0);
        for (const other of others)
          expect(ask(job, { form: "tell", slots: other.slots }, forms).outcome, other.said).toMatch(
            /proposal|answered/,
          );
      }
    }
  });

  it("what is missing is asked for in the form's own words", () => {
    const { said, missing } = offersFor(tailplane(), "before-closing", {}, forms);
    expect(said).toBeNull();
    expect(missing).toEqual([{ slot: "part", ask: "Which part do you want to close?" }]);
  });

  it("a part that is closed already is not offered for closing", () => {
    const late = jobs[2] as Job;
    const open = chip(late, "before-closing", {}, "part")?.offers.map(({ slots }) => slots.part);
    expect(open).not.toContain("SERVO-MOUNT");
    expect(open).toContain("TOP-SKIN");
    expect(chip(late, "treatment", {}, "part")?.offers.map(({ slots }) => slots.part)).toContain(
      "SERVO-MOUNT",
    );
  });

  it("beside a row stand the same row of the family's other members, then the part's other rows", () => {
    const offers = chip(tailplane(), "treatment", { row: "RIB-3.top" }, "row")?.offers ?? [];
    expect(offers.slice(0, 3).map(({ slots }) => slots.row)).toEqual(["RIB-1.top", "RIB-2.top", "RIB-3.top"]);
    expect(offers.find(({ current }) => current)?.slots).toEqual({ row: "RIB-3.top" });
    expect(offers.map(({ slots }) => slots.row)).toContain("RIB-3.bottom");
    expect(offers.at(-1)).toMatchObject({ said: "the whole assembly (tailplane)", slots: {} });
  });

  it("the other slots stay as they are", () => {
    const slots = { treatment: "dimple", not: "yes", row: "RIB-3.top" };
    const rows = (chip(tailplane(), "treatment", slots, "row")?.offers ?? []).filter(
      ({ slots: other }) => other.row,
    );
    expect(rows.length).toBeGreaterThan(3);
    for (const { slots: other } of rows) expect(other).toEqual({ ...slots, row: other.row });
    const treatments = chip(tailplane(), "treatment", slots, "treatment")?.offers ?? [];
    expect(treatments.length).toBeGreaterThan(3);
    for (const { slots: other } of treatments.filter(({ slots: other }) => other.treatment))
      expect(other).toEqual({ ...slots, treatment: other.treatment });
  });

  it("what says nothing alone waits for the other, and goes with it", () => {
    const alone = chip(tailplane(), "treatment", {}, "not");
    expect(alone).toMatchObject({ offers: [], typed: false, first: "Choose treatment or head first." });
    const both = chip(tailplane(), "treatment", { treatment: "dimple", not: "yes" }, "treatment");
    expect(both?.without).toEqual({});
  });

  it("an unknown form, slot or id is refused", () => {
    const job = tailplane();
    const code = (form: string, slots: Slots) => {
      try {
        offersFor(job, form, slots, forms);
        return "none";
      } catch (error) {
        return (error as { code: string }).code;
      }
    };
    expect(code("nosuch", {})).toBe("UNKNOWN_FORM");
    expect(code("treatment", { colour: "red" })).toBe("SLOT_UNKNOWN");
    expect(code("treatment", { part: "RIB-9" })).toBe("UNKNOWN_ID");
    expect(code("treatment", { part: "__proto__" })).toBe("UNKNOWN_ID");
  });
});

describe("questions that make sense now", () => {
  it("about any hole, row, part or the whole are answered", () => {
    for (const job of jobs) {
      const { holes, rows, parts } = job.assembly;
      const abouts: Slots[] = [
        {},
        ...holes.filter((_, i) => i % 23 === 0).map(({ id }) => ({ hole: id })),
        ...rows.filter((_, i) => i % 7 === 0).map(({ id }) => ({ row: id })),
        ...parts.map(({ id }) => ({ part: id })),
        { holes: holes.slice(0, 3).map(({ id }) => id) },
      ];
      for (const about of abouts) {
        const readings = questionsAbout(job, about, forms);
        expect(readings.length, JSON.stringify(about)).toBeGreaterThan(1);
        for (const { form, slots, said } of readings.slice(0, 4))
          expect(ask(job, { form, slots }, forms), said).toMatchObject({
            outcome: "answered",
            reading: { said },
          });
      }
    }
  });

  it("a rivet that is set is not offered to be set, a walled-in one has the way back first", () => {
    const late = jobs[2] as Job;
    const set = questionsAbout(late, { hole: "SERVO-MOUNT.outer.1" }, forms);
    expect(set.map(({ form }) => form)).not.toContain("may-i");
    const lost = questionsAbout(late, { hole: "WEB-DOUBLER.upper.6" }, forms);
    expect(lost.slice(0, 2).map(({ form }) => form)).toEqual(["treatment", "rework"]);
    expect(questionsAbout(late, {}, forms)[0]?.form).toBe("rework");
  });

  it("to begin with, the first part that is still to close is asked about", () => {
    const early = questionsAbout(tailplane(), {}, forms).find(({ form }) => form === "before-closing");
    const late = questionsAbout(jobs[2] as Job, {}, forms).find(({ form }) => form === "before-closing");
    expect(early?.slots.part).toBe(tailplane().assembly.closings[0]);
    expect(late?.slots.part).not.toBe("SERVO-MOUNT");
  });
});

describe("what a question takes from the one before it", () => {
  const carried = (question: string, form: string, slots: Slots) =>
    ask(tailplane(), { question, context: { form, slots } }, forms);

  it("the question and the row, when only another part is named", () => {
    const answer = carried("and on rib 4?", "treatment", { row: "RIB-3.top" });
    expect(answer.reading?.slots).toEqual({ row: "RIB-4.top" });
    expect(answer.carried).toEqual({ form: true, slots: ["row"] });
  });

  it("the place, when only why is asked", () => {
    const answer = carried("why?", "treatment", { hole: "RIB-3.top.8" });
    expect(answer.reading).toMatchObject({ form: "why", slots: { hole: "RIB-3.top.8" } });
    expect(answer.carried?.slots).toEqual(["hole"]);
  });

  it("nothing, when the question is whole by itself", () => {
    const answer = carried("How is rib 3's top row treated?", "treatment", { row: "RIB-3.top" });
    expect(answer.reading?.slots).toEqual({ row: "RIB-3.top" });
    expect(answer.carried).toBeUndefined();
  });
});
