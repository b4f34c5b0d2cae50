import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { factsOf } from "../../server/facts/derive.js";
import { allowedValues, kitLists, loadDictionary } from "../../server/facts/dictionary.js";
import type { FactRecord } from "../../server/facts/types.js";
import { finder } from "../../server/kit/find.js";
import { loadKit } from "../../server/kit/load.js";
import { limitsOf, type SizeKind } from "../../server/kit/sizes.js";
import { NO_WORK, withMarks } from "../../server/kit/work.js";
import { Problem } from "../../server/problem.js";

const read = (path: string) => ({
  path,
  text: readFileSync(new URL(`../../${path}`, import.meta.url), "utf8"),
});
const kit = loadKit([
  read("kb/kits/sedge-two/kit.json"),
  read("kb/kits/sedge-two/assemblies/tailplane.json"),
]);
const assembly = kit.assemblies.find((one) => one.id === "tailplane");
if (!assembly) throw new Error("the demo has no tailplane");
const dictionary = loadDictionary(read("rules/facts.json"));
const records = factsOf(assembly, NO_WORK);
const of = (hole: string): FactRecord => records[finder(assembly).hole(hole).index] ?? {};

describe("what a rule can see of a hole", () => {
  it("every fact of every hole is in the dictionary, of its type and among what it can be", () => {
    const lists = kitLists(kit);
    for (const record of records) {
      for (const [name, value] of Object.entries(record)) {
        const entry = dictionary.facts.get(name);
        expect(entry, name).toBeDefined();
        const types = { number: "number", text: "string", flag: "boolean", list: "object" } as const;
        expect(typeof value).toBe(types[entry?.type ?? "text"]);
        if (typeof value === "number") {
          const { min, above, max } = entry?.range ?? { min: null, above: null, max: null };
          expect(value, name).toBeGreaterThanOrEqual(min ?? -Infinity);
          if (above !== null) expect(value, name).toBeGreaterThan(above);
          expect(value, name).toBeLessThanOrEqual(max ?? Infinity);
        }
        const allowed = entry ? allowedValues(entry, lists) : null;
        if (allowed !== null && name !== "zone")
          for (const text of [value].flat()) expect(allowed).toContain(text);
      }
    }
  });

  it("a fact that is not known is absent, never 0, empty or null", () => {
    for (const record of records) {
      for (const value of Object.values(record)) {
        expect(value).not.toBeNull();
        expect(value).not.toBe("");
        expect(Number.isNaN(value)).toBe(false);
      }
    }
    const unmeasured = assembly.holes.find((hole) => hole.neighbour?.gapMm === null);
    expect(unmeasured).toBeDefined();
    const record = of(unmeasured?.id ?? "");
    expect(record.neighbour).toBe(unmeasured?.neighbour?.id);
    expect("gapMm" in record).toBe(false);
    expect("headroomMm" in record).toBe(false);
  });

  it("where nothing comes near, the neighbour is known to be none and there is no gap to speak of", () => {
    const free = assembly.holes.find((hole) => hole.neighbour === null);
    expect(of(free?.id ?? "").neighbour).toBe("none");
    expect("gapMm" in of(free?.id ?? "")).toBe(false);
  });

  it("headroom is the gap less the drawn head's height", () => {
    const near = assembly.holes.filter((hole) => hole.neighbour && hole.neighbour.gapMm !== null);
    expect(near.length).toBeGreaterThan(0);
    for (const hole of near) {
      expect(of(hole.id).headroomMm).toBeCloseTo((hole.neighbour?.gapMm ?? 0) - hole.rivet.headHeightMm, 3);
    }
  });

  it("holes beside an overlap are counted along their row, and rows without one have no count", () => {
    for (const row of assembly.rows) {
      const facts = row.holes.map(of);
      const under = facts.flatMap((record, i) => (record.overlap === "none" ? [] : [i]));
      facts.forEach((record, i) => {
        if (under.length === 0) {
          expect(record.rowOverlap).toBe("none");
          expect("holesFromOverlap" in record).toBe(false);
        } else {
          expect(record.holesFromOverlap).toBe(Math.min(...under.map((place) => Math.abs(place - i))));
        }
      });
    }
  });

  it("a hole counts from both ends of its row", () => {
    for (const record of records) {
      expect(Number(record.number) + Number(record.fromEnd)).toBe(Number(record.rowLength) + 1);
    }
  });

  it("facts of the work follow the marks", () => {
    const hole = assembly.holes[0];
    const milestone = assembly.milestones[0];
    if (!hole || !milestone) throw new Error("the demo is empty");
    const after = factsOf(
      assembly,
      withMarks(NO_WORK, [
        { kind: "hole", hole: hole.id, state: "pinned" },
        { kind: "milestone", milestone: milestone.id, reached: true },
      ]),
    );
    expect(after[hole.index]?.state).toBe("pinned");
    expect(of(hole.id).state).toBe("unset");
    expect(after[hole.index]?.milestonesReached).toEqual([milestone.id]);
  });
});

describe("the fact dictionary", () => {
  const load = (json: unknown) => {
    try {
      loadDictionary({ path: "rules/facts.json", text: JSON.stringify(json) });
    } catch (error) {
      if (error instanceof Problem) return { code: error.code, pointer: error.where.pointer };
      throw error;
    }
    return null;
  };
  const fact = { name: "gripMm", meaning: "grip", type: "number", from: "derived" };

  it("refuses a name that stands twice, naming the second", () => {
    const doubled = { format: "tailroom facts 1", facts: [fact, fact], attributes: [] };
    expect(load(doubled)).toEqual({ code: "FACT_DUPLICATE", pointer: "/facts/1/name" });
  });

  it("refuses a settled fact that no attribute settles", () => {
    const orphan = { ...fact, name: "head", type: "text", from: "ruling" };
    expect(load({ format: "tailroom facts 1", facts: [orphan], attributes: [] })).toEqual({
      code: "FACT_NOT_AN_ATTRIBUTE",
      pointer: "/facts/0",
    });
  });

  it("refuses a range that no number lies in, and one of what is no number", () => {
    const ranged = (more: object) =>
      load({ format: "tailroom facts 1", facts: [{ ...fact, ...more }], attributes: [] });
    expect(ranged({ min: 0, max: 12 })).toBeNull();
    expect(ranged({ min: 3, max: 2 })).toEqual({ code: "FACT_RANGE", pointer: "/facts/0" });
    expect(ranged({ above: 2, max: 2 })).toEqual({ code: "FACT_RANGE", pointer: "/facts/0" });
    expect(ranged({ type: "text", min: 0 })).toEqual({ code: "FACT_RANGE", pointer: "/facts/0" });
  });

  it("gives a size no other limits than a kit's own files have", () => {
    const limits: Readonly<Record<string, SizeKind>> = {
      headThicknessMm: "thickness",
      thinnestMm: "thickness",
      thickestMm: "thickness",
      rivetMm: "rivetDiameter",
      punchedMm: "hole",
      gapMm: "gap",
    };
    for (const [name, kind] of Object.entries(limits)) {
      const { leastMm, mostMm } = limitsOf(kind);
      expect(dictionary.facts.get(name)?.range, name).toEqual({ min: leastMm, above: null, max: mostMm });
    }
    // A stack is at least one sheet, and no less than its thinnest one.
    expect(dictionary.facts.get("gripMm")?.range.min).toBe(limitsOf("thickness").leastMm);
  });

  it("refuses an unknown key and a missing meaning", () => {
    const { meaning: _, ...bare } = fact;
    expect(load({ format: "tailroom facts 1", facts: [bare], attributes: [] })?.code).toBe("FACTS_INVALID");
    expect(load({ format: "tailroom facts 1", facts: [{ ...fact, extra: 1 }], attributes: [] })?.code).toBe(
      "FACTS_INVALID",
    );
  });
});
