import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import { jobFromDisk, trialRules } from "../../support/job.js";
import { answer, rowOf } from "./answer.js";

const MANUAL = "sedge-two-hold-hinges";

let job: Job;
let departed: Job;
beforeAll(async () => {
  job = await jobFromDisk();
  departed = await jobFromDisk({
    moreRules: [
      trialRules({
        id: "trial-hinge-1-at-once",
        title: "Hinge 1 is riveted at once",
        family: "hold",
        rank: "shop",
        params: { hold: "none" },
        conditions: { all: [{ fact: "part", operator: "equal", value: "HINGE-1" }] },
        fires: "HINGE-1.inner.1",
        spares: "HINGE-2.inner.1",
        departure: { from: [MANUAL], reference: "letter of 2024-11-02" },
      }),
    ],
  });
});

const saysSo = (cautions: readonly string[]): boolean =>
  cautions.some(
    (text) =>
      text.includes("“Hinge 1 is riveted at once” is a shop rule that departs from") &&
      text.includes(job.rulebook.byId.get(MANUAL)?.title ?? "?") &&
      text.includes("letter of 2024-11-02"),
  );

describe("a shop rule that departs from the manual", () => {
  it("goes before it by the kit maker's agreement, and the reason says so", () => {
    const told = answer(departed, "why", { hole: "HINGE-1.inner.1", attribute: "hold" });
    expect(rowOf(told, "HINGE-1.inner.1").what).toContain(
      "the kit maker agreed to depart from the manual (letter of 2024-11-02)",
    );
  });

  it.each([
    ["stay-open", { part: "HINGE-1" }],
    ["why", { part: "HINGE-1", attribute: "hold" }],
    ["why-not", { row: "HINGE-1.inner", attribute: "hold" }],
    ["may-i", { row: "HINGE-1.inner", act: "set" }],
    ["odd-ones", { family: "HINGES", attribute: "hold" }],
    ["tell", { row: "HINGE-1.inner", state: "set" }],
  ])("is named by every answer that it touches: %s", (form, slots) => {
    expect(saysSo(answer(departed, form, slots).cautions)).toBe(true);
    expect(saysSo(answer(job, form, slots).cautions)).toBe(false);
  });

  it("is not named where it does not reach", () => {
    expect(saysSo(answer(departed, "stay-open", { part: "HINGE-2", row: "HINGE-2.inner" }).cautions)).toBe(
      false,
    );
    expect(saysSo(answer(departed, "treatment", { row: "RIB-3.top" }).cautions)).toBe(false);
  });
});
