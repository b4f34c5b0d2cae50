import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import { planOf } from "../../../server/order/plan.js";
import { marksOf } from "../../support/any-bench.js";
import { allGatesDone, GAP_MEASURED, jobFromDisk, rowMarks, trialRules } from "../../support/job.js";
import { answer, rowOf, textOf } from "./answer.js";

let fresh: Job;
/** Prep is done, and the doublers and the web doubler are riveted. */
let begun: Job;
/** All that can be set for now is set. */
let doneForNow: Job;
/** The servo mount was riveted before what lies behind it. */
let walled: Job;
beforeAll(async () => {
  fresh = await jobFromDisk();
  const rows = (job: Job, ...ids: string[]) => ids.flatMap((row) => rowMarks(job, row, "set"));
  begun = await jobFromDisk({
    marks: [...allGatesDone(fresh), ...rows(fresh, "WEB-DOUBLER.upper", "WEB-DOUBLER.lower")],
  });
  doneForNow = await jobFromDisk({ marks: planOf(fresh).steps.flatMap(marksOf) });
  walled = await jobFromDisk({
    marks: [...allGatesDone(fresh), ...rows(fresh, "SERVO-MOUNT.outer", "SERVO-MOUNT.inner")],
  });
});

describe("the plan", () => {
  it("says how much there is to do, how often it is turned over, and what comes first", () => {
    const { headline, verdict } = answer(fresh, "plan", {});
    const plan = planOf(fresh);
    const rivets = plan.steps.reduce(
      (sum, step) => sum + (step.kind === "rivets" ? step.holes.length : 0),
      0,
    );
    expect(headline).toContain(`${plan.steps.length} steps from here`);
    expect(headline).toContain(`${rivets} rivets are set`);
    expect(headline).toContain("the assembly is turned over once");
    expect(headline).toMatch(/First get the .* ready/);
    expect(verdict).toBeUndefined();
  });

  it("has a numbered row for each step, in order, and rows for what stays open and off", () => {
    const { rows } = answer(fresh, "plan", {});
    const steps = rows.filter(({ step }) => step !== undefined);
    expect(steps.map(({ step }) => step)).toEqual(steps.map((_, i) => i + 1));
    expect(steps.every(({ where, step }) => where.startsWith(`${step}. `))).toBe(true);
    expect(rows.filter(({ kind }) => kind === "stays off").map(({ part }) => part)).toContain("ROOT-SKIN");
    const open = rows.filter(({ kind }) => kind === "stays open");
    expect(open.map(({ what }) => what).join(" ")).toContain("the root fairing is matched");
  });

  it("says who would wall a step's rivets in, and which rule puts them there", () => {
    const row = rowOf(answer(fresh, "plan", {}), "WEB-DOUBLER.upper.5", "rivets");
    expect(row.what).toContain("The trim-servo mount would wall holes 5 and 6 in later");
    expect(row.what).toContain("Before the trim-servo mount comes on, so says");
    expect(row.what).toContain("manual: Sedge Two build manual");
  });

  it("until a part is on, it ends with that part", () => {
    const { rows, headline } = answer(fresh, "plan", { part: "SERVO-MOUNT" });
    expect(rows.at(-1)).toMatchObject({ kind: "part", part: "SERVO-MOUNT" });
    expect(headline).toContain("until the trim-servo mount is on");
    expect(answer(fresh, "plan", { part: "ROOT-SKIN" }).headline).toContain(
      "The root skin stays off for now",
    );
    expect(answer(begun, "plan", { part: "WEB-DOUBLER" }).headline).toContain("is closed already");
  });

  it("names order rules as evidence, with the holes they hold for", () => {
    const { trace, sources } = answer(fresh, "plan", {});
    const orders = trace.filter(({ kind }) => kind === "order");
    expect(orders.length).toBeGreaterThan(0);
    expect(sources.some(({ rank }) => rank === "manual")).toBe(true);
  });

  it("when all is done for now it says so and what stays open", () => {
    const { headline, rows } = answer(doneForNow, "plan", {});
    expect(headline).toMatch(/^Nothing is left to do for now\. \d+ holes stay open/);
    expect(rows.every(({ kind }) => kind === "stays open" || kind === "stays off")).toBe(true);
  });

  it("walled-in rivets are named, and the way back is offered", () => {
    const told = answer(walled, "plan", {});
    expect(told.headline).toContain("5 of them walled in");
    expect(told.followUps.map(({ form }) => form)).toContain("rework");
  });

  it("where no order exists it says no, names the rivets and the circle, and tells no step", async () => {
    const first = (id: string, row: string, part: string) => ({
      id,
      family: "order" as const,
      params: { before: part, strength: "must" },
      conditions: { all: [{ fact: "rowId", operator: "equal", value: row }] },
      fires: `${row}.2`,
      spares: "RIB-2.front.1",
    });
    const rules = trialRules(
      first("ribs-first", "RIB-5.bottom", "NOSE-SKIN"),
      first("nose-first", "FRONT-SPAR.nose-bottom", "BOTTOM-SKIN"),
    );
    const job = await jobFromDisk({ moreRules: [rules] });
    const told = answer(job, "plan", {});
    // Nobody asked for a yes or a no.
    expect(told.verdict).toBeUndefined();
    expect(told.headline).toContain("There is no order in which everything can be built from here");
    expect(told.headline).toContain("Order rules alone make the circle");
    expect(told.headline).toContain("“ribs-first”");
    expect(told.headline).toContain("“nose-first”");
    expect(told.rows.every(({ kind }) => kind === "no order" || String(kind).startsWith("stays"))).toBe(true);
    const next = answer(job, "next", {});
    expect(next.verdict).toBeUndefined();
    expect(next.headline).toContain("no next step is told");
  });
});

describe("what comes next", () => {
  it("is the plan's first step, with what could be begun instead", () => {
    const { rows, headline } = answer(begun, "next", {});
    expect(headline).toMatch(/^Next: /);
    expect(rows[0]?.kind).toBe("next");
    expect(rows.slice(1).every(({ kind }) => kind === "or instead")).toBe(true);
  });

  it("a skin whose holes may yet have to be dimpled stays off, and what has to be found out is said", () => {
    const { rows } = answer(fresh, "plan", {});
    const off = rows.find(({ where, kind }) => kind === "stays off" && where === "top skin");
    expect(off?.what).toMatch(
      /^Stays off for now: whether rear spar, top flange row, holes 28 and 29 .* dimpled is not decided/,
    );
    expect(rows.some(({ where }) => /^\d+\. top skin$/.test(where))).toBe(false);
  });

  it("says that later steps may change where a rule looks at what has been done", async () => {
    const moving = trialRules({
      id: "trial-once-pinned",
      family: "hold",
      params: { hold: "none" },
      conditions: {
        all: [
          { fact: "rowId", operator: "equal", value: "RIB-1.bottom" },
          { fact: "state", operator: "equal", value: "pinned" },
        ],
      },
      fires: "RIB-1.bottom.1",
      spares: "RIB-2.top.1",
    });
    const said = (job: Job): string => answer(job, "plan", {}).cautions.join(" ");
    expect(said(await jobFromDisk({ moreRules: [moving] }))).toContain(
      "later steps are planned by what they say today",
    );
    expect(said(fresh)).not.toContain("planned by what they say today");
  });

  it("a step that gets a part ready carries the cautions of what is done to its holes", () => {
    const { headline, cautions } = answer(fresh, "next", {});
    expect(headline).toContain("holes dimpled");
    expect(cautions.join(" ")).toContain("Dimple a scrap of the same sheet first");
  });

  it("on a part, says how much comes before it", async () => {
    const measured = await jobFromDisk({ moreRules: [GAP_MEASURED], marks: allGatesDone(fresh) });
    expect(answer(measured, "next", { part: "TOP-SKIN" }).headline).toMatch(
      /^Next on the top skin: put the top skin on\. The plan has \d+ steps before it/,
    );
    expect(answer(begun, "next", { part: "ROOT-SKIN" }).headline).toContain(
      "Nothing is left to do on the root skin for now",
    );
  });

  it("where something is walled in, the way back is offered before anything else", () => {
    const { followUps, headline } = answer(walled, "next", {});
    expect(headline).toMatch(/^5 rivets are walled in: ask for the way back first/);
    expect(followUps[0]?.form).toBe("rework");
  });

  it("what could be begun instead waits for nothing: may-I says yes to its rivets", () => {
    const { rows } = answer(begun, "next", {});
    const instead = rows.filter(({ kind, act }) => kind === "or instead" && act === "rivets");
    for (const { holes } of instead) {
      expect(answer(begun, "may-i", { act: "set", holes }).verdict).toBe("yes");
    }
    expect(rows.length).toBeGreaterThan(1);
  });

  it("is nothing once all is done for now, and says what stays open", () => {
    const { headline, rows } = answer(doneForNow, "next", {});
    expect(headline).toMatch(/^Nothing is left to do for now\. \d+ holes stay open/);
    expect(rows.length).toBeGreaterThan(0);
  });
});

describe("turning over", () => {
  it("says how often, which side is up first, and after which step", () => {
    const { headline, rows } = answer(fresh, "turn-over", {});
    expect(headline).toContain("Turn it over once; fewer will not do");
    expect(headline).toMatch(/with the side seen from (above|below) up/);
    expect(rows).toHaveLength(2);
    expect(rows.map(({ side }) => side).sort()).toEqual(["over", "up"]);
    const told = rows.flatMap(({ holes }) => holes);
    expect(new Set(told).size).toBe(told.length);
    expect(told.length).toBe(
      planOf(fresh).steps.reduce((sum, step) => sum + (step.kind === "rivets" ? step.holes.length : 0), 0),
    );
  });

  it("is not needed when nothing is left to do", () => {
    expect(answer(doneForNow, "turn-over", {}).headline).toContain("nothing needs turning over");
  });
});

describe("progress", () => {
  it("counts what is set, pinned and left, of the whole and of a part", () => {
    expect(answer(fresh, "progress", {}).headline).toMatch(/^Tailplane: none of \d+ rivets are set/);
    expect(answer(begun, "progress", {}).headline).toMatch(/^Tailplane: 12 of \d+ rivets are set/);
    const rib = answer(begun, "progress", { part: "WEB-DOUBLER" });
    expect(rib.headline).toBe(
      "The rib 3 web doubler: 12 of 12 rivets are set. Not marked as reached: the hinges are lined up, the twist is checked on the fuselage and the root fairing is matched.",
    );
    expect(rowOf({ ...rib, rows: answer(begun, "progress", {}).rows }, "SERVO-MOUNT.outer.1")).toMatchObject({
      kind: "not begun",
    });
  });

  it("rows and counts agree with the marks", () => {
    const { rows } = answer(begun, "progress", {});
    const begunRows = rows.filter(({ kind }) => kind === "row");
    expect(begunRows.map(({ set, all }) => [set, all])).toEqual([
      [6, 6],
      [6, 6],
    ]);
    expect(rows.find(({ kind }) => kind === "prep")?.what).toMatch(
      /^(\d+) of \1 gates are marked as done\.$/,
    );
  });

  it("names what is walled in and offers the way back", () => {
    const told = answer(walled, "progress", {});
    expect(textOf(told)).toContain("Walled in: only drilling out what closed it off brings it back.");
    expect(told.followUps.map(({ form }) => form)).toContain("rework");
  });
});
