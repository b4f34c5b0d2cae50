import { beforeAll, describe, expect, it } from "vitest";
import { saidSheet } from "../../../server/ask/step-sheet.js";
import type { Job } from "../../../server/ask/types.js";
import { sayLimits } from "../../../server/ask/wording/sizes.js";
import { mmOfInch } from "../../../server/fastener/input.js";
import { loadKit } from "../../../server/kit/load.js";
import type { Hole, Neighbour } from "../../../server/kit/types.js";
import { filesOf, smallKit } from "../../kit/small-kit.js";
import { edited, jobFromDisk, type TrialRule, trialRules } from "../../support/job.js";
import { answer, rowOf, textOf } from "./answer.js";

const HOLE = "RIB-3.top.3";
const rowOnly = [{ fact: "rowId", operator: "equal", value: "RIB-3.top" }];
const DRAWN: TrialRule["conditions"] = { all: rowOnly };

let tail: Job;
let door: Job;
beforeAll(async () => {
  tail = await jobFromDisk();
  door = await jobFromDisk({ kit: "vetch-six" });
});

/** The tailplane with a limit of its manual on rib 3's top row. */
function limited(params: Readonly<Record<string, unknown>>, conditions = DRAWN): Promise<Job> {
  return jobFromDisk({
    moreRules: [
      trialRules({
        id: "trial-limit",
        family: "limit",
        params,
        conditions,
        fires: HOLE,
        spares: "RIB-1.bottom.8",
      }),
    ],
  });
}

/** A job with something of one hole changed. */
function withHole(job: Job, id: string, more: (hole: Hole) => Partial<Hole>): Job {
  const holes = job.assembly.holes.map((hole) => (hole.id === id ? { ...hole, ...more(hole) } : hole));
  return { ...job, assembly: { ...job.assembly, holes } };
}

describe("limits that a kit puts on distances", () => {
  it("count for the nearest hole of any row too", async () => {
    expect(answer(tail, "edge", { hole: HOLE }).verdict).toBe("yes");
    for (const params of [
      { fact: "nearestRatio", min: 20 },
      { fact: "nearestMm", min: 64 },
    ]) {
      const told = answer(await limited(params), "edge", { hole: HOLE });
      expect(told.verdict).toBe("no");
      expect(textOf(told)).toMatch(/pitch .* 64 mm \(2\.520 in\) wanted \(20 D\).* short/);
    }
  });

  it("on the drawn head count for that head, and are no word on the other", async () => {
    const onDomed = { all: [...rowOnly, { fact: "drawnHead", operator: "equal", value: "protruding" }] };
    const job = await limited({ fact: "edgeRatio", min: 9 }, onDomed);
    expect(answer(job, "edge", { hole: HOLE }).verdict).toBe("no");
    expect(answer(job, "edge", { hole: HOLE, head: "flush" }).verdict).toBe("yes");
  });

  it("may be broken by a pitch that is too wide", async () => {
    const told = answer(await limited({ fact: "pitchMm", max: 20 }), "edge", { hole: HOLE });
    expect(told.verdict).toBe("no");
    expect(textOf(told)).toMatch(/at most 20 mm \(0\.787 in\) wanted: .* too wide/);
  });
});

describe("clearance over a travel that is known in part", () => {
  const near = (more: Partial<Neighbour>) => (): Partial<Hole> => ({
    neighbour: {
      id: "ELEVATOR-GAP-SEAL",
      name: "gap seal",
      gapMm: null,
      toleranceMm: 0.1,
      headMarginMm: 1,
      positions: [],
      ...more,
    },
  });
  const up = { name: "full up", gapMm: null };

  it("is a plain no where one known place does not clear: 2.2 less 0.1 less a head of 1.3 leaves 0.8 mm of 1 mm", () => {
    const positions = [up, { name: "full down", gapMm: 2.2 }];
    const told = answer(withHole(tail, HOLE, near({ positions })), "clearance", { hole: HOLE });
    expect(told.verdict).toBe("no");
    expect(told.headline).toMatch(/gap with full down 2\.2 mm .* leaves 0\.8 mm, margin wanted 1 mm/);
  });

  it("is never a yes by the known places alone, and the place to measure is named once", () => {
    const positions = [up, { name: "full down", gapMm: 9 }];
    const told = answer(withHole(tail, HOLE, near({ positions })), "clearance", { hole: HOLE });
    expect(told.verdict).toBe("undecided");
    expect(told.headline.match(/full up/g)).toHaveLength(1);
  });

  it.each(["flush", "protruding"])(
    "no head is said to clear while the tolerance is not known: %s",
    (head) => {
      const job = withHole(tail, HOLE, near({ gapMm: 9, toleranceMm: null }));
      expect(answer(job, "clearance", { hole: HOLE, head }).verdict).toBe("undecided");
      expect(
        answer(withHole(tail, HOLE, near({ gapMm: 9 })), "clearance", { hole: HOLE, head }).verdict,
      ).toBe("yes");
    },
  );
});

describe("the next size up for a hole that is too large", () => {
  const ask = (job: Job, drill?: string) =>
    answer(job, "repair", { hole: HOLE, damage: "oversize", ...(drill ? { drill } : {}) });

  it("does not serve where the kit has it in no length for the stack", () => {
    const [short, long] = [
      { minMm: 1, maxMm: 3 },
      { minMm: 5, maxMm: 6.5 },
    ].map((grip) => edited(tail, (rivet) => (rivet.diameterMm === 4 ? { ...rivet, grip } : rivet))) as [
      Job,
      Job,
    ];
    expect(ask(short).verdict).toBe("undecided");
    expect(textOf(ask(short))).toMatch(/its grip range holds the stack/);
    expect(ask(long).rows[0]?.verdict).toBe("no");
    expect(textOf(ask(long))).toMatch(/does not hold the stack of 1\.1 mm .* no other length/);
  });

  it("is the length of several that holds the stack", () => {
    const rivets = tail.kit.rivets.flatMap((rivet) =>
      rivet.diameterMm === 4 && rivet.head === "protruding"
        ? [
            { ...rivet, code: "LONG-40", grip: { minMm: 5, maxMm: 6.5 } },
            { ...rivet, code: "SHORT-40", grip: { minMm: 1, maxMm: 3 } },
          ]
        : [rivet],
    );
    const told = ask({ ...tail, kit: { ...tail.kit, rivets } });
    expect(told.rows[0]?.next).toBe("SHORT-40");
    expect(told.verdict).toBe("undecided");
  });

  it("does not serve where the hole is larger than a table prints for it: 4.0 mm takes 4.2 mm at the most (ISO 15977:2002, as quoted)", () => {
    const only = {
      ...tail,
      kit: { ...tail.kit, rivets: tail.kit.rivets.filter(({ diameterMm }) => diameterMm < 4) },
    };
    expect(ask(only, "4.15 mm").verdict).toBe("undecided");
    expect(ask(only, "4.3 mm").rows[0]?.verdict).toBe("no");
    expect(textOf(ask(only, "4.3 mm"))).toMatch(/larger already than the 4\.2 mm/);
  });
});

describe("sizes and order of work as they are told", () => {
  it("a drill that may not be taken is not named", () => {
    const job = edited(door, (rivet) =>
      rivet.code === "SC-5-6"
        ? { ...rivet, hole: { minMm: mmOfInch(0.1575), maxMm: mmOfInch(0.1576) } }
        : rivet,
    );
    const told = rowOf(
      answer(job, "tools", { row: "CORNER-DOUBLER.aft", tool: "drill" }),
      "CORNER-DOUBLER.aft.1",
    );
    expect(told.what).toMatch(/no standard drill lies within the limits/);
    expect(told.what).not.toMatch(/No\. \d/);
  });

  it("a limit in inches is not rounded past what it is: 0.1406 in stays 0.1406 in", () => {
    const limits = { minMm: mmOfInch(0.0781), maxMm: mmOfInch(0.1406) };
    expect(sayLimits(limits, "inch")).toBe("0.0781 to 0.1406 in (1.98 to 3.57 mm)");
    expect(sayLimits({ minMm: 3.3, maxMm: 3.4 }, "mm")).toBe("3.3 to 3.4 mm (0.130 to 0.134 in)");
  });

  it("holes are enlarged before they are deburred, and formed before paint, where a kit lists no gate for it", () => {
    const ids = loadKit(filesOf(smallKit())).prepGates.map(({ id }) => id);
    expect(ids).toEqual(["enlarge", "deburr", "dimple", "countersink", "prime"]);
  });
});

describe("what is told beside a treatment and a count", () => {
  const thick = (job: Job): Job =>
    withHole(job, "RIB-3.top.8", (hole) => ({
      layers: hole.layers.map((layer, i) => (i === 0 ? layer : { ...layer, thicknessMm: 2.5 })),
      gripMm: 3,
    }));

  it("a thick layer under a dimpled sheet may take the dimple in a countersink (NAVEDTRA 14018): it is named, and nothing is allowed by it", () => {
    expect(tail.rulings.of("RIB-3.top.8").attributes.treatment?.value).toBe("dimple");
    const text =
      /rib 3 at 2\.5 mm is above the handbook's limit for a cold dimple: ask the kit maker first \(the handbook has dimpled sheets sit in a countersink/i;
    expect(textOf(answer(thick(tail), "tools", { hole: "RIB-3.top.8" }))).toMatch(text);
    expect(textOf(answer(tail, "tools", { hole: "RIB-3.top.8" }))).not.toMatch(/cold dimple/);
    const told = (job: Job) =>
      saidSheet(job, null)
        .forming.map(({ what }) => what)
        .join("\n");
    expect(told(thick(tail))).toMatch(text);
    expect(told(tail)).not.toMatch(/cold dimple/);
  });

  it("the angle of dies is on the sheet; one from memory is said to be so there and among the warnings", () => {
    const sheet = saidSheet(tail, null);
    const dimples = sheet.forming.filter(({ act }) => act === "dimple");
    expect(dimples.length).toBeGreaterThan(0);
    for (const { what, angleDegrees } of dimples) {
      expect(angleDegrees).toBe(120);
      expect(what).toMatch(/Dies of 120° from memory, not verified: ask the kit maker/);
    }
    expect(sheet.warnings.join(" ")).toMatch(/from memory and not verified/);
    expect(saidSheet(door, null).forming.every(({ angleDegrees }) => angleDegrees === 100)).toBe(true);
  });

  it("a rivet that the stack is too thick for is not counted among those to fetch", () => {
    const job = edited(tail, (rivet) =>
      rivet.code === "PR-32-5" ? { ...rivet, grip: { minMm: 0.5, maxMm: 0.6 } } : rivet,
    );
    const [before, after] = [tail, job].map((one) => answer(one, "count", { row: "RIB-3.top" }));
    const bin = (told: typeof before) => told?.rows.find(({ rivet }) => rivet === "PR-32-5")?.count ?? 0;
    expect(bin(before)).toBe(6);
    expect(bin(after)).toBe(0);
    expect(after?.headline).toMatch(/6 more do not go in as ruled/);
    expect(after?.rows.reduce((sum, row) => sum + Number(row.count), 0)).toBe(after?.holes.length);
  });
});
