import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../../server/ask/types.js";
import { finder } from "../../../server/kit/find.js";
import type { Mark } from "../../../server/kit/work.js";
import { stateOf } from "../../../server/kit/work.js";
import { planOf } from "../../../server/order/plan.js";
import { marksOf } from "../../support/any-bench.js";
import { allGatesDone, GAP_MEASURED, jobFromDisk } from "../../support/job.js";
import { answer, rowOf } from "./answer.js";

let fresh: Job;
let door: Job;
let jobs: readonly (readonly [string, Job])[];
beforeAll(async () => {
  fresh = await jobFromDisk();
  door = await jobFromDisk({ kit: "vetch-six" });
  const begun = (job: Job): Mark[] => planOf(job).steps.slice(0, 12).flatMap(marksOf);
  jobs = [
    ["the tailplane", fresh],
    ["the tailplane, its gap measured", await jobFromDisk({ moreRules: [GAP_MEASURED] })],
    ["the tailplane begun", await jobFromDisk({ marks: begun(fresh) })],
    ["the tailplane got ready", await jobFromDisk({ marks: allGatesDone(fresh) })],
    ["the door", door],
    ["the door begun", await jobFromDisk({ kit: "vetch-six", marks: begun(door) })],
  ];
});

/** Holes that a treatment is ruled for, worked out here from the rulings alone. */
const ruled = (job: Job, gate: string): readonly string[] =>
  job.assembly.holes
    .filter(({ id, punchedMm }) => {
      const { treatment, finalDiameterMm } = job.rulings.of(id).attributes;
      if (gate !== "enlarge") return treatment?.status === "settled" && treatment.value === gate;
      const finished = finalDiameterMm?.status === "settled" ? Number(finalDiameterMm.value) : 0;
      return finished > punchedMm + 0.005;
    })
    .map(({ id }) => id);

describe("how far a prep is", () => {
  it("a hole still waits for a treatment while a part that it falls on is not marked, and no longer", () => {
    for (const [name, job] of jobs) {
      const find = finder(job.assembly);
      for (const gate of ["dimple", "countersink", "enlarge"]) {
        const wanted = ruled(job, gate).filter((id) => {
          const layers = find.hole(id).layers.slice(0, gate === "countersink" ? 1 : undefined);
          const isOpen = layers.some(({ part }) => !job.work.prep.get(part)?.has(gate));
          return stateOf(job.work, id) !== "set" && isOpen;
        });
        const told = answer(job, "progress", { gate });
        const still = told.rows.filter(({ kind }) => kind === "open").flatMap(({ holes }) => holes);
        expect(new Set(still), `${name}: ${gate}`).toEqual(new Set(wanted));
        if (wanted.length > 0) expect(told.headline, name).toContain(`${wanted.length} hole`);
      }
    }
  });

  it("undecided holes are said apart, whatever their part is marked as, and are never counted as done", () => {
    for (const [name, job] of jobs) {
      const open = job.assembly.holes
        .map(({ id }) => id)
        .filter((id) => job.rulings.of(id).attributes.treatment?.status !== "settled")
        .filter((id) => stateOf(job.work, id) !== "set");
      const told = answer(job, "progress", { gate: "dimple" });
      const apart = told.rows.filter(({ kind }) => kind === "undecided").flatMap(({ holes }) => holes);
      expect(new Set(apart), name).toEqual(new Set(open));
      if (open.length > 0) expect(told.headline, name).toContain("is not decided");
      for (const hole of open)
        expect(answer(job, "progress", { hole, gate: "dimple" }).verdict, hole).not.toBe("yes");
    }
  });

  it("every part that the kit lists the prep for is told once, as it is marked", () => {
    for (const [name, job] of jobs) {
      for (const { id: gate } of job.kit.prepGates) {
        const { rows } = answer(job, "progress", { gate });
        const told = rows.flatMap(({ parts, kind }) =>
          ((parts ?? []) as string[]).map((part) => [part, kind] as const),
        );
        expect(new Set(told.map(([part]) => part)).size, name).toBe(told.length);
        for (const { id, prep } of job.assembly.parts) {
          const kind = told.find(([part]) => part === id)?.[1];
          const isDone = job.work.prep.get(id)?.has(gate) ?? false;
          if (isDone) expect(kind, `${name}: ${gate} on ${id}`).toBe("done");
          else if (prep.includes(gate)) expect(kind, `${name}: ${gate} on ${id}`).toBe("open");
          else expect(kind, `${name}: ${gate} on ${id}`).not.toBe("done");
        }
      }
    }
  });

  it("of one part the first line says whether it is marked, and no yes that could be taken the other way round", async () => {
    const open = answer(fresh, "progress", { part: "RIB-3", gate: "prime" });
    expect(open.headline).toBe("“primed” on rib 3: not marked as done.");
    expect(open.verdict).toBeUndefined();
    const ready = await jobFromDisk({ marks: allGatesDone(fresh) });
    const done = answer(ready, "progress", { part: "RIB-3", gate: "prime" });
    expect(done.headline).toBe("“primed” on rib 3: marked as done.");
    expect(done.verdict).toBeUndefined();
    const rib = answer(ready, "progress", { part: "RIB-7", gate: "dimple" });
    expect(rib.verdict).toBe("undecided");
    expect(rowOf(rib, "RIB-7.top.8", "undecided").what).toContain("gap to the elevator's gap seal");
    expect(answer(ready, "progress", { hole: "RIB-3.top.1", gate: "dimple" }).headline).toContain(
      "not to be dimpled",
    );
  });

  it("a part that is closed and not marked is asked about, not sent back to the bench", async () => {
    const closed = await jobFromDisk({
      marks: [{ kind: "hole", hole: "RIB-4.front.1", state: "set" }],
    });
    const told = answer(closed, "progress", { part: "RIB-4", gate: "deburr" });
    expect(told.rows[0]?.what).toContain("though it is closed: mark it if it was done");
  });

  it("a treatment that no rule claims for an undecided hole is not held open for it", () => {
    const told = answer(fresh, "progress", { gate: "countersink" });
    const apart = told.rows.filter(({ kind }) => kind === "undecided").flatMap(({ holes }) => holes);
    for (const id of apart) {
      const claims = fresh.rulings.trace(id, "treatment").claims.filter(({ verdict }) => verdict !== "false");
      expect(claims.length === 0 || claims.some(({ value }) => value === "countersink"), id).toBe(true);
    }
    expect(apart).not.toContain("RIB-7.top.8");
  });
});

it("of whole parts that are named together, a prep counts on these and not on what they are riveted to", async () => {
  const find = finder(fresh.assembly);
  const ribs = ["RIB-1", "RIB-3"];
  const holes = [...new Set(ribs.flatMap((rib) => find.holesThrough(rib).map(({ id }) => id)))];
  const deburred = ribs.map((part): Mark => ({ kind: "prep", part, gate: "deburr", done: true }));
  const half = await jobFromDisk({ marks: deburred.slice(0, 1) });
  const both = await jobFromDisk({ marks: deburred });
  expect(answer(half, "progress", { holes, gate: "deburr" }).headline).toContain("left on rib 3");
  const told = answer(both, "progress", { holes, gate: "deburr" });
  expect(told.headline).toContain("marked as done on all 2 parts");
  expect(told.rows.flatMap(({ parts }) => parts)).toEqual(ribs);
  const when = answer(half, "plan", { holes, gate: "deburr" });
  expect(new Set(when.rows.flatMap(({ part }) => part ?? []))).toEqual(new Set(ribs));
  expect(when.headline).toContain("rib 1 and rib 3");
});
