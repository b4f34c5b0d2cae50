import { describe, expect, it } from "vitest";
import { makeKey } from "../../server/keys/key.js";
import { memoryKeys } from "../../server/keys/memory.js";
import { hashOfRule } from "../../server/shop/life.js";
import { memoryBook } from "../../server/store/memory.js";
import { aRule } from "./a-rule.js";
import { kit, openShop, type Shop } from "./shop.js";

const ida = await makeKey("Ida", "mentor", "2031-05-04T10:00:00.000Z");

async function openWithMentor(): Promise<Shop> {
  const keys = memoryKeys();
  keys.add(ida.stored);
  return openShop(memoryBook(), { keys });
}

/** Every address that takes a body, as the program itself lists them. */
async function bodied({ request }: Shop): Promise<readonly string[]> {
  const { paths } = (await request.get("/api/openapi.json").expect(200)).body;
  const posts = Object.entries(paths as Record<string, object>).filter(([, methods]) => "post" in methods);
  return posts.map(([path]) => path.replace("{id}", "any"));
}
const send = ({ request }: Shop, path: string, body: string, headers: Record<string, string> = {}) =>
  request
    .post(path)
    .set({ "content-type": "application/json", "idempotency-key": "attack", "if-match": "*" })
    .set({ authorization: `Bearer ${ida.shown}`, ...headers })
    .send(body);

describe("every address that takes a body", () => {
  it("is known to these attacks", async () => {
    const paths = await bodied(await openWithMentor());
    expect(paths).toContain("/api/rules/any/accept");
    expect(paths).toContain("/api/reviews/answer");
    expect(paths.length).toBeGreaterThan(9);
  });

  it.each<[string, string, number, readonly string[]]>([
    ["a key that reaches into prototypes", '{"__proto__":{"role":"mentor"}}', 400, ["KEY_REFUSED"]],
    ["the same further down", '{"rule":{"constructor":{"prototype":{"x":1}}}}', 400, ["KEY_REFUSED"]],
    ["the same key twice", '{"kit":"a","kit":"b"}', 400, ["KEY_REFUSED"]],
    ["nesting without end", `${"[".repeat(50_000)}${"]".repeat(50_000)}`, 400, ["JSON_TOO_DEEP"]],
    ["more than it can hold", `{"kit":"${"x".repeat(300 * 1024)}"}`, 413, ["BODY_TOO_LARGE"]],
    ["a key that nobody asked for", '{"isMentor":true}', 400, ["REQUEST_INVALID"]],
    ["text that turns round on the screen", '{"kit":"\u202eabc"}', 400, ["CONTROL_CHARACTER"]],
  ])("refuses %s and records nothing", async (_what, body, status, codes) => {
    const shop = await openWithMentor();
    for (const path of await bodied(shop)) {
      const reply = await send(shop, path, body);
      expect({ path, status: reply.status, code: reply.body.code }).toEqual({ path, status, code: codes[0] });
    }
    expect(shop.book.version()).toBe(0);
    expect(shop.unforeseen).toEqual([]);
    expect(Object.hasOwn(Object.prototype, "role")).toBe(false);
  });

  it("refuses what comes from another site or under another name, with a mentor's key too", async () => {
    const shop = await openWithMentor();
    for (const path of await bodied(shop)) {
      const rebound = await send(shop, path, "{}", { host: "evil.example" });
      expect({ path, code: rebound.body.code }).toEqual({ path, code: "HOST_REFUSED" });
      const signs: Record<string, string>[] = [
        { origin: "http://evil.example" },
        { "sec-fetch-site": "cross-site" },
      ];
      for (const headers of signs) {
        const foreign = await send(shop, path, "{}", { host: "localhost", ...headers } as Record<
          string,
          string
        >);
        expect({ path, code: foreign.body.code }).toEqual({ path, code: "ORIGIN_REFUSED" });
      }
    }
    expect(shop.book.version()).toBe(0);
  });

  it("answers a key in the address or in the body as none: only the header counts", async () => {
    const shop = await openWithMentor();
    const reply = await shop.request
      .post(`/api/rules/any/accept?key=${ida.shown}`)
      .set({ "idempotency-key": "k", "if-match": "*", cookie: `key=${ida.shown}` })
      .send({ kit: kit.id, revision: 1, hash: "0".repeat(64) })
      .expect(401);
    expect(reply.body.code).toBe("DOOR_KEY_NEEDED");
  });
});

describe("a rule's id in an address", () => {
  it.each(["..%2f..%2fpackage.json", "__proto__", "constructor", "%00", "a%2fb", "%3Cscript%3E"])(
    "that is %s reaches nothing",
    async (id) => {
      const shop = await openWithMentor();
      for (const what of ["", "/sheet", "/file", "/page"]) {
        const reply = await shop.request.get(`/api/reviews/${id}${what}?kit=${kit.id}`);
        expect([400, 404]).toContain(reply.status);
        expect(reply.headers["content-type"]).toContain("application/problem+json");
      }
      expect(shop.unforeseen).toEqual([]);
    },
  );
});

describe("markup in what people write", () => {
  it("is kept as they wrote it, and stands as text on every sheet", async () => {
    const shop = await openWithMentor();
    const bad = `"><script>alert(1)</script><b onclick='x'>`;
    const rule = aRule("wooden-bar");
    const plain = (path: string, body: object, key: string) =>
      shop.request.post(path).set({ "idempotency-key": key, "if-match": "*" }).send(body);
    const step = { kit: kit.id, revision: 1, hash: hashOfRule(rule) };
    await plain("/api/rules", { kit: kit.id, rule, by: `Sam ${bad}` }, "1").expect(200);
    await plain("/api/rules/wooden-bar/propose", { ...step, by: `Sam ${bad}` }, "2").expect(200);
    const comments = [{ at: null, text: `Said ${bad}` }];
    await plain("/api/rules/wooden-bar/return", { ...step, comments }, "3")
      .set("authorization", `Bearer ${ida.shown}`)
      .expect(200);
    await plain("/api/rules/wooden-bar/propose", { ...step, comments, by: `Sam ${bad}` }, "4").expect(200);

    const stored = (await shop.request.get(`/api/rules/wooden-bar?kit=${kit.id}`).expect(200)).body.shop;
    expect(stored.revisions[0].by).toBe(`Sam ${bad}`);
    expect(stored.history[1].comments).toEqual(comments);
    for (const what of ["sheet", "page"]) {
      const { text } = await shop.request.get(`/api/reviews/wooden-bar/${what}?kit=${kit.id}`).expect(200);
      expect(text).toContain("Said &quot;&gt;&lt;script&gt;");
      expect(text).toContain("Sam &quot;&gt;&lt;script&gt;");
      expect(text).not.toContain("<script>alert");
      expect(text).not.toContain("<b onclick");
    }
  });
});
