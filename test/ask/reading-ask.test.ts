import { beforeAll, describe, expect, test } from "vitest";
import { type AskRequest, ask } from "../../server/ask/ask.js";
import type { FormSpec } from "../../server/ask/form.js";
import { loadForms } from "../../server/ask/questions.js";
import type { Answer, Job } from "../../server/ask/types.js";
import { Problem } from "../../server/problem.js";
import { formsAndNotes } from "../questions/phrasings.js";
import { jobFromDisk, rowMarks } from "../support/job.js";

let job: Job;
let specs: readonly FormSpec[];

beforeAll(async () => {
  job = await jobFromDisk();
  specs = formsAndNotes().forms;
});

const asked = (request: AskRequest, on: Job = job): Answer => ask(on, request, specs);
const answerTo = (question: string, on: Job = job): Answer => asked({ question }, on);

/** A request as it may come from outside: nothing says that its slots are well formed. */
const raw = (form: string, slots: object): AskRequest => JSON.parse(JSON.stringify({ form, slots }));

function refused(request: AskRequest): Problem {
  try {
    asked(request);
  } catch (error) {
    if (error instanceof Problem) return error;
    throw error;
  }
  throw new Error("nothing was refused");
}

describe("a question in words", () => {
  test("is answered with what was read, in plain words", () => {
    const answer = answerTo("what must be set before I close the servo mount?");
    expect(answer.outcome).toBe("answered");
    expect(answer.reading).toMatchObject({ form: "before-closing", slots: { part: "SERVO-MOUNT" } });
    expect(answer.reading?.said).toMatch(/servo mount/);
    expect(answer.holes.length).toBeGreaterThan(0);
    expect(answer.version).toBe(job.version);
  });

  test("in words and as a form it has one answer", () => {
    const inWords = answerTo("which holes stay open on rib 1?");
    const asForm = asked({ form: "stay-open", slots: { part: "RIB-1" } });
    expect(inWords).toEqual(asForm);
  });

  test("a correction is shown beside the answer", () => {
    expect(answerTo("wich holes on rib 4 are dimpeld?").corrected).toEqual([
      { from: "wich", to: "which" },
      { from: "dimpeld", to: "dimpled" },
    ]);
  });

  test("a statement of work done proposes marks and records nothing", () => {
    const answer = answerTo("I've set 1 to 3 on rib 3's top row");
    expect(answer.outcome).toBe("proposal");
    expect(answer.proposal?.marks).toEqual(
      [1, 2, 3].map((n) => ({ kind: "hole", hole: `RIB-3.top.${n}`, state: "set" })),
    );
    expect(job.work.holes.size).toBe(0);
  });

  test("a missing part is asked for with the parts that are not closed yet", async () => {
    const later = await jobFromDisk({ marks: rowMarks(job, "WEB-DOUBLER.upper", "set") });
    const before = answerTo("what must be set before closing?");
    const after = answerTo("what must be set before closing?", later);
    expect(before.outcome).toBe("ask-back");
    expect(before.headline).toBe("Which part do you want to close?");
    const parts = ({ choices = [] }: Answer) => choices.map(({ slots }) => slots.part);
    expect(parts(before)).toContain("WEB-DOUBLER");
    expect(parts(after)).not.toContain("WEB-DOUBLER");
    expect(parts(after)).toContain("TOP-SKIN");
  });

  test("every choice that is offered can be asked", () => {
    for (const question of [
      "can I set hole 3 on rib 4?",
      "is rib 12 dimpled?",
      "what must be set before closing?",
      "rib 4",
    ]) {
      const { choices = [] } = answerTo(question);
      expect(choices.length).toBeGreaterThan(0);
      for (const { form, slots } of choices) expect(asked({ form, slots }).outcome).toBe("answered");
    }
  });

  test("what was certain so far is the context of the reply", () => {
    const first = answerTo("what must be set before closing?");
    const context = first.reading;
    if (!context) throw new Error("no reading");
    expect(asked({ question: "the servo mount", context }).reading?.slots).toEqual({ part: "SERVO-MOUNT" });
  });

  test("out of scope: says so, who can answer, and offers notes as notes", () => {
    const answer = answerTo("is the skin strong enough if I enlarge the holes?");
    expect(answer.outcome).toBe("not-understood");
    expect(answer.headline).toMatch(/cannot be answered here/);
    expect(answer.notUnderstood).toContain("strong");
    expect((answer.choices ?? []).every(({ form }) => form === "notes")).toBe(true);
    expect(answer.holes).toEqual([]);
  });

  test("an empty and an over-long question are refused in words", () => {
    expect(answerTo("   ").outcome).toBe("not-understood");
    expect(answerTo("why ".repeat(600)).headline).toMatch(/too much to read/);
  });
});

describe("a form with its slots", () => {
  test("an unknown form, slot or id is refused, naming where", () => {
    expect(refused({ form: "no-such-form", slots: {} })).toMatchObject({
      code: "UNKNOWN_FORM",
      where: { pointer: "/form" },
    });
    expect(refused({ form: "may-i", slots: { colour: "red" } })).toMatchObject({ code: "SLOT_UNKNOWN" });
    expect(refused({ form: "before-closing", slots: { part: "RIB-12" } })).toMatchObject({
      code: "UNKNOWN_ID",
      where: { pointer: "/slots/part" },
    });
    expect(refused({ form: "treatment", slots: { hole: "RIB-3.top.99" } }).code).toBe("UNKNOWN_ID");
    expect(refused({ form: "treatment", slots: { holes: ["RIB-3.top.1", "RIB-3.top.99"] } }).code).toBe(
      "UNKNOWN_ID",
    );
    expect(refused({ form: "changed", slots: { notice: "SN-9" } }).code).toBe("UNKNOWN_ID");
  });

  test("a value of the wrong sort is refused", () => {
    expect(refused({ form: "may-i", slots: { act: "eat", part: "RIB-3" } }).code).toBe("SLOT_INVALID");
    expect(refused(raw("treatment", { holes: "RIB-3.top.1" })).code).toBe("SLOT_INVALID");
    expect(refused(raw("treatment", { part: ["RIB-3"] })).code).toBe("SLOT_INVALID");
    expect(refused({ form: "treatment", slots: { treatment: "weld" } }).code).toBe("SLOT_INVALID");
  });

  test.each([
    ["treatment", { part: "TOP-SKIN", row: "RIB-1.front" }, "part"],
    ["treatment", { row: "RIB-3.top", hole: "RIB-4.top.1" }, "row"],
    ["treatment", { family: "HINGES", part: "RIB-3" }, "family"],
    ["treatment", { not: "yes" }, "not"],
    ["treatment", { part: "RIB-3", not: "yes" }, "not"],
    ["tell", { hole: "RIB-3.top.1", state: "set", milestone: "twist-checked", reached: "yes" }, "milestone"],
    ["tell", { part: "RIB-3", gate: "deburr", state: "set" }, "gate"],
    ["tell", { part: "RIB-3", state: "set", done: "yes" }, "done"],
    ["why-not", { part: "RIB-3", act: "set", treatment: "dimple" }, "treatment"],
    ["rework", { first: "yes", row: "RIB-3.top" }, "row"],
    ["odd-ones", { part: "RIB-3", other: "RIB-3" }, "other"],
    ["odd-ones", { family: "RIBS", other: "RIB-3" }, "other"],
  ])("%s: slots that contradict each other are refused, none is dropped: %j", (form, slots, slot) => {
    const problem = refused({ form, slots });
    expect(problem).toMatchObject({ code: "SLOTS_CONFLICT", where: { pointer: `/slots/${slot}` } });
    expect(problem.fix).toMatch(/\w/);
  });

  test("a place that lies within the other is no contradiction", () => {
    const slots = { hole: "RIB-3.top.1", row: "RIB-3.top", part: "TOP-SKIN" };
    expect(asked({ form: "treatment", slots }).holes).toEqual(["RIB-3.top.1"]);
  });

  test("a missing slot is asked back with choices", () => {
    const answer = asked({ form: "may-i", slots: { act: "close" } });
    expect(answer.outcome).toBe("ask-back");
    expect(answer.choices?.map(({ slots }) => slots.act)).toContain("close");
  });

  test("a context that does not fit is refused", () => {
    const context = { form: "may-i", slots: { act: "close", part: "RIB-12" } };
    expect(refused({ question: "and on rib 4?", context }).where.pointer).toBe("/context/slots/part");
  });
});

describe("form files", () => {
  const file = (form: object, path = "kb/questions/x.json") => [{ path, text: JSON.stringify(form) }];
  const form = {
    format: "tailroom question 1",
    id: "weight",
    purpose: "How heavy a part is",
    slots: [{ name: "part", type: "part", required: true, ask: "Which part?" }],
    phrasings: ["how =heavy {part}"],
    followUps: [],
  };

  test("a new form is read without a change to the reader", () => {
    const forms = [...specs, ...loadForms(file(form))];
    const answer = () => ask(job, { question: "how heavy is the top skin?" }, forms);
    expect(answer).toThrow(/Nothing answers the form "weight"/);
    expect(asked({ question: "how heavy is the top skin?" }).outcome).not.toBe("answered");
  });

  test.each([
    [{ ...form, phrasings: ["how heavy [{part}"] }, "PHRASING_MALFORMED"],
    [{ ...form, followUps: ["no-such-form"] }, "UNKNOWN_FORM"],
    [{ ...form, oneOf: [["row"]] }, "SLOT_UNKNOWN"],
    [{ ...form, bars: ["{no-such-group}"] }, "WORD_GROUP_UNKNOWN"],
    [{ ...form, colour: "red" }, "FORM_MALFORMED"],
    [{ ...form, phrasings: [] }, "FORM_MALFORMED"],
  ])("a bad form file is refused: %#", (bad, code) => {
    expect(() => loadForms(file(bad))).toThrow(expect.objectContaining({ code }));
  });
});
