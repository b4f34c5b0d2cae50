import { describe, expect, it } from "vitest";
import { makeKey } from "../../server/keys/key.js";
import { memoryKeys } from "../../server/keys/memory.js";
import type { RuleInFile } from "../../server/ruling/schema.js";
import { hashOfRule } from "../../server/shop/life.js";
import { reservedId } from "../../server/shop/rule-id.js";
import type { RuleStep } from "../../server/shop/types.js";
import { memoryBook } from "../../server/store/memory.js";
import { aRule, itsHoles } from "./a-rule.js";
import { assembly, assemblyPath, kit, library, openShop, place, type Shop } from "./shop.js";

const AT = "2031-05-04T10:00:00.000Z";
const ida = await makeKey("Ida", "mentor", AT);
const olaf = await makeKey("Olaf", "mentor", AT);
const sam = await makeKey("Sam", "builder", AT);

const ann = await makeKey("Ann", "builder", AT);

function openWithMentors({ keyNeeded = false } = {}): Promise<Shop> {
  const keys = memoryKeys();
  for (const { stored } of [ida, olaf, sam, ann]) keys.add(stored);
  return openShop(memoryBook(), { keys, keyNeeded });
}

interface Act {
  readonly who?: { readonly shown: string };
  readonly key?: string;
  readonly match?: string;
  readonly by?: string;
}
let acts = 0;
function post({ request }: Shop, path: string, body: object, { who, key, match = "*" }: Act = {}) {
  acts += 1;
  const sent = request.post(path).set({ "idempotency-key": key ?? `act-${acts}`, "if-match": match });
  if (who) sent.set("authorization", `Bearer ${who.shown}`);
  return sent.send(body);
}
const save = (shop: Shop, rule: object, act: Act = {}) =>
  post(shop, "/api/rules", { kit: kit.id, rule, ...(act.by && { by: act.by }) }, act);
const step = (
  shop: Shop,
  what: RuleStep,
  rule: RuleInFile,
  revision: number,
  act: Act & { more?: object } = {},
) =>
  post(
    shop,
    `/api/rules/${rule.id}/${what}`,
    { kit: kit.id, revision, hash: hashOfRule(rule), ...act.more },
    act,
  );
const ask = (shop: Shop, more: object = {}) =>
  shop.request
    .post("/api/ask")
    .send({ ...place, form: "treatment", slots: { hole: itsHoles[0] }, ...more })
    .expect(200);
const inRules = async (shop: Shop, id: string) => {
  const { body } = await shop.request.get(`/api/rules?kit=${kit.id}`).expect(200);
  return (body.rules as { id: string; file: string }[]).find((rule) => rule.id === id);
};
const caution = "Back the flange up with the wooden bar.";

describe("a rule of the shop", () => {
  it("goes from draft to proposed to in force, and counts from then on", async () => {
    const shop = await openWithMentors();
    const rule = aRule("wooden-bar");
    const saved = await save(shop, rule).expect(200);
    expect(saved.body).toMatchObject({
      version: 1,
      rule: { id: rule.id, kit: kit.id, status: "draft", proposed: null, inForce: null },
    });
    expect(saved.body.rule.revisions).toMatchObject([
      { revision: 1, rule, hash: hashOfRule(rule), by: "builder", standing: "draft" },
    ]);
    expect(saved.headers.etag).toBe('"1"');
    await step(shop, "propose", rule, 1).expect(200);
    expect(await inRules(shop, rule.id)).toBeUndefined();
    expect((await ask(shop)).body.cautions).not.toContain(caution);

    const comments = [{ at: "/why", text: "Which piece was that?" }];
    const accepted = await step(shop, "accept", rule, 1, { who: ida, more: { comments } }).expect(200);
    expect(accepted.body.rule).toMatchObject({ status: "in force", inForce: 1, proposed: null });
    expect(accepted.body.rule.history).toMatchObject([
      { step: "propose", by: "builder", mentor: null },
      { step: "accept", by: "Ida", mentor: ida.stored.id, comments, refused: null },
    ]);
    expect(await inRules(shop, rule.id)).toMatchObject({ file: "shop book" });
    expect((await ask(shop)).body.cautions).toContain(caution);

    await step(shop, "retire", rule, 1).expect(200);
    expect(await inRules(shop, rule.id)).toBeUndefined();
    expect((await ask(shop)).body.cautions).not.toContain(caution);
  });

  it("is sent back with comments, mended, and proposed again", async () => {
    const shop = await openWithMentors();
    const rule = aRule("wooden-bar");
    await save(shop, rule).expect(200);
    await step(shop, "propose", rule, 1).expect(200);
    const wordless = await step(shop, "return", rule, 1, { who: ida }).expect(422);
    expect(wordless.body.code).toBe("RULE_STEP_WITHOUT_COMMENT");
    const nowhere = [{ at: "/basis/page", text: "Which?" }];
    const stray = await step(shop, "return", rule, 1, { who: ida, more: { comments: nowhere } }).expect(422);
    expect(stray.body).toMatchObject({ code: "COMMENT_NOWHERE", where: { pointer: "/comments/0/at" } });
    const comments = [{ at: null, text: "Say which side of the flange." }];
    const sent = await step(shop, "return", rule, 1, { who: ida, more: { comments } }).expect(200);
    expect(sent.body.rule).toMatchObject({ status: "returned", inForce: null });

    const mended = aRule("wooden-bar", { why: "The outer flange bent here on the practice piece." });
    const again = await save(shop, mended).expect(200);
    expect(again.body.rule.revisions).toMatchObject([{ standing: "returned" }, { revision: 2 }]);
    await step(shop, "propose", mended, 2).expect(200);
    await step(shop, "withdraw", mended, 2).expect(200);
    await step(shop, "propose", mended, 2).expect(200);
    await step(shop, "accept", mended, 2, { who: ida }).expect(200);
    expect(await inRules(shop, rule.id)).toMatchObject({ why: mended.why });
  });

  it("in force stays as it is while a newer draft is written", async () => {
    const shop = await openWithMentors();
    const rule = aRule("wooden-bar");
    await save(shop, rule).expect(200);
    await step(shop, "propose", rule, 1).expect(200);
    await step(shop, "accept", rule, 1, { who: ida }).expect(200);
    await save(shop, aRule("wooden-bar", { why: "Another reason." })).expect(200);
    const { body } = await shop.request.get(`/api/rules/${rule.id}?kit=${kit.id}`).expect(200);
    expect(body).toMatchObject({ why: rule.why, shop: { status: "draft", inForce: 1 } });
    expect(body.shop.revisions).toHaveLength(2);
  });

  it("can be tried while it is not in force, and every such answer says so", async () => {
    const shop = await openWithMentors();
    const rule = aRule("wooden-bar");
    await save(shop, rule).expect(200);
    const tried = await ask(shop, { trying: rule.id });
    expect(tried.body.cautions).toContain(caution);
    expect(tried.body.cautions[0]).toContain("not in force");
    expect(tried.body.cautions[0]).toContain(rule.title);
    expect((await ask(shop)).body.cautions.join()).not.toContain("not in force");
    const unknown = await shop.request
      .post("/api/ask")
      .send({ ...place, question: "Which holes stay open?", trying: "none" })
      .expect(404);
    expect(unknown.body.code).toBe("UNKNOWN_RULE");
  });

  it("shows what changed from one revision to another in plain words", async () => {
    const shop = await openWithMentors();
    await save(shop, aRule("wooden-bar")).expect(200);
    await save(shop, aRule("wooden-bar", { why: "It bent twice." })).expect(200);
    const path = `/api/rules/wooden-bar/diff?kit=${kit.id}`;
    const { body } = await shop.request.get(`${path}&from=1&to=2`).expect(200);
    expect(body.changes).toMatchObject([{ pointer: "/why", what: "changed", after: "It bent twice." }]);
    expect(body.changes[0].said).toContain("the reason");
    expect(body.changes[0].said).toContain("It bent twice.");
    expect((await shop.request.get(`${path}&from=2&to=2`).expect(200)).body.changes).toEqual([]);
    expect((await shop.request.get(`${path}&from=1&to=3`).expect(404)).body.code).toBe("UNKNOWN_REVISION");
  });
});

describe("a rule's id", () => {
  it.each(["vocabulary", "matches", "preview"])(
    "is not %s, which is an address of the program",
    async (id) => {
      const shop = await openWithMentors();
      const rule = aRule(id);
      const refused = await save(shop, rule).expect(422);
      expect(refused.body).toMatchObject({ code: "RULE_ID_RESERVED", where: { pointer: "/rule/id" } });
      const seen = await shop.request
        .post("/api/rules/preview")
        .send({ ...place, rule })
        .expect(200);
      expect(seen.body.problems).toMatchObject([{ code: "RULE_ID_RESERVED", pointer: "/id" }]);
      expect(seen.body.matched.count).toBeGreaterThan(0);
      expect(shop.book.version()).toBe(0);
    },
  );

  it("that only begins like one is a rule's, and is read under it", async () => {
    const shop = await openWithMentors();
    await save(shop, aRule("preview-1")).expect(200);
    const { body } = await shop.request.get(`/api/rules/preview-1?kit=${kit.id}`).expect(200);
    expect(body).toMatchObject({ id: "preview-1", shop: { status: "draft" } });
  });

  it("is never one of the addresses beside the rules", async () => {
    const { request } = await openWithMentors();
    const { paths } = (await request.get("/api/openapi.json").expect(200)).body;
    const beside = Object.keys(paths).flatMap(
      (path) => /^\/api\/rules\/([a-z][a-z-]*)$/.exec(path)?.[1] ?? [],
    );
    expect(beside.length).toBeGreaterThan(0);
    for (const id of beside) expect(reservedId(id)?.code).toBe("RULE_ID_RESERVED");
    expect(reservedId("previews")).toBeNull();
  });
});

describe("who may take a step", () => {
  it("accepting and sending back take a mentor's key", async () => {
    const shop = await openWithMentors();
    const rule = aRule("wooden-bar");
    await save(shop, rule).expect(200);
    await step(shop, "propose", rule, 1).expect(200);
    for (const what of ["accept", "return"] as const) {
      expect((await step(shop, what, rule, 1).expect(401)).body.code).toBe("DOOR_KEY_NEEDED");
      expect((await step(shop, what, rule, 1, { who: sam }).expect(403)).body.code).toBe("DOOR_MENTOR_ONLY");
    }
    expect(shop.book.version()).toBe(2);
  });

  it("a mentor does not accept a revision of their own; another does", async () => {
    const shop = await openWithMentors();
    const rule = aRule("wooden-bar");
    await save(shop, rule, { who: ida }).expect(200);
    await step(shop, "propose", rule, 1, { who: ida }).expect(200);
    const own = await step(shop, "accept", rule, 1, { who: ida }).expect(403);
    expect(own.body.code).toBe("RULE_STEP_BY_AUTHOR");
    expect((await save(shop, rule).expect(422)).body.code).toBe("NOTHING_TO_RECORD");
    await step(shop, "accept", rule, 1, { who: olaf }).expect(200);
  });

  const inUse = async (shop: Shop, author: { readonly shown: string }) => {
    const rule = aRule("wooden-bar");
    await save(shop, rule, { who: author }).expect(200);
    await step(shop, "propose", rule, 1, { who: author }).expect(200);
    await step(shop, "accept", rule, 1, { who: ida }).expect(200);
    return rule;
  };
  const why = { comments: [{ at: null, text: "The bar bent the flange too." }] };

  it("a rule in force is retired by its author or a mentor, not with another builder's key", async () => {
    const shop = await openWithMentors({ keyNeeded: true });
    const rule = await inUse(shop, sam);
    const refused = await step(shop, "retire", rule, 1, { who: ann, more: why }).expect(403);
    expect(refused.body).toMatchObject({ code: "RULE_STEP_NOT_YOURS" });
    expect(refused.body.detail).toContain("Sam");
    expect((await step(shop, "retire", rule, 1, { more: why }).expect(401)).body.code).toBe(
      "DOOR_KEY_NEEDED",
    );
    expect((await ask(shop)).body.cautions).toContain(caution);
    const retired = await step(shop, "retire", rule, 1, { who: sam, more: why }).expect(200);
    expect(retired.body.rule.history.at(-1)).toMatchObject({
      step: "retire",
      by: "Sam",
      mentor: null,
      ...why,
    });
    expect((await ask(shop)).body.cautions).not.toContain(caution);
  });

  it("a mentor who retires another's rule says why, and is recorded with the key", async () => {
    const shop = await openWithMentors({ keyNeeded: true });
    const rule = await inUse(shop, sam);
    const wordless = await step(shop, "retire", rule, 1, { who: olaf }).expect(422);
    expect(wordless.body).toMatchObject({
      code: "RULE_STEP_WITHOUT_COMMENT",
      where: { pointer: "/comments" },
    });
    const retired = await step(shop, "retire", rule, 1, { who: olaf, more: why }).expect(200);
    expect(retired.body.rule.history.at(-1)).toMatchObject({ by: "Olaf", mentor: olaf.stored.id, ...why });
    const record = await shop.request.get(`${assemblyPath}/record.csv`).expect(200);
    expect(record.text).toContain("was retired: The bar bent the flange too.");
  });

  it("a proposal is taken back by its author, by whoever proposed it or by a mentor", async () => {
    const shop = await openWithMentors({ keyNeeded: true });
    const rule = aRule("wooden-bar");
    await save(shop, rule, { who: sam }).expect(200);
    await step(shop, "propose", rule, 1, { who: sam }).expect(200);
    expect((await step(shop, "withdraw", rule, 1, { who: ann }).expect(403)).body.code).toBe(
      "RULE_STEP_NOT_YOURS",
    );
    await step(shop, "withdraw", rule, 1, { who: olaf }).expect(200);
    await step(shop, "propose", rule, 1, { who: ann }).expect(200);
    await step(shop, "withdraw", rule, 1, { who: ann }).expect(200);
    await step(shop, "propose", rule, 1, { who: ann }).expect(200);
    await step(shop, "withdraw", rule, 1, { who: sam }).expect(200);
  });

  it("nobody writes a rule under a mentor's name without the key", async () => {
    const shop = await openWithMentors();
    expect((await save(shop, aRule("a"), { by: "Ida" }).expect(403)).body.code).toBe("NAME_NEEDS_KEY");
    expect(shop.book.version()).toBe(0);
  });
});

describe("what was looked at is what the step is about", () => {
  it("another rule's hash is refused, and so is a revision that is not there or not proposed", async () => {
    const shop = await openWithMentors();
    const [rule, other] = [aRule("wooden-bar"), aRule("wooden-bar", { why: "Other." })];
    await save(shop, rule).expect(200);
    await save(shop, other).expect(200);
    await step(shop, "propose", other, 2).expect(200);
    expect((await step(shop, "accept", rule, 2, { who: ida }).expect(409)).body.code).toBe(
      "RULE_STEP_OTHER_RULE",
    );
    expect((await step(shop, "accept", rule, 1, { who: ida }).expect(409)).body.code).toBe(
      "RULE_STEP_NOT_PROPOSED",
    );
    expect((await step(shop, "accept", rule, 3, { who: ida }).expect(404)).body.code).toBe(
      "RULE_STEP_REVISION_UNKNOWN",
    );
    expect((await step(shop, "propose", rule, 1).expect(409)).body.code).toBe("RULE_STEP_ALREADY_PROPOSED");
    expect((await step(shop, "propose", aRule("none"), 1).expect(404)).body.code).toBe("UNKNOWN_RULE");
  });

  it("an act sent again counts once, however the rule stands by then", async () => {
    const shop = await openWithMentors();
    const rule = aRule("wooden-bar");
    await save(shop, rule, { key: "s" }).expect(200);
    await step(shop, "propose", rule, 1, { key: "p" }).expect(200);
    await step(shop, "accept", rule, 1, { key: "a", who: ida }).expect(200);
    expect((await step(shop, "accept", rule, 1, { key: "a", who: ida }).expect(200)).body.version).toBe(3);
    expect((await step(shop, "propose", rule, 1, { key: "p" }).expect(200)).body.version).toBe(2);
    expect((await save(shop, rule, { key: "s" }).expect(200)).body.version).toBe(1);
    expect(shop.book.version()).toBe(3);
    // The same accept under another key is another act, and nothing is proposed any more.
    expect((await step(shop, "accept", rule, 1, { key: "b", who: ida }).expect(409)).body.code).toBe(
      "RULE_STEP_NOT_PROPOSED",
    );
    expect((await step(shop, "accept", rule, 1, { key: "a", who: olaf }).expect(422)).body.code).toBe(
      "IDEMPOTENCY_REUSED",
    );
  });

  it("marks do not get in a rule's way; another change of the rules does", async () => {
    const shop = await openWithMentors();
    const [rule, other] = [aRule("one"), aRule("two")];
    await save(shop, rule).expect(200);
    await post(shop, "/api/marks", {
      ...place,
      marks: [{ kind: "hole", hole: assembly.holes[0]?.id, state: "pinned" }],
    }).expect(200);
    await step(shop, "propose", rule, 1, { match: '"1"' }).expect(200);
    const stale = await save(shop, other, { match: '"1"' }).expect(412);
    expect(stale.body).toMatchObject({ code: "VERSION_STALE", version: 3 });
    await save(shop, other, { match: '"3"' }).expect(200);
  });

  it("pages that watch are told of it", async () => {
    const shop = await openWithMentors();
    const address = await shop.app.listen({ port: 0 });
    const watching = await fetch(`${address}/api/marks/events`);
    const reader = (watching.body as ReadableStream<Uint8Array>).getReader();
    await save(shop, aRule("wooden-bar")).expect(200);
    let told = "";
    while (!told.includes('{"version":1}')) {
      const { value, done } = await reader.read();
      if (done) throw new Error(`It only told: ${told}`);
      told += new TextDecoder().decode(value);
    }
    await reader.cancel();
  });
});

describe("a rule that cannot be right", () => {
  it.each<[string, object, string, string]>([
    [
      "an unknown fact",
      { conditions: { all: [{ fact: "edgeRatoi", operator: "lessThan", value: 2 }] } },
      "FACT_UNKNOWN",
      "/rule/conditions/all/0/fact",
    ],
    [
      "a basis that is not the shop's",
      { basis: { rank: "manual", document: "D", place: "P" } },
      "RULE_NOT_SHOP",
      "/rule/basis/rank",
    ],
    ["an unknown key", { colour: "red" }, "KEY_UNKNOWN", "/rule/colour"],
    ["no examples", { examples: [] }, "EXAMPLES_MISSING", "/rule/examples"],
    [
      "an override of nothing",
      { overrides: [{ rule: "none", reason: "So." }] },
      "OVERRIDE_UNKNOWN",
      "/rule/overrides/0/rule",
    ],
    ["no conditions", { conditions: {} }, "CONDITION_MALFORMED", "/rule/conditions"],
    ["an id that leads elsewhere", { id: "../../etc" }, "VALUE_WRONG", "/rule/id"],
  ])("with %s is not kept", async (_what, changes, code, pointer) => {
    const shop = await openWithMentors();
    const reply = await save(shop, { ...aRule("wooden-bar"), ...changes }).expect(422);
    const found = [reply.body, ...(reply.body.errors ?? [])] as {
      code: string;
      where: { pointer: string };
    }[];
    expect(found.map((one) => `${one.code} ${one.where.pointer}`)).toContain(`${code} ${pointer}`);
    expect(shop.book.version()).toBe(0);
  });

  it("under the id of a rule of the library is not kept", async () => {
    const shop = await openWithMentors();
    const [known] = library.rulebookOf(kit.id).rules;
    const reply = await save(shop, aRule(known?.id ?? "")).expect(422);
    expect(reply.body.code).toBe("RULE_DUPLICATE");
  });

  it("is not proposed while its own examples fail", async () => {
    const shop = await openWithMentors();
    const rule = aRule("wooden-bar");
    const [fires, quiet] = rule.examples;
    const wrong = {
      ...rule,
      examples: [
        { ...fires, fires: false },
        { ...quiet, fires: true },
      ],
    } as RuleInFile;
    await save(shop, wrong).expect(200);
    const reply = await step(shop, "propose", wrong, 1).expect(422);
    expect(reply.body.code).toBe("RULE_NOT_READY");
    expect(reply.body.errors.map(({ where }: { where: { pointer: string } }) => where.pointer)).toEqual([
      "/rule/examples/0",
      "/rule/examples/1",
    ]);
    expect(shop.book.version()).toBe(1);
  });

  it("that contradicts the manual is proposed only as a departure with its reference", async () => {
    const shop = await openWithMentors();
    const manual = library
      .rulebookOf(kit.id)
      .rules.find(
        ({ basis, event, kit: of }) =>
          of === kit.id && basis.rank === "manual" && event.params.head === "protruding",
      );
    if (!manual) throw new Error("The demo kit has no such rule.");
    const hidden: RuleInFile = {
      ...aRule("flush-here"),
      family: "treatment",
      conditions: manual.conditions as RuleInFile["conditions"],
      event: { type: "treatment", params: { head: "flush" } },
      examples: manual.examples.map((example) => ({ ...example })) as RuleInFile["examples"],
    };
    await save(shop, hidden).expect(200);
    const refused = await step(shop, "propose", hidden, 1).expect(422);
    expect(refused.body.errors.map(({ code }: { code: string }) => code)).toContain("DEPARTURE_UNDECLARED");

    const departure = { from: [manual.id], reference: " " };
    await save(shop, { ...hidden, departure }).expect(200);
    const named = { ...hidden, departure: { ...departure, reference: "Letter of 3 May 2031" } };
    await save(shop, named).expect(200);
    const proposed = await step(shop, "propose", named, 3);
    // Whether other manual rules are in the way too is the kit's matter; this one no longer is.
    const said = JSON.stringify(proposed.body.errors ?? []);
    expect(said).not.toContain(`declare a departure from ${manual.id} `);
  });

  it("a rule in force goes on counting when one that it overrides is retired", async () => {
    const shop = await openWithMentors();
    const wide = aRule("wide");
    const narrow = aRule("narrow", {
      overrides: [{ rule: wide.id, reason: "It knows better here." }],
      event: { type: "caution", params: { text: "Use the narrow bar.", acts: ["rivet"] } },
    });
    for (const rule of [wide, narrow]) {
      await save(shop, rule).expect(200);
      await step(shop, "propose", rule, 1).expect(200);
      await step(shop, "accept", rule, 1, { who: ida }).expect(200);
    }
    await step(shop, "retire", wide, 1).expect(200);
    const { body } = await shop.request.get(`/api/rules?kit=${kit.id}`).expect(200);
    expect(body.problems).toEqual([]);
    expect((await ask(shop)).body.cautions).toContain("Use the narrow bar.");
  });

  it("a departure may wait for the kit maker's agreement until it is accepted, and is said to wait", async () => {
    const shop = await openWithMentors();
    const manual = library.rulebookOf(kit.id).byId.get("sedge-two-hold-hinges");
    const [held] = (manual?.examples ?? []).flatMap((one) => ("hole" in one && one.fires ? [one.hole] : []));
    if (!manual || held === undefined) throw new Error("The demo kit has no such rule.");
    const rule: RuleInFile = {
      ...aRule("hinges-at-once"),
      family: "hold",
      conditions: manual.conditions as RuleInFile["conditions"],
      event: { type: "hold", params: { hold: "none" } },
      departure: { from: [manual.id] },
      examples: manual.examples.map((example) => ({ ...example })) as RuleInFile["examples"],
    };
    const asked = { form: "why", slots: { hole: held, attribute: "hold" } };
    await save(shop, rule).expect(200);
    const tried = await ask(shop, { ...asked, trying: rule.id });
    expect(tried.body.cautions.join("\n")).toContain("The kit maker's agreement is not named yet");
    const seen = await post(shop, "/api/rules/preview", { ...place, rule }).expect(200);
    expect(seen.body.departures).toMatchObject([{ from: manual.id, declared: true, reference: null }]);
    expect(JSON.stringify(seen.body.impact.said)).not.toContain("by the kit maker's agreement");
    expect(tried.body.headline + JSON.stringify(tried.body.rows)).not.toContain("the kit maker agreed");

    await step(shop, "propose", rule, 1).expect(200);
    const refused = await step(shop, "accept", rule, 1, { who: ida }).expect(422);
    expect(refused.body.code).toBe("RULE_STEP_WITHOUT_REFERENCE");
    const reference = "Letter of 9 May 2031";
    await step(shop, "accept", rule, 1, { who: ida, more: { reference } }).expect(200);
    expect((await ask(shop, asked)).body.cautions.join("\n")).toContain(`agreement: ${reference}`);
    const plan = await shop.request.get(`${assemblyPath}/plan`).expect(200);
    expect(plan.body.cautions.join("\n")).toContain(`agreement: ${reference}`);
    const paper = await shop.request.get(`${assemblyPath}/plan.html`).expect(200);
    expect(paper.text).toContain(reference);
    expect(await inRules(shop, rule.id)).toMatchObject({ departure: { from: [manual.id], reference } });
  });

  it("says by which agreement it was accepted, where the mentor names another than the rule", async () => {
    const shop = await openWithMentors();
    const [manual] = library.rulebookOf(kit.id).rules.filter(({ id }) => id === "sedge-two-hold-hinges");
    if (!manual) throw new Error("The demo kit has no such rule.");
    const rule: RuleInFile = {
      ...aRule("hinges-at-once"),
      family: "hold",
      conditions: manual.conditions as RuleInFile["conditions"],
      event: { type: "hold", params: { hold: "none" } },
      departure: { from: [manual.id], reference: "A call in spring" },
      examples: manual.examples.map((example) => ({ ...example })) as RuleInFile["examples"],
    };
    await save(shop, rule).expect(200);
    await step(shop, "propose", rule, 1).expect(200);
    await step(shop, "accept", rule, 1, { who: ida, more: { reference: "Letter 7" } }).expect(200);
    const { body } = await ask(shop, { form: "stay-open", slots: {} });
    expect(body.cautions.join("\n")).toContain("agreement: Letter 7");
    expect(body.cautions.join("\n")).not.toContain("A call in spring");
  });
});

describe("rule conditions", () => {
  it.each([
    [14, 422, "CONDITION_TOO_DEEP"],
    [20, 400, "JSON_TOO_DEEP"],
    [20_000, 400, "JSON_TOO_DEEP"],
  ])("nested %i deep are refused without trouble", async (levels, status, code) => {
    const shop = await openWithMentors();
    const leaf = JSON.stringify({ fact: "rowId", operator: "equal", value: "a" });
    const conditions = `${'{"all":['.repeat(levels)}${leaf}${"]}".repeat(levels)}`;
    const rule = JSON.stringify(aRule("deep")).replace(
      /"conditions":\{.*?\]\}/,
      `"conditions":${conditions}`,
    );
    expect(rule).toContain(conditions);
    const reply = await shop.request
      .post("/api/rules")
      .set({ "content-type": "application/json", "idempotency-key": "deep", "if-match": "*" })
      .send(`{"kit":${JSON.stringify(kit.id)},"rule":${rule}}`);
    expect({ status: reply.status, code: reply.body.code }).toEqual({ status, code });
    expect(shop.unforeseen).toEqual([]);
  });
});
