import { describe, expect, it } from "vitest";
import { memoryBook } from "../../server/store/memory.js";
import { assembly, assemblyPath, openShop, place, type Shop } from "./shop.js";

const [first, second] = assembly.holes.map(({ id }) => id) as [string, string];
const [part] = assembly.parts.map(({ id }) => id) as [string];

interface Act {
  readonly key?: string;
  readonly match?: string;
}

let keys = 0;

function mark(
  { request }: Shop,
  marks: readonly object[],
  { key, match = "*" }: Act = {},
  more: object = {},
) {
  keys += 1;
  return request
    .post("/api/marks")
    .set("idempotency-key", key ?? `key-${keys}`)
    .set("if-match", match)
    .send({ ...place, marks, ...more });
}

const set = (hole: string) => ({ kind: "hole", hole, state: "set" });

describe("telling what was done", () => {
  it("starts from nothing done", async () => {
    const { request } = await openShop();
    const reply = await request.get(`${assemblyPath}/marks`).expect(200);
    expect(reply.body).toEqual({ ...place, version: 0, holes: {}, prep: {}, milestones: [] });
    expect(reply.headers.etag).toBe('"0"');
  });

  it("marks holes, prep and milestones, and gives the marks that undo it", async () => {
    const shop = await openShop();
    const gate = shop.workshop.kit(place.kit).prepGates[0]?.id ?? "";
    const milestone = assembly.milestones[0]?.id ?? "";
    await mark(shop, [{ kind: "hole", hole: first, state: "pinned" }]).expect(200);

    const told = await mark(shop, [
      set(first),
      { kind: "hole", hole: second, state: "pinned" },
      { kind: "prep", part, gate, done: true },
      { kind: "milestone", milestone, reached: true },
    ]).expect(200);
    expect(told.body.version).toBe(2);
    expect(told.headers.etag).toBe('"2"');
    const after = await shop.request.get(`${assemblyPath}/marks`);
    expect(after.body).toEqual({
      ...place,
      version: 2,
      holes: { [first]: "set", [second]: "pinned" },
      prep: { [part]: [gate] },
      milestones: [milestone],
    });

    await mark(shop, told.body.undo, { match: '"2"' }).expect(200);
    const undone = await shop.request.get(`${assemblyPath}/marks`);
    expect(undone.body).toEqual({
      ...place,
      version: 3,
      holes: { [first]: "pinned" },
      prep: {},
      milestones: [],
    });
  });

  it("keeps who did it, markup and all, as plain text", async () => {
    const shop = await openShop();
    const by = '<img src=x onerror="alert(1)"> & Søren';
    await mark(shop, [set(first)], {}, { by }).expect(200);
    expect(shop.book.since(0)[0]?.by).toBe(by);
  });

  it("sent twice with the same key counts once, and is answered the same", async () => {
    const shop = await openShop();
    const once = await mark(shop, [set(first)], { key: "k", match: '"0"' }).expect(200);
    await mark(shop, [set(second)]).expect(200);
    const twice = await mark(shop, [set(first)], { key: "k", match: '"0"' }).expect(200);
    expect(twice.body.version).toBe(once.body.version);
    expect(twice.body.undo).toEqual(once.body.undo);
    expect(twice.body.undo).toEqual([{ kind: "hole", hole: first, state: "unset" }]);
    expect(shop.book.version()).toBe(2);
  });

  it("refuses a key that was used for something else", async () => {
    const shop = await openShop();
    await mark(shop, [set(first)], { key: "k" }).expect(200);
    const reply = await mark(shop, [set(second)], { key: "k" }).expect(422);
    expect(reply.body.code).toBe("IDEMPOTENCY_REUSED");
    expect(shop.book.version()).toBe(1);
  });

  it("based on an old version is refused, and told where the book stands", async () => {
    const shop = await openShop();
    await mark(shop, [set(first)], { match: '"0"' }).expect(200);
    const reply = await mark(shop, [set(second)], { match: '"0"' }).expect(412);
    expect(reply.headers["content-type"]).toContain("application/problem+json");
    expect(reply.body).toMatchObject({ code: "VERSION_STALE", status: 412, version: 1 });
    expect(shop.book.version()).toBe(1);
  });

  it("asks for a key and for the version", async () => {
    const { request, book } = await openShop();
    const body = { ...place, marks: [set(first)] };
    const keyless = await request.post("/api/marks").set("if-match", "*").send(body).expect(400);
    expect(keyless.body).toMatchObject({
      code: "IDEMPOTENCY_KEY_MISSING",
      where: { request: "POST /api/marks", header: "Idempotency-Key" },
    });
    const matchless = await request.post("/api/marks").set("idempotency-key", "k").send(body).expect(428);
    expect(matchless.body).toMatchObject({ code: "IF_MATCH_MISSING", where: { header: "If-Match" } });
    for (const match of ["0", "", '"-1"', '"1.0"', 'W/"0"', '"0", "1"', '"1e3"', `"${"9".repeat(400)}"`]) {
      const reply = await request
        .post("/api/marks")
        .set("idempotency-key", "k")
        .set("if-match", match)
        .send(body)
        .expect(400);
      expect(reply.body.code).toBe("IF_MATCH_MALFORMED");
    }
    for (const key of ["", "two words", "ß", "k".repeat(101)]) {
      const reply = await request
        .post("/api/marks")
        .set("idempotency-key", Buffer.from(key).toString("latin1"))
        .set("if-match", "*")
        .send(body)
        .expect(400);
      expect(reply.body.code).toBe("IDEMPOTENCY_KEY_MISSING");
    }
    expect(book.version()).toBe(0);
  });

  it("about something that the assembly does not have is refused as a whole, naming each place", async () => {
    const shop = await openShop();
    const reply = await mark(shop, [
      set(first),
      set("NO.SUCH.1"),
      { kind: "prep", part: "NOPART", gate: "nogate", done: true },
      { kind: "prep", part, gate: "nogate", done: true },
      { kind: "milestone", milestone: "never", reached: true },
    ]).expect(422);
    expect(reply.body).toMatchObject({ code: "MARK_REFUSED", where: { pointer: "/marks/1/hole" } });
    expect(reply.body.errors.map((error: { where: object }) => error.where)).toEqual(
      ["/marks/2/part", "/marks/3/gate", "/marks/4/milestone"].map((pointer) => ({
        request: "POST /api/marks",
        pointer,
      })),
    );
    expect(shop.book.version()).toBe(0);
  });

  it("about a kit or assembly that is not there is refused", async () => {
    const shop = await openShop();
    expect((await mark(shop, [set(first)], {}, { kit: "nokit" }).expect(404)).body.code).toBe("UNKNOWN_KIT");
    expect((await mark(shop, [set(first)], {}, { assembly: "none" }).expect(404)).body.code).toBe(
      "UNKNOWN_ASSEMBLY",
    );
    expect(shop.book.version()).toBe(0);
  });

  it.each<[string, object, string]>([
    ["an unknown key", { extra: 1 }, "/extra"],
    ["no marks", { marks: [] }, "/marks"],
    ["marks that are no list", { marks: {} }, "/marks"],
    ["null for marks", { marks: null }, "/marks"],
    ["a mark that is text", { marks: ["set"] }, "/marks/0"],
    ["a mark of unknown kind", { marks: [{ kind: "drill" }] }, "/marks/0"],
    ["a mark without kind", { marks: [{ hole: first, state: "set" }] }, "/marks/0/kind"],
    ["a state that is not one", { marks: [{ kind: "hole", hole: first, state: "Set" }] }, "/marks/0/state"],
    ["a hole's number for its id", { marks: [{ kind: "hole", hole: 3, state: "set" }] }, "/marks/0/hole"],
    ["text for yes", { marks: [{ kind: "milestone", milestone: "a", reached: "true" }] }, "/marks/0/reached"],
    ["a number for yes", { marks: [{ kind: "prep", part: "a", gate: "b", done: 1 }] }, "/marks/0/done"],
    ["a key of another kind of mark", { marks: [{ ...set(first), done: true }] }, "/marks/0/done"],
    ["nobody", { by: "" }, "/by"],
    ["blanks for a name", { by: "   " }, "/by"],
    ["a name on two lines", { by: "a\nb" }, "/by"],
    ["a name that is too long", { by: "x".repeat(81) }, "/by"],
    ["null for a name", { by: null }, "/by"],
    ["a list for the kit", { kit: ["a"] }, "/kit"],
  ])("with %s is refused, and nothing is recorded", async (_what, more, pointer) => {
    const shop = await openShop();
    const reply = await mark(shop, [set(first)], {}, more).expect(400);
    expect(reply.headers["content-type"]).toContain("application/problem+json");
    expect(reply.body).toMatchObject({ code: "REQUEST_INVALID", where: { pointer } });
    expect(reply.body.fix).not.toBe("");
    expect(shop.book.version()).toBe(0);
  });

  it("against a hold is recorded, and warned of; a pin is not", async () => {
    const shop = await openShop();
    const rulings = await shop.request.get(`${assemblyPath}/rulings`).expect(200);
    const held = rulings.body.rulings.find(({ hold }: { hold: unknown }) => hold !== null).hole;
    const pinned = await mark(shop, [{ kind: "hole", hole: held, state: "pinned" }]).expect(200);
    expect(pinned.body.warnings).toEqual([]);

    const told = await mark(shop, [set(held)], { key: "k" }).expect(200);
    expect(told.body.warnings.some((warning: string) => warning.includes("stays open until"))).toBe(true);
    const again = await mark(shop, [set(held)], { key: "k" }).expect(200);
    expect(again.body).toEqual(told.body);
    expect(shop.book.version()).toBe(2);
  });

  it("of what is not settled is recorded, and warned of", async () => {
    const shop = await openShop();
    const rulings = await shop.request.get(`${assemblyPath}/rulings`).expect(200);
    const open = rulings.body.rulings.find(
      ({ verdict }: { verdict: string }) => verdict === "undecided",
    ).hole;
    const told = await mark(shop, [set(open)]).expect(200);
    expect(told.body.warnings.some((warning: string) => warning.includes("undecided"))).toBe(true);
  });

  it("of a whole assembly at once gives the worst warnings, few enough to read", async () => {
    const shop = await openShop();
    const told = await mark(
      shop,
      assembly.holes.map(({ id }) => set(id)),
    ).expect(200);
    expect(told.body.warnings.length).toBeGreaterThan(1);
    expect(told.body.warnings.length).toBeLessThan(15);
    expect(told.body.warnings[0]).not.toContain("not marked as done");
    expect(told.body.warnings.at(-1)).toMatch(/^\d+ more warnings? not shown/);
    expect(told.body.undo).toHaveLength(assembly.holes.length);
  });

  it("is answered by the next question and ruling", async () => {
    const shop = await openShop();
    await mark(shop, [set(first)]).expect(200);
    const rulings = await shop.request.get(`${assemblyPath}/rulings`).expect(200);
    expect(rulings.body.version).toBe(1);
    expect((await shop.workshop.job(place.kit, place.assembly)).work.holes.get(first)).toBe("set");
  });

  it("is not lost on the page that asks with what it has", async () => {
    const shop = await openShop();
    const before = await shop.request.get(`${assemblyPath}/marks`);
    await shop.request
      .get(`${assemblyPath}/marks`)
      .set("if-none-match", before.headers.etag ?? "")
      .expect(304);
    await mark(shop, [set(first)]).expect(200);
    await shop.request
      .get(`${assemblyPath}/marks`)
      .set("if-none-match", before.headers.etag ?? "")
      .expect(200);
  });
});

describe("a shop book that cannot be written", () => {
  it("refuses marks, says so under /health, and answers on", async () => {
    const { Problem } = await import("../../server/problem.js");
    const book = memoryBook();
    const shop = await openShop({
      ...book,
      writable: false,
      append: () => {
        throw new Problem("SHOPBOOK_FULL", "The disk is full.", {
          where: { file: "/home/me/book" },
          fix: "Make room.",
        });
      },
    });
    const reply = await mark(shop, [set(first)]).expect(507);
    expect(reply.body).toMatchObject({ code: "SHOPBOOK_FULL", fix: "Make room." });
    expect(JSON.stringify(reply.body)).not.toContain("/home/me");
    expect((await shop.request.get("/health").expect(200)).body.status).toBe("read-only");
    await shop.request.get(`${assemblyPath}/marks`).expect(200);
  });
});
