import { beforeAll, describe, expect, it } from "vitest";
import { ask } from "../../server/ask/ask.js";
import type { FormSpec } from "../../server/ask/form.js";
import type { Job, TraceEntry } from "../../server/ask/types.js";
import type { ConditionTrace } from "../../server/ruling/types.js";
import { formsAndNotes } from "../questions/phrasings.js";
import { jobFromDisk } from "../support/job.js";

let job: Job;
let specs: readonly FormSpec[];
beforeAll(async () => {
  job = await jobFromDisk();
  specs = formsAndNotes().forms;
});

type Ruling = Extract<TraceEntry, { kind: "ruling" }>;

function rulingsOf(form: string, slots: Record<string, string>): readonly Ruling[] {
  return ask(job, { form, slots }, specs).trace.filter((entry) => entry.kind === "ruling");
}

/** Values that the conditions found, by fact. */
function found(condition: ConditionTrace): readonly (readonly [fact: string, actual: unknown])[] {
  return condition.op === "leaf" ? [[condition.fact, condition.actual]] : condition.of.flatMap(found);
}

describe("the trace of an answer", () => {
  it.each([
    ["why", { hole: "RIB-3.top.8", attribute: "head" }],
    ["why-not", { hole: "RIB-3.top.6", head: "flush" }],
    ["treatment", { hole: "RIB-3.top.8" }],
  ])("%s shows the sum behind the headroom, with its terms", (form, slots) => {
    const figures = rulingsOf(form, slots).flatMap((entry) => entry.figures ?? []);
    const room = figures.find(({ fact }) => fact === "worstHeadroomMm");
    expect(room?.figure.terms.map(({ what }) => what)).toEqual(["gap", "tolerance", "head"]);
    expect(room?.said).toMatch(
      /^gap [\d.]+ mm at elevator full up less tolerance 0\.1 mm less head 1\.3 mm$/,
    );
  });

  it("shows sums that come to the values that its conditions found, and none for what is not known", () => {
    let compared = 0;
    for (const { id } of job.assembly.holes.filter(({ index }) => index % 7 === 0)) {
      for (const entry of rulingsOf("why", { hole: id, attribute: "head" })) {
        const actuals = new Map(entry.claims.flatMap(({ conditions }) => found(conditions)));
        for (const { fact, figure, per } of entry.figures ?? []) {
          compared += 1;
          expect(Math.abs(figure.value / (per?.value ?? 1) - Number(actuals.get(fact)))).toBeLessThan(
            0.000501,
          );
        }
        const isKnown = (actuals.get("worstHeadroomMm") ?? null) !== null;
        expect(entry.figures?.some(({ fact }) => fact === "worstHeadroomMm") ?? false, id).toBe(isKnown);
      }
    }
    expect(compared).toBeGreaterThan(5);
  });
});
