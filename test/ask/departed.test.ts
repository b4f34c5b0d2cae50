import { beforeAll, describe, expect, it } from "vitest";
import { ask } from "../../server/ask/ask.js";
import { saidSheet } from "../../server/ask/step-sheet.js";
import type { Answer, Job, Slots } from "../../server/ask/types.js";
import { Unsolved } from "../../server/ask/unsolved.js";
import { Problem } from "../../server/problem.js";
import { jobFromDisk, type TrialRule, trialRulesOf } from "../support/job.js";
import { library } from "../support/library.js";

const REFERENCE = "letter of 2024-11-02";
const departing = (
  from: string,
  rule: Omit<TrialRule, "id" | "rank" | "departure"> & { readonly kit?: string },
): { kit: string; rule: TrialRule } => ({
  kit: rule.kit ?? "sedge-two",
  rule: { ...rule, id: "trial-departed", rank: "shop", departure: { from: [from], reference: REFERENCE } },
});
const equal = (fact: string, value: string | number) => ({ fact, operator: "equal", value });

const DEPARTURES = {
  "a hold lifted": departing("sedge-two-hold-hinges", {
    family: "hold",
    params: { hold: "none" },
    conditions: { all: [equal("part", "HINGE-1")] },
    fires: "HINGE-1.inner.1",
    spares: "HINGE-2.inner.1",
  }),
  "another head": departing("sedge-two-flush-under-seal", {
    family: "treatment",
    params: { head: "protruding" },
    conditions: { all: [equal("rowId", "RIB-3.top"), equal("number", 8)] },
    fires: "RIB-3.top.8",
    spares: "RIB-3.top.1",
  }),
  "another order": departing("sedge-two-web-doubler-before-mount", {
    family: "order",
    params: { after: "SERVO-MOUNT", strength: "must" },
    conditions: { all: [equal("part", "WEB-DOUBLER")] },
    fires: "WEB-DOUBLER.upper.1",
    spares: "RIB-3.top.1",
  }),
  "another rivet": departing("vetch-six-vn-1-larger-doubler-rivets", {
    kit: "vetch-six",
    family: "treatment",
    params: { rivet: "SC-4-6" },
    conditions: { all: [equal("part", "CORNER-DOUBLER")] },
    fires: "CORNER-DOUBLER.bottom.1",
    spares: "FRAME-BOTTOM.inner.1",
  }),
} as const;

/** Ways to ask each form about the whole assembly and about places that a departure reaches. */
function questions(job: Job, fires: string): readonly { form: string; slots: Slots }[] {
  const row = fires.split(".").slice(0, 2).join(".");
  const hole = job.assembly.holes.find(({ id }) => id === fires);
  const parts = hole?.layers.map(({ part }) => part) ?? [];
  const places: Slots[] = [
    {},
    { row },
    { hole: fires },
    ...parts.slice(-1).map((part) => ({ part })),
    ...job.assembly.milestones.slice(0, 1).map(({ id }) => ({ milestone: id })),
  ];
  const more: Readonly<Record<string, readonly Slots[]>> = {
    "may-i": [{ act: "set" }, { act: "close" }, { act: "dimple" }],
    "why-not": [{ act: "set" }, { attribute: "hold" }, { attribute: "head" }],
    why: [{ attribute: "hold" }, { attribute: "head" }, { attribute: "rivet" }],
    "odd-ones": [{}, { attribute: "hold" }, { attribute: "head" }],
    tell: [{ state: "set" }],
  };
  return library.forms.flatMap(({ id: form, slots: takes }) =>
    places
      .filter((place) => Object.keys(place).every((name) => takes.some((slot) => slot.name === name)))
      .flatMap((place) => (more[form] ?? [{}]).map((rest) => ({ form, slots: { ...place, ...rest } }))),
  );
}

/** Null: the form does not take these slots, or needs a solver. */
function answered(job: Job, request: { form: string; slots: Slots }): Answer | null {
  try {
    return ask(job, request, library.forms);
  } catch (error) {
    if (error instanceof Problem || error instanceof Unsolved) return null;
    throw error;
  }
}

const content = ({ outcome, verdict, headline, holes, rows, proposal }: Answer): string =>
  JSON.stringify({ outcome, verdict, headline, holes, rows, proposal });
const saysSo = (cautions: readonly string[]): boolean =>
  cautions.some((text) => text.includes("departs from") && text.includes(REFERENCE));

describe.each(Object.entries(DEPARTURES))("an agreed departure: %s", (_name, { kit, rule }) => {
  let before: Job;
  let after: Job;
  beforeAll(async () => {
    before = await jobFromDisk({ kit });
    after = await jobFromDisk({ kit, moreRules: [trialRulesOf(kit, rule)] });
  });

  it("is named by every answer that is another one because of it, whatever was asked", () => {
    const asked = questions(before, rule.fires);
    const silent: string[] = [];
    let changed = 0;
    for (const request of asked) {
      const [was, is] = [answered(before, request), answered(after, request)];
      if (!was || !is || content(was) === content(is)) continue;
      changed++;
      if (!saysSo(is.cautions)) silent.push(JSON.stringify(request));
    }
    expect(silent).toEqual([]);
    expect(changed).toBeGreaterThan(10);
  });

  it("is named on the sheets for the bench", () => {
    expect(saysSo(saidSheet(after, null).cautions)).toBe(true);
    expect(saysSo(saidSheet(before, null).cautions)).toBe(false);
  });

  it("is named once, before the word on who governs", () => {
    const { cautions } = ask(after, { form: "plan", slots: {} }, library.forms);
    expect(cautions.filter((text) => text.includes(REFERENCE))).toHaveLength(1);
    expect(cautions.at(-1)).toContain("The kit maker's data and current notices govern");
  });
});

it("a departure is not named where no hole that it reaches is asked about", async () => {
  const { kit, rule } = DEPARTURES["a hold lifted"];
  const job = await jobFromDisk({ kit, moreRules: [trialRulesOf(kit, rule)] });
  const row = ask(job, { form: "treatment", slots: { row: "RIB-3.top" } }, library.forms);
  expect(saysSo(row.cautions)).toBe(false);
});
