import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Job } from "../../server/ask/types.js";
import { sayImpact } from "../../server/ask/wording/impact-words.js";
import { namesOf } from "../../server/ask/wording/names.js";
import { type RuleSayer, ruleInWords, sayCondition } from "../../server/ask/wording/rule-words.js";
import { leavesOf } from "../../server/ruling/conditions.js";
import type { Condition } from "../../server/ruling/types.js";
import { impactOf } from "../../server/shop/impact.js";
import { orderImpactOf } from "../../server/shop/order-impact.js";
import { jobFromDisk, rowMarks, type TrialRule, trialRules } from "../support/job.js";
import { triedWith } from "../support/tried.js";

const tail = await jobFromDisk();
const door = await jobFromDisk({ kit: "vetch-six" });

const sayerOf = (job: Job): RuleSayer => ({
  dictionary: job.rulebook.dictionary,
  names: namesOf(job),
  units: job.kit.units,
  titleOf: (id) => job.rulebook.byId.get(id)?.title ?? null,
});
const words = (job: Job, id: string) => {
  const rule = job.rulebook.byId.get(id);
  if (!rule) throw new Error(`no rule ${id}`);
  return ruleInWords(rule, sayerOf(job));
};
const is = (fact: string, operator: string, value: unknown) => ({ fact, operator, value }) as Condition;
const said = (condition: Condition, job = tail) => sayCondition(condition, sayerOf(job));

describe("a rule in words", () => {
  it("says where it holds, what it says there, and what it goes before and why", () => {
    const { where, says, overrides, basis, departure } = words(tail, "sedge-two-rib-4-protruding");
    expect(where).toBe("Where the part is rib 4, and the row is top or bottom.");
    expect(says).toEqual(["The head is protruding."]);
    expect(overrides).toEqual([
      "Goes before “Heads are flush where less than 1.0 mm would stay free above them”: The seal is notched over rib 4, so its heads clear although the drawn gap is small.",
    ]);
    expect(basis).toContain("Manual: Sedge Two build manual");
    expect(departure).toBeNull();
  });

  it("says a yes or a no as what it means", () => {
    for (const clears of [
      { all: [is("clears", "equal", false)] },
      { all: [is("clears", "notEqual", true)] },
      { not: is("clears", "equal", true) },
    ] as const)
      expect(said(clears as Condition)).toBe("the head does not clear");
    expect(said({ all: [is("clears", "equal", true)] })).toBe("the head clears");
  });

  it("says every claim by itself", () => {
    expect(words(tail, "sedge-two-dimple-flush").says).toEqual([
      "The hole is dimpled in every layer.",
      "The finished hole is 4.1 mm.",
      "The rivet is CR-40-6 (4.0 x 6 countersunk pulled rivet).",
    ]);
  });

  it("rounds no number away: a review goes by them", () => {
    expect(words(tail, "handbook-dimple-thin").where).toContain("at most 1.016 mm");
    expect(words(door, "vetch-six-doubler-edge").says).toEqual([
      "Edge distance must be at least 25/64 in (9.922 mm).",
    ]);
  });

  it("tells a demand from a wish, and a limit from both", () => {
    expect(words(tail, "sedge-two-tray-before-top-skin").says).toEqual([
      "The rivet is set before the top skin comes on.",
    ]);
    expect(words(tail, "sedge-two-hinges-after-top-skin").says).toEqual([
      "The rivet had better be set after the top skin is on.",
    ]);
    expect(words(tail, "handbook-pitch-most").says).toEqual(["Pitch must be at most 10 diameters."]);
  });

  it("says how long a hole stays open, and where it need not", () => {
    expect(words(tail, "sedge-two-hold-hinges").says).toEqual([
      "The hole stays open until the hinges are lined up.",
    ]);
    expect(words(tail, "sedge-two-root-rib-bottom-at-once").says).toEqual(["The hole need not stay open."]);
  });

  it("lists long conditions by what joins them", () => {
    const { conditions } = words(door, "vetch-six-corner-before-doubler");
    expect(conditions.map(({ depth, said: line }) => `${"- ".repeat(depth)}${line}`)).toEqual([
      "at least one of these:",
      "- the part is gusset 3",
      "- all of these:",
      "- - the row is bottom frame member, outer flange row",
      "- - the number from the row's other end is at most 2",
      "- all of these:",
      "- - the row is aft frame member, outer flange row",
      "- - the number in its row is at most 2",
    ]);
  });

  it("says the agreement that a departure rests on", () => {
    const rule = tail.rulebook.byId.get("sedge-two-rib-4-protruding");
    if (!rule) throw new Error("no rule");
    const departing = { ...rule, departure: { from: ["sedge-two-flush-under-seal"], reference: "letter 4" } };
    expect(ruleInWords(departing, sayerOf(tail)).departure).toBe(
      "Departs from “Heads are flush where less than 1.0 mm would stay free above them”. The kit maker's agreement: letter 4.",
    );
  });
});

describe("one condition in words", () => {
  it.each([
    [is("overlap", "equal", "none"), "there is no part lying over it"],
    [is("neighbour", "notEqual", "none"), "there is a surface near the head"],
    [is("head", "equal", { fact: "drawnHead" }), "the head is the same as the head on the drawing"],
    [is("row", "notIn", ["top", "bottom", "rear"]), "the row is neither top, bottom nor rear"],
    [is("through", "contains", "RIB-4"), "rib 4 is in the stack"],
    [{ not: is("headroomMm", "lessThan", 1) }, "headroom is at least 1 mm"],
    [
      { not: { any: [is("number", "equal", 1), is("drawnHead", "equal", "flush")] } },
      "the number in its row is not 1 and the head on the drawing is not flush",
    ],
    [
      { all: [is("edgeMm", "greaterThanInclusive", 5), is("edgeMm", "lessThanInclusive", 8)] },
      "edge distance is from 5 mm to 8 mm",
    ],
    [
      { any: [is("edgeMm", "greaterThanInclusive", 8), is("edgeMm", "lessThanInclusive", 5)] },
      "either edge distance is at least 8 mm or edge distance is at most 5 mm",
    ],
  ] as const)("%j", (condition, expected) => {
    expect(said(condition as Condition)).toBe(expected);
  });

  it("twice not says the same as not at all, and every number is named", () => {
    const leaf = fc
      .tuple(
        fc.constantFrom("edgeMm", "gripMm", "pitchMm"),
        fc.constantFrom("lessThan", "lessThanInclusive", "greaterThan", "greaterThanInclusive", "equal"),
        fc.integer({ min: 1, max: 99 }),
      )
      .map(([fact, operator, value]) => is(fact, operator, value));
    const tree = fc.letrec<{ tree: Condition }>((tie) => ({
      tree: fc.oneof(
        { maxDepth: 3 },
        leaf,
        fc.array(tie("tree"), { minLength: 1, maxLength: 3 }).map((all) => ({ all })),
        fc.array(tie("tree"), { minLength: 1, maxLength: 3 }).map((any) => ({ any })),
        tie("tree").map((not) => ({ not })),
      ),
    })).tree;
    fc.assert(
      fc.property(tree, (condition) => {
        expect(said({ not: { not: condition } })).toBe(said(condition));
        for (const { value } of leavesOf(condition)) expect(said(condition)).toContain(`${value} mm`);
      }),
    );
  });
});

describe("what a change of rules would do, in words", () => {
  const rule = (more: Partial<TrialRule> & Pick<TrialRule, "family" | "params">): TrialRule => ({
    id: "trial",
    title: "Rib 5 flush",
    rank: "shop",
    conditions: { all: [is("rowId", "equal", "RIB-5.top")] },
    fires: "RIB-5.top.1",
    spares: "RIB-4.top.1",
    ...more,
  });
  const told = async (before: Job, trial: TrialRule) => {
    const after = await triedWith(before, trialRules(trial));
    const impact = impactOf(before, after);
    return sayImpact(impact, orderImpactOf(before, after, impact), sayerOf(after));
  };

  it("begins with what is done already and would be wrong", async () => {
    const before = await jobFromDisk({ marks: rowMarks(tail, "RIB-5.top", "set").slice(1, 4) });
    const [first] = await told(before, rule({ family: "treatment", params: { head: "flush" } }));
    expect(first).toEqual({
      kind: "done wrong",
      what: "set already, with the head ruled protruding, now flush",
      said: "Rib 5, top flange row, holes 2–4 from the front: set already, with the head ruled protruding, now flush.",
      holes: ["RIB-5.top.2", "RIB-5.top.3", "RIB-5.top.4"],
    });
  });

  it("says what was and what will be", async () => {
    const lines = await told(tail, rule({ family: "treatment", params: { head: "flush" } }));
    expect(lines.map(({ said: line }) => line)).toContain(
      "Rib 5, top flange row, holes 1–6 from the front: treatment as punched → dimple.",
    );
  });

  it("says that a hold and a closing cannot both be kept", async () => {
    const lines = await told(
      tail,
      rule({
        family: "hold",
        params: { hold: "twist-checked" },
        conditions: { all: [is("rowId", "equal", "RIB-3.rear")] },
        fires: "RIB-3.rear.1",
      }),
    );
    expect(lines.find(({ kind }) => kind === "contradiction")?.said).toMatch(/both cannot be\.$/);
  });

  it("says that a shop rule against the manual needs an agreement", async () => {
    const lines = await told(
      tail,
      rule({
        family: "treatment",
        params: { head: "flush" },
        conditions: { all: [is("part", "equal", "RIB-4")] },
        fires: "RIB-4.top.1",
        spares: "RIB-5.top.1",
      }),
    );
    expect(lines.find(({ kind }) => kind === "departure")?.said).toContain(
      "“Rib 5 flush” contradicts “Rib 4's heads stay protruding” on the head",
    );
  });

  it("says nothing where nothing changes", async () => {
    const lines = await told(
      tail,
      rule({
        family: "treatment",
        params: { head: "protruding" },
        conditions: { all: [is("rowId", "equal", "RIB-5.front")] },
        fires: "RIB-5.front.1",
      }),
    );
    expect(lines).toEqual([]);
  });
});
