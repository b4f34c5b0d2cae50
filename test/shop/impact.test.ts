import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Job } from "../../server/ask/types.js";
import type { Mark } from "../../server/kit/work.js";
import { stateOf } from "../../server/kit/work.js";
import { beforeClosing } from "../../server/order/closing.js";
import { planOf } from "../../server/order/plan.js";
import { Problem } from "../../server/problem.js";
import { ruleOn } from "../../server/ruling/rule.js";
import { impactOf } from "../../server/shop/impact.js";
import { orderImpactOf } from "../../server/shop/order-impact.js";
import type { SourceFile } from "../../server/source.js";
import {
  allGatesDone,
  jobFromDisk,
  rowMarks,
  ruleFiles,
  type TrialRule,
  trialRules,
} from "../support/job.js";
import { seeded } from "../support/random.js";
import { Draw } from "../support/random-rules.js";
import { triedUnder, triedWith } from "../support/tried.js";

const PLAIN = await jobFromDisk();

const at = (fact: string, value: unknown) => ({ all: [{ fact, operator: "equal", value }] });

/** A shop rule about one row, and what it would do to the tailplane with these marks. */
async function tried(
  rule: Partial<TrialRule> & Pick<TrialRule, "family" | "params">,
  marks: readonly Mark[] = [],
) {
  const before = await jobFromDisk({ marks });
  const written: TrialRule = {
    id: "trial",
    rank: "shop",
    conditions: at("rowId", "RIB-5.top"),
    fires: "RIB-5.top.1",
    spares: "RIB-4.top.1",
    ...rule,
  };
  const after = await triedWith(before, trialRules(written));
  const impact = impactOf(before, after);
  return { impact, order: orderImpactOf(before, after, impact) };
}

const flush = { family: "treatment" as const, params: { head: "flush" } };
const holes = (row: string, count: number) => Array.from({ length: count }, (_, i) => `${row}.${i + 1}`);

describe("a rule that is tried", () => {
  it("changes what its claim changes, and what follows from that", async () => {
    const { impact } = await tried(flush);
    expect(impact.rules).toEqual([{ rule: "trial", what: "added" }]);
    const first = impact.changed.filter(({ hole }) => hole === "RIB-5.top.1");
    expect(first.map(({ attribute, before, after }) => [attribute, before.value, after.value])).toEqual([
      ["head", "protruding", "flush"],
      ["finalDiameterMm", 3.3, 4.1],
      ["rivet", "PR-32-5", "CR-40-6"],
      ["treatment", "as punched", "dimple"],
    ]);
    expect(new Set(impact.changed.map(({ hole }) => hole.split(".").slice(0, 2).join(".")))).toEqual(
      new Set(["RIB-5.top"]),
    );
    expect(impact.added.map(({ rule }) => rule)).toEqual(["sedge-two-flush-edge", "sedge-two-flush-pitch"]);
    expect(impact).toMatchObject({ conflicts: [], undecided: [], doneWrong: [], departures: [] });
  });

  it("that repeats what is so anyway changes nothing", async () => {
    const { impact, order } = await tried({
      family: "treatment",
      params: { head: "protruding" },
      conditions: at("rowId", "RIB-5.front"),
      fires: "RIB-5.front.1",
    });
    expect(impact).toMatchObject({ changed: [], added: [], doneWrong: [] });
    expect(order).toEqual({ closings: [], contradictions: [], plan: null });
  });

  it("puts rivets in the wrong that are set already", async () => {
    const { impact } = await tried(flush, rowMarks(PLAIN, "RIB-5.top", "set").slice(0, 3));
    const heads = impact.doneWrong.filter((one) => one.what === "set" && one.attribute === "head");
    expect(heads).toMatchObject(
      holes("RIB-5.top", 3).map((hole) => ({
        hole,
        certain: true,
        before: { value: "protruding" },
        after: { value: "flush" },
      })),
    );
  });

  it("calls for a dimple on parts whose gate is marked as done, at the holes that are still open", async () => {
    const { impact } = await tried(flush, allGatesDone(PLAIN));
    const gates = impact.doneWrong.filter((one) => one.what === "gate" && one.gate === "dimple");
    expect(gates).toContainEqual({
      what: "gate",
      part: "TOP-SKIN",
      gate: "dimple",
      hole: "RIB-5.top.1",
      needed: "true",
    });
    expect(gates).toContainEqual({
      what: "gate",
      part: "RIB-5",
      gate: "dimple",
      hole: "RIB-5.top.1",
      needed: "true",
    });
  });

  it("calls for a countersink in the sheet under the head alone", async () => {
    const { impact } = await tried(
      { family: "treatment", params: { treatment: "countersink" } },
      allGatesDone(PLAIN),
    );
    const gates = impact.doneWrong.filter((one) => one.what === "gate" && one.gate === "countersink");
    expect(new Set(gates.map((one) => (one.what === "gate" ? one.part : "")))).toEqual(new Set(["TOP-SKIN"]));
  });

  it("holds open what is riveted already", async () => {
    const { impact, order } = await tried(
      { family: "hold", params: { hold: "twist-checked" } },
      rowMarks(PLAIN, "RIB-5.top", "set").slice(0, 1),
    );
    expect(impact.doneWrong).toEqual([
      { what: "set though held", hole: "RIB-5.top.1", until: "twist-checked" },
    ]);
    // 7 and 8 stay open anyway: they are to be dimpled, and the skin no longer comes off.
    expect(order.plan?.leftOpen.gained).toEqual(holes("RIB-5.top", 6).slice(1));
  });

  it("is no matter where the milestone is reached", async () => {
    const reached: Mark = { kind: "milestone", milestone: "twist-checked", reached: true };
    const { impact } = await tried({ family: "hold", params: { hold: "twist-checked" } }, [
      reached,
      ...rowMarks(PLAIN, "RIB-5.top", "set"),
    ]);
    expect(impact.doneWrong).toEqual([]);
  });

  it("holds open what must be set before a part closes, and the contradiction is told", async () => {
    const { order } = await tried({
      family: "hold",
      params: { hold: "twist-checked" },
      conditions: at("rowId", "RIB-3.rear"),
      fires: "RIB-3.rear.1",
    });
    const mount = order.contradictions.filter(({ part }) => part === "SERVO-MOUNT");
    expect(mount.map(({ hole }) => hole)).toEqual(holes("RIB-3.rear", 3));
  });

  it("wants rivets set before a part closes", async () => {
    const { impact, order } = await tried({
      family: "order",
      params: { before: "BOTTOM-SKIN", strength: "must" },
    });
    expect(impact.changed).toEqual([]);
    expect(impact.added).toMatchObject([{ rule: "trial", before: null }]);
    expect(order.closings).toMatchObject([
      { part: "BOTTOM-SKIN", mustBefore: { gained: holes("RIB-5.top", 8), lost: [] } },
    ]);
    expect(order.plan).toMatchObject({ after: { status: "open" }, stepsDiffer: true });
  });

  it("comes too late where that part is on and the rivets are open, or set without the part they come after", async () => {
    const before = await tried(
      { family: "order", params: { before: "BOTTOM-SKIN", strength: "must" } },
      rowMarks(PLAIN, "RIB-5.bottom", "set"),
    );
    expect(before.impact.doneWrong).toMatchObject(
      holes("RIB-5.top", 8).map((hole) => ({
        what: "out of order",
        hole,
        relation: "before",
        part: "BOTTOM-SKIN",
      })),
    );
    const later = await tried(
      { family: "order", params: { after: "BOTTOM-SKIN", strength: "must" } },
      rowMarks(PLAIN, "RIB-5.top", "set"),
    );
    expect(later.impact.doneWrong).toHaveLength(8);
    const wish = await tried(
      { family: "order", params: { after: "BOTTOM-SKIN", strength: "prefer" } },
      rowMarks(PLAIN, "RIB-5.top", "set"),
    );
    expect(wish.impact.doneWrong).toEqual([]);
  });

  it("sets a limit that rivets in place do not keep", async () => {
    const limit = { family: "limit" as const, params: { fact: "edgeMm", min: 50 } };
    const { impact, order } = await tried(limit, rowMarks(PLAIN, "RIB-5.top", "set").slice(0, 2));
    expect(impact.doneWrong).toMatchObject(
      holes("RIB-5.top", 2).map((hole) => ({
        what: "set outside a limit",
        hole,
        rule: "trial",
        certain: true,
      })),
    );
    expect(order.plan?.leftOpen.gained).toEqual(holes("RIB-5.top", 6).slice(2));
  });

  it("brings a conflict where nothing decides, and leaves undecided what hangs on it", async () => {
    const { impact } = await tried({
      ...flush,
      rank: "manual",
      conditions: { all: [{ fact: "rowId", operator: "in", value: ["RIB-4.top", "RIB-6.top"] }] },
      fires: "RIB-4.top.1",
      spares: "RIB-5.top.1",
    });
    const torn = impact.conflicts.filter(({ hole }) => hole === "RIB-4.top.1");
    expect(torn).toMatchObject([
      { attribute: "head", before: { value: "protruding" }, after: { value: null } },
    ]);
    expect(impact.undecided.map(({ hole }) => hole)).toContain("RIB-4.top.1");
  });

  it("departs from the manual, declared or not", async () => {
    const rib4 = { ...flush, conditions: at("part", "RIB-4"), fires: "RIB-4.top.1", spares: "RIB-5.top.1" };
    const { impact } = await tried(rib4);
    const from = { rule: "trial", from: "sedge-two-rib-4-protruding", attribute: "head" };
    expect(impact.departures).toMatchObject([{ ...from, declared: false }]);
    expect(impact.departures[0]?.holes).toContain("RIB-4.top.8");
    expect(impact.changed.filter(({ hole }) => hole === "RIB-4.top.8")).toEqual([]);
    const agreed = await tried({
      ...rib4,
      departure: { from: ["sedge-two-rib-4-protruding"], reference: "letter 4" },
    });
    expect(agreed.impact.departures).toMatchObject([{ ...from, declared: true }]);
    expect(agreed.impact.changed.map(({ hole }) => hole)).toContain("RIB-4.top.8");
  });

  it("is taken back: what it changed changes back", async () => {
    const before = await jobFromDisk({
      moreRules: [
        trialRules({
          id: "trial",
          rank: "shop",
          ...flush,
          conditions: at("rowId", "RIB-5.top"),
          fires: "RIB-5.top.1",
          spares: "RIB-4.top.1",
        }),
      ],
    });
    const after = await triedUnder(before, ruleFiles());
    const impact = impactOf(before, after);
    expect(impact.rules).toEqual([{ rule: "trial", what: "retired" }]);
    expect(impact.departures).toEqual([]);
    expect(impact.changed).toContainEqual(
      expect.objectContaining({
        hole: "RIB-5.top.1",
        attribute: "head",
        after: expect.objectContaining({ value: "protruding" }),
      }),
    );
  });

  it("is told as unchanged when only another place in the files holds it", async () => {
    const moved = ruleFiles().map((file) => ({ ...file, path: `moved/${file.path}` }));
    const impact = impactOf(PLAIN, await triedUnder(PLAIN, moved));
    expect(impact).toMatchObject({ rules: [], changed: [], added: [] });
  });

  it("is not compared over other holes", async () => {
    const door = await jobFromDisk({ kit: "vetch-six" });
    expect(() => impactOf(PLAIN, door)).toThrow("not of the same holes");
  });
});

type WrittenRule = Readonly<Record<string, unknown>> & { readonly id: string; readonly conditions: object };

/** The demo's own rules as they are written, with one added, changed or taken out at random. */
function disturbed(job: Job, seed: number): readonly SourceFile[] {
  const draw = new Draw(seeded(seed));
  const files = ruleFiles().map(({ path, text }) => ({
    path,
    json: JSON.parse(text) as { readonly kit?: string; readonly rules: readonly WrittenRule[] },
  }));
  const own = files.filter(({ json }) => json.kit === undefined || json.kit === job.kit.id);
  const target = draw.of(own);
  const act = draw.of(["add", "add", "add", "retire", "claim", "condition"]);
  const named = JSON.stringify(files.map(({ json }) => json.rules.map((rule) => rule.overrides)));
  const retirable = target.json.rules.filter(({ id }) => !named.includes(`"${id}"`));
  const one = draw.of(target.json.rules);
  const rules =
    act === "add"
      ? [...target.json.rules, randomRule(draw, job, target.json.kit !== undefined)]
      : act === "retire"
        ? target.json.rules.filter((rule) => rule !== draw.of(retirable))
        : target.json.rules.map((rule) =>
            rule !== one
              ? rule
              : act === "claim"
                ? { ...rule, ...claim(draw, job) }
                : { ...rule, conditions: { any: [rule.conditions, leafAt(draw, job)] } },
          );
  return files.map(({ path, json }) => ({
    path,
    text: JSON.stringify(path === target.path ? { ...json, rules } : json),
  }));
}

function randomRule(draw: Draw, job: Job, ofKit: boolean): WrittenRule {
  const leaves = Array.from({ length: 1 + draw.below(2) }, () => leafAt(draw, job));
  return {
    id: "drawn",
    title: "Drawn",
    basis: {
      rank: ofKit ? draw.of(["notice", "manual", "shop", "handbook"]) : "handbook",
      document: "drawn",
      place: "1",
    },
    why: "drawn",
    conditions: draw.chance(0.7) ? { all: leaves } : { any: leaves },
    examples: [
      { facts: {}, fires: true },
      { facts: {}, fires: false },
    ],
    ...claim(draw, job),
  };
}

function claim(draw: Draw, job: Job): { readonly family: string; readonly event: object } {
  const part = draw.of(job.assembly.closings);
  const [family, params] = draw.of<readonly [string, object]>([
    ["treatment", { head: draw.of(["flush", "protruding"]) }],
    ["treatment", { head: draw.of(["flush", "protruding"]) }],
    ["hold", { hold: draw.of(["none", ...job.assembly.milestones.map(({ id }) => id)]) }],
    ["order", { [draw.of(["before", "after"])]: part, strength: draw.of(["must", "prefer"]) }],
    ["order", { before: part, strength: "must" }],
    ["limit", { fact: draw.of(["edgeMm", "pitchMm", "headroomMm"]), min: 5 + draw.below(20) }],
    ["caution", { text: "Mind it.", acts: ["drill"] }],
  ]);
  return { family, event: { type: family, params } };
}

/** A condition that some hole of the kit meets, on a fact that a rule for any kit may name as well. */
function leafAt(draw: Draw, job: Job): object {
  const record = draw.of(job.facts);
  const fact = draw.of([
    "rivetMm",
    "gripMm",
    "edgeMm",
    "thickestMm",
    "number",
    "drawnHead",
    "state",
    "head",
    "headroomMm",
    "layers",
  ]);
  const value = record[fact] ?? (fact === "head" ? draw.of(["flush", "protruding"]) : 1);
  if (typeof value === "string") return { fact, operator: draw.of(["equal", "notEqual"]), value };
  return { fact, operator: draw.of(["equal", "lessThanInclusive", "greaterThan"]), value };
}

/** The same job under these rules, everything worked out anew. */
async function anew(job: Job, rules: readonly SourceFile[]): Promise<Job> {
  const under = await triedUnder(job, rules);
  return { ...under, rulings: await ruleOn(under.rulebook, job.rulings.ids, [...job.facts]) };
}

/** Every attribute of every hole, as "hole attribute status value". */
function outcomes({ rulings }: Job): ReadonlyMap<string, string> {
  return new Map(
    rulings.ids.flatMap((hole) =>
      Object.values(rulings.of(hole).attributes).map(({ attribute, status, value, unsettled }) => [
        `${hole} ${attribute}`,
        `${status} ${value} ${unsettled.length > 0}`,
      ]),
    ),
  );
}

/** What adds up at every hole, as "hole rule" → its claim and whether it holds. */
function sums({ rulings, rulebook }: Job): ReadonlyMap<string, string> {
  const rules = rulebook.rules.filter(({ family }) => ["order", "limit", "caution"].includes(family));
  return new Map(
    rulings.ids.flatMap((hole) =>
      rules.flatMap(({ id, event }) => {
        const { verdict } = rulings.conditions(hole, id);
        return verdict === "false" ? [] : [[`${hole} ${id}`, `${verdict} ${JSON.stringify(event)}`] as const];
      }),
    ),
  );
}

function differing(a: ReadonlyMap<string, string>, b: ReadonlyMap<string, string>): string[] {
  return [...new Set([...a.keys(), ...b.keys()])].filter((key) => a.get(key) !== b.get(key)).sort();
}

describe("for any change of the demo kits' rules", { timeout: 120_000 }, () => {
  it.each(["sedge-two", "vetch-six"])(
    "the impact on %s is what working everything out anew shows",
    async (kit) => {
      const bare = await jobFromDisk({ kit });
      const rows = bare.assembly.rows.filter((_, i) => i % 11 === 0);
      const before = await jobFromDisk({
        kit,
        marks: [...allGatesDone(bare), ...rows.flatMap(({ id }) => rowMarks(bare, id, "set"))],
      });
      // Conflicts and closings come by luck here and have examples of their own above.
      const seen = { changed: 0, added: 0, plans: 0, tries: 0 };
      await fc.assert(
        fc.asyncProperty(fc.integer({ min: 0, max: 100_000 }), async (seed) => {
          const rules = disturbed(before, seed);
          let after: Job;
          try {
            after = await triedUnder(before, rules);
          } catch (error) {
            // Drawn rules may be refused: a circle of attributes, a departure that is none.
            if (error instanceof Problem) return;
            throw error;
          }
          seen.tries++;
          const full = await anew(before, rules);
          const impact = impactOf(before, after);
          expect(impact.changed.map(({ hole, attribute }) => `${hole} ${attribute}`).sort()).toEqual(
            differing(outcomes(before), outcomes(full)),
          );
          for (const { hole, attribute, before: was, after: is } of impact.changed) {
            expect(before.rulings.of(hole).attributes[attribute]).toMatchObject(was);
            expect(full.rulings.of(hole).attributes[attribute]).toMatchObject(is);
          }
          expect(
            impact.added.flatMap(({ rule, holes: list }) => list.map(({ hole }) => `${hole} ${rule}`)).sort(),
          ).toEqual(differing(sums(before), sums(full)));
          const torn = (job: Job) =>
            job.rulings.ids.flatMap((hole) =>
              Object.values(job.rulings.of(hole).attributes)
                .filter(({ status }) => status === "conflict")
                .map(({ attribute }) => `${hole} ${attribute}`),
            );
          const known = new Set(torn(before));
          expect(impact.conflicts.map(({ hole, attribute }) => `${hole} ${attribute}`).sort()).toEqual(
            torn(full)
              .filter((one) => !known.has(one))
              .sort(),
          );
          const wrong = impact.doneWrong.filter(({ what }) => what === "set").map(({ hole }) => hole);
          expect(new Set(wrong)).toEqual(
            new Set(
              impact.changed
                .filter(({ hole, attribute }) => attribute !== "hold" && stateOf(before.work, hole) === "set")
                .map(({ hole }) => hole),
            ),
          );

          const order = orderImpactOf(before, after, impact);
          // Why a part stays off may be told otherwise while the plan stays the same.
          const steps = [before, full].map((job) => {
            const plan = planOf(job);
            return JSON.stringify({ ...plan, leftOpen: [], leftOff: plan.leftOff.map(({ part }) => part) });
          });
          expect(order.plan?.stepsDiffer ?? false).toBe(
            JSON.stringify(planOf(before).steps) !== JSON.stringify(planOf(full).steps),
          );
          if (order.plan === null) expect(steps[1]).toBe(steps[0]);
          const mustBefore = (job: Job, part: string) =>
            beforeClosing(job.assembly, job.reach, job.work, part, job.rulings);
          const closings = before.assembly.parts.filter(({ id }) => {
            const [was, is] = [mustBefore(before, id), mustBefore(full, id)];
            const ids = (list: typeof was.mustBefore) => list.map(({ hole }) => hole).join(" ");
            return ids(was.mustBefore) !== ids(is.mustBefore) || ids(was.undecided) !== ids(is.undecided);
          });
          expect(order.closings.map(({ part }) => part)).toEqual(closings.map(({ id }) => id));
          const contradicted = before.assembly.parts.flatMap(({ id }) => {
            const had = new Set(mustBefore(before, id).contradictions.map(({ hole }) => hole));
            return mustBefore(full, id)
              .contradictions.filter(({ hole }) => !had.has(hole))
              .map(({ hole }) => `${id} ${hole}`);
          });
          expect(order.contradictions.map(({ part, hole }) => `${part} ${hole}`)).toEqual(contradicted);

          seen.changed += impact.changed.length;
          seen.added += impact.added.length;
          if (order.plan) seen.plans++;
        }),
        { numRuns: 40 },
      );
      for (const [what, count] of Object.entries(seen)) expect(count, what).toBeGreaterThan(0);
      expect(seen.tries).toBeGreaterThan(15);
    },
  );
});
