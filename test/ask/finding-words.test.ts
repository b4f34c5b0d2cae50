import { beforeAll, describe, expect, it } from "vitest";
import { findingWords } from "../../server/ask/wording/finding-words.js";
import { namesOf } from "../../server/ask/wording/names.js";
import { anomaliesOf } from "../../server/ruling/anomalies/anomalies.js";
import type { Condition } from "../../server/ruling/types.js";
import { jobFromDisk, type TrialRule, trialRules } from "../support/job.js";
import { triedWith } from "../support/tried.js";

let tail: Awaited<ReturnType<typeof jobFromDisk>>;
beforeAll(async () => {
  tail = await jobFromDisk();
});

/** What is found about a shop rule of the tailplane, each finding as it is said. */
async function saidOf(rule: Pick<TrialRule, "family" | "params" | "conditions">): Promise<readonly string[]> {
  const shop = { id: "trial", rank: "shop", fires: "RIB-3.top.7", spares: "RIB-3.top.1" } as const;
  const job = await triedWith(tail, trialRules({ ...shop, ...rule }));
  const own = job.rulebook.byId.get("trial");
  if (!own) throw new Error("no rule");
  const { rulings, facts: records, rulebook, kit } = job;
  const sayer = { dictionary: rulebook.dictionary, names: namesOf(job), units: kit.units };
  const words = findingWords([{ holes: rulings.ids, sayer }]);
  const findings = await anomaliesOf(rulebook, own, [{ rulings, records }], words);
  return findings.filter(({ kind }) => kind !== "example fails").map(({ said }) => said);
}
const where = (fact: string, operator: string, value: unknown) => ({ fact, operator, value }) as Condition;

describe("what is found about a rule, as a builder reads it", () => {
  it("names holes, claims and what decides as the answers do", async () => {
    const said = await saidOf({
      family: "treatment",
      params: { treatment: "countersink" },
      conditions: { all: [where("rowId", "equal", "RIB-3.top"), where("number", "greaterThan", 6)] },
    });
    expect(said[0]).toContain(
      "at rib 3, top flange row, holes 7 and 8 from the front: treatment countersink against dimple. The other rule goes before: the manual goes before a shop rule",
    );
  });

  it("says conditions that rule each other out in words", async () => {
    const said = await saidOf({
      family: "hold",
      params: { hold: "twist-checked" },
      conditions: { all: [where("gapMm", "lessThan", 1), where("gapMm", "greaterThan", 2)] },
    });
    expect(said).toEqual([
      "The conditions of “trial” can never hold: the gap is less than 1 mm and the gap is more than 2 mm at once cannot be.",
    ]);
  });

  it("says limits with their units", async () => {
    const [said] = await saidOf({
      family: "limit",
      params: { fact: "edgeMm", max: 5 },
      conditions: { all: [where("part", "equal", "RIB-3")] },
    });
    expect(said).toContain("no edge distance keeps both at most 5 mm and at least 10 mm");
  });

  it("holds no fact's name and no hole's id", async () => {
    const said = await saidOf({
      family: "treatment",
      params: { head: "flush" },
      conditions: { all: [where("headroomMm", "lessThan", 1)] },
    });
    expect(said.length).toBeGreaterThan(2);
    for (const text of said) expect(text).not.toMatch(/[a-z]Mm\b|[A-Z]+-\d+\.[a-z]+\.\d/);
  });
});
