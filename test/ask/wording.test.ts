import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import type { Job } from "../../server/ask/types.js";
import { decisive, type LeafTrace, sayConditions, sayLeaf } from "../../server/ask/wording/conditions.js";
import {
  counted,
  firstFew,
  listed,
  plural,
  ranges,
  sentence,
  sentences,
  the,
} from "../../server/ask/wording/grammar.js";
import { sayGrowth, sayHole, saySize } from "../../server/ask/wording/measures.js";
import { type Names, namesOf } from "../../server/ask/wording/names.js";
import { sayReading } from "../../server/ask/wording/readings.js";
import { sayMissing, sayUndecided, sayWork } from "../../server/ask/wording/rulings.js";
import { figureOf } from "../../server/facts/figures.js";
import { layerWork } from "../../server/fastener/layer-work.js";
import { finder } from "../../server/kit/find.js";
import type { Treatment } from "../../server/kit/types.js";
import type { Units } from "../../server/kit/units.js";
import type { ConditionTrace, Truth } from "../../server/ruling/types.js";
import { jobFromDisk } from "../support/job.js";

let job: Job;
let names: Names;
beforeAll(async () => {
  job = await jobFromDisk();
  names = namesOf(job);
});

describe("counts and lists", () => {
  it("one hole is a hole, none and several are holes", () => {
    expect([0, 1, 2].map((count) => counted(count, "hole"))).toEqual(["no holes", "1 hole", "2 holes"]);
    expect(counted(2, "is", "are")).toBe("2 are");
    expect(plural(1, "rivet")).toBe("rivet");
  });

  it("a list is read aloud with an 'and' before the last", () => {
    expect(listed([])).toBe("");
    expect(listed(["a"])).toBe("a");
    expect(listed(["a", "b", "c"])).toBe("a, b and c");
    expect(listed(["a", "b"], "or")).toBe("a or b");
  });

  it("hole numbers run together from three on; two neighbours stay two", () => {
    expect(ranges([6, 2, 3, 4, 5])).toBe("2–6");
    expect(ranges([1, 2])).toBe("1 and 2");
    expect(ranges([1, 3, 5, 6, 7])).toBe("1, 3 and 5–7");
    expect(ranges([4, 4])).toBe("4");
  });

  it("ranges name every number given and no other", () => {
    const readBack = (said: string): number[] =>
      said
        .split(/, | and /)
        .filter((part) => part !== "")
        .flatMap((part) => {
          const [first = 0, last = first] = part.split("–").map(Number);
          return Array.from({ length: last - first + 1 }, (_, i) => first + i);
        });
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 60 })), (numbers) => {
        expect(readBack(ranges(numbers))).toEqual([...new Set(numbers)].sort((a, b) => a - b));
      }),
    );
  });

  it("a sentence starts with a capital and ends once", () => {
    expect(sentence("set it")).toBe("Set it.");
    expect(sentence("may I?")).toBe("May I?");
    expect(sentences("one", false, "", null, "two.")).toBe("One. Two.");
  });

  it("a numbered part has no article, a named one has", () => {
    expect(the("servo mount")).toBe("the servo mount");
    expect(the("rib 4")).toBe("rib 4");
    expect(the("the elevator's gap seal")).toBe("the elevator's gap seal");
  });

  it("a long list gives the first few and counts the rest", () => {
    expect(firstFew(["a", "b", "c"], 2, (rest) => `and ${rest} more`)).toBe("a; b; and 1 more");
    expect(firstFew(["a", "b"], 2, () => "never")).toBe("a; b");
  });
});

describe("holes as a person finds them", () => {
  it("by part, row and number, counted the way the row is numbered", () => {
    expect(names.hole("RIB-4.top.2")).toBe("rib 4, top flange row, hole 2 from the front");
    expect(names.where(["RIB-4.top.2", "RIB-4.top.3", "RIB-4.top.4"])).toBe(
      "rib 4, top flange row, holes 2–4 from the front",
    );
    expect(names.where(["RIB-4.rear.1", "RIB-4.rear.3"])).toBe(
      "rib 4, aft attach row, holes 1 and 3 from the bottom",
    );
  });

  it("a whole row is all its holes", () => {
    const row = job.assembly.rows.find(({ id }) => id === "RIB-4.top");
    expect(names.where(row?.holes ?? [])).toBe("rib 4, top flange row, all 8 holes");
  });

  it("a row that is called a column stays one", () => {
    expect(names.row("SPAR-DOUBLER.inboard")).toBe("rear spar doubler, inboard column");
  });

  it("the same place in several numbered parts is said once", () => {
    const holes = [1, 2, 3, 5].flatMap((rib) => [1, 2, 3].map((hole) => `RIB-${rib}.front.${hole}`));
    expect(names.where(holes)).toBe("ribs 1–3 and 5, forward attach row, all 3 holes each");
  });

  it("spots hold every hole given, each once, whatever the order", () => {
    const ids = job.assembly.holes.map(({ id }) => id);
    fc.assert(
      fc.property(fc.shuffledSubarray(ids, { minLength: 1, maxLength: 60 }), (shuffled) => {
        const some = ids.filter((id) => shuffled.includes(id));
        expect(names.spots(shuffled)).toEqual(names.spots(some));
        expect(
          names
            .spots(shuffled)
            .flatMap(({ holes }) => holes)
            .sort(),
        ).toEqual([...some].sort());
      }),
    );
  });
});

describe("sizes", () => {
  it("are said in the kit's own unit", () => {
    expect(saySize(4.1, "mm")).toBe("4.1 mm");
    expect(saySize(3.175, "inch")).toBe("1/8 in");
    expect(sayGrowth(3.3, 4.1, "mm")).toBe("3.3 → 4.1 mm");
  });
});

describe("the work at a hole", () => {
  /** The first two, or three, parts of rib 3's top row with a spar, formed as a treatment says. */
  const formed = (treatment: string, count = 2, under: "countersink" | null = null) =>
    layerWork(
      ["TOP-SKIN", "RIB-3", "FRONT-SPAR"].slice(0, count).map((part) => ({ part, thicknessMm: 0.6 })),
      treatment as Treatment,
      under,
    );
  const said = (
    work: { treatment: string | null; finalDiameterMm: number | null; punchedMm?: number; layers?: number },
    units: Units = "mm",
  ) =>
    sayWork(
      { punchedMm: 3.3, ...work, layers: formed(work.treatment ?? "as punched", work.layers) },
      names,
      units,
    );
  it.each([
    ["as punched", 3.3, "leave as punched at 3.3 mm"],
    ["enlarge", 4.1, "enlarge 3.3 → 4.1 mm"],
    ["dimple", 4.1, "enlarge 3.3 → 4.1 mm, then dimple both layers"],
    ["dimple", 3.3, "dimple both layers at 3.3 mm"],
    ["countersink", 4.1, "enlarge 3.3 → 4.1 mm, then countersink"],
  ])("%s to %s mm: %s", (treatment, finalDiameterMm, words) => {
    expect(said({ treatment, finalDiameterMm })).toBe(words);
  });

  it("a dimple goes through every layer of the stack", () => {
    const dimple = { treatment: "dimple", finalDiameterMm: 3.3 };
    expect(said({ ...dimple, layers: 1 })).toBe("dimple at 3.3 mm");
    expect(said({ ...dimple, layers: 3 })).toBe("dimple all 3 layers at 3.3 mm");
  });

  it("dimples that sit in a countersink under them: both are said, each with its part", () => {
    const work = { treatment: "dimple", finalDiameterMm: 4.1, punchedMm: 3.3 };
    expect(sayWork({ ...work, layers: formed("dimple", 2, "countersink") }, names, "mm")).toBe(
      "enlarge 3.3 → 4.1 mm, then dimple the top skin and countersink rib 3 for its dimple",
    );
  });

  it("in an inch kit a size that is a number drill's is named after it, to the half thousandth", () => {
    const inch = { punchedMm: 0.098 * 25.4, finalDiameterMm: 0.1285 * 25.4 };
    expect(said({ ...inch, treatment: "enlarge" }, "inch")).toBe("enlarge 0.098 → 0.1285 in (No. 30)");
    expect(said({ ...inch, punchedMm: inch.finalDiameterMm, treatment: "as punched" }, "inch")).toBe(
      "leave as punched at 0.1285 in (No. 30)",
    );
    expect(sayHole(25.4 / 8, "inch")).toBe("1/8 in");
    expect(sayHole(0.1285 * 25.4, "mm")).toBe("3.26 mm");
  });

  it("a final size that is the punched one but for rounding is no enlarging", () => {
    const same = { punchedMm: 3.2639, finalDiameterMm: 3.264 };
    expect(said({ ...same, treatment: "dimple" }, "inch")).toBe("dimple both layers at 0.1285 in (No. 30)");
    expect(said({ ...same, treatment: "countersink" })).toBe("countersink at 3.26 mm");
  });

  it("a final size that is not settled is said, never left out", () => {
    for (const treatment of ["enlarge", "dimple", "countersink"]) {
      expect(said({ treatment, finalDiameterMm: null })).toContain("undecided");
    }
    expect(said({ treatment: null, finalDiameterMm: 4.1 })).toBe("treatment undecided");
  });

  it("what is not known above a head is the gap, one place of its travel, its tolerance or the margin", () => {
    const near = job.assembly.holes.find(({ id }) => id === "RIB-3.top.8");
    if (!near?.neighbour) throw new Error("the seal is not there");
    const { neighbour } = near;
    const lacking = (fact: string, more: Partial<typeof neighbour>): string =>
      sayMissing(fact, { ...near, neighbour: { ...neighbour, ...more } });
    const positions = neighbour.positions.map((one, i) => (i === 2 ? { ...one, gapMm: null } : one));
    expect(lacking("worstHeadroomMm", { gapMm: null, positions })).toBe(
      "the gap to the elevator's gap seal at elevator full down",
    );
    expect(lacking("clears", { toleranceMm: null })).toBe(
      "the tolerance of the gap to the elevator's gap seal",
    );
    expect(lacking("clears", { headMarginMm: null })).toBe("the margin wanted under the elevator's gap seal");
    expect(lacking("gripFits", {})).toBe("whether the rivet's grip range holds the stack");
  });

  it("what is undecided names the fact to find out", () => {
    const near = job.assembly.holes.find(({ id }) => id === "RIB-7.top.8") ?? null;
    expect(sayUndecided(["head"], ["headroomMm"], near)).toBe(
      "head undecided: the gap to the elevator's gap seal is not known",
    );
    expect(sayUndecided(["head", "rivet"], [], near)).toBe("head and rivet undecided: no rule settles them");
  });
});

describe("conditions", () => {
  const leaf = (fact: string, operator: string, needed: LeafTrace["needed"], actual: LeafTrace["actual"]) =>
    ({ op: "leaf", fact, operator, needed, actual, verdict: "true" }) satisfies LeafTrace;
  const sayer = () => ({ dictionary: job.rulebook.dictionary, names, units: "mm" as const });
  const figureAt = (hole: string, fact: string) => figureOf(finder(job.assembly).hole(hole), fact);
  const say = (one: LeafTrace, verdict: Truth = "true"): string => sayLeaf({ ...one, verdict }, sayer());

  it("carry the hole's own value and what it is measured against", () => {
    expect(say(leaf("headroomMm", "lessThan", 1, 0.6))).toBe("headroom is 0.6 mm, less than the 1 mm wanted");
    expect(say(leaf("thickestMm", "lessThanInclusive", 1, 0.6))).toBe(
      "the thickest layer is 0.6 mm, at most 1 mm",
    );
    expect(say(leaf("headroomMm", "lessThan", 1, 1.2), "false")).toBe(
      "headroom is 1.2 mm, not less than 1 mm",
    );
  });

  it("name the kit's things, not their ids", () => {
    expect(say(leaf("part", "equal", "RIB-4", "RIB-4"))).toBe("the part is rib 4");
    expect(say(leaf("part", "equal", "RIB-4", "TOP-SKIN"), "false")).toBe(
      "the part is the top skin, not rib 4",
    );
    expect(say(leaf("neighbour", "notEqual", "none", "ELEVATOR-SEAL"))).toBe(
      "the surface near the head is the elevator's gap seal",
    );
    expect(say(leaf("overlap", "equal", "ROOT-SKIN", "none"), "false")).toBe(
      "there is no part lying over it",
    );
  });

  it("compare with another fact by name", () => {
    expect(say(leaf("head", "equal", { fact: "drawnHead" }, "flush"))).toBe(
      "the head is flush, the same as the head on the drawing",
    );
  });

  it("that are not known say so and what is asked for", () => {
    expect(say(leaf("headroomMm", "lessThan", 1, null), "unknown")).toBe(
      "headroom is not known (less than 1 mm is asked for)",
    );
  });

  it("that are a yes or no are told as what they mean, with the sum behind them", () => {
    expect(say(leaf("clears", "equal", true, true))).toBe("the head clears");
    expect(say(leaf("clears", "equal", true, false), "false")).toBe("the head does not clear");
    expect(say(leaf("edgeServes", "equal", true, null), "unknown")).toBe(
      "whether the edge distance is enough is not known (yes is asked for)",
    );
    const summed = { ...sayer(), figureAt };
    const at = (fact: string, value: boolean, hole: string): string =>
      sayLeaf(leaf(fact, "equal", value, value), summed, hole);
    expect(at("clears", false, "RIB-3.top.8")).toBe(
      "the head does not clear: gap 1.7 mm at elevator full up less tolerance 0.1 mm less head 1.3 mm leaves 0.3 mm, margin wanted 1 mm",
    );
    expect(at("gripFits", true, "RIB-3.top.1")).toBe(
      "the rivet's grip range holds the stack: 0.5 mm of the top skin plus 0.6 mm of rib 3 makes 1.1 mm, grip range 0.5 to 1.5 mm",
    );
    expect(at("edgeServes", true, "RIB-3.top.1")).toBe(
      "the edge distance is enough: edge distance 11 mm in rib 3, 2 rivet diameters wanted 6.4 mm",
    );
  });

  it("that are ratios are told with what is over what", () => {
    expect(
      sayLeaf(leaf("edgeRatio", "greaterThanInclusive", 2, 3.438), { ...sayer(), figureAt }, "RIB-3.top.1"),
    ).toBe(
      "edge distance is 3.44 diameters, at least the 2 diameters wanted (edge distance 11 mm in rib 3 over rivet diameter 3.2 mm)",
    );
  });

  it("over several holes give the span of their values", () => {
    const at = (actual: number): ConditionTrace => leaf("headroomMm", "lessThan", 1, actual);
    expect(sayConditions([at(0.4), at(0.8), at(0.5)], sayer())).toEqual([
      "headroom is 0.4 to 0.8 mm, less than the 1 mm wanted",
    ]);
  });

  it("only the leaves that decide a verdict are told", () => {
    const yes = leaf("layers", "equal", 2, 2);
    const no: ConditionTrace = { ...leaf("gripMm", "lessThan", 1, 2), verdict: "false" };
    expect(decisive({ op: "all", verdict: "false", of: [yes, no] })).toEqual([no]);
    expect(decisive({ op: "any", verdict: "true", of: [yes, no] })).toEqual([yes]);
    expect(decisive({ op: "all", verdict: "true", of: [yes, yes] })).toEqual([yes, yes]);
    expect(decisive({ op: "not", verdict: "true", of: [no] })).toEqual([no]);
  });

  it("a decided tree always has a leaf that decided it", () => {
    const { tree } = fc.letrec<{ tree: ConditionTrace }>((tie) => ({
      tree: fc.oneof(
        { maxDepth: 4 },
        fc.constantFrom<Truth>("true", "false", "unknown").map(
          (verdict): ConditionTrace => ({
            ...leaf("layers", "equal", 2, verdict === "unknown" ? null : 2),
            verdict,
          }),
        ),
        fc.array(tie("tree"), { minLength: 1, maxLength: 3 }).map(all),
        fc.array(tie("tree"), { minLength: 1, maxLength: 3 }).map(any),
        tie("tree").map(not),
      ),
    }));
    fc.assert(
      fc.property(tree, (trace) => {
        expect(decisive(trace).length).toBeGreaterThan(0);
      }),
    );
  });
});

/** Kleene's strong logic over a list of verdicts. */
function all(of: ConditionTrace[]): ConditionTrace {
  const verdicts = of.map(({ verdict }) => verdict);
  const verdict = verdicts.includes("false") ? "false" : verdicts.includes("unknown") ? "unknown" : "true";
  return { op: "all", verdict, of };
}

function any(of: ConditionTrace[]): ConditionTrace {
  const verdicts = of.map(({ verdict }) => verdict);
  const verdict = verdicts.includes("true") ? "true" : verdicts.includes("unknown") ? "unknown" : "false";
  return { op: "any", verdict, of };
}

function not(one: ConditionTrace): ConditionTrace {
  const opposite = { true: "false", false: "true", unknown: "unknown" } as const;
  return { op: "not", verdict: opposite[one.verdict], of: [one] };
}

describe("a reading said back", () => {
  it.each([
    ["before-closing", { part: "SERVO-MOUNT" }, "What must be set before the trim-servo mount closes?"],
    [
      "may-i",
      { act: "set", hole: "RIB-3.top.1" },
      "May I set rib 3, top flange row, hole 1 from the front now?",
    ],
    ["treatment", { row: "RIB-3.top" }, "What is done to the top flange row of rib 3?"],
    [
      "treatment",
      { family: "RIBS", treatment: "dimple", not: "yes" },
      "Which holes of the ribs are not dimpled?",
    ],
    [
      "treatment",
      { hole: "RIB-3.top.1", head: "flush" },
      "Is rib 3, top flange row, hole 1 from the front flush?",
    ],
    ["stay-open", {}, "Which holes of the tailplane stay open?"],
    ["stay-open", { hole: "RIB-3.top.1" }, "Does rib 3, top flange row, hole 1 from the front stay open?"],
    ["close-later", { milestone: "hinges-lined-up" }, "What can be closed once the hinges are lined up?"],
    ["why", { part: "RIB-4" }, "Why is rib 4 treated so?"],
    ["why", { row: "RIB-1.bottom", attribute: "hold" }, "Why does the bottom flange row of rib 1 stay open?"],
    ["why-not", { part: "RIB-4", treatment: "dimple" }, "Why is rib 4 not dimpled?"],
    ["odd-ones", { family: "RIBS" }, "Which of the ribs differ from the rest?"],
    ["changed", {}, "What did the notices change?"],
    ["notes", { topic: "twist" }, "Notes on twist"],
    ["tell", { row: "RIB-3.top", state: "set" }, "Mark the top flange row of rib 3 as set"],
    ["tell", { milestone: "hinges-lined-up", reached: "yes" }, "Mark as reached: the hinges are lined up"],
    [
      "tell",
      { part: "RIB-3", gate: "deburr", done: "no" },
      "Mark “holes and edges deburred” on rib 3 as not done",
    ],
  ])("%s %o", (form, slots, said) => {
    expect(sayReading(job, form, slots)).toBe(said);
  });
});
