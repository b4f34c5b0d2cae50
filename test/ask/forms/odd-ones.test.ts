import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import { jobFromDisk, trialRules } from "../../support/job.js";
import { answer, problemOf, rowOf } from "./answer.js";

const ATTRIBUTES = ["head", "treatment", "finalDiameterMm", "rivet", "hold"];

let job: Job;
beforeAll(async () => {
  job = await jobFromDisk();
});

/** Holes unlike more than half of those at the same place of their family, counted here from the rulings. */
function oddHoles(on: Job, family: string, attributes = ATTRIBUTES): Set<string> {
  const members = on.assembly.families.find(({ id }) => id === family)?.members ?? [];
  const odd = new Set<string>();
  for (const attribute of attributes) {
    const places = new Map<string, { id: string; key: string }[]>();
    for (const { id, part, row, number } of on.assembly.holes) {
      if (!members.includes(part)) continue;
      const ruling = on.rulings.of(id).attributes[attribute];
      const key = `${ruling?.status ?? "unclaimed"} ${ruling?.value ?? null}`;
      const place = `${row} ${number}`;
      places.set(place, [...(places.get(place) ?? []), { id, key }]);
    }
    for (const list of places.values()) {
      for (const { id, key } of list) {
        const others = list.filter((one) => one.key !== key);
        const most = Math.max(0, ...others.map((one) => list.filter((two) => two.key === one.key).length));
        if (most * 2 > list.length) odd.add(id);
      }
    }
  }
  return odd;
}

/** The job with one row left out of its drawing. */
function withoutRow(on: Job, rowId: string): Job {
  const { assembly } = on;
  return {
    ...on,
    assembly: {
      ...assembly,
      holes: assembly.holes.filter((hole) => hole.rowId !== rowId).map((hole, index) => ({ ...hole, index })),
      rows: assembly.rows.filter(({ id }) => id !== rowId),
    },
  };
}

describe("the odd ones of a family", () => {
  it.each(["RIBS", "HINGES"])("%s: exactly the holes unlike most of their family", (family) => {
    const told = answer(job, "odd-ones", { family });
    const named = told.rows.filter(({ member }) => member !== null).flatMap(({ holes }) => holes);
    expect([...named].sort()).toEqual([...oddHoles(job, family)].sort());
    expect(named.length).toBeGreaterThan(0);
  });

  it("the rib that is the exception is named with the rule that makes it one", () => {
    const told = answer(job, "odd-ones", { family: "RIBS", attribute: "head" });
    expect(rowOf(told, "RIB-4.top.8")).toMatchObject({
      member: "RIB-4",
      what: "Head protruding, the others flush. Because of “Rib 4's heads stay protruding”.",
    });
    expect(told.headline).toMatch(/^3 of the 7 ribs differ from the rest: /);
  });

  it("what follows from a difference is not explained again", () => {
    const { what } = rowOf(answer(job, "odd-ones", { family: "RIBS" }), "RIB-4.top.8");
    expect(what).toContain("Treatment as punched, the others dimple");
    expect(what.match(/Because of/g)).toHaveLength(1);
    expect(what).toMatch(/Because of “Rib 4's heads stay protruding”\.$/);
  });

  it("an undecided member is odd among settled ones, and says what is not known", () => {
    const told = answer(job, "odd-ones", { family: "RIBS", attribute: "head" });
    expect(told.verdict).toBe("undecided");
    expect(rowOf(told, "RIB-7.top.8").what).toContain("the gap to the elevator's gap seal is not known");
    expect(told.headline).toContain(
      "Not decided at rib 7, top flange row, holes 7 and 8 from the front: the gap to the elevator's gap seal is not known.",
    );
  });

  it("what is not decided is not counted as a difference, and the first line says where and what is missing", () => {
    // Rib 7's bottom row differs by notice; of the last two of its top row the gap is not known.
    const one = answer(job, "odd-ones", { part: "RIB-7" });
    expect(one.headline).toMatch(
      /^Rib 7 differs from the rest of the ribs in 1 hole: .*\. Not decided at rib 7, top flange row, holes 7 and 8 from the front: the gap .* is not known\.$/,
    );
    const pair = answer(job, "odd-ones", { part: "RIB-6", other: "RIB-7" });
    expect(pair.headline).toMatch(
      /differ in 1 place: .*\. Not decided at .*holes 7 and 8 .* is not known\.$/,
    );
  });

  it("where nothing but what is not decided could differ, no difference is stated", () => {
    const told = answer(withoutRow(job, "RIB-7.bottom"), "odd-ones", { part: "RIB-7" });
    expect(told.verdict).toBe("undecided");
    expect(told.headline).toMatch(
      /^Whether rib 7 differs from the rest of the ribs is not decided at rib 7, top/,
    );
  });

  it("a family that is alike is told as alike", () => {
    expect(answer(job, "odd-ones", { family: "HINGES", attribute: "hold" })).toMatchObject({
      headline: "All 3 of the hinge brackets are alike.",
      holes: [],
      rows: [],
    });
  });

  it("without a majority nobody is odd: both sides are told", async () => {
    // One of three each way: flush as drawn, protruding as drawn, and one that is undecided.
    const split = await jobFromDisk({
      moreRules: [
        trialRules({
          id: "trial-hinge-3",
          family: "treatment",
          params: { treatment: "dimple" },
          conditions: { all: [{ fact: "rowId", operator: "equal", value: "HINGE-3.outer" }] },
          rank: "notice",
          fires: "HINGE-3.outer.1",
          spares: "HINGE-1.outer.1",
        }),
      ],
    });
    const told = answer(split, "odd-ones", { family: "HINGES", attribute: "treatment" });
    expect(told.headline).toContain("no side has a majority");
    const row = rowOf(told, "HINGE-3.outer.1");
    expect(row.member).toBeNull();
    expect(row.what).toContain("hinge 1: enlarge");
    expect(row.what).toContain("hinge 2: countersink");
    expect(row.what).toContain("hinge 3: dimple");
  });

  it("one member: exactly its own holes unlike most of the family", () => {
    const odd = [...oddHoles(job, "RIBS")];
    for (const { id: family, members } of job.assembly.families) {
      for (const part of members) {
        const told = answer(job, "odd-ones", { part });
        const own = [...oddHoles(job, family)].filter((hole) => hole.startsWith(`${part}.`));
        const named = told.rows.filter(({ member }) => member !== null).flatMap(({ holes }) => holes);
        expect([...named].sort()).toEqual(own.sort());
        if (own.length > 0) expect(told.headline).toContain("differs from the rest");
        else expect(told.headline).toContain("is like the rest");
      }
    }
    expect(odd.length).toBeGreaterThan(0);
  });

  it("two parts: exactly the places where their rulings differ, told for both", () => {
    const key = (hole: string, attribute: string): string => {
      const ruling = job.rulings.of(hole).attributes[attribute];
      return `${ruling?.status ?? "unclaimed"} ${ruling?.value ?? null}`;
    };
    const ribs = job.assembly.families.find(({ id }) => id === "RIBS")?.members ?? [];
    const [part = "", ...others] = ribs;
    for (const other of others) {
      const wanted = job.assembly.holes.flatMap(({ id, part: own, row, number }) => {
        const twin = `${other}.${row}.${number}`;
        const there = job.assembly.holes.some((hole) => hole.id === twin);
        return own === part && there && ATTRIBUTES.some((one) => key(id, one) !== key(twin, one))
          ? [id, twin]
          : [];
      });
      const told = answer(job, "odd-ones", { part, other });
      expect([...told.holes].sort()).toEqual(wanted.sort());
      expect(told.headline).toContain(wanted.length > 0 ? " differ in " : " are alike");
    }
  });

  it("a part of no family is said to have no rest to differ from", () => {
    const told = answer(job, "odd-ones", { part: "TOP-SKIN" });
    expect(told.headline).toMatch(/not one of a family/);
    expect(told.holes).toEqual([]);
  });

  it("parts that share no row are not called alike", () => {
    expect(answer(job, "odd-ones", { part: "RIB-3", other: "SERVO-MOUNT" }).headline).toMatch(
      /share no row, so there is nothing to compare/,
    );
  });

  it("a family is asked for, and one that is not there is refused", () => {
    expect(problemOf(job, "odd-ones", {}).code).toBe("SLOT_MISSING");
    expect(problemOf(job, "odd-ones", { family: "WINGS" }).code).toBe("UNKNOWN_ID");
  });
});
