import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../server/ask/types.js";
import { beforeClosing } from "../../server/order/closing.js";
import { reworkFrom, reworkQuestion } from "../../server/order/rework.js";
import { whatIfClosed } from "../../server/order/what-if.js";
import { anyBench, standing } from "../support/any-bench.js";
import { jobFromDisk } from "../support/job.js";

describe("what if a part were hung first", () => {
  const bench = standing({
    holes: {
      "rib.a.1": { through: ["rib"], approaches: { straight: ["mount"] } },
      "rib.a.2": { through: ["rib"], approaches: { straight: ["mount"], behind: [] } },
      "mount.foot.1": { through: ["mount"], approaches: { straight: [] } },
      "mount.foot.2": {
        through: ["mount"],
        approaches: { straight: [] },
        ruling: { settled: { hold: "aligned" } },
      },
      "cover.rim.1": { through: ["cover"], approaches: { straight: ["cover"] } },
    },
  });

  it("names the rivets that would be walled in, and what it would take to get back", () => {
    const then = whatIfClosed(bench, "mount");
    expect(then).toMatchObject({ status: "open", rivets: ["mount.foot.1"], staysOut: ["mount.foot.2"] });
    expect(then.wallsIn.map(({ hole }) => hole)).toEqual(["rib.a.1"]);
    expect(reworkFrom(reworkQuestion(then.standing), null).drill).toEqual(["mount.foot.1"]);
  });

  it("names rivets that a must rule wants set before it, and those that no order could set afterwards", () => {
    const ruled = standing({
      holes: {
        "rib.a.1": {
          through: ["rib"],
          approaches: { straight: [] },
          ruling: { orders: [{ before: "mount", strength: "must" }] },
        },
        "mount.foot.1": { through: ["mount"], approaches: { straight: [] } },
      },
    });
    const then = whatIfClosed(ruled, "mount");
    expect(then.wallsIn).toEqual([]);
    expect(then.late).toMatchObject([{ hole: "rib.a.1", part: "mount" }]);
    const knot = standing({
      holes: {
        "rib.a.1": { through: ["rib"], approaches: { left: ["cover"], right: ["lid"] } },
        "lid.a.1": { through: ["lid"], approaches: { straight: ["rib"], behind: ["cover"] } },
        "cover.a.1": { through: ["cover"], approaches: { straight: [] } },
      },
    });
    expect(whatIfClosed(knot, "cover")).toMatchObject({ wallsIn: [], deadEnd: ["rib.a.1", "lid.a.1"] });
    expect(whatIfClosed(knot, "rib")).toMatchObject({ deadEnd: [] });
  });

  it("takes the parts that it rivets for ready: a gate that is not marked is no wall", () => {
    const dimpled = standing({
      holes: {
        "rib.a.1": {
          through: ["rib", "spar"],
          approaches: { straight: ["mount"] },
          ruling: { settled: { treatment: "dimple", finalDiameterMm: 4 } },
        },
        "mount.foot.1": { through: ["mount", "spar"], approaches: { straight: [] } },
      },
    });
    const then = whatIfClosed(dimpled, "mount");
    expect(then.wallsIn.map(({ hole }) => hole)).toEqual(["rib.a.1"]);
    expect(reworkFrom(reworkQuestion(then.standing), null)).toMatchObject({
      status: "found",
      missing: ["rib.a.1"],
    });
    expect([...dimpled.work.prep]).toEqual([]);
  });

  it("records nothing: the work stands as it stood", () => {
    const before = [...bench.work.holes];
    whatIfClosed(bench, "mount");
    expect([...bench.work.holes]).toEqual(before);
  });

  it("a part that no rivet can close cannot be hung", () => {
    expect(whatIfClosed(bench, "cover").status).toBe("cannot");
  });

  it("a part that is closed already is said to be", () => {
    expect(whatIfClosed(whatIfClosed(bench, "mount").standing, "mount").status).toBe("closed");
  });

  it("walls in nothing that was walled in before, and every hole that one way of closing alone would wall in for certain", () => {
    fc.assert(
      fc.property(anyBench(), fc.constantFrom("skin", "mount", "cover"), (words, part) => {
        const here = standing(words);
        fc.pre(here.assembly.parts.some(({ id }) => id === part));
        const then = whatIfClosed(here, part);
        fc.pre(then.status === "open");
        const set = new Set(then.rivets);
        const { ways } = beforeClosing(here.assembly, here.reach, here.work, part);
        const certain = ways
          .map(({ wallsIn }) => wallsIn)
          .reduce((all, some) => all.filter((hole) => some.includes(hole)));
        const lost = new Set(then.wallsIn.map(({ hole }) => hole));
        for (const hole of certain) expect(lost.has(hole) || set.has(hole), hole).toBe(true);
      }),
      { numRuns: 400 },
    );
  });
});

describe("what if on the tailplane", () => {
  let job: Job;
  beforeAll(async () => {
    job = await jobFromDisk();
  });

  it("hanging the servo mount first walls in what must be set before it", () => {
    const then = whatIfClosed(job, "SERVO-MOUNT");
    const must = beforeClosing(job.assembly, job.reach, job.work, "SERVO-MOUNT").mustBefore;
    expect(then.rivets).toHaveLength(6);
    expect(then.wallsIn.map(({ hole }) => hole)).toEqual(must.map(({ hole }) => hole));
  });
});

describe("order rules on hanging a part first", () => {
  const bench = (strength: "must" | "prefer") =>
    standing({
      holes: {
        "rib.a.1": {
          through: ["rib"],
          approaches: { straight: [] },
          ruling: { orders: [{ before: "mount", strength }] },
        },
        "mount.foot.1": {
          through: ["mount"],
          approaches: { straight: [] },
          ruling: { orders: [{ after: "skin", strength }] },
        },
        "skin.a.1": { through: ["skin"], approaches: { straight: [] } },
      },
    });

  it("a preference that it would not keep is told of both sorts, and demands nothing", () => {
    const then = whatIfClosed(bench("prefer"), "mount");
    expect(then.unkept).toMatchObject([
      { hole: "rib.a.1", relation: "before", part: "mount" },
      { hole: "mount.foot.1", relation: "after", part: "skin" },
    ]);
    expect(then).toMatchObject({ late: [], tooSoon: [], rivets: ["mount.foot.1"] });
  });

  it("a rule that must hold is no preference, and a rivet that comes too soon by it is told", () => {
    const then = whatIfClosed(bench("must"), "mount");
    expect(then.unkept).toEqual([]);
    expect(then.late).toMatchObject([{ hole: "rib.a.1" }]);
    expect(then.tooSoon).toMatchObject([{ hole: "mount.foot.1", part: "skin" }]);
  });
});
