import { describe, expect, it } from "vitest";
import { assembly, assemblyPath, openShop, place } from "./shop.js";

/** Routes that take a body, with one that they accept. */
const BODIES: readonly (readonly [string, object])[] = [
  ["/api/ask", { ...place, question: "What is done to every hole?" }],
  ["/api/marks", { ...place, marks: [{ kind: "hole", hole: assembly.holes[0]?.id, state: "set" }] }],
  ["/api/offers", { ...place, form: "treatment", slots: {} }],
  ["/api/suggestions", { ...place, about: {} }],
];
const ACT = { "idempotency-key": "k", "if-match": "*" };

describe.each(BODIES)("%s", (path, good) => {
  it.each<[string, string, number, string]>([
    ["malformed JSON", '{"kit":', 400, "JSON_MALFORMED"],
    ["an empty body", "", 400, "JSON_MALFORMED"],
    ["null", "null", 400, "REQUEST_INVALID"],
    ["a list", "[]", 400, "REQUEST_INVALID"],
    ["a text", '"set all holes"', 400, "REQUEST_INVALID"],
    ["an empty object", "{}", 400, "REQUEST_INVALID"],
    ["a prototype key", '{"__proto__":{"kit":"a"}}', 400, "KEY_REFUSED"],
    ["a constructor key", '{"constructor":{"prototype":{"kit":"a"}}}', 400, "KEY_REFUSED"],
    ["deep nesting", `${'{"a":'.repeat(40_000)}1${"}".repeat(40_000)}`, 400, "JSON_TOO_DEEP"],
    ["more than 256 KiB", JSON.stringify({ ...good, more: "x".repeat(260 * 1024) }), 413, "BODY_TOO_LARGE"],
    ["an unknown key", JSON.stringify({ ...good, colour: "red" }), 400, "REQUEST_INVALID"],
    ["a number for the kit", JSON.stringify({ ...good, kit: 1 }), 400, "REQUEST_INVALID"],
    ["null for the kit", JSON.stringify({ ...good, kit: null }), 400, "REQUEST_INVALID"],
    ["a control character", JSON.stringify({ ...good, kit: "sedge\u0000" }), 400, "CONTROL_CHARACTER"],
    ["an unknown kit", JSON.stringify({ ...good, kit: "<script>alert(1)</script>" }), 404, "UNKNOWN_KIT"],
    ["an unknown assembly", JSON.stringify({ ...good, assembly: "toString" }), 404, "UNKNOWN_ASSEMBLY"],
  ])("answers %s with a problem, and records nothing", async (_what, body, status, code) => {
    const { request, book, unforeseen } = await openShop();
    const reply = await request.post(path).set(ACT).set("content-type", "application/json").send(body);
    expect({ status: reply.status, code: reply.body.code }).toEqual({ status, code });
    expect(reply.headers["content-type"]).toBe("application/problem+json; charset=utf-8");
    expect(reply.body).toMatchObject({
      type: `/api/problems#${code}`,
      title: expect.stringMatching(/./),
      detail: expect.stringMatching(/./),
      where: { request: `POST ${path}` },
      fix: expect.stringMatching(/./),
    });
    expect(book.version()).toBe(0);
    expect(unforeseen).toEqual([]);
  });

  it.each([
    "text/plain",
    "application/x-www-form-urlencoded",
    "multipart/form-data; boundary=x",
    "application/jsonx",
  ])("does not read %s", async (type) => {
    const { request, book } = await openShop();
    const reply = await request
      .post(path)
      .set(ACT)
      .set("content-type", type)
      .send(JSON.stringify(good))
      .expect(415);
    expect(reply.body.code).toBe("CONTENT_TYPE_REFUSED");
    expect(book.version()).toBe(0);
  });

  it("does not take other methods, and says which it takes", async () => {
    const { request } = await openShop();
    for (const method of ["get", "put", "delete", "patch"] as const) {
      const reply = await request[method](path).expect(405);
      expect(reply.body.code).toBe("METHOD_REFUSED");
      expect(reply.headers.allow).toBe("POST");
    }
  });
});

describe("addresses", () => {
  it.each([
    ["/api/kits/nokit/assemblies/none", "UNKNOWN_KIT"],
    ["/api/kits/__proto__/assemblies/constructor", "UNKNOWN_KIT"],
    [`/api/kits/${place.kit}/assemblies/none/rulings`, "UNKNOWN_ASSEMBLY"],
    [`/api/kits/${place.kit}/assemblies/none/marks`, "UNKNOWN_ASSEMBLY"],
    ["/api/rules/none", "UNKNOWN_RULE"],
    ["/api/rules/__proto__", "UNKNOWN_RULE"],
    ["/api/rules?kit=none", "UNKNOWN_KIT"],
    ["/api/notes/none", "UNKNOWN_NOTE"],
    ["/api/notes/..%2f..%2fpackage", "UNKNOWN_NOTE"],
    ["/api/marks/events?kit=none", "UNKNOWN_KIT"],
    [`/api/marks/events?kit=${place.kit}&assembly=none`, "UNKNOWN_ASSEMBLY"],
    ["/api/nothing", "NOT_FOUND"],
  ])("%s is answered with 404 %s", async (path, code) => {
    const { request } = await openShop();
    const reply = await request.get(path).expect(404);
    expect(reply.body.code).toBe(code);
    expect(reply.headers["content-type"]).toContain("application/problem+json");
  });

  it("longer than any id are answered with a problem", async () => {
    const { request } = await openShop();
    const reply = await request.get(`/api/rules/${"x".repeat(5000)}`).expect(404);
    expect(reply.body.code).toBe("NOT_FOUND");
    expect(JSON.stringify(reply.body).length).toBeLessThan(1000);
  });

  it.each([
    ["/api/notes?colour=red", "colour"],
    ["/api/notes?q=a&q=b", "q"],
    [`/api/notes?q=${"x".repeat(201)}`, "q"],
    ["/api/notes?__proto__=a", "__proto__"],
    ["/api/rules?kit=", "kit"],
    ["/api/marks/events?since=1", "since"],
  ])("%s is refused, naming the query value", async (path, query) => {
    const { request } = await openShop();
    const reply = await request.get(path).expect(400);
    expect(reply.body).toMatchObject({ code: "REQUEST_INVALID", where: { query } });
  });

  it.each(["/api/notes?q=%00", "/api/notes?q=a%1b[31m", "/api/notes/%07", "/api/rules?kit=%E2%80%AE"])(
    "%s is refused for what cannot be seen",
    async (path) => {
      const { request } = await openShop();
      expect((await request.get(path).expect(400)).body.code).toBe("CONTROL_CHARACTER");
    },
  );

  it.each(["/%ZZ", "/api/rules/%E0%A4%A", "/api/notes/%"])("%s cannot be read", async (path) => {
    const { request } = await openShop();
    const reply = await request.get(path).expect(400);
    expect(reply.body.code).toBe("URL_MALFORMED");
    expect(reply.headers["content-type"]).toContain("application/problem+json");
  });

  it.each([
    "/../package.json",
    "/..%2fpackage.json",
    "/%2e%2e/package.json",
    "/%2e%2e%2fserver/main.ts",
    "/..\\package.json",
    "/style.css/../../package.json",
    "/main.ts",
    "/tsconfig.json",
    "/index.html%00.png",
    "//etc/passwd",
    "/.git/config",
    "/data/shop-book.sqlite",
  ])("%s reaches no file", async (path) => {
    const { app } = await openShop();
    const reply = await app.inject({ url: path, headers: { host: "localhost" } });
    expect(reply.statusCode).toBeGreaterThanOrEqual(400);
    expect(reply.headers["content-type"]).toContain("application/problem+json");
  });

  it("of a whole assembly is not confused by a trailing slash or by capitals", async () => {
    const { request } = await openShop();
    await request.get(`${assemblyPath}/`).expect(404);
    await request.get(assemblyPath.toUpperCase()).expect(404);
  });
});
