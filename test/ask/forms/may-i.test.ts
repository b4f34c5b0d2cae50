import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import { allGatesDone, jobFromDisk, rowMarks } from "../../support/job.js";
import { answer, closedNow, problemOf, reachable, rowOf, stackAt } from "./answer.js";

let job: Job;
let ready: Job;
beforeAll(async () => {
  job = await jobFromDisk();
  ready = await jobFromDisk({ marks: allGatesDone(job) });
});

/** What setting a hole would wall in, worked out from the drawn reach alone. */
function wouldWallIn(on: Job, hole: string): string[] {
  const closed = closedNow(on);
  const after = new Set([...closed, ...stackAt(on, hole)]);
  return on.assembly.holes
    .map(({ id }) => id)
    .filter((id) => id !== hole && on.work.holes.get(id) !== "set")
    .filter((id) => reachable(on, id, closed) && !reachable(on, id, after));
}

describe("may I close a part that is closed", () => {
  it("no, and what it was closed too early for is named, with the way back", async () => {
    const feet = rowMarks(job, "SERVO-MOUNT.outer", "set");
    const early = await jobFromDisk({ marks: [...allGatesDone(job), ...feet] });
    const told = answer(early, "may-i", { act: "close", part: "SERVO-MOUNT" });
    expect(told.verdict).toBe("no");
    const walled = early.assembly.holes
      .map(({ id }) => id)
      .filter((id) => early.work.holes.get(id) !== "set" && !reachable(early, id, closedNow(early)))
      .filter((id) => reachable(early, id, new Set()));
    expect(walled.length).toBeGreaterThan(0);
    for (const id of walled) expect(rowOf(told, id, "too late").what).toMatch(/^Walled in/);
    expect(told.headline).toContain("It closed too early for 15 rivets");
    expect(told.followUps[0]).toMatchObject({ form: "rework", slots: { part: "SERVO-MOUNT" } });
  });
});

describe("may I enlarge a hole that is held", () => {
  it("is not decided, and the kit maker is the one to ask, for nothing is left to measure", () => {
    const held = job.assembly.holes.find(({ id }) => {
      const { hold, treatment } = job.rulings.of(id).attributes;
      return treatment?.value === "enlarge" && hold?.status === "settled" && hold.value !== "none";
    });
    const told = answer(job, "may-i", { act: "enlarge", hole: held?.id ?? "" });
    expect(told.verdict).toBe("undecided");
    expect(told.headline).toContain("before or after the hold ends");
    expect(told.headline).not.toContain("Measure");
  });
});

describe("a rivet of which nobody can tell whether it holds the stack", () => {
  it("is not kept from going in where it is ruled, and that it is not known is said with the yes", () => {
    const yes = ready.assembly.holes.filter(({ id }) => {
      const unknown = answer(ready, "fastener", { hole: id }).verdict === "undecided";
      return unknown && answer(ready, "may-i", { act: "set", hole: id }).verdict === "yes";
    });
    expect(yes.length).toBeGreaterThan(5);
    for (const { id } of yes)
      expect(answer(ready, "may-i", { act: "set", hole: id }).headline, id).toContain(
        "holds the stack is not known",
      );
  });
});

describe("may I set a rivet", () => {
  it("never yes where something about the hole is not settled, is held, is walled in, or walls something in", () => {
    let yes = 0;
    const undecided = ready.assembly.holes.filter(({ id }) => ready.rulings.of(id).verdict !== "settled");
    const some = ready.assembly.holes.filter(({ index }) => index % 3 === 0);
    for (const { id } of new Set([...undecided, ...some])) {
      const { verdict } = answer(ready, "may-i", { act: "set", hole: id });
      const hold = ready.rulings.of(id).attributes.hold;
      const held = hold?.status === "settled" && hold.value !== "none";
      const stopped =
        ready.rulings.of(id).verdict !== "settled" ||
        held ||
        !reachable(ready, id, closedNow(ready)) ||
        wouldWallIn(ready, id).length > 0;
      if (stopped) expect(verdict, id).not.toBe("yes");
      if (verdict === "yes") yes++;
    }
    expect(yes).toBeGreaterThan(20);
  });

  it("what is not marked as done is named: no, not yet", () => {
    const told = answer(job, "may-i", { act: "set", hole: "WEB-DOUBLER.upper.1" });
    expect(told.verdict).toBe("no");
    expect(told.headline).toMatch(/^No, not now: not marked as done on rib 3: .*holes and edges deburred/);
  });

  it("a hold comes before the paperwork", () => {
    const told = answer(job, "may-i", { act: "set", row: "RIB-1.bottom" });
    expect(told.verdict).toBe("no");
    expect(told.headline).toMatch(/^No, not now: it stays open until the twist is checked/);
    expect(told.followUps.map(({ form }) => form)).toContain("why");
  });

  it("what it would wall in is counted and named", () => {
    const told = answer(ready, "may-i", { act: "set", hole: "RIB-6.top.1" });
    const lost = wouldWallIn(ready, "RIB-6.top.1");
    expect(lost.length).toBeGreaterThan(0);
    expect(told.headline).toContain(`it would wall in ${lost.length} rivets`);
  });

  it("an undecided hole says which fact to find out, and is not a yes", async () => {
    const rows = ["WEB-DOUBLER.upper", "WEB-DOUBLER.lower", "RIB-3.rear", "SERVO-TRAY.ledge"];
    const marks = rows.flatMap((row) => rowMarks(job, row, "set"));
    const late = await jobFromDisk({ marks: [...allGatesDone(job), ...marks] });
    const told = answer(late, "may-i", { act: "set", hole: "RIB-7.top.8" });
    expect(told.verdict).toBe("undecided");
    expect(told.headline).toContain("the gap to the elevator's gap seal is not known");
    expect(told.headline).toContain("Measure it or ask the kit maker");
  });

  it("of several holes the worst verdict leads, and those that are fine are named", () => {
    const told = answer(ready, "may-i", { act: "dimple", row: "RIB-3.top" });
    expect(told.verdict).toBe("no");
    expect(told.headline).toContain("for 6 of 8");
    expect(told.headline).toContain(
      "May be dimpled now: rib 3, top flange row, holes 7 and 8 from the front",
    );
    expect(told.rows.map(({ verdict }) => verdict)).toEqual(["no", "yes"]);
  });

  it("a rivet that is in already is not set again", async () => {
    const set = await jobFromDisk({ marks: rowMarks(job, "WEB-DOUBLER.upper", "set") });
    const told = answer(set, "may-i", { act: "set", hole: "WEB-DOUBLER.upper.1" });
    expect(told).toMatchObject({ verdict: "no", headline: "No: it is set already." });
  });

  it("what is ruled otherwise is no matter of now or later, and what waits for prep is", () => {
    const never = answer(job, "may-i", { act: "dimple", part: "RIB-4" });
    expect(never).toMatchObject({ verdict: "no", headline: "No: it is ruled otherwise: as punched." });
    expect(answer(job, "may-i", { act: "set", part: "RIB-4" }).headline).toMatch(/^No, not now: /);
  });

  it("a walled-in rivet names what blocks each approach", async () => {
    const on = await jobFromDisk({
      marks: [...allGatesDone(job), ...rowMarks(job, "SERVO-MOUNT.outer", "set")],
    });
    const told = answer(on, "may-i", { act: "set", hole: "WEB-DOUBLER.upper.5" });
    expect(told.verdict).toBe("no");
    expect(told.headline).toMatch(/it is walled in: .*blocked by the trim-servo mount/);
  });
});

describe("may I close a part", () => {
  it("no, while it walls something in or a rule wants something first", () => {
    const told = answer(ready, "may-i", { act: "close", part: "SERVO-MOUNT" });
    expect(told.verdict).toBe("no");
    const before = answer(ready, "before-closing", { part: "SERVO-MOUNT" });
    expect([...told.holes].sort()).toEqual([...before.holes].sort());
  });

  it("yes, once that is set and its gates are done; and never before its gates", async () => {
    const marks = ["WEB-DOUBLER.upper", "WEB-DOUBLER.lower", "RIB-3.rear"].flatMap((row) =>
      rowMarks(job, row, "set"),
    );
    const done = await jobFromDisk({ marks: [...allGatesDone(job), ...marks] });
    const told = answer(done, "may-i", { act: "close", part: "SERVO-MOUNT" });
    expect(told.verdict).toBe("yes");
    expect(told.headline).toMatch(
      /^Yes: the trim-servo mount may be closed now, as far as the data and your marks tell/,
    );
    const open = await jobFromDisk({ marks });
    expect(answer(open, "may-i", { act: "close", part: "SERVO-MOUNT" }).verdict).toBe("no");
  });

  it("yes is never said for a part that before-closing still names rivets or doubts for", () => {
    for (const part of ready.assembly.closings) {
      const before = answer(ready, "before-closing", { part });
      const { verdict } = answer(ready, "may-i", { act: "close", part });
      if (before.holes.length > 0 || before.verdict) expect(verdict, part).not.toBe("yes");
    }
  });

  it("where the rivet that closes it matters, the answer says which to take", () => {
    const told = answer(ready, "may-i", { act: "close", part: "BOTTOM-SKIN" });
    expect(told.verdict).toBe("yes");
    expect(told.headline).toContain(
      "not by these, which would wall something in: rib 3, bottom flange row, holes 6 and 7",
    );
  });

  it("a closed part is closed", async () => {
    const on = await jobFromDisk({ marks: rowMarks(job, "SERVO-MOUNT.outer", "set") });
    expect(answer(on, "may-i", { act: "close", part: "SERVO-MOUNT" }).headline).toContain(
      "is closed already",
    );
  });
});

describe("may I treat or pin a hole", () => {
  it("dimple: yes exactly where dimpling is ruled and nothing is in the way", () => {
    for (const { id } of job.assembly.holes) {
      const ruling = job.rulings.of(id).attributes.treatment;
      const { verdict } = answer(ready, "may-i", { act: "dimple", hole: id });
      const limits = job.rulings.of(id).limits.every((limit) => limit.verdict === "true");
      if (ruling?.status !== "settled") expect(verdict, id).not.toBe("yes");
      else if (limits) expect(verdict, id).toBe(ruling.value === "dimple" ? "yes" : "no");
    }
  });

  it("not while a hole has yet to be enlarged: that comes first, and to what size", () => {
    const told = answer(job, "may-i", { act: "dimple", hole: "RIB-3.top.8" });
    expect(told.verdict).toBe("no");
    expect(told.headline).toContain("enlarge");
  });

  it("enlarge: no where there is nothing to enlarge", () => {
    const told = answer(job, "may-i", { act: "enlarge", hole: "RIB-4.top.1" });
    expect(told.verdict).toBe("no");
    expect(told.headline).toContain("there is nothing to enlarge");
    expect(answer(job, "may-i", { act: "enlarge", hole: "RIB-3.top.8" }).verdict).toBe("yes");
  });

  it("a pin closes nothing: it may go in where a rivet may not yet", () => {
    expect(answer(job, "may-i", { act: "pin", row: "RIB-1.bottom" }).verdict).toBe("yes");
    expect(answer(job, "may-i", { act: "set", row: "RIB-1.bottom" }).verdict).toBe("no");
  });

  it("a yes to a dimple still says that the hole is enlarged first", () => {
    expect(rowOf(answer(job, "may-i", { act: "dimple", hole: "RIB-3.top.8" }), "RIB-3.top.8").what).toContain(
      "Enlarge it to 4.1 mm first",
    );
  });

  it("an act, a hole or a part that is missing is asked for", () => {
    expect(problemOf(job, "may-i", { part: "RIB-3" }).code).toBe("SLOT_MISSING");
    expect(problemOf(job, "may-i", { act: "set" }).code).toBe("SLOT_MISSING");
    expect(problemOf(job, "may-i", { act: "close", row: "RIB-3.top" }).code).toBe("SLOT_MISSING");
    expect(problemOf(job, "may-i", { act: "weld", part: "RIB-3" }).code).toBe("SLOT_INVALID");
    expect(problemOf(job, "may-i", { act: "pin", part: "RIB-3", side: "nowhere" }).code).toBe("SLOT_INVALID");
  });

  it("nothing to look at is no yes", () => {
    expect(problemOf(job, "may-i", { act: "set", row: "RIB-3.top", side: "bottom" }).message).toContain(
      "no holes",
    );
  });
});

describe("what stays open when a part closes, and what is not enlarged before its time", () => {
  const throughUnset = (on: Job, part: string) =>
    on.assembly.holes.filter(
      ({ id, layers }) => layers.some((layer) => layer.part === part) && on.work.holes.get(id) !== "set",
    );

  it("a closing that may be done names every held hole and every undecided one of the part", () => {
    let named = 0;
    for (const { id: part } of ready.assembly.parts) {
      const told = answer(ready, "may-i", { act: "close", part });
      const said = new Set(told.rows.flatMap(({ holes }) => holes));
      const open = throughUnset(ready, part).filter(({ id }) => {
        const { attributes, verdict } = ready.rulings.of(id);
        const held = attributes.hold?.status === "settled" && attributes.hold.value !== "none";
        return held || verdict !== "settled";
      });
      for (const { id } of open) expect(said.has(id), `${part}: ${id}`).toBe(true);
      if (told.verdict === "yes" && open.length > 0) {
        expect(told.headline).toMatch(/Leave (open|\d+ holes of it open)/);
        named++;
      }
    }
    expect(named).toBeGreaterThan(0);
  });

  it("a hole that is only enlarged and is held open is not enlarged on a plain yes; with its milestone reached it is", () => {
    const held = ready.assembly.holes.find(({ id }) => {
      const { attributes } = ready.rulings.of(id);
      return attributes.treatment?.value === "enlarge" && attributes.hold?.status === "settled";
    });
    if (!held) throw new Error("the demo has no held hole that is only enlarged");
    expect(answer(ready, "may-i", { act: "enlarge", hole: held.id }).verdict).toBe("undecided");
    const until = String(ready.rulings.of(held.id).attributes.hold?.value);
    const work = { ...ready.work, milestones: new Set([until]) };
    expect(answer({ ...ready, work }, "may-i", { act: "enlarge", hole: held.id }).verdict).toBe("yes");
  });
});
