import { describe, expect, it } from "vitest";
import { marksOf } from "../store/statement.js";
import { assembly, openShop, place, type Shop } from "./shop.js";

const post = ({ request }: Shop, body: object) => request.post("/api/ask").send({ ...place, ...body });
const part = assembly.closings[0] ?? "";
const name = assembly.parts.find(({ id }) => id === part)?.name ?? "";

describe("asking", () => {
  it("in words gives the answer of the form that was read, with every field of the contract", async () => {
    const shop = await openShop();
    const words = await post(shop, { question: `What must be set before the ${name} closes?` }).expect(200);
    const chosen = await post(shop, { form: "before-closing", slots: { part } }).expect(200);
    expect(words.body).toEqual(chosen.body);
    expect(words.body).toMatchObject({
      outcome: "answered",
      reading: { form: "before-closing", slots: { part } },
      version: 0,
    });
    for (const field of ["holes", "rows", "trace", "cautions", "sources", "followUps"]) {
      expect(Array.isArray(words.body[field])).toBe(true);
    }
  });

  it("goes on from the reading before", async () => {
    const shop = await openShop();
    const [first, second] = assembly.families[0]?.members ?? [];
    const context = { form: "treatment", slots: { part: first }, said: "What is done to it?" };
    const other = assembly.parts.find(({ id }) => id === second)?.name;
    const { body } = await post(shop, { question: `and on ${other}?`, context }).expect(200);
    expect(body.reading).toMatchObject({ form: "treatment", slots: { part: second } });
  });

  it("asks back with choices when something is missing, and each choice is answered", async () => {
    const shop = await openShop();
    const { body } = await post(shop, { form: "before-closing", slots: {} }).expect(200);
    expect(body.outcome).toBe("ask-back");
    expect(body.choices.length).toBeGreaterThan(1);
    const { form, slots } = body.choices[0];
    expect((await post(shop, { form, slots }).expect(200)).body.outcome).toBe("answered");
  });

  it("telling proposes marks and records nothing; recording them is a second step", async () => {
    const shop = await openShop();
    const hole = assembly.holes[0]?.id;
    const { body } = await post(shop, { form: "tell", slots: { hole, state: "pinned" } }).expect(200);
    expect(body.outcome).toBe("proposal");
    expect(shop.book.version()).toBe(0);
    await shop.request
      .post("/api/marks")
      .set({ "idempotency-key": "k", "if-match": `"${body.version}"` })
      .send({ ...place, marks: body.proposal.marks })
      .expect(200);
    expect(marksOf(shop.book.since(0)[0])).toEqual([{ kind: "hole", hole, state: "pinned" }]);
  });

  it("answers from the work as it stands", async () => {
    const shop = await openShop();
    const hole = assembly.holes[0]?.id;
    const question = { form: "may-i", slots: { act: "set", hole } };
    const before = await post(shop, question).expect(200);
    await shop.request
      .post("/api/marks")
      .set({ "idempotency-key": "k", "if-match": "*" })
      .send({ ...place, marks: [{ kind: "hole", hole, state: "set" }] })
      .expect(200);
    const after = await post(shop, question).expect(200);
    expect(after.body.version).toBe(1);
    expect(after.body.headline).not.toBe(before.body.headline);
  });

  it.each<[string, object, number, string, string]>([
    ["neither a question nor a form", {}, 400, "REQUEST_INVALID", "/question"],
    ["both", { question: "why?", form: "why", slots: {} }, 400, "REQUEST_INVALID", "/form"],
    ["slots without a form", { slots: {} }, 400, "REQUEST_INVALID", "/question"],
    ["an empty question", { question: "" }, 400, "REQUEST_INVALID", "/question"],
    ["a question that is too long", { question: "x".repeat(2001) }, 400, "REQUEST_INVALID", "/question"],
    ["a question that is a list", { question: ["why?"] }, 400, "REQUEST_INVALID", "/question"],
    ["a control character", { question: "why\u0007?" }, 400, "CONTROL_CHARACTER", "/question"],
    ["an unknown form", { form: "bake", slots: {} }, 422, "UNKNOWN_FORM", "/form"],
    ["an unknown slot", { form: "why", slots: { colour: "red" } }, 422, "SLOT_UNKNOWN", "/slots/colour"],
    [
      "an unknown part",
      { form: "before-closing", slots: { part: "NOPART" } },
      422,
      "UNKNOWN_ID",
      "/slots/part",
    ],
    [
      "a number in a slot",
      { form: "before-closing", slots: { part: 3 } },
      400,
      "REQUEST_INVALID",
      "/slots/part",
    ],
    ["null for the slots", { form: "why", slots: null }, 400, "REQUEST_INVALID", "/slots"],
    [
      "an unknown form as context",
      { question: "and then?", context: { form: "x", slots: {} } },
      422,
      "UNKNOWN_FORM",
      "/context/form",
    ],
    [
      "more in the context",
      { question: "and then?", context: { form: "why", slots: {}, x: 1 } },
      400,
      "REQUEST_INVALID",
      "/context/x",
    ],
  ])("with %s is refused at its place", async (_what, body, status, code, pointer) => {
    const shop = await openShop();
    const reply = await post(shop, body).expect(status);
    expect(reply.body).toMatchObject({ code, where: { request: "POST /api/ask", pointer } });
    expect(shop.unforeseen).toEqual([]);
  });

  it.each([
    "   ",
    "?",
    "<script>alert(1)</script>",
    "~ : + - ^ * (",
    "'; DROP TABLE entries; --",
    "a".repeat(2000),
    "🔩 🔩",
  ])("something that is no question, such as %j, is not answered as if it were one", async (question) => {
    const shop = await openShop();
    const { body } = await post(shop, { question }).expect(200);
    expect(["ask-back", "not-understood"]).toContain(body.outcome);
    expect(body.headline).not.toBe("");
    expect(shop.book.version()).toBe(0);
  });
});
