import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../server/ask/types.js";
import { finder } from "../../server/kit/find.js";
import { closedParts, type Mark, withMarks } from "../../server/kit/work.js";
import { maySet } from "../../server/order/may-set.js";
import { planOf } from "../../server/order/plan.js";
import { drillMarks, type Rework, reworkFrom, reworkQuestion } from "../../server/order/rework.js";
import { removalOf } from "../../server/order/rework-cost.js";
import { mostDrilled } from "../../server/order/rework-feasible.js";
import { programOf } from "../../server/order/rework-program.js";
import { drawsDrillRoom, drillWays } from "../../server/order/rework-scope.js";
import { reachAt, stackOf } from "../../server/order/standing.js";
import type { Standing } from "../../server/order/types.js";
import { anyBench, marksOf, shuffled, standing } from "../support/any-bench.js";
import { approach, assembly, hole, kit, part, room } from "../support/by-hand.js";
import type { HoleInWords } from "../support/in-words.js";
import { GAP_MEASURED, jobFromDisk } from "../support/job.js";

/** The way back as it is found without the solver; for a cover or two that is the best one. */
const wayBack = (here: Standing): Rework => reworkFrom(reworkQuestion(here), null);

const openly: HoleInWords = { through: ["mount", "spar"], approaches: { outside: [] }, state: "set" };

describe("the way back when something was closed too early", () => {
  it("the rivets of the part that lies over the missing one come out, and go in again after it", () => {
    const here = standing({
      holes: {
        "rib.a.1": { through: ["rib", "spar"], approaches: { straight: ["mount"] } },
        "mount.foot.1": openly,
        "mount.foot.2": openly,
        "skin.edge.1": { through: ["skin", "spar"], approaches: { straight: [] }, state: "set" },
      },
    });
    const back = wayBack(here);
    expect(back).toMatchObject({ status: "found", missing: ["rib.a.1"], weight: 2, opens: ["mount"] });
    expect([...back.drill].sort()).toEqual(["mount.foot.1", "mount.foot.2"]);
    const order = back.afterwards?.steps.flatMap((step) => (step.kind === "rivets" ? step.holes : []));
    expect(order).toEqual(["rib.a.1", "mount.foot.1", "mount.foot.2"]);
  });

  it("needs nothing when nothing is walled in", () => {
    const here = standing({ holes: { "rib.a.1": { through: ["rib"], approaches: { straight: [] } } } });
    expect(wayBack(here)).toMatchObject({ status: "none needed", drill: [] });
  });

  it("a rivet whose head lies behind another closed part is drilled after that part is off", () => {
    const here = standing({
      holes: {
        "rib.a.1": { through: ["rib"], approaches: { straight: ["mount"] } },
        "mount.foot.1": { through: ["mount"], approaches: { straight: ["cover"] }, state: "set" },
        "cover.rim.1": { through: ["cover"], approaches: { straight: [] }, state: "set" },
      },
    });
    expect(wayBack(here).steps).toEqual([
      { kind: "drill", row: "cover.rim", holes: ["cover.rim.1"], opens: ["cover"] },
      { kind: "drill", row: "mount.foot", holes: ["mount.foot.1"], opens: ["mount"] },
    ]);
  });

  it("a missing rivet that its own stack blocks is not got back by drilling", () => {
    const here = standing({
      holes: {
        "rib.a.1": { through: ["rib"], approaches: { straight: ["rib"] } },
        "rib.a.2": { through: ["rib"], approaches: { straight: ["mount"] } },
        "mount.foot.1": openly,
      },
    });
    expect(wayBack(here)).toMatchObject({ status: "found", missing: ["rib.a.2"], drill: ["mount.foot.1"] });
  });

  it("says what can't be had back, and finds the way for the rest", () => {
    const here = standing({
      holes: {
        "rib.a.1": { through: ["rib"], approaches: { straight: ["cover"] } },
        "rib.a.2": { through: ["rib"], approaches: { straight: ["mount"] } },
        "mount.foot.1": openly,
        // Its treatment isn't settled: once out, nobody could say what goes back in.
        "cover.rim.1": {
          through: ["cover"],
          approaches: { straight: [] },
          state: "set",
          ruling: { open: { treatment: "undecided" } },
        },
      },
    });
    const back = wayBack(here);
    expect(back).toMatchObject({ status: "found", beyond: ["rib.a.1"], missing: ["rib.a.2"] });
    expect(back.drill).toEqual(["mount.foot.1"]);
  });

  it("two rivets that wall each other in are no matter of drilling: no way for both, and the two are named", () => {
    const here = standing({
      holes: {
        "rib.a.1": { through: ["rib"], approaches: { straight: ["cover", "mount"] } },
        "cover.a.1": { through: ["cover"], approaches: { straight: ["rib"] } },
        "mount.foot.1": openly,
      },
    });
    const back = wayBack(here);
    expect(back.status).toBe("no way");
    expect(back.together?.core).toEqual(["cover.a.1", "rib.a.1"]);
  });

  it("a rivet set in a hole that is held by now is only drilled when it could be set last of all", () => {
    const bench = (lastWay: string[]): Standing =>
      standing({
        holes: {
          "rib.a.1": { through: ["rib"], approaches: { straight: ["mount"] } },
          "mount.foot.1": {
            ...openly,
            approaches: { straight: lastWay },
            ruling: { settled: { hold: "aligned" } },
          },
          "skin.edge.1": { through: ["skin"], approaches: { straight: ["mount"] } },
        },
      });
    expect(wayBack(bench([])).drill).toEqual(["mount.foot.1"]);
    expect(wayBack(bench([])).afterwards?.leftOpen).toMatchObject([{ hole: "mount.foot.1", code: "held" }]);
    const hidden = wayBack(bench(["skin"]));
    expect(hidden.status).toBe("no way");
    expect(hidden.beyond).toEqual(["rib.a.1", "skin.edge.1"]);
    expect(hidden.stays).toMatchObject([{ hole: "mount.foot.1", code: "held-and-hidden" }]);
  });

  it("what is held or not settled is not missing", () => {
    const here = standing({
      holes: {
        "rib.a.1": {
          through: ["rib"],
          approaches: { straight: ["mount"] },
          ruling: { settled: { hold: "aligned" } },
        },
        "rib.a.2": {
          through: ["rib"],
          approaches: { straight: ["mount"] },
          ruling: { open: { treatment: "undecided" } },
        },
        "mount.foot.1": openly,
      },
    });
    expect(wayBack(here).status).toBe("none needed");
  });

  it("rivets that weigh more are spared where there is another way", () => {
    const here = standing({
      holes: {
        "rib.a.1": { through: ["rib"], approaches: { straight: ["mount"], behind: ["skin"] } },
        "mount.foot.1": openly,
        "skin.edge.1": { through: ["skin"], approaches: { straight: [] }, state: "set" },
      },
    });
    const heavy = (part: string): Rework =>
      reworkFrom(reworkQuestion(here, { weightOf: ({ id }) => (id.startsWith(part) ? 5 : 1) }), null);
    expect(heavy("mount").drill).toEqual(["skin.edge.1"]);
    expect(heavy("skin").drill).toEqual(["mount.foot.1"]);
  });
});

describe("a dimple that was forgotten before its part closed", () => {
  const dimpled = { settled: { treatment: "dimple", finalDiameterMm: 3.2 } };
  const bench = (dimples: readonly string[], lid: HoleInWords["ruling"] = {}): Standing =>
    standing({
      holes: {
        "skin.edge.1": { through: ["skin", "rib"], approaches: { straight: [] }, ruling: dimpled },
        "skin.edge.2": { through: ["skin", "rib"], approaches: { straight: [] }, state: "set" },
        "rib.foot.1": {
          through: ["rib", "spar"],
          approaches: { straight: ["skin"] },
          state: "set",
          ruling: lid,
        },
        "rib.foot.2": {
          through: ["rib", "spar"],
          approaches: { straight: ["skin"] },
          state: "set",
          ruling: lid,
        },
      },
      marks: dimples.map((part) => ({ kind: "prep", part, gate: "dimple", done: true })),
    });
  const wayBackTo = (here: Standing): Rework => reworkFrom(reworkQuestion(here, { skipped: true }), null);

  it("brings off only the part that was not dimpled", () => {
    const skin = wayBackTo(bench(["rib"]));
    expect(skin).toMatchObject({
      status: "found",
      missing: ["skin.edge.1"],
      drill: ["skin.edge.2"],
      opens: ["skin"],
    });
    expect(skin.forgotten).toMatchObject([{ part: "skin", gate: "dimple", holes: ["skin.edge.1"] }]);
    const rib = wayBackTo(bench(["skin"]));
    expect(new Set(rib.drill)).toEqual(new Set(["skin.edge.2", "rib.foot.1", "rib.foot.2"]));
    expect(rib.opens).toEqual(["skin", "rib", "spar"]);
  });

  it("has the part dimpled before it comes on again", () => {
    const steps = wayBackTo(bench(["rib"])).afterwards?.steps ?? [];
    expect(steps.map(({ kind }) => kind)).toEqual(["prep", "part", "rivets"]);
    expect(steps[0]).toMatchObject({ part: "skin", gates: [expect.objectContaining({ gate: "dimple" })] });
  });

  it("is not taken for granted: what is not marked may be done all the same", () => {
    expect(wayBack(bench(["rib"]))).toMatchObject({ status: "none needed", drill: [], forgotten: [] });
  });

  it("cannot be made up for when the part cannot come off", () => {
    const back = wayBackTo(bench(["skin"], { open: { treatment: "undecided" } }));
    expect(back).toMatchObject({ status: "no way", beyond: ["skin.edge.1"], drill: [] });
  });
});

describe("getting a drill at a rivet's head", () => {
  const straight = approach("straight", [room("head", 6, 170), room("tail", 2, 9)]);
  const turned = approach("turned", [room("tail", 6, 95), room("head", 2, 9)]);
  const at = (id: string, blockers: readonly (readonly [string, "head" | "tail" | null])[]) => ({
    approach: id,
    blockedBy: blockers.map(([part, side]) => ({
      part,
      kind: side ? ("geometry" as const) : ("stated" as const),
      room: side,
      side,
      why: null,
    })),
    ownStack: [],
  });
  const bench = kit([straight, turned], []);
  const one = hole("rib.a.1", ["skin", "rib"]);

  it("needs the head's side free and not the tail's", () => {
    expect(
      drillWays(bench, one, [
        at("straight", [
          ["cover", "head"],
          ["box", "tail"],
        ]),
      ]),
    ).toEqual([["cover"]]);
  });

  it("a blocking fact stated by hand counts on both sides", () => {
    expect(drillWays(bench, one, [at("straight", [["cover", null]])])).toEqual([["cover"]]);
  });

  it("the room that a tail needs is no room for a drill: a puller from the other side tells nothing", () => {
    const ways = [at("straight", [["cover", "head"]]), at("turned", [["box", "tail"]])];
    expect(drillWays(bench, one, ways)).toEqual([["cover"]]);
  });

  it("a room drawn for the drill counts in place of the tool's, also where it is narrower or wider", () => {
    const drill = [room("head", 2, 60)];
    const bitted = kit([approach("straight", straight.rooms, 0, drill), turned], []);
    const told = (blockedBy: readonly string[], ownStack: readonly string[] = []) => {
      const blockers = (parts: readonly string[]) =>
        parts.map((part) => ({
          part,
          kind: "geometry" as const,
          room: "drill",
          side: "head" as const,
          why: null,
        }));
      const reached = {
        ...at("straight", [["cover", "head"]]),
        drill: { blockedBy: blockers(blockedBy), ownStack: blockers(ownStack) },
      };
      return drillWays(bitted, one, [reached, at("turned", [])]);
    };
    expect(told([])).toEqual([[]]);
    expect(told(["box", "cover"])).toEqual([["box", "cover"]]);
    expect(told([], ["rib"])).toEqual([]);
    expect(
      drawsDrillRoom(bitted, one, [{ ...at("straight", []), drill: { blockedBy: [], ownStack: [] } }]),
    ).toBe(true);
    expect(drawsDrillRoom(bench, one, [at("straight", [])])).toBe(false);
  });

  it("a rivet that can only be pulled from the other side has its head there", () => {
    expect(
      drillWays(bench, one, [
        at("turned", [
          ["box", "tail"],
          ["cover", "head"],
        ]),
      ]),
    ).toEqual([["box"]]);
  });
});

/** Laws of any way back, after any history of marks. */
describe("a way back, whatever was marked before", () => {
  const benches = anyBench({ setShare: 5, holes: 12 });

  it("drills each rivet while its head can be reached, and opens what it says", () => {
    let found = 0;
    fc.assert(
      fc.property(benches, (bench) => {
        const here = standing(bench);
        const back = wayBack(here);
        let work = here.work;
        const opened: string[] = [];
        for (const id of back.drill) {
          const one = finder(here.assembly).hole(id);
          const closed = closedParts(here.assembly, work);
          const ways = drillWays(here.kit, one, reachAt(here.reach, one).approaches);
          expect(
            ways.some((way) => !way.some((part) => closed.has(part))),
            `${id} can be drilled`,
          ).toBe(true);
          work = withMarks(work, drillMarks([id]));
          const after = closedParts(here.assembly, work);
          opened.push(...stackOf(one).filter((part) => closed.has(part) && !after.has(part)));
        }
        expect(opened).toEqual(back.opens);
        if (back.drill.length > 0) found += 1;
      }),
      { numRuns: 400 },
    );
    expect(found).toBeGreaterThan(5);
  });

  it("leads to an order in which every missing rivet and every drilled one is set, each within reach", () => {
    fc.assert(
      fc.property(benches, (bench) => {
        const here = standing(bench);
        const back = wayBack(here);
        fc.pre(back.status === "found");
        const held = back.afterwards?.leftOpen.flatMap(({ hole: id, code }) => (code === "held" ? [id] : []));
        let there: Standing = { ...here, work: withMarks(here.work, drillMarks(back.drill)) };
        const set: string[] = [];
        for (const step of back.afterwards?.steps ?? []) {
          if (step.kind === "rivets") {
            for (const id of step.holes) {
              const walled = maySet(there, id).reasons.filter(({ code }) => code === "walled-in");
              expect(walled, id).toEqual([]);
              const mark: Mark = { kind: "hole", hole: id, state: "set" };
              there = { ...there, work: withMarks(there.work, [mark]) };
              set.push(id);
            }
          } else there = { ...there, work: withMarks(there.work, marksOf(step)) };
        }
        for (const id of [...back.missing, ...back.drill]) {
          if (!held?.includes(id)) expect(set, id).toContain(id);
        }
        // Nothing that could be set before was lost on the way.
        const lost = (plan: ReturnType<typeof planOf>): string[] =>
          plan.leftOpen.flatMap((open) => (open.code === "walled-in" ? [open.hole] : []));
        const before = new Set(lost(planOf(here)));
        for (const id of lost(planOf(there))) expect(before.has(id), id).toBe(true);
      }),
      { numRuns: 400 },
    );
  });

  it("drills nothing when nothing is missing, and the plan misses nothing when no way back is needed", () => {
    fc.assert(
      fc.property(benches, (bench) => {
        const here = standing(bench);
        const back = wayBack(here);
        if (back.missing.length === 0) expect(back.drill).toEqual([]);
        if (back.status === "none needed") expect(planOf(here).status).not.toBe("impossible");
      }),
      { numRuns: 200 },
    );
  });

  it("brings every part off whose gate was forgotten, and prepares it before it comes on again", () => {
    let brought = 0;
    fc.assert(
      fc.property(benches, (bench) => {
        const here = standing(bench);
        const back = reworkFrom(reworkQuestion(here, { skipped: true }), null);
        fc.pre(back.status === "found");
        const missing = new Set(back.missing);
        for (const { part, gate, holes } of back.forgotten) {
          if (!holes.some((id) => missing.has(id))) continue;
          brought += 1;
          expect(back.opens).toContain(part);
          const steps = back.afterwards?.steps ?? [];
          const at = (kind: "prep" | "part"): number =>
            steps.findIndex((step) => step.kind === kind && step.part === part);
          const prep = steps[at("prep")];
          expect(prep?.kind === "prep" && prep.gates.map((one) => one.gate)).toContain(gate);
          expect(at("prep")).toBeLessThan(at("part"));
        }
      }),
      { numRuns: 400 },
    );
    expect(brought).toBeGreaterThan(5);
  });

  it("asks the same however the kit's lists are shuffled", () => {
    fc.assert(
      fc.property(benches, fc.integer(), (bench, seed) => {
        const here = standing(bench);
        const [one, other] = [reworkQuestion(here), reworkQuestion(shuffled(here, seed))];
        expect(other.program?.text).toBe(one.program?.text);
        expect(new Set(other.beyond)).toEqual(new Set(one.beyond));
        expect(new Set(reworkFrom(other, null).drill)).toEqual(new Set(reworkFrom(one, null).drill));
      }),
      { numRuns: 200 },
    );
  });
});

describe("a drilled hole that grows", () => {
  /** Holes 14 mm apart: 4.4 diameters of the 3.2 mm rivet, and 3.5 of the next size. */
  const rowAt = (id: string, sideMm: number) =>
    [0, 1, 2].map((i) =>
      hole(`UPPER.${id}.${i + 1}`, ["UPPER", "LOWER"], {
        at: [14 * i, sideMm, 0],
        pitchMm: 14,
        nearestMm: 14,
      }),
    );
  const grown = (...rows: readonly (readonly ReturnType<typeof hole>[])[]) => {
    const drawn = assembly([part("UPPER"), part("LOWER")], rows.flat());
    const ruled = standing({ holes: { "UPPER.a.2": openly } });
    return removalOf({ ...ruled, kit: kit([], [drawn]), assembly: drawn }, "UPPER.a.2").ifItGrows;
  };

  it("takes the next size where its row is alone: three diameters do there (AC 43.13-1B par. 4-57c)", () => {
    expect(grown(rowAt("a", 0))).toMatchObject({ verdict: "next size", alongShortMm: null });
  });

  it("takes no larger rivet beside another row, which wants four diameters along each (TM 9-2320-303-24-2)", () => {
    const beside = grown(rowAt("a", 0), rowAt("b", 15));
    expect(beside?.verdict).toBe("refused");
    expect(beside?.alongShortMm).toBeCloseTo(4 * (3.2 + 25.4 / 32) - 14, 6);
    expect(beside?.apartShortMm).toBeNull();
    expect(beside?.sources.map(({ id }) => id)).toContain("layout-double-row-min");
  });

  it("takes no larger rivet where the row beside it is nearer than two and a half diameters (TM 10-5410-229-13&P par. 5-6)", () => {
    const near = grown(rowAt("a", 0), rowAt("b", 9));
    expect(near?.verdict).toBe("refused");
    expect(near?.apartShortMm).toBeCloseTo(2.5 * (3.2 + 25.4 / 32) - 9, 6);
  });
});

describe("the way back on the tailplane", () => {
  let job: Job;
  beforeAll(async () => {
    job = await jobFromDisk();
  });

  it("a mount that was riveted before the rib behind it comes off by its own rivets", async () => {
    const feet = job.assembly.holes.filter(({ rowId }) => rowId.startsWith("SERVO-MOUNT."));
    const marks = feet.map(({ id }): Mark => ({ kind: "hole", hole: id, state: "set" }));
    const back = wayBack(await jobFromDisk({ marks }));
    expect([...back.drill].sort()).toEqual(feet.map(({ id }) => id).sort());
    expect(back.opens).toContain("SERVO-MOUNT");
    const [first] = back.removals;
    expect(first).toMatchObject({ drill: "same as the hole", sizeMm: 3.3, standard: { mm: 3.3 } });
    expect(first?.ifItGrows?.verdict).toBe("next size");
  });

  it("is asked of the solver in terms of few groups of rivets, whatever their number", async () => {
    const measured = { moreRules: [GAP_MEASURED] };
    const plan = planOf(await jobFromDisk(measured));
    const marks = plan.steps
      .flatMap((step) => (step.kind === "rivets" ? step.holes : []))
      .filter((id) => !id.startsWith("SERVO-TRAY."))
      .map((id): Mark => ({ kind: "hole", hole: id, state: "set" }));
    const { puzzle } = reworkQuestion(await jobFromDisk({ ...measured, marks }));
    const { text } = programOf(puzzle, mostDrilled(puzzle).drill);
    expect(puzzle.set.length).toBeGreaterThan(80);
    expect(text.match(/^set\(/gm)?.length).toBeLessThan(10);
  });
});
