import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import { jobFromDisk, trialRules } from "../../support/job.js";
import { answer, problemOf, rowOf } from "./answer.js";

let job: Job;
beforeAll(async () => {
  job = await jobFromDisk();
});

function settled(hole: string, attribute: string): unknown {
  const ruling = job.rulings.of(hole).attributes[attribute];
  return ruling?.status === "settled" ? ruling.value : null;
}

const idsThrough = (part: string): string[] =>
  job.assembly.holes.filter(({ layers }) => layers.some((layer) => layer.part === part)).map(({ id }) => id);

describe("what is done to holes", () => {
  it("covers every hole of the assembly once, with what was ruled", () => {
    const told = answer(job, "treatment", {});
    expect(told.rows.flatMap(({ holes }) => holes).sort()).toEqual(
      job.assembly.holes.map(({ id }) => id).sort(),
    );
    for (const row of told.rows) {
      for (const hole of row.holes) {
        for (const attribute of ["treatment", "finalDiameterMm", "head", "rivet"]) {
          expect(row[attribute], `${hole} ${attribute}`).toBe(settled(hole, attribute));
        }
      }
    }
  });

  it("counts each treatment in the headline", () => {
    const { headline } = answer(job, "treatment", {});
    const count = (value: unknown) =>
      job.assembly.holes.filter(({ id }) => settled(id, "treatment") === value).length;
    expect(headline).toContain(`${job.assembly.holes.length} holes of the tailplane`);
    expect(headline).toContain(`${count("dimple")} dimpled`);
    expect(headline).toContain(`${count("as punched")} left as punched`);
    expect(headline).toContain(`${count(null)} undecided`);
  });

  it("a hole that is to be flush is enlarged first, then dimpled in both layers", () => {
    expect(rowOf(answer(job, "treatment", { hole: "RIB-3.top.8" }), "RIB-3.top.8").what).toMatch(
      /^enlarge 3\.3 → 4\.1 mm, then dimple both layers; rivet CR-40-6 .*; flush head$/,
    );
  });

  it("a part's holes are all those through it, whoever owns the row", () => {
    expect(answer(job, "treatment", { part: "TOP-SKIN" }).holes).toEqual(idsThrough("TOP-SKIN"));
    expect(answer(job, "treatment", { part: "RIB-4" }).holes).toEqual(idsThrough("RIB-4"));
  });

  it("holes alike over a whole part are said in one breath", () => {
    expect(answer(job, "treatment", { part: "RIB-4" }).headline).toMatch(
      /^All \d+ holes of rib 4: leave as punched at 3\.3 mm/,
    );
  });

  it("exceptions within a row are pointed out", () => {
    const told = answer(job, "treatment", { row: "RIB-3.top" });
    expect(told.headline).toContain("Not like the rest of the row: rib 3, top flange row, holes 7 and 8");
    expect(rowOf(told, "RIB-3.top.8").exception).toBe(true);
    expect(rowOf(told, "RIB-3.top.1").exception).toBe(false);
  });

  it("what is undecided names the missing fact and what to do", () => {
    const told = answer(job, "treatment", { hole: "RIB-7.top.8" });
    expect(told.verdict).toBe("undecided");
    expect(told.headline).toContain("the gap to the elevator's gap seal is not known");
    expect(told.headline).toContain("Measure it or ask the kit maker");
  });

  it.each(["dimple", "as punched", "enlarge", "countersink"])("which holes get: %s", (treatment) => {
    // A dimpled hole whose finished size is larger than its punched one is enlarged too.
    const gets = ({ id, punchedMm }: (typeof job.assembly.holes)[number]): boolean =>
      treatment === "enlarge"
        ? Number(settled(id, "finalDiameterMm")) > punchedMm
        : settled(id, "treatment") === treatment;
    const decided = job.assembly.holes.filter(({ id }) => settled(id, "treatment") !== null);
    const told = answer(job, "treatment", { treatment });
    expect(told.holes).toEqual(decided.filter(gets).map(({ id }) => id));
    const not = answer(job, "treatment", { treatment, not: "yes" });
    expect(not.holes).toEqual(decided.filter((hole) => !gets(hole)).map(({ id }) => id));
  });

  it("holes that are enlarged and then dimpled count as enlarged, whichever way it is asked", () => {
    const hole = job.assembly.holes.find(
      ({ id, punchedMm }) =>
        settled(id, "treatment") === "dimple" && Number(settled(id, "finalDiameterMm")) > punchedMm,
    );
    if (!hole) throw new Error("the demo has no hole that is enlarged and dimpled");
    expect(answer(job, "treatment", { hole: hole.id, treatment: "enlarge" }).verdict).toBe("yes");
    expect(answer(job, "why-not", { hole: hole.id, treatment: "enlarge" }).headline).toContain("enlarged");
    expect(answer(job, "why", { hole: hole.id, treatment: "enlarge" }).headline).not.toContain(
      "not enlarged",
    );
  });

  it("a hole whose treatment is undecided is neither dimpled nor 'not dimpled': it is told apart", () => {
    const open = job.assembly.holes.map(({ id }) => id).filter((id) => settled(id, "treatment") === null);
    expect(open.length).toBeGreaterThan(0);
    for (const not of ["yes", "no"]) {
      const told = answer(job, "treatment", { treatment: "dimple", not });
      expect(told.verdict).toBe("undecided");
      for (const hole of open) {
        expect(told.holes).not.toContain(hole);
        expect(rowOf(told, hole).asked).toBe(false);
      }
      expect(told.headline).toContain(
        `whether ${open.length} more holes are, is not decided yet`.replace("w", "W"),
      );
    }
  });

  it.each([
    ["RIB-3.top.8", "dimple", "yes"],
    ["RIB-3.top.1", "dimple", "no"],
    ["RIB-4.top.8", "dimple", "no"],
    ["RIB-7.top.8", "dimple", "undecided"],
  ])("of one hole, yes or no: is %s to be %sd? %s", (hole, treatment, verdict) => {
    expect(answer(job, "treatment", { hole, treatment }).verdict).toBe(verdict);
  });

  it("dimpled or countersunk: exactly those holes, and those that are neither, on both demo kits", async () => {
    for (const one of [job, await jobFromDisk({ kit: "vetch-six" })]) {
      const value = (hole: string): unknown => {
        const ruling = one.rulings.of(hole).attributes.treatment;
        return ruling?.status === "settled" ? ruling.value : null;
      };
      const ids = one.assembly.holes.map(({ id }) => id);
      const formed = ids.filter((id) => ["dimple", "countersink"].includes(String(value(id))));
      const open = ids.filter((id) => value(id) === null);
      const both = { treatment: "dimple", orTreatment: "countersink" };
      const asked = answer(one, "treatment", both);
      const others = answer(one, "treatment", { ...both, not: "yes" });
      expect(asked.holes).toEqual(formed);
      expect(
        formed.some((id) => value(id) === "dimple") && formed.some((id) => value(id) === "countersink"),
      ).toBe(true);
      expect(others.holes).toEqual(ids.filter((id) => !formed.includes(id) && !open.includes(id)));
      expect(others.headline).toMatch(/neither dimpled nor countersunk/);
    }
  });

  it("asked which of two, the first sentence says how many get each, and one hole gets no yes", async () => {
    const door = await jobFromDisk({ kit: "vetch-six" });
    const both = { treatment: "dimple", orTreatment: "countersink" };
    expect(answer(door, "treatment", { ...both, part: "OUTER-SKIN" }).headline).toMatch(
      /^42 holes of the outer skin are to be dimpled or countersunk: 42 dimpled\. /,
    );
    const one = answer(door, "treatment", { ...both, hole: "STIFFENER-1.skin.1" });
    expect(one.verdict).toBeUndefined();
    expect(one.headline).toMatch(/dimple both layers/);
  });

  it("asked from a side, only the holes seen from there", () => {
    const told = answer(job, "treatment", { part: "REAR-SPAR", side: "top" });
    const seen = idsThrough("REAR-SPAR").filter(
      (id) => (job.assembly.holes.find((hole) => hole.id === id)?.normal[2] ?? 0) > 0.5,
    );
    expect(told.holes).toEqual(seen);
    expect(seen.length).toBeGreaterThan(0);
  });

  it("cautions fit what is done: no dimpling caution where nothing is dimpled", () => {
    expect(answer(job, "treatment", { row: "RIB-4.front" }).cautions.join(" ")).not.toMatch(/dimple/i);
    expect(answer(job, "treatment", { hole: "RIB-3.top.8" }).cautions.join(" ")).toMatch(/dimple/i);
  });

  it("two rules of one standing that oppose each other: both are shown, neither is picked", async () => {
    const where = { all: [{ fact: "rowId", operator: "equal", value: "RIB-5.top" }] };
    const sides = await jobFromDisk({
      moreRules: [
        trialRules(
          {
            id: "trial-flush",
            title: "Rib 5 is flush",
            family: "treatment",
            params: { head: "flush" },
            conditions: where,
            rank: "notice",
            fires: "RIB-5.top.1",
            spares: "RIB-6.top.1",
          },
          {
            id: "trial-domed",
            title: "Rib 5 is domed",
            family: "treatment",
            params: { head: "protruding" },
            conditions: where,
            rank: "notice",
            fires: "RIB-5.top.1",
            spares: "RIB-6.top.1",
          },
        ),
      ],
    });
    const told = answer(sides, "treatment", { hole: "RIB-5.top.1" });
    expect(told.verdict).toBe("conflict");
    expect(told.rows[0]?.head).toBeNull();
    expect(told.headline).toContain("“Rib 5 is flush” (notice) says flush head");
    expect(told.headline).toContain("“Rib 5 is domed” (notice) says protruding head");
    expect(told.headline).toContain("Ask your mentor");
  });

  it("words that are no treatment, head or side are refused with the words that are", () => {
    expect(problemOf(job, "treatment", { treatment: "weld" })).toMatchObject({
      code: "SLOT_INVALID",
      fix: expect.stringContaining("dimple"),
    });
    expect(problemOf(job, "treatment", { side: "left" })).toMatchObject({ code: "SLOT_INVALID" });
    expect(problemOf(job, "treatment", { row: "RIB-3.middle" })).toMatchObject({ code: "UNKNOWN_ID" });
  });
});
