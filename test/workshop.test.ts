import { describe, expect, it } from "vitest";
import { memoryBook } from "../server/store/memory.js";
import { openWorkshop } from "../server/workshop.js";
import { assembly, kit, library, place } from "./support/library.js";

const [first, second] = assembly.holes.map(({ id }) => id) as [string, string];

function tell(hole: string, where: { kit: string; assembly: string } = place) {
  const marks = [{ kind: "hole", hole, state: "set" } as const];
  return { kind: "marks", by: "builder", ...where, body: { marks } } as const;
}

describe("the workshop", () => {
  it("makes one job for one state of the work, however many ask at once", async () => {
    const workshop = openWorkshop(library, memoryBook());
    const [one, two] = await Promise.all([
      workshop.job(kit.id, assembly.id),
      workshop.job(kit.id, assembly.id),
    ]);
    expect(one.rulings).toBe(two.rulings);
    expect((await workshop.job(kit.id, assembly.id)).rulings).toBe(one.rulings);
  });

  it("follows the marks, and works the reach out once", async () => {
    const workshop = openWorkshop(library, memoryBook());
    const before = await workshop.job(kit.id, assembly.id);
    workshop.book.append([tell(first)], { key: "k", expected: 0 });
    const after = await workshop.job(kit.id, assembly.id);
    expect(before.work.holes.size).toBe(0);
    expect(after.work.holes).toEqual(new Map([[first, "set"]]));
    expect(after.version).toBe(1);
    expect(after.reach).toBe(before.reach);
  });

  it("keeps the job when something else was recorded, but says the book's new version", async () => {
    const workshop = openWorkshop(library, memoryBook());
    const before = await workshop.job(kit.id, assembly.id);
    workshop.book.append([tell(first, { kit: kit.id, assembly: "another" })], { key: "k", expected: 0 });
    const after = await workshop.job(kit.id, assembly.id);
    expect(after.rulings).toBe(before.rulings);
    expect(after.version).toBe(1);
  });

  it("gives the job as it was at an earlier version", async () => {
    const workshop = openWorkshop(library, memoryBook());
    workshop.book.append([tell(first)], { key: "k1", expected: 0 });
    workshop.book.append([tell(second)], { key: "k2", expected: 1 });
    const now = await workshop.job(kit.id, assembly.id);
    const then = await workshop.jobAt(kit.id, assembly.id, 1);
    expect([...now.work.holes.keys()]).toEqual([first, second]);
    expect([...then.work.holes.keys()]).toEqual([first]);
    expect(then.version).toBe(1);
    expect((await workshop.job(kit.id, assembly.id)).rulings).toBe(now.rulings);
  });

  it("remembers marks on a hole that a revised kit no longer has, and goes on", async () => {
    const workshop = openWorkshop(library, memoryBook());
    workshop.book.append([tell("OLD.row.1")], { key: "k", expected: 0 });
    const job = await workshop.job(kit.id, assembly.id);
    expect(job.work.holes.get("OLD.row.1")).toBe("set");
    expect(job.facts).toHaveLength(assembly.holes.length);
  });
});
