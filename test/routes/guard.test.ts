import { describe, expect, it } from "vitest";
import { assembly, openShop, place } from "./shop.js";

const body = { ...place, marks: [{ kind: "hole", hole: assembly.holes[0]?.id, state: "set" }] };

describe("requests from elsewhere", () => {
  it.each([
    "evil.example",
    "evil.example:4180",
    "127.0.0.1.evil.example",
    "localhost.evil.example",
    "127.0.0.1@evil.example",
    "10.0.0.5",
    "1270.0.0.1",
    "[::2]",
    "local host",
    "",
  ])("for the host %j are refused, reading as well as writing", async (host) => {
    const { request, book } = await openShop();
    for (const sent of [
      request.get("/api/kits").set("host", host),
      request.get("/").set("host", host),
      request
        .post("/api/marks")
        .set("host", host)
        .set({ "idempotency-key": "k", "if-match": "*" })
        .send(body),
    ]) {
      const reply = await sent;
      expect([400, 421]).toContain(reply.status);
      if (host !== "") expect(reply.body.code).toBe("HOST_REFUSED");
    }
    expect(book.version()).toBe(0);
  });

  it.each([
    "localhost",
    "LOCALHOST:80",
    "127.0.0.1:4180",
    "127.1.2.3",
    "[::1]:4180",
    "localhost.",
    "bench.shop:1",
  ])("for the host %j are ours", async (host) => {
    const { request } = await openShop();
    await request.get("/api/kits").set("host", host).expect(200);
  });

  it.each([
    ["another site", { origin: "http://evil.example" }],
    ["no site at all", { origin: "null" }],
    ["another port of this machine", { origin: "http://localhost:3000" }],
    ["another scheme", { origin: "https://localhost" }],
    ["a frame of another site", { "sec-fetch-site": "cross-site" }],
    ["a neighbour on this machine", { "sec-fetch-site": "same-site" }],
    ["a form of another site", { "sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate" }],
  ])("written by %s are refused", async (_who, headers) => {
    const { request, book } = await openShop();
    const reply = await request
      .post("/api/marks")
      .set("host", "localhost")
      .set({ ...headers, "idempotency-key": "k", "if-match": "*" })
      .send(body)
      .expect(403);
    expect(reply.body.code).toBe("ORIGIN_REFUSED");
    expect(book.version()).toBe(0);
  });

  it("written by our own page are taken", async () => {
    const { request, book } = await openShop();
    await request
      .post("/api/marks")
      .set("host", "localhost:4180")
      .set({ origin: "http://localhost:4180", "sec-fetch-site": "same-origin" })
      .set({ "idempotency-key": "k", "if-match": "*" })
      .send(body)
      .expect(200);
    expect(book.version()).toBe(1);
  });

  it("may follow a link to the page, but read nothing in the background", async () => {
    const { request } = await openShop();
    const link = { "sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate" };
    await request.get("/").set(link).expect(200);
    await request
      .get("/api/kits")
      .set({ "sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors" })
      .expect(403);
  });

  it("are not believed about who they come from", async () => {
    const { request } = await openShop();
    await request
      .get("/api/kits")
      .set("host", "evil.example")
      .set("x-forwarded-host", "localhost")
      .expect(421);
  });

  it("get no leave to read across sites", async () => {
    const { request } = await openShop();
    const reply = await request.options("/api/marks").set({
      origin: "http://evil.example",
      "access-control-request-method": "POST",
    });
    expect(reply.status).toBe(403);
    const plain = await request.get("/api/kits");
    for (const { headers } of [reply, plain]) {
      expect(Object.keys(headers).filter((name) => name.startsWith("access-control"))).toEqual([]);
    }
  });
});

describe("every reply", () => {
  it.each(["/", "/style.css", "/api/kits", "/nothing/here", "/api/rules/none", "/%ZZ", "/health"])(
    "of %s carries the headers that keep scripts and frames out",
    async (path) => {
      const { request } = await openShop();
      const { headers } = await request.get(path);
      const policy = headers["content-security-policy"] ?? "";
      expect(policy).toContain("default-src 'none'");
      expect(policy).toContain("script-src 'self'");
      expect(policy).toContain("frame-ancestors 'none'");
      expect(policy).not.toContain("unsafe");
      expect(headers["x-content-type-options"]).toBe("nosniff");
      expect(headers["referrer-policy"]).toBe("no-referrer");
    },
  );
});
