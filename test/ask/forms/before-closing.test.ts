import { beforeAll, describe, expect, it } from "vitest";
import { GOVERNS } from "../../../server/ask/cautions.js";
import type { Job } from "../../../server/ask/types.js";
import { allGatesDone, jobFromDisk, rowMarks, trialRules } from "../../support/job.js";
import { answer, closedNow, problemOf, reachable, rowOf, stackAt, textOf } from "./answer.js";

let job: Job;
let mountOn: Job;
beforeAll(async () => {
  job = await jobFromDisk();
  mountOn = await jobFromDisk({
    marks: [...allGatesDone(job), ...rowMarks(job, "SERVO-MOUNT.outer", "set")],
  });
});

/** Rivets to be set first, by trying every other rivet that could close the part. */
function lostOrDemanded(on: Job, part: string): string[] {
  const closed = closedNow(on);
  const open = on.assembly.holes.map(({ id }) => id).filter((id) => on.work.holes.get(id) !== "set");
  return open.filter((hole) => {
    const ways = open.filter(
      (other) => other !== hole && stackAt(on, other).includes(part) && reachable(on, other, closed),
    );
    const lost =
      reachable(on, hole, closed) &&
      ways.length > 0 &&
      ways.every((way) => !reachable(on, hole, new Set([...closed, ...stackAt(on, way)])));
    const demanded = on.rulings
      .of(hole)
      .orders.some(
        ({ before, strength, verdict }) => before === part && strength === "must" && verdict === "true",
      );
    return lost || (demanded && !stackAt(on, hole).includes(part));
  });
}

describe("before a part closes", () => {
  it("every rivet that its closing walls in, or that a must rule wants first, is named", () => {
    for (const part of job.assembly.closings) {
      expect(answer(job, "before-closing", { part }).holes, part).toEqual(lostOrDemanded(job, part));
    }
    expect(answer(job, "before-closing", { part: "SERVO-MOUNT" }).holes.length).toBeGreaterThan(0);
  });

  it("the same holds half-way through the work", () => {
    for (const part of mountOn.assembly.closings.filter((id) => !closedNow(mountOn).has(id))) {
      expect(answer(mountOn, "before-closing", { part }).holes, part).toEqual(lostOrDemanded(mountOn, part));
    }
  });

  it("the headline says how many rivets, where", () => {
    const { headline, holes } = answer(job, "before-closing", { part: "SERVO-MOUNT" });
    expect(headline).toMatch(/^Before the trim-servo mount closes, set \d+ rivets: /);
    expect(headline).toContain(`set ${holes.length} rivets`);
    expect(headline).toContain("rib 3 web doubler, upper row, all 6 holes");
  });

  it("a rivet walled in from both sides is told with every approach and the part in its way", () => {
    const { what } = rowOf(answer(job, "before-closing", { part: "SERVO-MOUNT" }), "WEB-DOUBLER.upper.5");
    const hole = job.assembly.holes.find(({ id }) => id === "WEB-DOUBLER.upper.5");
    for (const id of hole?.approaches ?? []) {
      expect(what.toLowerCase()).toContain(
        job.kit.approaches.find((one) => one.id === id)?.name.toLowerCase(),
      );
    }
    expect(what).toContain("blocked by the trim-servo mount");
    expect(what).toMatch(/head side/);
    expect(what).toMatch(/tail side/);
  });

  it("a rivet that keeps one side is a remark, not a must", () => {
    const told = answer(job, "before-closing", { part: "SPAR-DOUBLER" });
    const remarks = told.rows.filter(({ kind }) => kind === "one side left");
    expect(remarks.length).toBeGreaterThan(0);
    for (const hole of remarks.flatMap(({ holes }) => holes)) expect(told.holes).not.toContain(hole);
  });

  it("where it depends on which rivet closes it, both ways are told", () => {
    const told = answer(job, "before-closing", { part: "BOTTOM-SKIN" });
    const row = rowOf(told, "WEB-DOUBLER.upper.5", "choose the way");
    expect(row.what).toContain(
      "Closing by rib 3, bottom flange row, holes 6 and 7 from the front walls it in",
    );
    expect(told.headline).toMatch(
      /^Before the bottom skin closes, set 5 rivets, or begin with a rivet that leaves them free: rib 3/,
    );
  });

  it("when nothing is lost it says so", async () => {
    const marks = ["WEB-DOUBLER.upper", "WEB-DOUBLER.lower", "RIB-3.rear"].flatMap((row) =>
      rowMarks(job, row, "set"),
    );
    const done = await jobFromDisk({ marks: [...allGatesDone(job), ...marks] });
    const told = answer(done, "before-closing", { part: "SERVO-MOUNT" });
    expect(told.headline).toBe("Nothing needs setting before the trim-servo mount closes.");
    expect(told.holes).toEqual([]);
    expect(told.verdict).toBeUndefined();
  });

  it("its own holes that stay open when it closes are named, with until when", () => {
    const told = answer(job, "before-closing", { part: "BOTTOM-SKIN" });
    const held = job.assembly.holes
      .filter(({ layers }) => layers.some(({ part }) => part === "BOTTOM-SKIN"))
      .filter(({ id }) => (job.rulings.of(id).attributes.hold?.value ?? "none") !== "none");
    expect(told.headline).toContain("Leave open: 8 holes until the twist is checked on the fuselage");
    const rows = told.rows.filter(({ kind }) => kind === "leave open");
    expect(rows.flatMap(({ holes }) => holes)).toEqual(held.map(({ id }) => id));
  });

  it("what may yet have to be dimpled under it is to be found out first, never 'nothing to set'", async () => {
    const marks = [...allGatesDone(job), ...rowMarks(job, "RIB-7.rear", "set")];
    const told = answer(await jobFromDisk({ marks }), "before-closing", { part: "TOP-SKIN" });
    expect(told.verdict).toBe("undecided");
    expect(told.headline).toContain("find out whether rear spar, top flange row, holes 28 and 29");
    for (const hole of ["REAR-SPAR.top.28", "RIB-7.top.7"]) {
      expect(rowOf(told, hole, "undecided").what).toContain("gap to the elevator's gap seal is not known");
      expect(told.trace.some((entry) => entry.kind === "ruling" && entry.holes.includes(hole))).toBe(true);
    }
  });

  it("what stays open and what is to be done to it stand in the evidence, with sources and cautions", () => {
    const told = answer(job, "before-closing", { part: "BOTTOM-SKIN" });
    expect(told.trace.some((entry) => entry.kind === "hold" && entry.holes.includes("RIB-1.bottom.1"))).toBe(
      true,
    );
    expect(told.sources.some(({ document }) => /SN-1/.test(document))).toBe(true);
    expect(told.cautions.join(" ")).toMatch(/pull rivets.*Dimple a scrap|Dimple a scrap.*pull rivets/s);
  });

  it("gates that are not marked as done on it are named", () => {
    const told = answer(job, "before-closing", { part: "SERVO-MOUNT" });
    const row = told.rows.find(({ kind }) => kind === "gates");
    expect(row?.gates).toEqual(["deburr", "clean", "prime"]);
    expect(told.headline).toContain("Not marked as done on it: holes and edges deburred, cleaned and primed");
    const done = answer(mountOn, "before-closing", { part: "BOTTOM-SKIN" });
    expect(done.rows.filter(({ kind }) => kind === "gates")).toEqual([]);
  });

  it("a part that is closed already is told as closed, with what is walled in behind it", () => {
    const told = answer(mountOn, "before-closing", { part: "SERVO-MOUNT" });
    const closed = closedNow(mountOn);
    expect(told.headline).toMatch(/^The trim-servo mount is closed already\. /);
    const walled = mountOn.assembly.holes
      .map(({ id }) => id)
      .filter((id) => mountOn.work.holes.get(id) !== "set" && !reachable(mountOn, id, closed));
    expect(walled.length).toBeGreaterThan(0);
    expect(told.holes).toEqual(expect.arrayContaining(walled));
  });

  it("a hole that must be set first and must stay open is a conflict, and nothing is picked", async () => {
    const held = await jobFromDisk({
      moreRules: [
        trialRules({
          id: "trial-hold",
          family: "hold",
          params: { hold: "twist-checked" },
          conditions: {
            all: [
              { fact: "rowId", operator: "equal", value: "WEB-DOUBLER.upper" },
              { fact: "number", operator: "equal", value: 5 },
            ],
          },
          fires: "WEB-DOUBLER.upper.5",
          spares: "WEB-DOUBLER.upper.4",
        }),
      ],
    });
    const told = answer(held, "before-closing", { part: "SERVO-MOUNT" });
    expect(told.verdict).toBe("conflict");
    expect(told.headline).toContain("contradict each other");
    const { what } = rowOf(told, "WEB-DOUBLER.upper.5");
    expect(what).toContain("stays open until the twist is checked");
    expect(what).toContain("Ask the kit maker or your mentor");
  });

  it("an order rule that hangs on an unknown fact leaves it undecided, never 'nothing to set'", async () => {
    const unsure = await jobFromDisk({
      moreRules: [
        trialRules({
          id: "trial-order",
          family: "order",
          params: { before: "HINGE-3", strength: "must" },
          conditions: {
            all: [
              { fact: "rowId", operator: "equal", value: "RIB-7.top" },
              { fact: "gapMm", operator: "lessThan", value: 2 },
              { fact: "number", operator: "greaterThan", value: 4 },
            ],
          },
          fires: "RIB-7.top.5",
          spares: "RIB-6.top.1",
        }),
      ],
    });
    const told = answer(unsure, "before-closing", { part: "HINGE-3" });
    expect(told.verdict).toBe("undecided");
    expect(told.headline).toMatch(/whether .* must be set before hinge 3 closes is not decided/i);
    expect(rowOf(told, "RIB-7.top.8", "undecided").what).toContain("a fact is missing");
  });

  it("a rivet to be set whose treatment is undecided carries that along", async () => {
    const told = answer(job, "before-closing", { part: "HINGE-3" });
    const open = told.holes.filter((hole) => job.rulings.of(hole).verdict === "undecided");
    expect(told.verdict).toBe(open.length > 0 ? "undecided" : undefined);
    for (const hole of open) expect(rowOf(told, hole).what).toContain("undecided");
  });

  it("the evidence holds the reach of every rivet told and the order rules behind it", () => {
    const told = answer(job, "before-closing", { part: "SERVO-MOUNT" });
    const reach = told.trace.flatMap((entry) => (entry.kind === "reach" ? entry.holes : []));
    const orders = told.trace.flatMap((entry) => (entry.kind === "order" ? entry.holes : []));
    for (const hole of told.holes) expect([...reach, ...orders]).toContain(hole);
    expect(told.trace.length).toBeLessThan(told.holes.length);
  });

  it("who sets rivets is told what governs, once", () => {
    const { cautions } = answer(job, "before-closing", { part: "SERVO-MOUNT" });
    expect(cautions.filter((text) => text === GOVERNS)).toHaveLength(1);
    expect(cautions.join(" ")).toMatch(/eye protection/i);
  });

  it("which part is asked for, and a part that is not there is refused", () => {
    expect(problemOf(job, "before-closing", {}).code).toBe("SLOT_MISSING");
    expect(problemOf(job, "before-closing", { part: "WING" }).code).toBe("UNKNOWN_ID");
  });

  it("no id is shown where a name would do", () => {
    expect(textOf(answer(job, "before-closing", { part: "SERVO-MOUNT" }))).not.toMatch(
      /SERVO-MOUNT|WEB-DOUBLER/,
    );
  });
});
