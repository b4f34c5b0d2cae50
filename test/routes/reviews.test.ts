import { createHash, createHmac } from "node:crypto";
import { describe, expect, it } from "vitest";
import { canonicalJson } from "../../server/canonical.js";
import { makeKey } from "../../server/keys/key.js";
import { memoryKeys } from "../../server/keys/memory.js";
import { signAnswer } from "../../server/review/review-answer.js";
import type { ReviewFile } from "../../server/review/types.js";
import type { RuleInFile } from "../../server/ruling/schema.js";
import { hashOfRule } from "../../server/shop/life.js";
import type { RuleStep } from "../../server/shop/types.js";
import { memoryBook } from "../../server/store/memory.js";
import { aRule, itsHoles } from "./a-rule.js";
import { assembly, kit, openShop, type Shop } from "./shop.js";

const AT = "2031-05-04T10:00:00.000Z";
const ida = await makeKey("Ida", "mentor", AT);
const sam = await makeKey("Sam", "builder", AT);
const stranger = await makeKey("Stranger", "mentor", AT);
const rule = aRule("wooden-bar");
const accept = { step: "accept", comments: [], reference: null } as const;

async function openWithKeys(keys = memoryKeys()): Promise<Shop & { keys: typeof keys }> {
  for (const { stored } of [ida, sam]) keys.add(stored);
  return { ...(await openShop(memoryBook(), { keys })), keys };
}
let acts = 0;
function post({ request }: Shop, path: string, body: object, who?: { readonly shown: string }) {
  acts += 1;
  const sent = request.post(path).set({ "idempotency-key": `r${acts}`, "if-match": "*" });
  if (who) sent.set("authorization", `Bearer ${who.shown}`);
  return sent.send(body);
}
const step = (
  shop: Shop,
  what: RuleStep,
  text: RuleInFile,
  revision: number,
  who?: { shown: string },
  more = {},
) =>
  post(
    shop,
    `/api/rules/${text.id}/${what}`,
    { kit: kit.id, revision, hash: hashOfRule(text), ...more },
    who,
  ).expect(200);

async function propose(shop: Shop, text: RuleInFile = rule, revision = 1): Promise<void> {
  await post(shop, "/api/rules", { kit: kit.id, rule: text }).expect(200);
  await step(shop, "propose", text, revision);
}
const get = (shop: Shop, what: string, id = rule.id) =>
  shop.request.get(`/api/reviews/${id}${what}?kit=${kit.id}`);
const fileOf = async (shop: Shop): Promise<ReviewFile> => (await get(shop, "/file").expect(200)).body;
const handIn = (shop: Shop, answer: object) => shop.request.post("/api/reviews/answer").send(answer);

describe("the mentor's queue", () => {
  it("holds what waits, the longest waiting first, until it is decided", async () => {
    const shop = await openWithKeys();
    await propose(shop);
    await propose(shop, aRule("another"));
    const queue = async () => (await shop.request.get(`/api/reviews?kit=${kit.id}`).expect(200)).body.reviews;
    expect(await queue()).toMatchObject([
      {
        kit: kit.id,
        rule: "wooden-bar",
        revision: 1,
        hash: hashOfRule(rule),
        proposal: 2,
        author: "builder",
      },
      { rule: "another", proposal: 4 },
    ]);
    await step(shop, "accept", rule, 1, ida);
    expect(await queue()).toMatchObject([{ rule: "another" }]);
    expect((await get(shop, "").expect(404)).body.code).toBe("REVIEW_NOT_PROPOSED");
    expect((await get(shop, "", "none").expect(404)).body.code).toBe("UNKNOWN_RULE");
  });

  it("shows each proposal in words, with its examples, what was found and what would be otherwise", async () => {
    const shop = await openWithKeys();
    await propose(shop);
    const { body } = await get(shop, "").expect(200);
    expect(body).toMatchObject({
      rule: rule.id,
      revision: 1,
      hash: hashOfRule(rule),
      proposal: 2,
      text: rule,
    });
    const { shown } = body;
    expect(shown.words.join(" ")).toContain("Back the flange up with the wooden bar.");
    expect(shown.words.join(" ")).toContain(rule.why);
    expect(shown.changes).toBeNull();
    expect(shown.problems).toEqual([]);
    expect(shown.examples).toHaveLength(2);
    const here = shown.impact.find((one: { assembly: string }) => one.assembly === assembly.name);
    expect(here.lines[0]).toContain(`${itsHoles.length} holes`);
  });

  it("shows what is new against the revision in force, and what was said of it before", async () => {
    const shop = await openWithKeys();
    await propose(shop);
    await step(shop, "return", rule, 1, ida, { comments: [{ at: "/why", text: "Which side?" }] });
    const second = aRule("wooden-bar", { why: "The outer side bent." });
    await propose(shop, second, 2);
    await step(shop, "accept", second, 2, ida);
    await propose(shop, aRule("wooden-bar", { why: "The outer side bent twice." }), 3);
    const { shown } = (await get(shop, "").expect(200)).body;
    expect(shown.changes).toHaveLength(1);
    expect(shown.changes[0]).toContain("The outer side bent twice.");
    expect(shown.earlier.join()).toContain("Which side?");
    expect(shown.earlier.join()).toContain("Ida");
  });
});

describe("the review sheet", () => {
  it("prints: the rule in words, its fingerprint, room for comments and a signature, and no script", async () => {
    const shop = await openWithKeys();
    await propose(shop);
    const reply = await get(shop, "/sheet").expect(200);
    expect(reply.headers["content-type"]).toBe("text/html; charset=utf-8");
    expect(reply.text).toContain("Back the flange up with the wooden bar.");
    expect(reply.text).toContain(hashOfRule(rule).slice(0, 4));
    for (const words of ["Comments", "Signature", "Send back", "revision 1"])
      expect(reply.text).toContain(words);
    expect(reply.text).not.toMatch(/<script|<style|style="/);
  });

  it("shows markup in any text of the rule as text", async () => {
    const shop = await openWithKeys();
    const bad = '</td></script><script>alert(1)</script><img src=x onerror="alert(1)">';
    const marked = aRule("marked", {
      title: `Title ${bad}`,
      why: `Why ${bad}`,
      basis: { rank: "shop", document: `Document ${bad}`, place: `Place ${bad}` },
      event: { type: "caution", params: { text: `Text ${bad}`, acts: ["rivet"] } },
      examples: rule.examples.map((example) => ({ ...example, why: `Example ${bad}` })),
    });
    await propose(shop, marked);
    const sheet = (await get(shop, "/sheet", "marked").expect(200)).text;
    for (const where of ["Title", "Why", "Document", "Place", "Text", "Example"]) {
      expect(sheet).toContain(`${where} &lt;/td&gt;`);
    }
    expect(sheet).not.toMatch(/<script|<img src=x/);
    const page = (await get(shop, "/page", "marked").expect(200)).text;
    expect(page).toContain("Why &lt;/td&gt;");
    expect(page).not.toMatch(/<img src=x/);
    // Its own script and two blocks of data: none was ended early, none added.
    expect(page.match(/<script/g)).toHaveLength(3);
    expect(page.match(/<\/script/g)).toHaveLength(3);
  });
});

describe("the page that goes to a mentor", () => {
  it("may run its own script alone, and load and send nothing", async () => {
    const shop = await openWithKeys();
    await propose(shop);
    const reply = await get(shop, "/page").expect(200);
    expect(reply.headers["content-disposition"]).toMatch(
      /^attachment; filename="review-wooden-bar-1\.html"$/,
    );
    const policy = /http-equiv="Content-Security-Policy" content="([^"]+)"/.exec(reply.text)?.[1] ?? "";
    expect(policy).toContain("default-src &#39;none&#39;");
    const [, script = ""] = /<script>([\s\S]*?)<\/script>/.exec(reply.text) ?? [];
    const [, style = ""] = /<style>([\s\S]*?)<\/style>/.exec(reply.text) ?? [];
    for (const text of [script, style]) {
      expect(text).not.toBe("");
      expect(policy).toContain(`sha256-${createHash("sha256").update(text).digest("base64")}`);
    }
    const [, data = ""] =
      /<script type="application\/json" id="review-data">([\s\S]*?)<\/script>/.exec(reply.text) ?? [];
    expect(JSON.parse(data)).toEqual(await fileOf(shop));
    // Served from here, the server's own policy keeps even that script out.
    expect(reply.headers["content-security-policy"]).toContain("script-src 'self'");
  });
});

describe("a review file", () => {
  it("comes back signed, and what was reviewed is in force, under the mentor's name", async () => {
    const shop = await openWithKeys();
    await propose(shop);
    const file = await fileOf(shop);
    expect(file).toMatchObject({ format: "tailroom review 1", hash: hashOfRule(rule), text: rule });
    const comments = [{ at: "/why", text: "Agreed." }];
    const reply = await handIn(shop, signAnswer(file, { ...accept, comments }, ida.shown)).expect(200);
    expect(reply.body.rule).toMatchObject({ status: "in force", inForce: 1 });
    expect(reply.body.rule.history.at(-1)).toMatchObject({
      step: "accept",
      by: "Ida",
      mentor: ida.stored.id,
      comments,
    });
  });

  it("is answered by sending back, too", async () => {
    const shop = await openWithKeys();
    await propose(shop);
    const back = {
      step: "return",
      comments: [{ at: null, text: "Not like this." }],
      reference: null,
    } as const;
    const reply = await handIn(shop, signAnswer(await fileOf(shop), back, ida.shown)).expect(200);
    expect(reply.body.rule).toMatchObject({ status: "returned", inForce: null });
  });

  it("handed in twice counts once; handed in for a later proposal, not at all", async () => {
    const shop = await openWithKeys();
    await propose(shop);
    const answer = signAnswer(await fileOf(shop), accept, ida.shown);
    await handIn(shop, answer).expect(200);
    const version = shop.book.version();
    expect((await handIn(shop, answer).expect(200)).body.version).toBe(version);
    expect(shop.book.version()).toBe(version);

    await step(shop, "retire", rule, 1);
    await step(shop, "propose", rule, 1);
    const stale = signAnswer(await fileOf(shop), accept, ida.shown);
    await step(shop, "withdraw", rule, 1);
    expect((await handIn(shop, stale).expect(409)).body.code).toBe("ANSWER_OVERTAKEN");
    await step(shop, "propose", rule, 1);
    expect((await handIn(shop, stale).expect(409)).body.code).toBe("ANSWER_OVERTAKEN");
    // The first answer was recorded long ago: handed in again it is told so, and puts nothing in force.
    const before = shop.book.version();
    await handIn(shop, answer).expect(200);
    expect(shop.book.version()).toBe(before);
    expect((await shop.request.get(`/api/rules/${rule.id}?kit=${kit.id}`)).body.shop.inForce).toBeNull();
  });

  it("that answers revision 1 does not accept revision 2", async () => {
    const shop = await openWithKeys();
    await propose(shop);
    const answer = signAnswer(await fileOf(shop), accept, ida.shown);
    await step(shop, "withdraw", rule, 1);
    await propose(shop, aRule("wooden-bar", { why: "Other." }), 2);
    expect((await handIn(shop, answer).expect(409)).body.code).toBe("ANSWER_OVERTAKEN");
  });

  it.each<[string, (file: ReviewFile) => object]>([
    ["the rule", (file) => ({ ...file, text: { ...file.text, why: "Something else." } })],
    ["the words", (file) => ({ ...file, shown: { ...file.shown, words: ["It does nothing."] } })],
    ["the revision", (file) => ({ ...file, revision: 2 })],
    ["the proposal", (file) => ({ ...file, proposal: 99 })],
    ["the author", (file) => ({ ...file, author: "Somebody" })],
    ["a further line", (file) => ({ ...file, more: 1 })],
  ])("with %s edited is refused, though a mentor signed it in good faith", async (_what, edit) => {
    const shop = await openWithKeys();
    await propose(shop);
    const edited = edit(await fileOf(shop));
    const { contentHash: _, seal: __, ...content } = edited as ReviewFile;
    // The editor does all that can be done without the shop's secret: a content hash and a seal of their own.
    const contentHash = createHash("sha256").update(canonicalJson(content)).digest("hex");
    const seal = createHmac("sha256", "guess").update(`tailroom review 1\n${contentHash}`).digest("hex");
    for (const file of [edited, { ...content, contentHash, seal }, { ...edited, contentHash }]) {
      const reply = await handIn(shop, signAnswer(file as ReviewFile, accept, ida.shown)).expect(422);
      expect(reply.body.code).toBe("REVIEW_EDITED");
    }
    expect(shop.book.version()).toBe(2);
  });

  it("of another shop is refused", async () => {
    const [here, there] = [await openWithKeys(), await openWithKeys()];
    await propose(here);
    await propose(there);
    const answer = signAnswer(await fileOf(there), accept, ida.shown);
    expect((await handIn(here, answer).expect(422)).body.code).toBe("REVIEW_EDITED");
  });

  it.each<[string, { readonly shown: string }]>([
    ["a builder's key", sam],
    ["a key of elsewhere", stranger],
  ])("signed with %s is refused", async (_what, who) => {
    const shop = await openWithKeys();
    await propose(shop);
    const reply = await handIn(shop, signAnswer(await fileOf(shop), accept, who.shown)).expect(403);
    expect(reply.body.code).toBe("ANSWER_KEY_REFUSED");
    const claimed = { ...signAnswer(await fileOf(shop), accept, who.shown), mentor: ida.stored.id };
    expect((await handIn(shop, claimed).expect(403)).body.code).toBe("ANSWER_SIGNATURE_WRONG");
    expect(shop.book.version()).toBe(2);
  });

  it("signed with a key that was revoked since is refused", async () => {
    const shop = await openWithKeys();
    await propose(shop);
    const answer = signAnswer(await fileOf(shop), accept, ida.shown);
    shop.keys.revoke(ida.stored.id, AT);
    expect((await handIn(shop, answer).expect(403)).body.code).toBe("ANSWER_KEY_REFUSED");
  });

  it("whose decision was changed after signing is refused", async () => {
    const shop = await openWithKeys();
    await propose(shop);
    const back = { step: "return", comments: [{ at: null, text: "No." }], reference: null } as const;
    const signed = signAnswer(await fileOf(shop), back, ida.shown);
    for (const answer of [
      { ...back, step: "accept" },
      { ...back, comments: [] },
      { ...back, reference: "A letter" },
    ]) {
      const reply = await handIn(shop, { ...signed, answer }).expect(403);
      expect(reply.body.code).toBe("ANSWER_SIGNATURE_WRONG");
    }
  });

  it("does not let a mentor accept their own revision", async () => {
    const shop = await openWithKeys();
    await post(shop, "/api/rules", { kit: kit.id, rule }, ida).expect(200);
    await step(shop, "propose", rule, 1);
    const answer = signAnswer(await fileOf(shop), accept, ida.shown);
    expect((await handIn(shop, answer).expect(403)).body.code).toBe("RULE_STEP_BY_AUTHOR");
  });
});
