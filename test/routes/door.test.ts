import { describe, expect, it } from "vitest";
import type { KeyRing } from "../../server/keys/contract.js";
import { makeKey } from "../../server/keys/key.js";
import { memoryKeys } from "../../server/keys/memory.js";
import { memoryBook } from "../../server/store/memory.js";
import { assembly, assemblyPath, openShop, place, type Shop } from "./shop.js";

const AT = "2031-05-04T10:00:00.000Z";
const ida = await makeKey("Ida", "mentor", AT);
const sam = await makeKey("Sam", "builder", AT);
const stranger = await makeKey("Ida", "mentor", AT);

function ring(): KeyRing {
  const keys = memoryKeys();
  keys.add(ida.stored);
  keys.add(sam.stored);
  return keys;
}

const openWith = (keyNeeded: boolean, keys = ring()) => openShop(memoryBook(), { keys, keyNeeded });

let acts = 0;
function mark({ request }: Shop, authorization: string | null, more: object = {}) {
  acts += 1;
  const sent = request.post("/api/marks").set({ "idempotency-key": `k${acts}`, "if-match": "*" });
  if (authorization !== null) sent.set("authorization", authorization);
  return sent.send({
    ...place,
    marks: [{ kind: "hole", hole: assembly.holes[0]?.id, state: "set" }],
    ...more,
  });
}
const bearer = ({ shown }: { readonly shown: string }) => `Bearer ${shown}`;

describe("on this machine alone", () => {
  it("the builder writes without a key", async () => {
    const shop = await openWith(false);
    await mark(shop, null).expect(200);
    await mark(shop, null, { by: "Ann" }).expect(200);
    expect(shop.book.since(0).map(({ by }) => by)).toEqual(["builder", "Ann"]);
  });

  it("what is written with a key carries its holder's name", async () => {
    const shop = await openWith(false);
    await mark(shop, bearer(sam)).expect(200);
    await mark(shop, bearer(ida), { by: "ida" }).expect(200);
    expect(shop.book.since(0).map(({ by }) => by)).toEqual(["Sam", "Ida"]);
  });

  it("a wrong key is refused, though none was needed", async () => {
    const shop = await openWith(false);
    for (const wrong of [bearer(stranger), "Bearer", "Bearer x", `Basic ${sam.shown}`, sam.shown]) {
      const reply = await mark(shop, wrong).expect(401);
      expect(reply.body.code).toBe("DOOR_KEY_REFUSED");
      expect(reply.headers["www-authenticate"]).toMatch(/^Bearer/);
    }
    expect(shop.book.version()).toBe(0);
  });

  it("nobody signs for a mentor, nor with a key for somebody else", async () => {
    const shop = await openWith(false);
    const typed = await mark(shop, null, { by: " IDA" }).expect(403);
    expect(typed.body).toMatchObject({ code: "NAME_NEEDS_KEY", where: { pointer: "/by" } });
    const other = await mark(shop, bearer(sam), { by: "Ida" }).expect(403);
    expect(other.body).toMatchObject({ code: "NAME_NOT_YOURS", where: { pointer: "/by" } });
    expect(shop.book.version()).toBe(0);
  });
});

describe("once other machines can reach it", () => {
  it("every write needs a key, from wherever it comes", async () => {
    const shop = await openWith(true);
    const reply = await mark(shop, null).expect(401);
    expect(reply.body).toMatchObject({ code: "DOOR_KEY_NEEDED", where: { header: "Authorization" } });
    expect(reply.headers["www-authenticate"]).toMatch(/^Bearer/);
    expect(shop.book.version()).toBe(0);
    await mark(shop, bearer(sam)).expect(200);
    expect(shop.book.since(0)[0]?.by).toBe("Sam");
  });

  it("a body without a key is refused before it is read", async () => {
    const { request } = await openWith(true);
    const reply = await request
      .post("/api/marks")
      .set({ "content-type": "application/json", "idempotency-key": "k", "if-match": "*" })
      .send('{"kit":')
      .expect(401);
    expect(reply.body.code).toBe("DOOR_KEY_NEEDED");
  });

  it("whoever reaches it can read and ask", async () => {
    const { request } = await openWith(true);
    await request.get(`${assemblyPath}/marks`).expect(200);
    await request
      .post("/api/ask")
      .send({ ...place, question: "Which holes stay open?" })
      .expect(200);
  });

  it("a revoked key writes no more, from the moment it is revoked", async () => {
    const keys = ring();
    const shop = await openWith(true, keys);
    await mark(shop, bearer(sam)).expect(200);
    keys.revoke(sam.stored.id, AT);
    expect((await mark(shop, bearer(sam)).expect(401)).body.code).toBe("DOOR_KEY_REVOKED");
    expect(shop.book.version()).toBe(1);
    expect(shop.book.since(0)[0]?.by).toBe("Sam");
  });

  it("an act sent again with its key counts once", async () => {
    const shop = await openWith(true);
    const send = () =>
      shop.request
        .post("/api/marks")
        .set({ "idempotency-key": "once", "if-match": '"0"', authorization: bearer(sam) })
        .send({ ...place, marks: [{ kind: "hole", hole: assembly.holes[0]?.id, state: "set" }] });
    await send().expect(200);
    await send().expect(200);
    expect(shop.book.version()).toBe(1);
  });

  it("no key of somebody else can send it again", async () => {
    const shop = await openWith(true);
    const send = (who: { readonly shown: string }) =>
      shop.request
        .post("/api/marks")
        .set({ "idempotency-key": "once", "if-match": '"0"', authorization: bearer(who) })
        .send({ ...place, marks: [{ kind: "hole", hole: assembly.holes[0]?.id, state: "set" }] });
    await send(sam).expect(200);
    expect((await send(ida).expect(422)).body.code).toBe("IDEMPOTENCY_REUSED");
  });
});

describe("guessing keys", () => {
  it("ends after ten from one address, for the right key too, until the time is over", async () => {
    const shop = await openWith(true);
    for (let i = 0; i < 10; i++) {
      const guess = `${sam.stored.id}.${"A".repeat(42)}${"AEIMQUYcgk"[i]}`;
      expect((await mark(shop, `Bearer ${guess}`)).status).toBe(401);
    }
    const reply = await mark(shop, bearer(sam)).expect(429);
    expect(reply.body.code).toBe("DOOR_ATTEMPTS");
    expect(Number(reply.headers["retry-after"])).toBeGreaterThan(500);
    expect(Number(reply.headers["retry-after"])).toBeLessThanOrEqual(600);
    expect(shop.book.version()).toBe(0);
  });

  it("at once gains no more tries than one after the other", async () => {
    const { app } = await openWith(true);
    const replies = await Promise.all(
      Array.from({ length: 40 }, (_, i) =>
        app.inject({
          method: "GET",
          url: "/api/door",
          headers: {
            host: "localhost",
            authorization: `Bearer ${sam.stored.id}.${String(i).padStart(43, "A")}`,
          },
        }),
      ),
    );
    const statuses = replies.map(({ statusCode }) => statusCode);
    expect(statuses.filter((status) => status === 401)).toHaveLength(10);
    expect(statuses.filter((status) => status === 429)).toHaveLength(30);
  });

  it("is not helped by the answer: an id that exists is refused in the same words as one that does not", async () => {
    const shop = await openWith(true);
    const [known, unknown] = [
      await mark(shop, `Bearer ${sam.stored.id}.${"A".repeat(43)}`),
      await mark(shop, `Bearer aaaaaaaaaa.${"A".repeat(43)}`),
    ];
    expect(known.body).toEqual(unknown.body);
  });
});

describe("the door", () => {
  it("says whether a key is needed and whose this one is", async () => {
    const { request } = await openWith(true);
    const without = await request.get("/api/door").expect(200);
    expect(without.body).toEqual({ keyNeeded: true, holder: null });
    const reply = await request.get("/api/door").set("authorization", bearer(ida)).expect(200);
    expect(reply.body.holder).toEqual({ id: ida.stored.id, name: "Ida", role: "mentor" });
    await request.get("/api/door").set("authorization", bearer(stranger)).expect(401);
    const alone = await openWith(false);
    expect((await alone.request.get("/api/door")).body.keyNeeded).toBe(false);
  });

  it("opens to nobody while the keys cannot be read", async () => {
    const failing: KeyRing = {
      ...ring(),
      get: () => {
        throw new Error("the disk is gone");
      },
    };
    const shop = await openWith(false, failing);
    await mark(shop, bearer(sam)).expect(500);
    expect(shop.book.version()).toBe(0);
  });
});
