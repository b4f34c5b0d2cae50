import { describe, expect, it } from "vitest";
import type { RuleInFile } from "../../server/ruling/schema.js";
import { aRule, itsHoles } from "./a-rule.js";
import { kit, library, openShop, place, type Shop } from "./shop.js";

const preview = (shop: Shop, rule: object, more: object = {}) =>
  shop.request.post("/api/rules/preview").send({ ...place, rule, ...more });

/** The manual's rule that leaves some heads protruding, turned round by the shop. */
const manual = library
  .rulebookOf(kit.id)
  .rules.find(({ basis, event, kit: of }) => of === kit.id && basis.rank === "manual" && event.params.head);
if (!manual) throw new Error("The demo kit's manual says nothing of heads.");
const otherHead = manual.event.params.head === "flush" ? "protruding" : "flush";
const departing: RuleInFile = {
  ...aRule("other-heads"),
  family: "treatment",
  conditions: manual.conditions as RuleInFile["conditions"],
  event: { type: "treatment", params: { head: otherHead } },
  examples: manual.examples.map((example) => ({ ...example })) as RuleInFile["examples"],
  departure: { from: [manual.id], reference: "Letter of 3 May 2031" },
};

describe("the preview of a rule", () => {
  it("tells it in words, with the holes it holds at and its examples, and records nothing", async () => {
    const shop = await openShop();
    const { body } = await preview(shop, aRule("wooden-bar")).expect(200);
    expect(body.problems).toEqual([]);
    expect(body.matched).toEqual({ count: itsHoles.length, holes: itsHoles });
    expect(body.unknown.count).toBe(0);
    expect(body.words.said).toContain("Back the flange up with the wooden bar.");
    expect(body.examples.map(({ comesOut }: { comesOut: boolean }) => comesOut)).toEqual([true, true]);
    expect(body.impact.changed).toEqual([]);
    expect(shop.book.version()).toBe(0);
  });

  it("tells what would be otherwise: rulings, conflicts, and work that is done already", async () => {
    const shop = await openShop();
    const before = await preview(shop, departing).expect(200);
    expect(before.body.departures).toContainEqual(
      expect.objectContaining({ from: manual.id, declared: true, attribute: "head" }),
    );
    const heads = before.body.impact.changed.filter(
      ({ attribute }: { attribute: string }) => attribute === "head",
    ) as { hole: string; after: { value: string } }[];
    expect(heads.length).toBeGreaterThan(0);
    expect(heads.map(({ after }) => after.value)).toEqual(heads.map(() => otherHead));
    expect(before.body.impact.doneWrong).toEqual([]);
    expect(before.body.impact.said.length).toBeGreaterThan(0);

    const hole = heads[0]?.hole;
    await shop.request
      .post("/api/marks")
      .set({ "idempotency-key": "set", "if-match": "*" })
      .send({ ...place, marks: [{ kind: "hole", hole, state: "set" }] })
      .expect(200);
    const after = await preview(shop, departing).expect(200);
    expect(after.body.impact.doneWrong).toContainEqual(
      expect.objectContaining({ what: "set", hole, attribute: "head" }),
    );
  });

  it("leaves plan and closings out when asked to, and says the same of the rulings", async () => {
    const shop = await openShop();
    const [whole, quick] = [await preview(shop, departing), await preview(shop, departing, { plan: false })];
    expect(quick.body.impact.plan).toBeNull();
    expect(quick.body.impact.changed).toEqual(whole.body.impact.changed);
  });

  it("tells what a rule would do before its reason and its examples are written, and that they are wanting", async () => {
    const shop = await openShop();
    const whole = await preview(shop, departing, { plan: false });
    const { why: _why, ...rest } = departing;
    const basis = { rank: "shop", document: "", place: "", dated: "" };
    const { body } = await preview(shop, { ...rest, title: "", basis, examples: [] }, { plan: false });
    expect(body.impact.changed).toEqual(whole.body.impact.changed);
    expect(body.impact.changed.length).toBeGreaterThan(0);
    expect(body.matched).toEqual(whole.body.matched);
    expect(body.examples).toEqual([]);
    expect(body.findings.map(({ kind }: { kind: string }) => kind)).not.toContain("example fails");
    const pointers = body.problems.map(({ pointer }: { pointer: string }) => pointer);
    expect(pointers).toEqual(expect.arrayContaining(["/title", "/examples", "/basis/dated"]));
    expect(body.problems.map(({ detail }: { detail: string }) => detail)).toContain('"why" is missing.');
  });

  it("tells nothing of what a rule would do whose conditions are wrong", async () => {
    const shop = await openShop();
    const conditions = { all: [{ fact: "partt", operator: "equal", value: "X" }] };
    const { body } = await preview(shop, { ...departing, why: "", conditions });
    expect(body.impact).toBeNull();
    expect(body.words).toBeNull();
    expect(body.problems).toContainEqual(
      expect.objectContaining({ code: "FACT_UNKNOWN", pointer: "/conditions/all/0/fact" }),
    );
  });

  it("tells a failing example by its place", async () => {
    const rule = aRule("wooden-bar");
    const [fires] = rule.examples;
    const { body } = await preview(await openShop(), {
      ...rule,
      examples: [...rule.examples, { ...fires, fires: false }],
    }).expect(200);
    expect(body.examples.map(({ comesOut }: { comesOut: boolean }) => comesOut)).toEqual([true, true, false]);
    expect(body.findings).toContainEqual(
      expect.objectContaining({ kind: "example fails", severity: "error", pointer: "/examples/2" }),
    );
  });

  it.each<[string, object, string]>([
    ["nothing", {}, ""],
    [
      "a fact with a slip",
      { conditions: { all: [{ fact: "rowIdd", operator: "equal", value: "a" }] } },
      "/conditions/all/0/fact",
    ],
    [
      "a regular expression bomb for a value",
      { conditions: { all: [{ fact: "rowId", operator: "equal", value: `(${"a+".repeat(40)})+$` }] } },
      "/conditions/all/0/value",
    ],
  ])("of a rule with %s tells what is wrong and where, and how to go on", async (_what, changes, pointer) => {
    const shop = await openShop();
    const rule = Object.keys(changes).length === 0 ? {} : { ...aRule("half"), ...changes };
    const { body } = await preview(shop, rule).expect(200);
    expect(body).toMatchObject({ words: null, impact: null, matched: { count: 0, holes: [] } });
    expect(body.problems.map((problem: { pointer: string }) => problem.pointer)).toContainEqual(
      expect.stringContaining(pointer),
    );
    for (const { fix } of body.problems) expect(fix).not.toBe("");
    expect(shop.unforeseen).toEqual([]);
  });

  it("of a kit or an assembly that is not there is refused", async () => {
    const shop = await openShop();
    const rule = aRule("wooden-bar");
    expect((await preview(shop, rule, { kit: "none" }).expect(404)).body.code).toBe("UNKNOWN_KIT");
    expect((await preview(shop, rule, { assembly: "none" }).expect(404)).body.code).toBe("UNKNOWN_ASSEMBLY");
    expect((await preview(shop, [rule]).expect(400)).body.code).toBe("REQUEST_INVALID");
  });
});
