import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import { jobFromDisk } from "../../support/job.js";
import { answer, problemOf, rowOf } from "./answer.js";

let job: Job;
beforeAll(async () => {
  job = await jobFromDisk();
});

/** Holes at which a rule of rank notice carries a ruling, read from the traces. */
function touched(notice?: string): string[] {
  return job.assembly.holes
    .map(({ id }) => id)
    .filter((id) =>
      Object.keys(job.rulings.of(id).attributes).some((attribute) => {
        const { status, ruleIds, claims } = job.rulings.trace(id, attribute);
        return (
          status === "settled" &&
          claims.some(
            ({ rule, basis, verdict, lostTo }) =>
              basis.rank === "notice" &&
              verdict === "true" &&
              lostTo.length === 0 &&
              ruleIds.includes(rule) &&
              (!notice || basis.document.endsWith(` ${notice}`)),
          )
        );
      }),
    );
}

describe("what the notices changed", () => {
  it("the holes are those where a notice's rule carries the ruling", () => {
    expect(answer(job, "changed", {}).holes).toEqual(touched());
    for (const { id } of job.kit.notices) {
      expect(answer(job, "changed", { notice: id }).holes, id).toEqual(touched(id));
      expect(touched(id).length).toBeGreaterThan(0);
    }
  });

  it("each notice is told with its own words and the place that it overtakes", () => {
    const { rows } = answer(job, "changed", {});
    for (const { id, changes, overtakes } of job.kit.notices) {
      const row = rows.find(({ notice, rule }) => notice === id && rule === null);
      expect(row?.what).toContain(changes);
      expect(row?.what).toContain(overtakes.replace(/\.$/, ""));
    }
  });

  it("at each hole it says what held before, and by which rule of the manual", () => {
    const { rows } = answer(job, "changed", { row: "RIB-1.bottom" });
    const row = rows.find(({ rule }) => rule !== null);
    expect(row).toMatchObject({
      notice: "SN-1",
      attribute: "hold",
      overtook: ["sedge-two-root-rib-bottom-at-once"],
    });
    expect(row?.what).toContain(
      "Before: not held open, by “The root rib's bottom row is riveted with the bottom skin”",
    );
  });

  it("where the older rule hung on an unknown fact, it says 'perhaps'", () => {
    const told = answer(job, "changed", { hole: "RIB-7.bottom.8" });
    expect(told.rows.find(({ rule }) => rule !== null)?.what).toContain("Before, perhaps: flush head");
    const sure = answer(job, "changed", { hole: "REAR-SPAR.bottom.25" });
    expect(rowOf({ ...sure, rows: sure.rows.slice(1) }, "REAR-SPAR.bottom.25").what).toContain(
      "Before: flush head",
    );
  });

  it("where no notice reaches, it says so", () => {
    expect(answer(job, "changed", { row: "RIB-3.top" })).toMatchObject({
      headline: "None of the 2 notices changes anything in the rulings at the top flange row of rib 3.",
      holes: [],
    });
  });

  it("a notice that is not there is refused", () => {
    expect(problemOf(job, "changed", { notice: "SN-99" }).code).toBe("UNKNOWN_ID");
  });
});
