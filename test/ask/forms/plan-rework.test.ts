import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import { Unsolved } from "../../../server/ask/unsolved.js";
import type { Mark } from "../../../server/kit/work.js";
import { planOf } from "../../../server/order/plan.js";
import { reworkFound, reworkTask } from "../../../server/order/rework-asked.js";
import type { ReworkSolution } from "../../../server/order/rework-types.js";
import { reachOf } from "../../../server/reach/reach.js";
import { marksOf } from "../../support/any-bench.js";
import { allGatesDone, GAP_MEASURED, jobFromDisk, rowMarks, trialRules } from "../../support/job.js";
import { answer, problemOf, rowOf, textOf } from "./answer.js";

let fresh: Job;
/** The servo mount was riveted before what lies behind it. */
let walled: Job;
/** All is set but the servo tray's rivets, which the top skin covers now. */
let trayForgotten: Job;
beforeAll(async () => {
  fresh = await jobFromDisk();
  const feet = ["SERVO-MOUNT.outer", "SERVO-MOUNT.inner"].flatMap((row) => rowMarks(fresh, row, "set"));
  walled = await jobFromDisk({ marks: [...allGatesDone(fresh), ...feet] });
  const measured = { moreRules: [GAP_MEASURED] };
  const all = planOf(await jobFromDisk(measured))
    .steps.flatMap(marksOf)
    .filter((mark) => mark.kind !== "hole" || !mark.hole.startsWith("SERVO-TRAY."));
  trayForgotten = await jobFromDisk({ ...measured, marks: all });
});

/** The walled-in job with a solver that says this of every program. */
const solvedAs = (solution: ReworkSolution): Job => ({
  ...walled,
  reworked: (standing, asked) => reworkFound(reworkTask(standing, asked), solution),
});
const numbered = (rows: ReturnType<typeof answer>["rows"]) => rows.filter(({ step }) => step !== undefined);

describe("the way back", () => {
  it("says what to drill out, what that frees, and what can be set then", () => {
    const { headline, verdict } = answer(walled, "rework", {});
    expect(headline).toMatch(/^Drill out 6 rivets: trim-servo mount/);
    expect(headline).toContain("the trim-servo mount, and 5 missing rivets can be set");
    expect(verdict).toBeUndefined();
  });

  it("drills first, then sets what was missing, then hangs the part again", () => {
    const { rows } = answer(walled, "rework", {});
    const steps = numbered(rows);
    expect(steps.map(({ step }) => step)).toEqual(steps.map((_, i) => i + 1));
    const at = (kind: string, text: string): number =>
      steps.findIndex((row) => row.kind === kind && row.where.includes(text));
    expect(at("drill", "outer foot")).toBeGreaterThanOrEqual(0);
    expect(at("rivets", "web doubler, upper row")).toBeGreaterThan(at("drill", "outer foot"));
    expect(at("part", "trim-servo mount")).toBeGreaterThan(at("rivets", "web doubler, upper row"));
    expect(at("rivets", "outer foot")).toBeGreaterThan(at("part", "trim-servo mount"));
  });

  it("names the drill, the size at which a hole has grown too large, and what may be done then", () => {
    const { rows, sources } = answer(walled, "rework", {});
    expect(rowOf({ ...answer(walled, "rework", {}), rows }, "SERVO-MOUNT.outer.1", "drill").what).toContain(
      "with a 3.3 mm drill, the same as the hole",
    );
    const grown = rowOf(
      { ...answer(walled, "rework", {}), rows },
      "SERVO-MOUNT.outer.1",
      "if a hole grows",
    ).what;
    expect(grown).toMatch(/^If a hole grows beyond 3\.4 mm: the next size, 3\.99 mm/);
    expect(sources.map(({ document }) => document).join(" ")).toContain("MIL-R-47196A");
  });

  it("offers a grown hole no larger rivet where a rule of the kit wants more edge than that one would have", async () => {
    // 12 mm are 3.75 diameters of 3.2 mm, and 3 of the next size.
    const wide = trialRules({
      id: "trial-wide-edge",
      family: "limit",
      rank: "manual",
      params: { fact: "edgeRatio", min: 3.5 },
      conditions: { all: [{ fact: "rowId", operator: "equal", value: "SERVO-MOUNT.outer" }] },
      fires: "SERVO-MOUNT.outer.1",
      spares: "RIB-7.top.1",
    });
    const feet = ["SERVO-MOUNT.outer", "SERVO-MOUNT.inner"].flatMap((row) => rowMarks(fresh, row, "set"));
    const told = answer(
      await jobFromDisk({ moreRules: [wide], marks: [...allGatesDone(fresh), ...feet] }),
      "rework",
      {},
    );
    expect(rowOf(told, "SERVO-MOUNT.outer.1", "if a hole grows").what).toMatch(
      /the next size is refused, a rule on edge distance or pitch here leaves no room for it/,
    );
  });

  it("asks whether a dimple was forgotten that is not marked on a closed part, and says what it would take", async () => {
    const edge = fresh.assembly.holes.filter(({ rowId, number }) => rowId === "REAR-SPAR.top" && number < 3);
    const set = edge.map(({ id }): Mark => ({ kind: "hole", hole: id, state: "set" }));
    const undimpled = (mark: Mark): boolean =>
      mark.kind === "prep" && mark.part === "TOP-SKIN" && mark.gate === "dimple";
    const gates = allGatesDone(fresh).filter((mark) => !undimpled(mark));
    const told = answer(await jobFromDisk({ marks: [...gates, ...set] }), "rework", { part: "TOP-SKIN" });
    expect(told.headline).toContain(
      "which is not marked as done; if it was done, mark it. If it was forgotten, 2 rivets",
    );
    const dimpled = fresh.assembly.holes
      .filter(({ id, layers }) => {
        const treatment = fresh.rulings.of(id).attributes.treatment;
        return treatment?.value === "dimple" && layers.some(({ part }) => part === "TOP-SKIN");
      })
      .map(({ id }) => id);
    const asked = told.rows.find(({ kind }) => kind === "perhaps forgotten");
    expect(asked?.holes.every((id) => dimpled.includes(id))).toBe(true);
    const drilled = told.rows.find(({ kind }) => kind === "to do it in order: drill")?.holes;
    expect(new Set(drilled)).toEqual(new Set(edge.map(({ id }) => id)));
    expect(told.trace).toContainEqual({ kind: "prep", part: "TOP-SKIN", gate: "dimple", done: false });
    const done = answer(await jobFromDisk({ marks: [...allGatesDone(fresh), ...set] }), "rework", {
      part: "TOP-SKIN",
    });
    expect(done.rows.filter(({ kind }) => kind === "perhaps forgotten")).toEqual([]);
  });

  it("a rivet that a must rule wanted before a closed part: the mentor is asked, and what doing it in order takes is told", async () => {
    const feet = ["SERVO-MOUNT.outer", "SERVO-MOUNT.inner"].flatMap((row) => rowMarks(fresh, row, "set"));
    const early = await jobFromDisk({ marks: [...allGatesDone(fresh), ...feet] });
    const told = answer(early, "rework", { row: "RIB-3.rear" });
    const late = told.rows.find(({ kind }) => kind === "too late");
    expect(late?.holes).toEqual(["RIB-3.rear.1", "RIB-3.rear.3"]);
    expect(late?.what).toContain("to be set before the trim-servo mount");
    expect(told.headline).toContain(
      "ask your mentor whether they may go in now. To do it in order, 6 rivets",
    );
  });

  it("of a part that is not marked as closed is not told: it is to be marked first, and what it would come to is said", () => {
    const open = answer(fresh, "rework", { early: "SERVO-MOUNT" });
    expect(open.verdict).toBe("undecided");
    expect(open.headline).toMatch(/^The trim-servo mount is not marked as closed/);
    expect(open.headline).toContain("5 rivets are walled in");
    expect(answer(walled, "rework", { early: "SERVO-MOUNT" }).headline).toMatch(/^Drill out 6 rivets/);
  });

  it("or it is left, and says what to ask the designer and what to tell", () => {
    const { what } = rowOf(answer(walled, "rework", {}), "WEB-DOUBLER.upper.5", "or leave it");
    expect(what).toContain("may 2 of the 6 rivets of this row stay out");
    expect(what).toContain("an access hole be cut through the trim-servo mount");
    expect(what).toContain("the rivet (PR-32-6)");
  });

  it("warns of what the drawing does not know, and carries the cautions for drilling", () => {
    const { cautions } = answer(walled, "rework", {});
    expect(cautions.join(" ")).toContain("look before you drill");
    expect(cautions.join(" ")).toMatch(/eye protection/i);
  });

  it("says when the tool's room stands in for a drill's, and not when the kit draws that", () => {
    const said = (job: Job): string => answer(job, "rework", {}).cautions.join(" ");
    expect(said(walled)).not.toContain("no room for a drill");
    const kit = { ...walled.kit, approaches: walled.kit.approaches.map((one) => ({ ...one, drill: [] })) };
    const undrawn = { ...walled, kit, reach: reachOf(kit, walled.assembly) };
    expect(said(undrawn)).toContain("The kit draws no room for a drill: the room that the tool needs");
  });

  it("of one row alone tells of that row, and that there are others", () => {
    const told = answer(walled, "rework", { row: "RIB-3.rear" });
    expect(told.holes).toEqual(["RIB-3.rear.2"]);
    expect(told.headline).toContain("4 other rivets are walled in elsewhere");
    expect(answer(walled, "rework", { part: "RIB-5" }).headline).toContain("nothing needs drilling out");
  });

  it("needs nothing where nothing is walled in", () => {
    const told = answer(fresh, "rework", {});
    expect(told.headline).toBe("No rivet that is to be set now is walled in: nothing needs drilling out.");
    expect(told.rows).toEqual([]);
  });

  it("of a whole skin names its rows and not a hundred holes", () => {
    const told = answer(trayForgotten, "rework", {});
    expect(told.headline).toMatch(/^Drill out 98 rivets/);
    expect(numbered(told.rows).length).toBeLessThan(30);
    expect(told.followUps[0]).toMatchObject({ form: "tell", slots: { state: "unset" } });
  });

  it("without a solver it is the best found, not proved", () => {
    expect(answer(walled, "rework", {}).headline).toContain("Best found so far, not proved");
  });

  it("with a solver that has not been asked, it waits for its answer and tells no other", () => {
    const asking = { ...walled, reworked: () => null };
    expect(() => answer(asking, "rework", {})).toThrow(Unsolved);
  });

  it("an answer of the solver that does not stand up to the order core is never told", () => {
    const lying = solvedAs({ open: [], proved: true });
    expect(() => answer(lying, "rework", {})).toThrow(/can't be drilled and set/);
  });

  it("a search that ended without an answer falls back on what is found without it, and says so", () => {
    const stopped = solvedAs({ open: null, proved: false });
    expect(answer(stopped, "rework", {}).headline).toContain("Best found so far, not proved");
  });
});

describe("what if a part were hung first", () => {
  it("names what would be walled in and what getting back would take, and records nothing", () => {
    const marks = [...fresh.work.holes];
    const told = answer(fresh, "rework", { part: "SERVO-MOUNT", first: "yes" });
    // To "does it matter?" a no would say that it does not.
    expect(told.verdict).toBeUndefined();
    expect(told.headline).toMatch(
      /^If the trim-servo mount is hung first \(6 rivets\), 5 rivets are walled in: rib 3/,
    );
    expect(told.headline).toContain("Getting back would take drilling out 6 rivets");
    expect(told.headline).toContain("So set them before the trim-servo mount");
    expect(told.headline).toContain("Nothing is recorded");
    expect(told.proposal).toBeUndefined();
    expect([...fresh.work.holes]).toEqual(marks);
  });

  it("a part that walls in nothing is said to wall in nothing, which is no leave to close it", () => {
    const told = answer(fresh, "rework", { part: "SPAR-DOUBLER", first: "yes" });
    expect(told.headline).toMatch(/nothing is walled in at once/);
    expect(told.verdict).toBeUndefined();
    expect(told.followUps.map(({ form }) => form)).toContain("may-i");
  });

  it("a part that is closed already, and a question without a part, are said to be so", () => {
    expect(answer(walled, "rework", { part: "SERVO-MOUNT", first: "yes" }).headline).toContain(
      "is closed already",
    );
    expect(problemOf(fresh, "rework", { first: "yes" }).code).toBe("SLOT_MISSING");
    expect(problemOf(fresh, "rework", { part: "SERVO-MOUNT", first: "perhaps" }).code).toBe("SLOT_INVALID");
  });

  it("speaks of the holes that closing it walls in, as what must be set before it", () => {
    for (const part of ["BOTTOM-SKIN", "TOP-SKIN", "NOSE-SKIN"]) {
      const told = answer(fresh, "rework", { part, first: "yes" });
      const before = new Set(answer(fresh, "before-closing", { part }).holes);
      if (told.holes.length === 0) continue;
      expect(textOf(told)).toContain("walled in");
      for (const hole of before) {
        const walls = told.holes.includes(hole);
        const demanded = fresh.rulings.of(hole).orders.some(({ before: named }) => named === part);
        expect(walls || demanded, `${hole} before ${part}`).toBe(true);
      }
    }
  });
});
