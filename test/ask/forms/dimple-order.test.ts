import { describe, expect, it } from "vitest";
import { saidSheet } from "../../../server/ask/step-sheet.js";
import type { Job } from "../../../server/ask/types.js";
import type { PrepGate } from "../../../server/kit/types.js";
import type { Mark } from "../../../server/kit/work.js";
import { mayTreat } from "../../../server/order/may-treat.js";
import { jobFromDisk } from "../../support/job.js";
import { answer, rowOf, textOf } from "./answer.js";

/** Enlarged from 3.3 to 4.1 mm and dimpled. */
const HOLE = "RIB-3.top.8";

/** The tailplane, its kit's gates changed. */
const withGates = (
  change: (gates: readonly PrepGate[]) => readonly PrepGate[],
  marks: readonly Mark[] = [],
): Promise<Job> => jobFromDisk({ marks, redrawn: (kit) => ({ ...kit, prepGates: change(kit.prepGates) }) });

const DIMPLE_FIRST = (gates: readonly PrepGate[]): PrepGate[] => {
  const dimple = gates.filter(({ id }) => id === "dimple");
  return [...dimple, ...gates.filter(({ id }) => id !== "dimple")];
};
const UNNAMED = (gates: readonly PrepGate[]): PrepGate[] =>
  gates.map((gate) => (gate.id === "dimple" ? { ...gate, assumed: true } : gate));

const codes = (job: Job, act: "dimple" | "enlarge"): string[] =>
  mayTreat(job, HOLE, act).reasons.map(({ weight, code }) => `${weight} ${code}`);

describe("a hole that is both enlarged and dimpled", () => {
  it("is enlarged first where the kit's order of work says so, and no other order is spoken of", async () => {
    const job = await jobFromDisk();
    expect(rowOf(answer(job, "treatment", { hole: HOLE }), HOLE).what).toMatch(/^enlarge .*, then dimple/);
    expect(codes(job, "dimple")).toContain("no enlarge-first");
    expect(textOf(answer(job, "tools", { hole: HOLE }))).not.toContain("wartime");
    expect(saidSheet(job, null).warnings.join(" ")).not.toContain("wartime");
  });

  it("is dimpled first where the kit's order of work says that: it is not sent to the drill before", async () => {
    const job = await withGates(DIMPLE_FIRST);
    expect(rowOf(answer(job, "treatment", { hole: HOLE }), HOLE).what).toMatch(
      /^dimple both layers, then enlarge 3\.3 → 4\.1 mm/,
    );
    expect(codes(job, "dimple")).not.toContain("no enlarge-first");
    expect(codes(job, "enlarge")).toContain("no form-first");
    const { what } = rowOf(answer(job, "tools", { hole: HOLE }), HOLE);
    expect(what.indexOf("holes dimpled")).toBeLessThan(what.indexOf("holes enlarged"));
    const marks = ["TOP-SKIN", "RIB-3"].map(
      (part): Mark => ({ kind: "prep", part, gate: "dimple", done: true }),
    );
    expect(codes(await withGates(DIMPLE_FIRST, marks), "enlarge")).not.toContain("no form-first");
  });

  it("where the kit names no order is told that sources differ, with the one that has it the other way round (wartime manual, par. 10a)", async () => {
    const job = await withGates(UNNAMED);
    const told = answer(job, "tools", { hole: HOLE });
    expect(textOf(told)).toMatch(/kit does not say whether a hole is enlarged or dimpled first/);
    expect(textOf(told)).not.toMatch(/in this order: [^.;]*enlarged/);
    expect(told.sources.map(({ place }) => place)).toContain("par. 10a, Replacing Solid Rivets");
    const sheet = saidSheet(job, null);
    expect(sheet.warnings.join(" ")).toMatch(/does not say whether a hole is enlarged or dimpled first/);
    expect(sheet.sources.map(({ place }) => place)).toContain("par. 10a, Replacing Solid Rivets");
    expect(textOf(answer(job, "tools", { hole: "RIB-3.top.1" }))).not.toContain("dimpled first");
  });

  it("where the kit names no order is sent neither to the drill nor to the dies first: that is asked of the kit maker", async () => {
    const job = await withGates(UNNAMED);
    for (const act of ["dimple", "enlarge"] as const) {
      expect(codes(job, act)).toContain("undecided order-not-named");
      const { verdict, headline } = answer(job, "may-i", { act, hole: HOLE });
      expect(verdict).toBe("undecided");
      expect(headline).toMatch(
        /the kit does not say whether it is enlarged or dimpled first.*ask the kit maker/i,
      );
    }
    const { what } = rowOf(answer(job, "treatment", { hole: HOLE }), HOLE);
    expect(what).toMatch(
      /enlarge 3\.3 → 4\.1 mm and dimple both layers; which comes first the kit does not say/,
    );
    expect(what).not.toContain(", then");
  });

  it("where the kit names no order, the one that is marked as done leaves nothing to be found out about the other", async () => {
    for (const [done, act] of [
      ["dimple", "enlarge"],
      ["enlarge", "dimple"],
    ] as const) {
      const marks = ["TOP-SKIN", "RIB-3"].map(
        (part): Mark => ({ kind: "prep", part, gate: done, done: true }),
      );
      expect(answer(await withGates(UNNAMED, marks), "may-i", { act, hole: HOLE }).verdict).toBe("yes");
    }
  });
});
