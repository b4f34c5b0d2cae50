import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import { ask } from "../../../server/ask/ask.js";
import { GOVERNS } from "../../../server/ask/cautions.js";
import { loadForms } from "../../../server/ask/questions.js";
import type { FormAnswer, Job, Slots } from "../../../server/ask/types.js";
import { Problem } from "../../../server/problem.js";
import { allGatesDone, filesIn, jobFromDisk, rowMarks } from "../../support/job.js";
import { answer, textOf } from "./answer.js";

let jobs: readonly Job[];
/** Forms whose answers rest on rulings, reach, holds and marks; a plan has laws of its own. */
const ASKED = [
  "before-closing",
  "may-i",
  "treatment",
  "stay-open",
  "close-later",
  "why",
  "why-not",
  "odd-ones",
  "changed",
  "notes",
  "tell",
  "fastener",
  "tools",
  "clearance",
  "edge",
  "count",
  "repair",
];
const specs = loadForms(filesIn("kb/questions", ".json"));
beforeAll(async () => {
  const job = await jobFromDisk();
  const marks = ["WEB-DOUBLER.upper", "RIB-1.bottom", "SERVO-MOUNT.outer"].flatMap((row) =>
    rowMarks(job, row, "set"),
  );
  jobs = [
    job,
    await jobFromDisk({ marks: [...allGatesDone(job), ...marks, ...rowMarks(job, "RIB-3.top", "pinned")] }),
  ];
});

/** A place that a question may be about. */
function place(job: Job): fc.Arbitrary<Slots> {
  const { holes, rows, parts, families } = job.assembly;
  const ids = holes.map(({ id }) => id);
  return fc.oneof(
    fc.constantFrom(...ids).map((hole) => ({ hole })),
    fc.subarray(ids, { minLength: 2, maxLength: 6 }).map((some) => ({ holes: some })),
    fc.constantFrom(...rows).map(({ id }) => ({ row: id })),
    fc.constantFrom(...parts).map(({ id }) => ({ part: id })),
    fc.constantFrom(...families).map(({ id }) => ({ family: id })),
    fc.constant({}),
  );
}

function question(job: Job): fc.Arbitrary<{ form: string; slots: Slots }> {
  const word = (...values: string[]) => fc.option(fc.constantFrom(...values), { nil: undefined });
  const extra = fc.record({
    act: word("close", "set", "pin", "dimple", "countersink", "enlarge"),
    treatment: word("dimple", "as punched"),
    head: word("flush"),
    not: word("yes"),
    attribute: word("head", "hold", "treatment"),
    state: word("set", "pinned", "unset"),
    milestone: word(...job.assembly.milestones.map(({ id }) => id)),
    topic: word("twist", "drilling out", "x".repeat(300)),
    side: word("top"),
    size: word("3.2 mm", "5/32 in", "9 mm"),
    drill: word("No. 30", "4.1 mm", "letter F"),
    spares: word("10"),
    rivet: word(...job.kit.rivets.map(({ code }) => code)),
    damage: word("oversize", "oblong", "cracked", "edge", "misplaced"),
    tool: word("drill", "pilot", "dimple die", "countersink", "temporary fastener"),
    left: word("yes"),
    sense: word("against", "open", "must"),
  });
  return fc
    .tuple(fc.constantFrom(...ASKED), place(job), extra)
    .map(([form, where, more]) => ({ form, slots: { ...more, ...where } }));
}

/** The answer, or null for a question that the form rightly refuses. */
function answered(job: Job, form: string, slots: Slots): FormAnswer | null {
  try {
    return answer(job, form, slots);
  } catch (error) {
    expect(error).toBeInstanceOf(Problem);
    expect(["SLOT_MISSING", "SLOT_INVALID", "UNKNOWN_ID"]).toContain((error as Problem).code);
    return null;
  }
}

function holds(job: Job, law: (told: FormAnswer, form: string, slots: Slots) => void, numRuns = 120): void {
  fc.assert(
    fc.property(question(job), ({ form, slots }) => {
      const told = answered(job, form, slots);
      if (told) law(told, form, slots);
    }),
    { numRuns },
  );
}

/** Forms whose questions can be put the other way round. */
const TAKES_SENSE: ReadonlySet<string> = new Set([
  "may-i",
  "clearance",
  "edge",
  "fastener",
  "tools",
  "treatment",
]);
/** Forms whose questions no yes and no no answers. */
const NEITHER: ReadonlySet<string> = new Set([
  "why",
  "why-not",
  "rework",
  "repair",
  "turn-over",
  "count",
  "odd-ones",
]);

describe("every answer of every form", () => {
  it("opens with a yes or a no only where the question cannot be read the other way round", () => {
    for (const job of jobs) {
      holds(job, ({ headline, verdict }, form, slots) => {
        const isTurned =
          slots.sense === "open" || slots.sense === "must" || (form === "treatment" && slots.not === "yes");
        const isAsked = (form === "may-i" || form === "treatment") && slots.sense === undefined && !isTurned;
        if (!isAsked) expect(headline, form).not.toMatch(/^(Yes|No)[.,:]/);
        if (isTurned && TAKES_SENSE.has(form)) expect(["yes", "no"], form).not.toContain(verdict);
        if (NEITHER.has(form)) expect(["yes", "no"], form).not.toContain(verdict);
      });
    }
  });

  it("speaks in whole sentences, by name, never by id and never of nothing", () => {
    for (const job of jobs) {
      holds(job, (told) => {
        expect(told.headline).toMatch(/^[A-Z“\d].*[.:?]$/s);
        const said = textOf(told);
        expect(said).not.toMatch(/undefined|null|NaN|\[object|\.\.| {2}/);
        expect(said).not.toMatch(/\b[A-Z][A-Z-]*-\d+\.[a-z]+(\.\d+)?\b/);
      });
    }
  });

  it("names holes that are there, each once, and rows and evidence on holes that are there", () => {
    for (const job of jobs) {
      const known = new Set(job.assembly.holes.map(({ id }) => id));
      holds(job, ({ holes, rows, trace }) => {
        expect(new Set(holes).size).toBe(holes.length);
        const inTrace = trace.flatMap((entry) => ("holes" in entry ? entry.holes : []));
        for (const hole of [...holes, ...rows.flatMap((row) => row.holes), ...inTrace]) {
          expect(known.has(hole)).toBe(true);
        }
      });
    }
  });

  it("carries what governs, and no caution twice", () => {
    for (const job of jobs) {
      holds(job, ({ cautions }) => {
        expect(new Set(cautions).size).toBe(cautions.length);
        expect(cautions.at(-1)).toBe(GOVERNS);
      });
    }
  });

  it("has evidence with one entry for all holes of one reason", () => {
    const [job] = jobs;
    if (!job) throw new Error("no job");
    const { trace, holes } = answer(job, "treatment", {});
    expect(trace.length).toBeLessThan(holes.length / 4);
    const seen = trace.flatMap((entry) =>
      entry.kind === "ruling" && entry.attribute === "head" ? entry.holes : [],
    );
    expect([...seen].sort()).toEqual([...holes].sort());
  });

  it("offers next only what can be asked", () => {
    for (const job of jobs) {
      holds(
        job,
        ({ followUps }) => {
          for (const { form, slots, said } of followUps) {
            expect(said.length).toBeGreaterThan(0);
            const { outcome } = ask(job, { form, slots }, specs);
            expect(["answered", "proposal"], said).toContain(outcome);
          }
        },
        60,
      );
    }
  });

  it("is the same for the same question", () => {
    for (const job of jobs) {
      holds(job, (told, form, slots) => expect(answer(job, form, slots)).toEqual(told), 40);
    }
  });

  it("is never a yes about a hole that is not settled", () => {
    for (const job of jobs) {
      const open = job.assembly.holes
        .map(({ id }) => id)
        .filter((id) => job.rulings.of(id).verdict !== "settled");
      expect(open.length).toBeGreaterThan(0);
      for (const hole of open) {
        for (const act of ["set", "dimple", "enlarge", "countersink"]) {
          expect(answer(job, "may-i", { act, hole }).verdict, `${act} ${hole}`).not.toBe("yes");
        }
      }
    }
  });

  it("an empty list of holes is not the whole assembly", () => {
    const [job] = jobs;
    if (!job) throw new Error("no job");
    for (const form of ["treatment", "why", "stay-open", "close-later", "changed"]) {
      expect(() => answer(job, form, { holes: [] }), form).toThrow(/no holes/);
    }
  });

  it("a place that is not in the kit is refused by name", () => {
    const [job] = jobs;
    if (!job) throw new Error("no job");
    for (const form of [
      "treatment",
      "why",
      "why-not",
      "stay-open",
      "close-later",
      "changed",
      "tell",
      "may-i",
    ]) {
      expect(
        () => answer(job, form, { row: "NO.where", act: "set", treatment: "dimple", state: "set" }),
        form,
      ).toThrow(/no row/);
    }
  });
});
