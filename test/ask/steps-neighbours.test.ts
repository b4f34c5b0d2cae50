import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { ask } from "../../server/ask/ask.js";
import { nameIndex } from "../../server/ask/reading/names.js";
import { finder } from "../../server/kit/find.js";
import { loadLibrary } from "../../server/library.js";
import { jobFromDisk } from "../support/job.js";

const { forms } = loadLibrary();
const tailplane = await jobFromDisk({ kit: "sedge-two" });
const door = await jobFromDisk({ kit: "vetch-six" });
const jobs = [tailplane, door];
const STEP_FORMS = ["count", "tools", "fastener", "treatment", "stay-open", "progress", "clearance", "edge"];

describe("a step of the manual is a place", () => {
  it("a step's holes are those of the rows that the manual sets in it", () => {
    for (const job of jobs) {
      for (const { id, rows } of job.assembly.steps.filter(({ rows: named }) => named.length > 0)) {
        const wanted = rows.flatMap((row) => finder(job.assembly).row(row).holes).sort();
        for (const form of STEP_FORMS) {
          const { holes, headline } = ask(job, { form, slots: { step: id } }, forms);
          expect(headline, `${form} ${id}`).not.toBe("");
          if (form === "count" || form === "tools" || form === "clearance")
            expect([...holes].sort(), `${form} ${id}`).toEqual(wanted);
        }
      }
    }
  });

  it("where the manual names no rows, every hole through the parts that come on is meant, and it is said so", () => {
    const steps = tailplane.assembly.steps.map((step) => (step.id === "6-4" ? { ...step, rows: [] } : step));
    const job = { ...tailplane, assembly: { ...tailplane.assembly, steps } };
    const { holes, headline } = ask(job, { form: "count", slots: { step: "6-4" } }, forms);
    const [part = ""] = steps.find(({ id }) => id === "6-4")?.parts ?? [];
    expect(holes).toEqual(
      finder(job.assembly)
        .holesThrough(part)
        .map(({ id }) => id),
    );
    expect(headline).toContain("all holes of its parts");
  });

  it.each([
    ["how many rivets for step 6-5", "6-5"],
    ["HOW MANY RIVETS FOR STEP NO. 6-5?", "6-5"],
    ["how many rivets for step 6.5", "6-5"],
    ["how many rivets for 6-5", "6-5"],
    ["how many rivets for the doublers step", "6-2"],
    ["how many rivets for the trim servo mount step", "6-4"],
  ])("%s is about step %s", (question, step) => {
    const { outcome, reading } = ask(tailplane, { question }, forms);
    expect(outcome).toBe("answered");
    expect(reading?.slots).toEqual({ step });
  });

  it("numbers after a question about a row are its holes, not a step", () => {
    const context = { form: "count", slots: { row: "RIB-3.top" } };
    const { reading } = ask(tailplane, { question: "and for 6-7?", context }, forms);
    expect(reading?.slots).toEqual({ holes: ["RIB-3.top.6", "RIB-3.top.7"] });
  });

  it("a title that several steps share is asked back with those steps", () => {
    const { outcome, choices } = ask(tailplane, { question: "how many rivets for the skin step" }, forms);
    expect(outcome).toBe("ask-back");
    expect(choices?.map(({ slots }) => slots.step)).toEqual(["6-5", "6-7", "6-9", "6-11"]);
  });

  it("a part named beside a step is meant only as far as it lies in the step", () => {
    const { reading } = ask(tailplane, { question: "how many rivets for rib 3 in step 6-3" }, forms);
    expect(reading?.slots.holes).toHaveLength(6);
    const none = ask(tailplane, { question: "how many rivets for rib 3 in step 6-8" }, forms);
    expect(none.outcome).not.toBe("answered");
  });

  it("an unknown step is never answered for another, and is asked back with the manual's steps", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...jobs),
        fc.constantFrom("how many rivets for", "what tools for", "what is left of", "plan for"),
        fc.tuple(fc.nat(40), fc.constantFrom("-", "."), fc.nat(40)).map((pieces) => pieces.join("")),
        (job, words, id) => {
          const known = nameIndex(job.kit, job.assembly).steps.find(
            ({ pieces }) => pieces.join(" ") === id.split(/[-.]/).map(Number).join(" "),
          );
          const said = ask(job, { question: `${words} step ${id}` }, forms);
          if (known) expect(said.reading?.slots.step).toBe(known.step.id);
          else {
            expect(said.outcome).toBe("ask-back");
            expect(said.choices?.every(({ slots }) => typeof slots.step === "string")).toBe(true);
          }
        },
      ),
      { numRuns: 150 },
    );
  });

  it("the order until a step is done ends with the step's own work", () => {
    const { rows, headline } = ask(tailplane, { form: "plan", slots: { step: "6-4" } }, forms);
    const whole = ask(tailplane, { form: "plan", slots: {} }, forms);
    const own = new Set(
      finder(tailplane.assembly)
        .holesOfStep("6-4")
        .map(({ id }) => id),
    );
    const last = rows.filter(({ step }) => step !== undefined).at(-1);
    expect(headline).toContain("until step 6-4 (Trim-servo mount) is done");
    expect(last?.holes.some((hole) => own.has(hole))).toBe(true);
    const after = whole.rows.filter(({ step }) => Number(step) > Number(last?.step));
    expect(
      after
        .filter(({ kind }) => kind === "rivets")
        .flatMap(({ holes }) => holes)
        .filter((hole) => own.has(hole)),
    ).toEqual([]);
  });

  it("a part and a step are not asked of the plan at once", () => {
    expect(() => ask(tailplane, { form: "plan", slots: { step: "6-4", part: "RIB-3" } }, forms)).toThrow(
      expect.objectContaining({ code: "SLOTS_CONFLICT" }),
    );
    expect(() => ask(tailplane, { form: "count", slots: { step: "6-99" } }, forms)).toThrow(
      expect.objectContaining({ code: "UNKNOWN_ID" }),
    );
  });
});

describe("a surface that comes near, by name", () => {
  it("the answer is about the holes that the kit names it for, and no others", () => {
    for (const job of jobs) {
      const near = job.assembly.holes.filter(({ neighbour }) => neighbour !== null);
      const id = near[0]?.neighbour?.id ?? "";
      const { holes } = ask(job, { form: "clearance", slots: { neighbour: id } }, forms);
      expect(holes).toEqual(near.filter(({ neighbour }) => neighbour?.id === id).map((hole) => hole.id));
    }
  });

  it("it is known by the end of its name", () => {
    for (const name of ["the elevator's gap seal", "the gap seal", "the seal"]) {
      const { reading } = ask(tailplane, { question: `does it clear ${name} on rib 3` }, forms);
      expect(reading).toMatchObject({
        form: "clearance",
        slots: { part: "RIB-3", neighbour: "ELEVATOR-SEAL" },
      });
    }
  });

  it("another surface is named as not understood, never taken for this one", () => {
    for (const name of ["the door seal", "the rudder", "the fuselage", "the rubber seal"]) {
      const { outcome, notUnderstood } = ask(
        tailplane,
        { question: `does it clear ${name} on rib 3` },
        forms,
      );
      expect(outcome).not.toBe("answered");
      expect(notUnderstood).toContain(name.replace("the ", "").split(" ")[0]);
    }
  });

  it("a part that nothing comes near is said to have no such hole", () => {
    const { headline, holes } = ask(
      door,
      { form: "clearance", slots: { part: "STIFFENER-2", neighbour: "DOOR-SEAL" } },
      forms,
    );
    expect(holes).toEqual([]);
    expect(headline).toBe("The kit names no hole of stiffener 2 near the door seal.");
  });
});
