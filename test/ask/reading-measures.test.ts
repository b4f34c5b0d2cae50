import fc from "fast-check";
import { describe, expect, it, test } from "vitest";
import { ask } from "../../server/ask/ask.js";
import type { Slots } from "../../server/ask/types.js";
import { tables } from "../../server/fastener/tables.js";
import { readLength, writtenText } from "../../server/kit/units.js";
import { Problem } from "../../server/problem.js";
import { formsAndNotes, readOn, shelfOf } from "../questions/phrasings.js";
import { jobFromDisk } from "../support/job.js";

const tailplane = shelfOf("sedge-two", "tailplane");
const door = shelfOf("vetch-six", "cargo-door-frame");

function slotsOf(text: string, shelf = tailplane): Slots | "asked back" {
  const outcome = readOn(shelf, text);
  return outcome.kind === "read" ? outcome.asked.slots : "asked back";
}

describe("sizes as builders type them", () => {
  test.each([
    ["1/8", "1/8 in"],
    ["1/8 in", "1/8 in"],
    ["1/8 inch", "1/8 in"],
    ['1/8"', "1/8 in"],
    ["1/8-inch", "1/8 in"],
    ["0.125 in", "1/8 in"],
    ["0.125", "1/8 in"],
    [".125", "1/8 in"],
    [".125 inch", "1/8 in"],
    ["3.2 mm", "3.2 mm"],
    ["3,2 mm", "3.2 mm"],
    ["3.2mm", "3.2 mm"],
    ["3.2-mm", "3.2 mm"],
    ["3.2", "3.2 mm"],
    ["4 mm", "4 mm"],
    ["4mm", "4 mm"],
    ["4.0 MM", "4 mm"],
  ])("which drill for a %s rivet", (typed, size) => {
    expect(slotsOf(`which drill for a ${typed} rivet?`)).toEqual({ tool: "drill", size });
  });

  test.each([
    ["a #30 hole", "No. 30"],
    ["a No. 30 hole", "No. 30"],
    ["a no 30 hole", "No. 30"],
    ["a letter F hole", "letter F"],
    ["a 1/8 hole", "1/8 in"],
    ["a 4.1 mm hole", "4.1 mm"],
  ])("which rivet fits %s", (typed, drill) => {
    expect(slotsOf(`which rivet fits ${typed}?`)).toEqual({ drill });
  });

  test.each([
    "which drill for a 1/8?",
    "which drill for a No. 30 rivet",
    "which drill for a 1,250 mm rivet",
    "which drill for a 4 rivet",
    "which drill for a #95 hole",
    "which rivet fits a 1/7 hole",
    "which drill for a 0 mm rivet",
  ])("leaves a doubt, so it is asked back: %s", (text) => {
    expect(slotsOf(text)).toBe("asked back");
  });
});

describe("a number sign before a hole is no drill", () => {
  test.each([
    "is hole #4 on rib 3's top row dimpled?",
    "is #4 on rib 3's top row dimpled?",
    "is hole no. 4 on rib 3's top row dimpled?",
    "is the fourth hole on rib 3's top row dimpled?",
  ])("%s", (text) => {
    expect(slotsOf(text)).toEqual({ hole: "RIB-3.top.4", treatment: "dimple" });
  });
});

describe("percentages", () => {
  test.each([
    ["10 %", "10"],
    ["10%", "10"],
    ["10 percent", "10"],
    ["12.5 %", "12.5"],
  ])("picking list for rib 3 with %s spares", (typed, spares) => {
    expect(slotsOf(`picking list for rib 3 with ${typed} spares`)).toEqual({ part: "RIB-3", spares });
  });

  it("more than a hundred percent is asked back", () => {
    expect(slotsOf("picking list for rib 3 with 150 % spares")).toBe("asked back");
  });
});

test("a drill's number never becomes a rivet's size, nor a size a drill's number", () => {
  const numbers = tables.drills.rows.flatMap(({ drill }) =>
    drill.startsWith("#") ? [Number(drill.slice(1))] : [],
  );
  fc.assert(
    fc.property(fc.constantFrom(...numbers), fc.boolean(), (n, inches) => {
      const shelf = inches ? door : tailplane;
      const rivet = slotsOf(`which drill for a No. ${n} rivet`, shelf);
      expect(rivet).toBe("asked back");
      const hole = slotsOf(`which rivet fits a No. ${n} hole`, shelf);
      expect(hole).toEqual({ drill: `No. ${n}` });
    }),
    { numRuns: 60 },
  );
});

test("a written size is read back as itself", () => {
  const text = fc.oneof(
    fc.integer({ min: 1, max: 130_000 }).map((n) => `${n / 10_000} mm`),
    fc.integer({ min: 1, max: 50_000 }).map((n) => `${n / 100_000} in`),
    fc.integer({ min: 1, max: 63 }).map((n) => `${n}/64`),
    fc.constantFrom(...tables.drills.rows.map(({ drill }) => drill)),
  );
  fc.assert(
    fc.property(text, (typed) => {
      const first = readLength(typed);
      if (!first) throw new Error(`not read: ${typed}`);
      const again = readLength(writtenText(first));
      expect(again?.drill).toBe(first.drill);
      expect(Math.abs((again?.mm ?? Number.NaN) - first.mm)).toBeLessThan(0.001);
    }),
  );
});

describe("sizes sent as slots", () => {
  test.each([
    ["size", "No. 30"],
    ["size", "3.2"],
    ["size", "3,2 mm"],
    ["size", "-3 mm"],
    ["drill", "No. 99"],
    ["spares", "101"],
    ["rivet", "PR-99-9"],
    ["damage", "rusty"],
  ])("%s: %s is refused, with a fix", async (slot, value) => {
    const job = await jobFromDisk();
    const { forms } = formsAndNotes();
    const form = { spares: "count", rivet: "fastener", damage: "repair" }[slot] ?? "tools";
    try {
      ask(job, { form, slots: { row: "RIB-3.top", [slot]: value } }, forms);
      throw new Error("it was taken");
    } catch (error) {
      expect(error).toBeInstanceOf(Problem);
      expect((error as Problem).where.pointer).toBe(`/slots/${slot}`);
      expect((error as Problem).fix.length).toBeGreaterThan(10);
    }
  });
});

describe("after a size", () => {
  const before = { form: "edge", slots: { row: "RIB-3.top", size: "5/32 in" } };
  const askedThen = (text: string): unknown => {
    const outcome = readOn(tailplane, text, before);
    return outcome.kind === "read" ? outcome.asked : "asked back";
  };

  it("another size takes its place, and another place keeps the size", () => {
    expect(askedThen("and for a 4 mm?")).toEqual({ form: "edge", slots: { row: "RIB-3.top", size: "4 mm" } });
    expect(askedThen("and on rib 4?")).toEqual({
      form: "edge",
      slots: { row: "RIB-4.top", size: "5/32 in" },
    });
  });
});
