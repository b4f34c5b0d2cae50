import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../server/ask/types.js";
import { sayReading } from "../../server/ask/wording/readings.js";
import { planOf } from "../../server/order/plan.js";
import { marksOf } from "../support/any-bench.js";
import { jobFromDisk, rowMarks } from "../support/job.js";
import { answer, textOf } from "./forms/answer.js";

let tail: Job;
let door: Job;
beforeAll(async () => {
  tail = await jobFromDisk();
  door = await jobFromDisk({ kit: "vetch-six" });
});

describe("words for one and for many", () => {
  it("several holes that are held stay open: they, not it", () => {
    const left = answer(tail, "tell", { step: "6-8", state: "set" });
    expect(left.headline).toContain("Left out: 18 holes, for they stay open until the hinges are lined up");
    for (const { holes, what } of answer(tail, "progress", {}).rows)
      if (holes.length > 1) expect(what).not.toMatch(/^It stays open/);
  });

  it("two rivets that are set are both set", async () => {
    const row = rowMarks(door, "GUSSET-1.upright", "set");
    expect(row).toHaveLength(2);
    const told = answer(await jobFromDisk({ kit: "vetch-six", marks: row }), "progress", {
      part: "GUSSET-1",
    });
    expect(told.rows.map(({ what }) => what)).toContain("Both set.");
  });

  it("of two holes it is not known whether they are dimpled; of one, whether it is", async () => {
    const marks = planOf(tail).steps.slice(0, 45).flatMap(marksOf);
    const { rows } = answer(await jobFromDisk({ marks }), "before-closing", { part: "TOP-SKIN" });
    const open = rows.filter(
      ({ kind, what }) => kind !== "in full" && what.includes("dimpled is not decided"),
    );
    expect(open.some(({ holes }) => holes.length > 1)).toBe(true);
    for (const { holes, what } of open)
      expect(what).toContain(holes.length === 1 ? "Whether it is dimpled" : "Whether they are dimpled");
  });

  it("an order without a turn-over is one in which the assembly is not turned over", () => {
    const { headline } = answer(tail, "plan", { part: "NOSE-SKIN" });
    expect(headline).toContain("the assembly is not turned over");
    expect(headline).not.toContain("not at all");
  });

  it("rivets that are all of one code are told by the code, once", () => {
    expect(answer(door, "fastener", { part: "GUSSET-1" }).headline).toBe("4 rivets for gusset 1: SU-4-5.");
    expect(answer(tail, "fastener", { row: "REAR-SPAR.bottom" }).headline).toContain(
      "24 of CR-40-6 and 5 of PR-32-5",
    );
  });

  it("what is to be minded at some holes alone is not said of them all", () => {
    const told = answer(tail, "may-i", { act: "pin", part: "TOP-SKIN" });
    const held = told.rows.filter(({ what }) => what.includes("It stays open until the root fairing"));
    const count = held.flatMap(({ holes }) => holes).length;
    expect(count).toBeLessThan(told.holes.length);
    expect(told.headline).toContain(`For ${count} of them: it stays open until the root fairing is matched`);
  });

  it("a hole without a settled treatment is told so within its sentence, with what is missing", () => {
    const { headline } = answer(tail, "tools", { hole: "RIB-7.top.8" });
    expect(headline).toMatch(/hole 8 from the front: not settled: drill nothing yet\. .* is not known\./);
  });

  it("of several layers or holes that are not dimpled it is said without a number", () => {
    expect(textOf(answer(door, "tools", { part: "OUTER-SKIN", tool: "dimple die" }))).toContain(
      "For 4: no dimple dies: not dimpled",
    );
  });
});

describe("what a mixed lot of holes takes", () => {
  it("leads with what is needed, and counts every hole", async () => {
    const job = await jobFromDisk();
    for (const tool of ["drill", "dimple die", "temporary fastener"]) {
      const { headline } = answer(job, "tools", { family: "RIBS", tool });
      const [, first, all] = /^The ribs, (\d+) of the (\d+) holes: (?!no )/.exec(headline) ?? [];
      const others = [...headline.matchAll(/[Ff]or (\d+): /g)].map(([, count]) => Number(count));
      expect(others.length, tool).toBeGreaterThan(0);
      expect(
        others.reduce((sum, count) => sum + count, Number(first)),
        tool,
      ).toBe(Number(all));
    }
  });
});

describe("holes that are asked about together", () => {
  it("all holes through a family or a part are called by its name; a row and a part of it are not", () => {
    const through = (parts: readonly string[]): string[] =>
      tail.assembly.holes
        .filter(({ layers }) => layers.some(({ part }) => parts.includes(part)))
        .map(({ id }) => id);
    const ribs = tail.assembly.families.find(({ id }) => id === "RIBS")?.members ?? [];
    const said = (holes: readonly string[]): string => sayReading(tail, "why", { holes, head: "flush" });
    expect(said(through(ribs))).toBe("Why are the ribs flush?");
    expect(said(through(["RIB-3"]))).toMatch(/rib 3 flush\?$/);
    expect(said(through(ribs).slice(1))).toContain("rows");
    expect(said(["RIB-3.top.1", "RIB-3.top.2"])).toContain("holes 1 and 2 from the front");
  });
});

describe("rivets to be fetched", () => {
  it("where none can be set for now, no spares are counted", () => {
    const { headline } = answer(tail, "count", { family: "HINGES", spares: "5" });
    expect(headline).toMatch(/^The hinge brackets: no rivets\. 18 more stay open for now/);
  });
});
