import { beforeAll, describe, expect, it } from "vitest";
import { saidSheet } from "../../../server/ask/step-sheet.js";
import type { Job } from "../../../server/ask/types.js";
import { edited, jobFromDisk, rowMarks } from "../../support/job.js";
import { answer } from "./answer.js";

let tail: Job;
let door: Job;
beforeAll(async () => {
  tail = await jobFromDisk();
  door = await jobFromDisk({ kit: "vetch-six" });
});

/** Whether it is open if the ruled rivet holds the stack, from the rulings and the kit alone. */
function isOpen(job: Job, hole: string): boolean {
  const { rivet, treatment } = job.rulings.of(hole).attributes;
  const found = job.kit.rivets.find(({ code }) => code === rivet?.value);
  if (!found || rivet?.status !== "settled" || treatment?.status !== "settled") return false;
  return found.grip === null || treatment.value === "dimple";
}

/** The same tailplane, its flush rivets with a grip range that holds every stack of it. */
const withRanges = (job: Job): Job =>
  edited(job, (rivet) => ({ ...rivet, grip: rivet.grip ?? { minMm: 0.5, maxMm: 9 } }));

describe("a rivet of which nobody can tell whether it holds the stack", () => {
  it("is said on the picking list's line, with how many holes and why", () => {
    for (const job of [tail, door, withRanges(tail)]) {
      let open = 0;
      for (const { holes, what, gripUnknown } of saidSheet(job, null).rivets) {
        const inDoubt = holes.filter((id) => isOpen(job, id));
        expect(gripUnknown).toBe(inDoubt.length);
        expect(/holds the stack is not known/.test(what)).toBe(inDoubt.length > 0);
        open += inDoubt.length;
      }
      expect(open).toBeGreaterThan(20);
    }
  });

  it("is said of rivets that are to be fetched later, too", () => {
    const lines = saidSheet(tail, null).open.filter(({ code }) => code === "held");
    expect(lines.some(({ holes }) => holes.some((id) => isOpen(tail, id)))).toBe(true);
    for (const { holes, what } of lines)
      expect(/holds the stack is not known/.test(what)).toBe(holes.some((id) => isOpen(tail, id)));
  });

  it("is said in a count, its headline and the rivet's row, and only there where it is so", () => {
    for (const job of [tail, door, withRanges(tail)]) {
      for (const slots of [{}, ...job.assembly.parts.map(({ id }) => ({ part: id }))]) {
        const told = answer(job, "count", slots);
        const rows = told.rows.filter(({ where }) => where !== "not settled");
        for (const { holes, what } of rows)
          expect(/holds the stack is not known/.test(what)).toBe(holes.some((id) => isOpen(job, id)));
        const open = rows.flatMap(({ holes }) => holes.filter((id) => isOpen(job, id))).length;
        const said = open === 0 ? /^(?!.*holds the stack)/s : new RegExp(`not known at ${open} hole`);
        expect(told.headline).toMatch(said);
      }
    }
  });

  it("is told with what is open: a range that the kit does not state, or dimples that take the sunk head in (TM 9-2320-363-34-2, page 22-21)", () => {
    const what = (job: Job): string =>
      saidSheet(job, null).rivets.find(({ code }) => code === "CR-40-6")?.what ?? "";
    expect(what(tail)).toContain("the kit states no grip range for it");
    expect(what(withRanges(tail))).toContain("in dimples the sunk head adds to the grip");
  });

  it("is no doubt any more once it is set", async () => {
    const job = await jobFromDisk({ marks: rowMarks(tail, "RIB-3.top", "set") });
    const [before, after] = [tail, job].map((one) => answer(one, "count", { row: "RIB-3.top" }).headline);
    expect(before).toContain("not known at 2 holes");
    expect(after).not.toContain("holds the stack");
  });
});
