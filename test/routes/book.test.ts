import { join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { entriesIn } from "../../server/store/lines.js";
import { sqliteBook } from "../../server/store/sqlite.js";
import { revision, shopRule, step } from "../shop/rules.js";
import { tempFolder } from "../store/books.js";
import { assembly, assemblyPath, kit, openShop, place, type Shop } from "./shop.js";

const [first, second] = assembly.holes.map(({ id }) => id) as [string, string];
const EVIL = `=HYPERLINK("http://x","<script>alert(1)</script>") 'Ada'`;

async function told(shop: Shop): Promise<void> {
  const act = (key: string) => ({ "idempotency-key": key, "if-match": "*" });
  const marks = [{ kind: "hole", hole: first, state: "set" }];
  await shop.request
    .post("/api/marks")
    .set(act("k1"))
    .send({ ...place, marks, by: EVIL })
    .expect(200);
  const note = { ...place, hole: second, text: EVIL };
  await shop.request.post("/api/book/notes").set(act("k2")).send(note).expect(200);
  const rule = shopRule("a", { title: EVIL, departure: { from: ["handbook-as-punched"], reference: EVIL } });
  shop.book.append(
    [
      revision(rule, 1, EVIL, kit.id),
      step(rule, 1, "propose", { kit: kit.id }),
      step(rule, 1, "accept", { kit: kit.id }),
    ],
    { key: "k3", expected: "any" },
  );
}

describe("the build record over HTTP", () => {
  it("is data, a table and a page, of the same version", async () => {
    const shop = await openShop();
    await told(shop);
    const data = await shop.request.get(`${assemblyPath}/record`).expect(200);
    expect(data.body).toMatchObject({ ...place, version: 5, head: shop.book.since(4)[0]?.hash });
    expect(data.body.lines.map(({ kind }: { kind: string }) => kind)).toEqual(["set", "note", "rule"]);
    expect(data.body.lines[0]).toMatchObject({ by: EVIL, holes: [first] });

    const table = await shop.request.get(`${assemblyPath}/record.csv`).expect(200);
    expect(table.headers["content-type"]).toBe("text/csv; charset=utf-8; header=present");
    expect(table.headers["content-disposition"]).toMatch(/^attachment; filename="build-record-[\w-]+\.csv"$/);
    expect(table.text.split("\r\n")[0]).toBe(
      "entry,at_utc,by,kind,what,where,holes,treatment,final_diameter_mm,rivet,head,hold,verdict,not_settled,rules",
    );
    expect(table.text).toContain(first);

    const page = await shop.request.get(`${assemblyPath}/record.html`).expect(200);
    expect(page.headers["content-type"]).toBe("text/html; charset=utf-8");
    expect(page.text).toContain(shop.book.since(4)[0]?.hash);
    expect(page.text).toContain("1 set");
    expect(page.text).toMatch(/<td>treatment: [^<]+, final diameter: [^<]+<\/td>/);
  });

  it("shows what people wrote as text: no markup, no script, no formula", async () => {
    const shop = await openShop();
    await told(shop);
    const { text: page } = await shop.request.get(`${assemblyPath}/record.html`).expect(200);
    expect(page).toContain("&lt;script&gt;");
    expect(page).not.toMatch(/<script|\bon\w+=|style=|<style/i);
    const { text: table } = await shop.request.get(`${assemblyPath}/record.csv`).expect(200);
    for (const field of table.split(/\r\n|,(?=(?:[^"]*"[^"]*")*[^"]*$)/))
      expect(field).not.toMatch(/^"?[=+@]/);
    expect(table).toContain(`"'=HYPERLINK(""http://x""`);
  });

  it("of an assembly that is not there is told so", async () => {
    const { request } = await openShop();
    for (const path of ["record", "record.csv", "record.html"]) {
      const reply = await request.get(`/api/kits/${kit.id}/assemblies/none/${path}`).expect(404);
      expect(reply.body.code).toBe("UNKNOWN_ASSEMBLY");
    }
  });
});

describe("the shop book over HTTP", () => {
  it("is exported whole, line by line", async () => {
    const shop = await openShop();
    await told(shop);
    const reply = await shop.app.inject("/api/book/export");
    expect(reply.statusCode).toBe(200);
    expect(reply.headers["content-type"]).toBe("application/jsonl; charset=utf-8");
    expect(entriesIn(reply.body, "export")).toEqual(shop.book.since(0));
  });

  it("takes notes once, and only on what the assembly has", async () => {
    const shop = await openShop();
    const send = (key: string, body: object) =>
      shop.request
        .post("/api/book/notes")
        .set({ "idempotency-key": key, "if-match": "*" })
        .send({ ...place, text: "sharp", ...body });
    expect((await send("k", { by: "Ada" }).expect(200)).body).toEqual({ version: 1 });
    expect((await send("k", { by: "Ada" }).expect(200)).body).toEqual({ version: 1 });
    expect((await send("k2", { hole: "NONE.x.1" }).expect(422)).body).toMatchObject({
      code: "UNKNOWN_ID",
      where: { pointer: "/hole" },
    });
    expect((await send("k3", { part: "NONE" }).expect(422)).body.code).toBe("UNKNOWN_ID");
    expect((await send("k4", { text: "  " }).expect(400)).body.code).toBe("REQUEST_INVALID");
    expect(shop.book.version()).toBe(1);
  });

  it("on a full disk says so, records nothing, and answers on", async () => {
    const shop = await openShop(sqliteBook(join(tempFolder(), "book.sqlite"), { maxPages: 40 }));
    const note = { ...place, text: "x".repeat(2000) };
    let status = 200;
    let accepted = 0;
    while (status === 200 && accepted < 200) {
      const act = { "idempotency-key": `k${accepted}`, "if-match": "*" };
      const reply = await shop.request.post("/api/book/notes").set(act).send(note);
      status = reply.status;
      if (status === 200) accepted += 1;
      else expect(reply.body).toMatchObject({ code: "SHOPBOOK_FULL", status: 507 });
    }
    expect([status, accepted > 3]).toEqual([507, true]);
    const record = await shop.request.get(`${assemblyPath}/record`).expect(200);
    expect(record.body.lines).toHaveLength(accepted);
    await shop.request
      .post("/api/ask")
      .send({ ...place, form: "progress", slots: {} })
      .expect(200);
  });

  it("whose chain is broken is read, and refuses what is new; every answer says so", async () => {
    const file = join(tempFolder(), "book.sqlite");
    const book = sqliteBook(file);
    const marks = [{ kind: "hole", hole: first, state: "set" }] as const;
    book.append([{ kind: "marks", by: "Ada", ...place, body: { marks } }], { key: "k", expected: 0 });
    book.close();
    const db = new Database(file);
    db.exec("DROP TRIGGER entries_keep_their_words; UPDATE entries SET by = 'Ben'");
    db.close();
    const shop = await openShop(sqliteBook(file));
    const act = { "idempotency-key": "k2", "if-match": "*" };
    const refused = await shop.request
      .post("/api/marks")
      .set(act)
      .send({ ...place, marks })
      .expect(503);
    expect(refused.body).toMatchObject({ code: "SHOPBOOK_BROKEN", where: { request: "POST /api/marks" } });
    const work = await shop.request.get(`${assemblyPath}/marks`).expect(200);
    expect(work.body.holes).toEqual({ [first]: "set" });
    const answer = await shop.request.post("/api/ask").send({ ...place, form: "progress", slots: {} });
    expect(answer.body.cautions[0]).toContain("entry 1 was changed");
    const page = await shop.request.get(`${assemblyPath}/record.html`).expect(200);
    expect(page.text).toContain("entry 1 was changed");
  });

  it("a note does not make another's marks stale", async () => {
    const shop = await openShop();
    const note = { "idempotency-key": "n", "if-match": '"0"' };
    await shop.request
      .post("/api/book/notes")
      .set(note)
      .send({ ...place, text: "sharp" })
      .expect(200);
    const marks = [{ kind: "hole", hole: first, state: "pinned" }];
    await shop.request
      .post("/api/marks")
      .set({ "idempotency-key": "m", "if-match": '"0"' })
      .send({ ...place, marks })
      .expect(200);
  });
});
