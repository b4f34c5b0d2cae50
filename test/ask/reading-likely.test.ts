import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { checkSlots, specOf } from "../../server/ask/ask.js";
import { lackingSlots } from "../../server/ask/reading/choices.js";
import { phrasingSet, readOn, shelfOf } from "../questions/phrasings.js";
import { jobFromDisk } from "../support/job.js";

const tailplane = shelfOf("sedge-two", "tailplane");

function offered(text: string) {
  const outcome = readOn(tailplane, text);
  if (outcome.kind === "read") throw new Error(`read whole: ${JSON.stringify(outcome.asked)}`);
  return outcome.choices;
}

describe("what may have been meant is offered where a text is not read", () => {
  test.each([
    [
      "on whose zorbing is rib 3's top row dimpled",
      { form: "treatment", slots: { row: "RIB-3.top", treatment: "dimple" } },
    ],
    [
      "gronk PR-32-6 for the top skin, amount",
      { form: "fastener", slots: { part: "TOP-SKIN", rivet: "PR-32-6" } },
    ],
    [
      "zorbing until the twist is checked, gronk",
      { form: "stay-open", slots: { milestone: "twist-checked" } },
    ],
  ])("%s", (text, wanted) => {
    expect(offered(text)).toContainEqual(wanted);
  });

  test("never for one of two places that are named", () => {
    const choices = offered("zorb rib 3 gronk rib 4 blimping dimple");
    expect(choices.every(({ slots }) => slots.part === undefined)).toBe(true);
  });

  test("a form is offered once with the same slots", () => {
    const plain = offered("zorbing rib 3 dimples gronk").map((choice) => JSON.stringify(choice));
    expect(plain.length).toBeGreaterThan(1);
    expect(new Set(plain).size).toBe(plain.length);
  });
});

test("whatever is offered can be answered as it stands", async () => {
  const job = await jobFromDisk();
  const words = phrasingSet("work")
    .filter(({ shelf }) => shelf.kit.id === "sedge-two")
    .flatMap(({ phrasing }) => phrasing.ask.split(" "));
  let seen = 0;
  fc.assert(
    fc.property(fc.array(fc.constantFrom(...words), { minLength: 2, maxLength: 9 }), (text) => {
      const outcome = readOn(tailplane, text.join(" "));
      if (outcome.kind === "read") return;
      for (const { form, slots } of outcome.choices) {
        const spec = specOf(form, tailplane.forms);
        expect(() => checkSlots(job, spec, slots)).not.toThrow();
        expect(lackingSlots(spec, slots)).toEqual([]);
        seen++;
      }
    }),
    { numRuns: 300, examples: [[["it", "crack", "which"]]] },
  );
  expect(seen).toBeGreaterThan(100);
});
