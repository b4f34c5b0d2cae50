import { beforeAll, describe, expect, it } from "vitest";
import { saidSheet } from "../../../server/ask/step-sheet.js";
import type { Job } from "../../../server/ask/types.js";
import type { Kit } from "../../../server/kit/types.js";
import type { Mark } from "../../../server/kit/work.js";
import { mayTreat } from "../../../server/order/may-treat.js";
import { prepGates } from "../../../server/order/prep.js";
import { unsettled } from "../../../server/order/settled.js";
import { jobFromDisk, redrawnHoles, rowMarks, trialRules, withLayers } from "../../support/job.js";
import { answer, rowOf, textOf } from "./answer.js";

/** Rib 3's top row, its rib as thick as a spar cap: 2 mm takes a countersink by every gauge (TM 9-2320-363-34-2, table 4). */
const thickRib = (kit: Kit): Kit =>
  redrawnHoles(kit, (hole) => (hole.rowId === "RIB-3.top" ? withLayers(hole, [0.5, 2]) : hole));
const ROW = { fact: "rowId", operator: "equal", value: "RIB-3.top" };
const HOLE = "RIB-3.top.8";

/** A rule of the manual on that row. */
function ruled(id: string, params: Readonly<Record<string, unknown>>) {
  return trialRules({
    id,
    family: "treatment",
    params,
    conditions: { all: [ROW, { fact: "head", operator: "equal", value: "flush" }] },
    fires: HOLE,
    spares: "RIB-3.top.1",
  });
}

const MIXED = { treatment: "dimple", under: "countersink", rivet: "CR-40-8", finalDiameterMm: 4.1 };
let open: Job;
let mixed: Job;
beforeAll(async () => {
  open = await jobFromDisk({ redrawn: thickRib });
  mixed = await jobFromDisk({ redrawn: thickRib, moreRules: [ruled("trial-mixed", MIXED)] });
});

describe("a thin skin on a thick layer, both for one flush head", () => {
  it("is undecided where no rule speaks of it, and the handbook's way is said as advice with its source", () => {
    const told = answer(open, "treatment", { hole: HOLE });
    expect(told.verdict).toBe("undecided");
    expect(open.rulings.of(HOLE).attributes.treatment?.status).toBe("unclaimed");
    expect(textOf(told)).toMatch(
      /handbook's way for such a stack is to dimple the top skin and countersink rib 3 for its dimple: that is advice/,
    );
    expect(told.sources.map(({ document, place }) => `${document}, ${place}`)).toContain(
      "NAVEDTRA 14018, Aviation Structural Mechanic (H and S), chapter 13, Flush Riveting",
    );
    expect(textOf(answer(open, "tools", { hole: HOLE }))).toMatch(/drill nothing yet.*handbook's way/s);
  });

  it("has no advice where a layer can be neither dimpled nor countersunk: 1.2 mm is above 0.040 in and below 0.072 in", async () => {
    const between = await jobFromDisk({
      redrawn: (kit) =>
        redrawnHoles(kit, (hole) => (hole.rowId === "RIB-3.top" ? withLayers(hole, [0.5, 1.2]) : hole)),
    });
    const told = answer(between, "treatment", { hole: HOLE });
    expect(told.verdict).toBe("undecided");
    expect(textOf(told)).not.toContain("handbook's way");
  });

  it("can be ruled: the skin is dimpled, and the layer under it countersunk for the dimple", () => {
    const told = answer(mixed, "treatment", { hole: HOLE });
    expect(told.verdict).toBeUndefined();
    expect(textOf(told)).toContain(
      "enlarge 3.3 → 4.1 mm, then dimple the top skin and countersink rib 3 for its dimple",
    );
    expect(told.trace.map((entry) => "attribute" in entry && entry.attribute)).toContain("under");
    expect(answer(mixed, "treatment", { hole: HOLE, treatment: "countersink" }).verdict).toBe("yes");
    expect(answer(mixed, "treatment", { hole: HOLE, treatment: "dimple" }).verdict).toBe("yes");
  });

  it("takes dies for the skin and a cutter for the layer under it, wider than the head", () => {
    const { what } = rowOf(answer(mixed, "tools", { hole: HOLE }), HOLE);
    expect(what).toMatch(/dimple dies .*rib 3 is not dimpled/);
    expect(what).toMatch(/countersink cutter .*takes the dimples of the top skin.*cut it wider/);
    expect(what).toContain("rib 3 of 2 mm (0.079 in) is thick enough by the handbook's gauge");
    expect(what).not.toContain("above the handbook's limit");
  });

  it("puts a dimple on the skin's list of work alone, and a countersink on the thick part's", () => {
    const gate = (part: string, wanted: string): readonly string[] =>
      prepGates(mixed, part).find(({ gate }) => gate === wanted)?.holes ?? [];
    expect(gate("TOP-SKIN", "dimple")).toContain(HOLE);
    expect(gate("RIB-3", "dimple")).not.toContain(HOLE);
    expect(gate("RIB-3", "countersink")).toContain(HOLE);
    expect(gate("TOP-SKIN", "countersink")).not.toContain(HOLE);
  });

  it("is on the sheet with one dimple and one countersink for each hole, and the thick part is done when it is marked so", async () => {
    const holes = ["RIB-3.top.7", HOLE];
    const forms = (job: Job) =>
      saidSheet(job, null)
        .forming.filter(({ under }) => under !== null)
        .map(({ act, count, holes, done, what }) => ({ act, count, holes, done, what }));
    expect(forms(mixed)).toEqual(
      [
        { act: "countersink", count: 2, holes, done: [], what: expect.stringContaining("2 holes in rib 3") },
        { act: "dimple", count: 2, holes, done: [], what: expect.stringContaining("Rib 3 is not dimpled") },
      ].map((line) => expect.objectContaining(line)),
    );
    const marks: Mark[] = [{ kind: "prep", part: "RIB-3", gate: "countersink", done: true }];
    const after = await jobFromDisk({
      marks,
      redrawn: thickRib,
      moreRules: [ruled("trial-mixed", MIXED)],
    });
    expect(forms(after)).toMatchObject([
      { act: "countersink", count: 0, done: holes },
      { act: "dimple", count: 2, done: [] },
    ]);
  });

  it("is countersunk only while the layers come apart", async () => {
    expect(mayTreat(mixed, HOLE, "countersink").reasons).not.toContainEqual(
      expect.objectContaining({ code: "ruled-otherwise" }),
    );
    const marks = [...rowMarks(mixed, "RIB-3.top", "set").slice(0, 1)];
    const after = await jobFromDisk({ marks, redrawn: thickRib, moreRules: [ruled("trial-mixed", MIXED)] });
    const { verdict, reasons } = mayTreat(after, HOLE, "countersink");
    expect(verdict).toBe("no");
    expect(reasons).toContainEqual(expect.objectContaining({ code: "layers-together", weight: "no" }));
  });

  it("is in conflict where two rules of one rank say otherwise of the layers under the head: nothing is formed there", async () => {
    const both = await jobFromDisk({
      redrawn: thickRib,
      moreRules: [
        ruled("trial-mixed", MIXED),
        { ...ruled("trial-alike", { under: "dimple" }), path: "rules/trial-2.json" },
      ],
    });
    expect(both.rulings.of(HOLE).verdict).toBe("conflict");
    expect(answer(both, "treatment", { hole: HOLE }).verdict).toBe("conflict");
    expect(answer(both, "tools", { hole: HOLE }).verdict).toBe("conflict");
    expect(prepGates(both, "RIB-3").find(({ gate }) => gate === "countersink")?.needed ?? "none").not.toBe(
      "true",
    );
    expect(mayTreat(both, HOLE, "countersink").verdict).toBe("conflict");
  });

  it("is dimpled in every layer where a rule says so and nothing of the layers under the head, with the handbook's doubt", async () => {
    const all = await jobFromDisk({
      redrawn: thickRib,
      moreRules: [ruled("trial-all", { treatment: "dimple", rivet: "CR-40-8", finalDiameterMm: 4.1 })],
    });
    const told = answer(all, "treatment", { hole: HOLE });
    expect(textOf(told)).toMatch(/then dimple both layers; rib 3 at 2 mm is above the handbook's limit/);
  });
});

describe("layers under the head of which no rule speaks", () => {
  it("are nothing that is open at a hole, whatever else is", () => {
    let undecided = 0;
    for (const { id } of open.assembly.holes) {
      const ruling = open.rulings.of(id);
      if (ruling.verdict !== "settled") undecided += 1;
      for (const reason of unsettled(id, ruling)) expect(reason).not.toMatchObject({ attribute: "under" });
      for (const form of ["treatment", "tools", "fastener"])
        expect(textOf(answer(open, form, { hole: id }))).not.toMatch(/layers under the head/i);
    }
    expect(undecided).toBeGreaterThan(3);
  });
});
