import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import type { FormAnswer, Job, Slots } from "../../../server/ask/types.js";
import type { Hole, Rivet } from "../../../server/kit/types.js";
import { Problem } from "../../../server/problem.js";
import { crowdedDoubler, edited, jobFromDisk, redrawnHoles, rowMarks } from "../../support/job.js";
import { answer, problemOf, rowOf, textOf } from "./answer.js";

/** Least edge, rivet diameters: AC 43.13-1B par. 4-57c; flush 2.5 from AL0992, Rivet Spacing and Edge Distance. */
const LEAST_EDGE = { protruding: 2, flush: 2.5 } as const;
/** Least pitch in one row, rivet diameters: AC 43.13-1B par. 4-57c. */
const LEAST_PITCH = 3;

let tail: Job;
let door: Job;
let jobs: readonly Job[];
beforeAll(async () => {
  tail = await jobFromDisk();
  door = await jobFromDisk({ kit: "vetch-six" });
  jobs = [tail, door];
});

/** What the rules settle at a hole, read from the rulings alone. */
function ruled(job: Job, hole: string, attribute: string): unknown {
  const found = job.rulings.of(hole).attributes[attribute];
  return found?.status === "settled" ? found.value : null;
}

function rivetAt(job: Job, hole: string): Rivet | null {
  const code = ruled(job, hole, "rivet");
  return job.kit.rivets.find((rivet) => rivet.code === code) ?? null;
}

/** Every hole of both demo kits with the row of an answer that speaks of it. */
function everyRow(
  form: string,
  slots: Slots,
  law: (job: Job, hole: Hole, row: FormAnswer["rows"][number]) => void,
): void {
  for (const job of jobs) {
    const told = answer(job, form, slots);
    for (const hole of job.assembly.holes) law(job, hole, rowOf(told, hole.id));
  }
}

describe("which rivet goes in", () => {
  it("is the ruled one at every hole, never the drawn one where a rule says otherwise", () => {
    let departs = 0;
    everyRow("fastener", {}, (job, hole, row) => {
      expect(row.rivet, hole.id).toBe(rivetAt(job, hole.id)?.code ?? null);
      if (row.rivet !== null && row.rivet !== hole.rivet.code) departs++;
    });
    expect(departs).toBeGreaterThan(50);
  });

  it("holds the stack only where its grip range does, and dimples leave that open", () => {
    const seen = new Set<unknown>();
    everyRow("fastener", {}, (job, hole, row) => {
      const rivet = rivetAt(job, hole.id);
      if (!rivet) return;
      const stackMm = hole.layers.reduce((sum, layer) => sum + layer.thicknessMm, 0);
      seen.add(row.fit);
      expect(row.gripMm).toBeCloseTo(stackMm, 9);
      if (row.fit !== "fits") return;
      expect(rivet.grip).not.toBeNull();
      expect(ruled(job, hole.id, "treatment")).not.toBe("dimple");
      expect(stackMm).toBeGreaterThanOrEqual((rivet.grip?.minMm ?? Number.NaN) - 1e-6);
      expect(stackMm).toBeLessThanOrEqual((rivet.grip?.maxMm ?? Number.NaN) + 1e-6);
    });
    expect([...seen].sort()).toEqual(["fits", "not known"]);
  });

  it("a solid rivet for a stack of 0.065 in is 5/16 in long: stack and one and a half diameters, next 1/16 in up (NAVEDTRA 14018)", () => {
    expect(textOf(answer(door, "fastener", { row: "FRAME-FWD.inner" }))).toContain("5/16 in (7.94 mm) long");
  });

  it("is undecided where the gap that its head needs is not known, and says so", () => {
    const told = answer(tail, "fastener", { hole: "RIB-7.top.8" });
    expect(told.verdict).toBe("undecided");
    expect(told.headline).toMatch(/gap to the elevator's gap seal is not known/);
  });

  it("a rivet that goes into most of a row is no plain “not that one”", () => {
    const told = answer(tail, "fastener", { rivet: "CR-40-6", row: "REAR-SPAR.top" });
    const codes = told.rows.flatMap(({ holes, rivet }) => holes.map(() => rivet));
    const own = codes.filter((code) => code === "CR-40-6").length;
    expect(own).toBeGreaterThan(codes.length / 2);
    expect(told.verdict).toBe("no");
    expect(told.headline).toMatch(
      new RegExp(
        `^Not everywhere: CR-40-6 is ruled at ${own} of the ${codes.length} holes\\. At 2 holes .* takes PR-32-6, not CR-40-6\\.`,
      ),
    );
    // The kit states no grip range for it: to be ruled is not to hold the stack.
    expect(told.headline).toContain("Whether CR-40-6 holds the stack is not known");
  });

  it("a rivet that is not the ruled one does not go in", () => {
    expect(answer(tail, "fastener", { rivet: "PR-40-8", row: "RIB-3.top" }).verdict).toBe("no");
    expect(answer(tail, "fastener", { rivet: "PR-32-6", row: "RIB-4.top" }).verdict).toBe("yes");
    expect(answer(tail, "fastener", { rivet: "PR-32-5", hole: "RIB-7.top.8" }).verdict).toBe("undecided");
  });

  it("a No. 30 hole is one for a 1/8 in rivet, not for a rivet that is called 30", () => {
    const told = answer(door, "fastener", { drill: "No. 30" });
    expect(told.headline).toMatch(/SU-4-5, SC-4-5 and SC-4-6/);
    expect(told.headline).toMatch(/1\/8 in solid/);
  });

  it("a rivet that the kit does not have is refused by name", () => {
    expect(problemOf(tail, "fastener", { rivet: "PR-99-9" }).message).toMatch(/PR-99-9/);
  });
});

describe("which drill, die and temporary fastener", () => {
  it("no drill is offered that would miss the rivet's finished hole", () => {
    let drilled = 0;
    everyRow("tools", {}, (job, hole, row) => {
      const rivet = rivetAt(job, hole.id);
      if (row.drill === null) return;
      drilled++;
      const told = answer(job, "tools", {
        hole: hole.id,
        drill: DRILLS[String(row.drill)] ?? String(row.drill),
      });
      expect(told.verdict, `${hole.id} ${String(row.drill)}`).toBe("yes");
      expect(rivet).not.toBeNull();
    });
    expect(drilled).toBeGreaterThan(80);
  });

  it("nothing is drilled where the hole is punched at its finished size", () => {
    const told = answer(tail, "tools", { hole: "RIB-3.top.1", drill: "No. 30" });
    expect(told.verdict).toBe("no");
    expect(rowOf(told, "RIB-3.top.1").drill).toBeNull();
  });

  it("holes are enlarged before they are dimpled or countersunk, in the order of the kit's gates", () => {
    let formed = 0;
    everyRow("tools", {}, (job, hole, row) => {
      const names = job.kit.prepGates.map(({ name }) => name);
      const gates = row.gates as readonly string[];
      expect(gates.map((name) => names.indexOf(name))).toEqual(
        [...gates.map((name) => names.indexOf(name))].sort((a, b) => a - b),
      );
      const name = (id: string): string => job.kit.prepGates.find((gate) => gate.id === id)?.name ?? id;
      const grows = row.drill !== null;
      expect(gates.includes(name("enlarge")), hole.id).toBe(grows);
      const treatment = ruled(job, hole.id, "treatment");
      if (treatment !== "dimple" && treatment !== "countersink") return;
      formed++;
      expect(gates).toContain(name(treatment));
      if (grows) expect(gates.indexOf(name("enlarge"))).toBeLessThan(gates.indexOf(name(treatment)));
    });
    expect(formed).toBeGreaterThan(100);
  });

  it("a 1/8 in rivet takes the drill No. 30, by the tables (wartime repair manual, par. 16)", () => {
    for (const job of jobs)
      expect(answer(job, "tools", { size: "1/8 in", tool: "drill" }).headline).toMatch(/No\. 30/);
  });

  it("a 1/8 in hole takes the 1/8 in drill: a rivet's size is not its drill's", () => {
    const told = answer(door, "tools", { drill: "1/8 in", tool: "drill" });
    expect(told.headline).toMatch(/1\/8 in \(3\.18 mm\)/);
    expect(told.headline).not.toMatch(/No\. 30/);
  });

  it.each(["9 mm", "1/2 in", "0.3 in"])("no tool is made up for a rivet of %s", (size) => {
    const told = answer(tail, "tools", { size });
    expect(told.headline).toMatch(/neither the kit nor a table has a rivet/i);
    expect(told.rows).toEqual([]);
  });

  it("a drill's number is no rivet size", () => {
    expect(problemOf(tail, "tools", { size: "No. 30" }).code).toBe("SLOT_INVALID");
    expect(problemOf(tail, "edge", { size: "letter F", row: "RIB-3.top" }).code).toBe("SLOT_INVALID");
  });

  it("an angle from memory is said to be from memory", () => {
    const told = answer(tail, "tools", { hole: "RIB-3.top.7" });
    expect(textOf(told)).toMatch(/120° \(from memory, not verified/);
    expect(told.cautions.join(" ")).toMatch(/not verified/);
  });
});

describe("a tool by a rivet's size, where no hole is named", () => {
  it("the temporary fastener is the one for its finished hole: 4.0 mm in 4.1 mm takes 5/32 in, 1/8 in in a No. 30 hole 1/8 in", () => {
    expect(answer(tail, "tools", { size: "4 mm", tool: "temporary fastener" }).headline).toMatch(
      /temporary fastener 5\/32 in \(black\) for the hole of 4\.1 mm/,
    );
    const told = answer(door, "tools", { size: "1/8 in", tool: "temporary fastener" });
    expect(told.headline).toMatch(/temporary fastener 1\/8 in \(copper\)/);
    expect(told.sources.map(({ document }) => document)).toContain(
      "NAVEDTRA 14315, Aviation Structural Mechanic",
    );
  });

  it("a final drill is never given for a pilot: no table has one", () => {
    expect(answer(door, "tools", { size: "1/8 in", tool: "pilot" }).headline).toMatch(
      /^No table has a pilot drill for a 1\/8 in .* smaller than the finished hole/,
    );
  });

  it("of two drills as far from the middle the smaller goes first: none cuts smaller than itself", () => {
    expect(answer(tail, "tools", { size: "4 mm" }).headline).toMatch(/4\.1 mm \(0\.161 in\) or 4\.2 mm/);
  });
});

describe("an answer about one tool", () => {
  it("warns of values from memory only where it rests on one", () => {
    expect(answer(tail, "tools", { row: "RIB-3.top", tool: "dimple die" }).cautions.join(" ")).toMatch(
      /not verified/,
    );
    for (const tool of ["countersink", "temporary fastener", "pilot", "drill"])
      expect(answer(tail, "tools", { row: "RIB-3.top", tool }).cautions.join(" "), tool).not.toMatch(
        /not verified/,
      );
  });

  it("names no drill and no die for a rivet that does not go in as ruled: a drilled hole cannot be taken back", () => {
    const job = edited(tail, (rivet) => (rivet.code === "CR-40-6" ? { ...rivet, diameterMm: 6.4 } : rivet));
    const told = answer(job, "tools", { hole: "RIB-3.top.8" });
    expect(told.verdict).toBe("no");
    expect(rowOf(told, "RIB-3.top.8")).toMatchObject({ drill: null });
    expect(textOf(told)).toMatch(/drill and form nothing yet: .*CR-40-6 needs 16 mm by the handbook/);
    expect(answer(job, "tools", { hole: "RIB-3.top.8", drill: "4.1 mm" }).verdict).toBe("no");
  });
});

describe("a rivet of the kit by its code", () => {
  it("goes into the holes where it is settled, and how many are not settled is said beside them", () => {
    const told = answer(tail, "fastener", { rivet: "PR-32-5" });
    const open = tail.assembly.holes.filter(({ id }) => rivetAt(tail, id) === null).length;
    expect(open).toBeGreaterThan(0);
    expect(told.headline).toContain(`At ${open} more holes it is not settled which rivet goes in`);
  });
});

/** Drills by the tables' names, as slots hold them. */
const DRILLS: Readonly<Record<string, string>> = { "#30": "No. 30", "#22": "No. 22" };

describe("whether a head clears", () => {
  it("is the least gap less its tolerance less the head against the margin, at every hole that something comes near", () => {
    const seen = new Set<unknown>();
    for (const job of jobs) {
      for (const hole of job.assembly.holes) {
        const { neighbour } = hole;
        const told = answer(job, "clearance", { hole: hole.id });
        const rivet = rivetAt(job, hole.id);
        seen.add(told.rows[0]?.clear);
        if (!neighbour) {
          expect(told.verdict).toBe("yes");
          continue;
        }
        if (neighbour.gapMm === null || !rivet) {
          expect(told.verdict, hole.id).toBe("undecided");
          continue;
        }
        const { toleranceMm, headMarginMm } = neighbour;
        if (toleranceMm === null || headMarginMm === null) throw new Error("the demo kits state both");
        const leavesMm = neighbour.gapMm - toleranceMm - rivet.headHeightMm;
        expect(told.rows[0]?.leavesMm).toBeCloseTo(leavesMm, 6);
        // A notice may settle on the head against the sum: then it is never a yes.
        if (leavesMm < headMarginMm - 1e-6) expect(["no", "undecided"], hole.id).toContain(told.verdict);
        else expect(told.verdict, hole.id).toBe("yes");
      }
    }
    expect(seen).toContain("clears");
    expect(seen).toContain("nothing near");
    expect(seen).toContain("not known");
  });

  it("a domed head that would chafe the seal does not clear, and the sum is shown", () => {
    const told = answer(tail, "clearance", { hole: "RIB-3.top.8", head: "protruding" });
    expect(told.verdict).toBe("no");
    expect(told.headline).toMatch(
      /gap .*1\.7 mm less tolerance 0\.1 mm less protruding head 1\.3 mm leaves 0\.3 mm, margin wanted 1 mm/,
    );
  });

  it("a head that a notice settles on against the gap is no plain yes", () => {
    const told = answer(tail, "clearance", { hole: "REAR-SPAR.bottom.26" });
    expect(told.verdict).toBe("undecided");
    expect(told.headline).toMatch(/Lower lip of the gap seal|settles on the protruding head/);
  });
});

describe("whether edge and pitch are enough", () => {
  it("in brief, the distances are told as what is drawn, for they are no least that is allowed", () => {
    expect(answer(tail, "edge", { part: "HINGE-1" }).brief).toBe(
      "Hinge 1: as drawn, edge distance 12 mm (0.472 in) and pitch 18 mm (0.709 in) at the least, enough for the rivets that go in.",
    );
  });

  it("is two diameters for a domed rivet, two and a half for a flush one, and three to the nearest hole", () => {
    for (const job of jobs) {
      for (const hole of job.assembly.holes) {
        const rivet = rivetAt(job, hole.id);
        const told = answer(job, "edge", { hole: hole.id });
        if (!rivet) {
          expect(told.verdict).toBe("undecided");
          continue;
        }
        const edgeMm = Math.min(...hole.layers.map((layer) => layer.edgeMm));
        const serves =
          edgeMm >= LEAST_EDGE[rivet.head] * rivet.diameterMm - 1e-6 &&
          (hole.nearestMm === null || hole.nearestMm >= LEAST_PITCH * rivet.diameterMm - 1e-6);
        // Rules of the kit may want more; they never want less.
        if (!serves) expect(told.verdict, hole.id).toBe("no");
        if (told.verdict === "yes") expect(serves, hole.id).toBe(true);
        expect(["yes", "no"]).toContain(told.verdict);
      }
    }
  });

  it("a larger rivet never serves where a smaller one does not, but where the pitch is too wide for that one", () => {
    const sizes = ["3/32 in", "1/8 in", "5/32 in", "3/16 in", "1/4 in"];
    for (const job of jobs) {
      fc.assert(
        fc.property(fc.constantFrom(...job.assembly.holes), fc.nat(sizes.length - 2), (hole, at) => {
          const [small, large] = [sizes[at], sizes[at + 1]].map((size) =>
            answer(job, "edge", { hole: hole.id, size, head: "flush" }),
          );
          if (small?.verdict === "no" && large?.verdict === "yes") expect(textOf(small)).toMatch(/too wide/);
        }),
        { numRuns: 60 },
      );
    }
  });

  it("a 3/16 in rivet has too little edge on the corner doubler, and by how much is said", () => {
    const told = answer(door, "edge", { part: "CORNER-DOUBLER", size: "3/16 in" });
    expect(told.verdict).toBe("no");
    expect(told.headline).toMatch(/corner doubler, edge distance 0\.400 in .* short/);
  });
});

describe("edge and pitch for a size, while it is open which head goes in", () => {
  it("are told where both heads find the same, and open where they do not", () => {
    const hole = "RIB-7.top.8";
    expect(ruled(tail, hole, "head")).toBeNull();
    const [, layer] = tail.assembly.holes.find(({ id }) => id === hole)?.layers ?? [];
    // 11 mm serve up to 4.4 mm with a flush head (2.5 D), up to 5.5 mm with a protruding one (2 D), and no 6.4 mm rivet.
    expect(layer?.edgeMm).toBeCloseTo(11, 6);
    const verdict = (size: string) => answer(tail, "edge", { hole, size }).verdict;
    expect([verdict("3.2 mm"), verdict("4.8 mm"), verdict("6.4 mm")]).toEqual(["yes", "undecided", "no"]);
  });
});

describe("whether rows side by side leave each other room", () => {
  it("is four diameters along each of two rows, and says of how many rows it speaks and by which source", async () => {
    const job = await jobFromDisk({ redrawn: crowdedDoubler });
    const told = answer(job, "edge", { hole: "WEB-DOUBLER.upper.3" });
    expect(told.verdict).toBe("no");
    expect(told.headline).toMatch(/hole 3 .*: one of two rows side by side: pitch along the row 11 mm/);
    expect(textOf(told)).toMatch(
      /one of two rows side by side: pitch along the row 11 mm .*12\.8 mm .* wanted \(4 D\): 1\.8 mm short; distance between the rows 9 mm .*8 mm .*\(2\.5 D\): enough/,
    );
    expect(told.sources.map(({ document }) => document)).toContain("US Army TM 9-2320-303-24-2");
    expect(answer(tail, "edge", { hole: "WEB-DOUBLER.upper.3" }).verdict).toBe("yes");
  });

  it("keeps the next larger rivet out of a row that served the drawn one", async () => {
    // 14 mm are 4.375 diameters of 3.2 mm, and 3.5 of the next size, 4.0 mm.
    const job = await jobFromDisk({
      redrawn: (kit) =>
        redrawnHoles(crowdedDoubler(kit), (hole) =>
          hole.part === "WEB-DOUBLER"
            ? { ...hole, at: [hole.at[0], hole.at[1], hole.at[2] * 1.2], pitchMm: 14, nearestMm: 12.6 }
            : hole,
        ),
    });
    const hole = "WEB-DOUBLER.upper.3";
    expect(answer(job, "edge", { hole }).verdict).toBe("yes");
    expect(textOf(answer(job, "repair", { hole, damage: "oversize" }))).toMatch(
      /does not serve: .*one of two rows side by side: pitch along the row 14 mm .*16 mm/,
    );
  });
});

describe("whether the ruled rivet goes in", () => {
  it("is not decided while nobody knows whether it holds the stack: the right rivet alone is no yes", () => {
    const told = answer(tail, "fastener", { hole: "RIB-3.top.8", rivet: "CR-40-6" });
    expect(told.verdict).toBe("undecided");
    expect(told.headline).toMatch(
      /takes CR-40-6 by the rules\. Whether CR-40-6 holds the stack is not known/,
    );
  });

  it("is no where its range does not hold the stack, though the rules name it", () => {
    const job = edited(tail, (rivet) =>
      rivet.code === "PR-32-6" ? { ...rivet, grip: { minMm: 5, maxMm: 7 } } : rivet,
    );
    expect(answer(job, "fastener", { row: "RIB-4.top", rivet: "PR-32-6" }).verdict).toBe("no");
    expect(answer(job, "fastener", { row: "RIB-4.top" }).verdict).toBe("no");
  });

  it("is no where the finished hole is outside its limits, and the answers on the rivet and on the hole both say so", () => {
    const job = edited(tail, (rivet) =>
      rivet.code === "PR-32-5" ? { ...rivet, hole: { minMm: 3.5, maxMm: 3.6 } } : rivet,
    );
    const told = answer(job, "fastener", { hole: "RIB-3.top.3" });
    expect(told.verdict).toBe("no");
    expect(textOf(told)).toMatch(/finished hole of 3\.3 mm is below what PR-32-5 takes/);
    expect(textOf(answer(job, "treatment", { hole: "RIB-3.top.3" }))).toMatch(/below what PR-32-5 takes/);
  });
});

describe("how many rivets", () => {
  const counts = ({ rows }: FormAnswer): number => rows.reduce((sum, row) => sum + Number(row.count), 0);

  it("every hole is counted once: in a bin, among those that stay open, or as not settled", () => {
    for (const job of jobs) {
      for (const slots of [{}, ...job.assembly.parts.map(({ id }) => ({ part: id }))]) {
        const told = answer(job, "count", slots);
        expect(counts(told)).toBe(told.holes.length);
        const held = told.rows.filter(({ where }) => where === "not for now").flatMap(({ holes }) => holes);
        for (const hole of held) expect(ruled(job, hole, "hold")).not.toBe(null);
        for (const { rivet, holes } of told.rows) {
          if (rivet === undefined) continue;
          for (const hole of holes) expect(ruled(job, hole, "rivet")).toBe(rivet);
        }
        const codes = told.rows.flatMap(({ rivet }) => (rivet === undefined ? [] : [String(rivet)]));
        expect(codes).toEqual([...codes].sort());
      }
    }
  });

  it("rivets that are set are not left to set", async () => {
    const job = await jobFromDisk({ marks: rowMarks(tail, "RIB-3.front", "set") });
    const row = rowMarks(tail, "RIB-3.front", "set").length;
    expect(row).toBeGreaterThan(0);
    const [all, left] = [{}, { left: "yes" }].map((slots) =>
      counts(answer(job, "count", { part: "RIB-3", ...slots })),
    );
    expect((all ?? 0) - (left ?? 0)).toBe(row);
  });

  it("spares are rounded up for each bin: no half rivets", () => {
    for (const spares of ["0", "5", "10", "12.5", "100"]) {
      for (const { count, fetch } of answer(tail, "count", { spares }).rows) {
        if (fetch !== undefined)
          expect(fetch).toBe(Math.ceil(Number(count) * (1 + Number(spares) / 100) - 1e-9));
      }
    }
  });

  it.each(["-1", "101", "a few", "1e2", "NaN"])("spares of %s are refused", (spares) => {
    expect(problemOf(tail, "count", { spares }).code).toBe("SLOT_INVALID");
  });
});

describe("a hole that is not as it should be", () => {
  it("is never allowed a repair: at the most it is taken to the kit maker", () => {
    for (const job of jobs) {
      for (const { id } of job.assembly.holes) {
        for (const damage of ["oversize", "oblong", "cracked", "edge", "misplaced"]) {
          const { verdict, rows, cautions } = answer(job, "repair", { hole: id, damage });
          expect(["no", "undecided"], `${id} ${damage}`).toContain(rows[0]?.verdict);
          expect(verdict, `${id} ${damage}`).toBe(rows[0]?.verdict === "no" ? undefined : "undecided");
          expect(cautions.at(-1)).toMatch(/licensed person decides on departures and repairs/);
        }
      }
    }
  });

  it("a crack, or a hole in the wrong place, is refused outright", () => {
    for (const damage of ["cracked", "misplaced"]) {
      const { rows } = answer(tail, "repair", { row: "RIB-3.top", damage });
      expect(rows.map(({ verdict }) => verdict)).toEqual(rows.map(() => "no"));
    }
  });

  it("the next size up is refused where its head would not clear, or its edge is short", () => {
    const head = answer(tail, "repair", { hole: "RIB-4.top.8", damage: "oversize" });
    expect(head.rows[0]?.verdict).toBe("no");
    expect(textOf(head)).toMatch(/head does not clear/);
    for (const job of jobs) {
      for (const { id, layers } of job.assembly.holes) {
        const told = answer(job, "repair", { hole: id, damage: "oversize" });
        const [row] = told.rows;
        const rivet = rivetAt(job, id);
        if (!rivet || typeof row?.nextMm !== "number") continue;
        const edgeMm = Math.min(...layers.map((layer) => layer.edgeMm));
        if (edgeMm < LEAST_EDGE[rivet.head] * row.nextMm - 1e-6) expect(row.verdict, id).toBe("no");
      }
    }
  });

  it("the next size up after 3.2 mm is 4.0 mm, after 1/8 in 5/32 in (MIL-R-47196A: a step of 1/32 in)", () => {
    expect(answer(tail, "repair", { hole: "RIB-3.top.4", damage: "oversize" }).rows[0]?.nextMm).toBe(4);
    expect(
      answer(door, "repair", { hole: "FRAME-FWD.inner.1", damage: "oversize" }).rows[0]?.nextMm,
    ).toBeCloseTo(3.969, 3);
  });

  it("a hole within its rivet's limits is not oversize", () => {
    const told = answer(tail, "repair", { hole: "RIB-3.top.4", damage: "oversize", drill: "3.35 mm" });
    expect(told.headline).toMatch(/within the limits of PR-32-5/);
  });

  it("a row of four allows no oversize hole: a fifth of them is none (MIL-R-47196A)", () => {
    const told = answer(door, "repair", { row: "GUSSET-1.upright", damage: "oversize" });
    expect(told.rows[0]?.verdict).toBe("no");
    expect(textOf(told)).toMatch(/allows no oversize hole/);
  });
});

describe("sizes sent as slots", () => {
  it("are answered or refused with a reason, whatever they are", () => {
    const size = fc.oneof(
      fc.constantFrom(
        "3.2 mm",
        "1/8 in",
        "No. 30",
        "letter F",
        "0 mm",
        "-3 mm",
        "NaN mm",
        "9 mm",
        "1e9 mm",
        "3,2 mm",
        "",
        "1/0 in",
      ),
      fc.string({ maxLength: 12 }),
    );
    const form = fc.constantFrom("fastener", "tools", "edge", "repair", "count", "clearance");
    fc.assert(
      fc.property(form, size, fc.constantFrom("size", "drill", "spares", "rivet"), (id, value, slot) => {
        try {
          const told = answer(tail, id, { row: "RIB-3.top", damage: "oversize", [slot]: value });
          expect(textOf(told)).not.toMatch(/undefined|null|NaN|Infinity/);
        } catch (error) {
          expect(error).toBeInstanceOf(Problem);
          expect(["SLOT_INVALID", "UNKNOWN_ID", "FASTENER_OUT_OF_TABLE"]).toContain((error as Problem).code);
        }
      }),
      { numRuns: 200 },
    );
  });
});
