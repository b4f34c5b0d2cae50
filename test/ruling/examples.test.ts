import { describe, expect, it } from "vitest";
import type { FactRecord } from "../../server/facts/types.js";
import { checkExamples } from "../../server/ruling/examples.js";
import { assembly, hole, kit, part } from "../support/by-hand.js";
import { all, book, is, rule } from "./book.js";

const SMALL = kit(
  [],
  [assembly([part("RIB-1")], [hole("RIB-1.top.1", ["RIB-1"]), hole("RIB-1.top.2", ["RIB-1"])])],
);
const HOLES = new Map<string, FactRecord>([
  ["RIB-1.top.1", { kind: "rib", gapMm: 0.5 }],
  ["RIB-1.top.2", { kind: "rib" }],
]);

/** Problems with a rule's examples, as "CODE pointer". */
async function findings(
  examples: readonly object[],
  when = all(is("kind", "rib"), is("gapMm", "lessThan", 1)),
) {
  const rules = [rule("r", when, { head: "flush" }, { examples })];
  const problems = await checkExamples(book(rules, SMALL, { kit: SMALL.id }), HOLES);
  return problems.map((problem) => `${problem.code} ${problem.where.pointer}`);
}

const fires = { facts: { kind: "rib", gapMm: 0.5 }, fires: true };
const not = { facts: { kind: "rib", gapMm: 1.5 }, fires: false };

describe("a rule's own examples", () => {
  it("come out as written, for facts and for holes of the kit", async () => {
    expect(await findings([fires, not, { hole: "RIB-1.top.1", fires: true }])).toEqual([]);
  });

  it("fail where the rule does not fire, or fires and should not", async () => {
    expect(
      await findings([
        { ...not, fires: true },
        { ...fires, fires: false },
      ]),
    ).toEqual(["EXAMPLE_FAILS /rules/0/examples/0", "EXAMPLE_FAILS /rules/0/examples/1"]);
    expect(await findings([fires, not, { hole: "RIB-1.top.1", fires: false }])).toEqual([
      "EXAMPLE_FAILS /rules/0/examples/2",
    ]);
  });

  it("are undecided where the rule should fire and a fact is missing", async () => {
    expect(await findings([{ hole: "RIB-1.top.2", fires: true }, not])).toEqual([
      "EXAMPLE_UNDECIDED /rules/0/examples/0",
    ]);
    expect(await findings([{ facts: { kind: "rib" }, fires: true }, not])).toEqual([
      "EXAMPLE_UNDECIDED /rules/0/examples/0",
    ]);
  });

  it("do not fire where a fact is missing, but that alone shows nothing", async () => {
    const open = { facts: { kind: "rib" }, fires: false };
    expect(await findings([fires, open, not])).toEqual([]);
    expect(await findings([fires, open])).toEqual(["EXAMPLES_MISSING /rules/0/examples"]);
  });

  it("may give a settled attribute as a fact", async () => {
    const rules = [
      rule(
        "r",
        is("head", "flush"),
        { treatment: "dimple" },
        {
          examples: [
            { facts: { head: "flush" }, fires: true },
            { facts: { head: "protruding" }, fires: false },
          ],
        },
      ),
    ];
    expect(await checkExamples(book(rules), new Map())).toEqual([]);
  });
});
