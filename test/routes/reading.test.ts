import { describe, expect, it } from "vitest";
import { assembly, assemblyPath, kit, library, openShop } from "./shop.js";

describe("what there is to work on", () => {
  it("lists every kit with its assemblies", async () => {
    const { request } = await openShop();
    const { body } = await request.get("/api/kits").expect(200);
    expect(body.kits.map(({ id }: { id: string }) => id)).toEqual([...library.kits.keys()]);
    expect(body.kits[0]).toMatchObject({
      id: kit.id,
      name: kit.name,
      assemblies: [{ id: assembly.id, parts: assembly.parts.length, holes: assembly.holes.length }],
    });
  });

  it("shows an assembly: everything that can be named, and every hole on the map", async () => {
    const { request } = await openShop();
    const { body } = await request.get(assemblyPath).expect(200);
    const ids = (list: readonly { id: string }[]) => list.map(({ id }) => id);
    expect(body).toMatchObject({
      id: assembly.id,
      name: assembly.name,
      kit: { id: kit.id, units: kit.units },
    });
    for (const what of ["parts", "rows", "families", "milestones", "steps", "views"] as const) {
      expect(ids(body[what])).toEqual(ids(assembly[what]));
    }
    expect(ids(body.prepGates)).toEqual(ids(kit.prepGates));
    expect(body.closings).toEqual(assembly.closings);
    const drawn = body.map.views.flatMap((view: { holes: readonly { id: string }[] }) => ids(view.holes));
    expect([...drawn, ...body.map.unseen].sort()).toEqual(ids(assembly.holes).sort());
  });

  it("is answered to HEAD without a body", async () => {
    const { request } = await openShop();
    const reply = await request.head("/api/kits").expect(200);
    expect(reply.text).toBeUndefined();
  });
});

describe("the rulings", () => {
  it("say for every hole what is settled, in the assembly's order, and never pass over what is open", async () => {
    const { request, workshop } = await openShop();
    const { body } = await request.get(`${assemblyPath}/rulings`).expect(200);
    const job = await workshop.job(kit.id, assembly.id);
    expect(body.rulings.map(({ hole }: { hole: string }) => hole)).toEqual(
      assembly.holes.map(({ id }) => id),
    );
    for (const line of body.rulings) {
      const ruling = job.rulings.of(line.hole);
      expect(line.verdict).toBe(ruling.verdict);
      expect(line.treatment).toBe(ruling.attributes.treatment?.value ?? null);
      expect(line.finalDiameterMm).toBe(ruling.attributes.finalDiameterMm?.value ?? null);
      expect(line.fastener).toBe(ruling.attributes.rivet?.value ?? null);
      expect(line.head).toBe(ruling.attributes.head?.value ?? null);
      expect(line.verdict === "settled").toBe(line.open.length === 0);
      for (const { attribute, status } of line.open) {
        expect(ruling.attributes[attribute]).toMatchObject({ status, value: null });
      }
    }
  });

  it("give each hold its milestone and its reason, and end it when the milestone is reached", async () => {
    const { request } = await openShop();
    const { body } = await request.get(`${assemblyPath}/rulings`).expect(200);
    const held = body.rulings.filter(({ hold }: { hold: unknown }) => hold !== null);
    expect(held.length).toBeGreaterThan(0);
    for (const { hold } of held) {
      expect(assembly.milestones.map(({ id }) => id)).toContain(hold.until);
      expect(hold.why).not.toBe("");
    }
    const milestone = held[0].hold.until;
    await request
      .post("/api/marks")
      .set({ "idempotency-key": "k", "if-match": "*" })
      .send({ kit: kit.id, assembly: assembly.id, marks: [{ kind: "milestone", milestone, reached: true }] })
      .expect(200);
    const after = await request.get(`${assemblyPath}/rulings`).expect(200);
    const waiting = after.body.rulings.filter(
      ({ hold }: { hold: { until: string } | null }) => hold?.until === milestone,
    );
    expect(waiting).toEqual([]);
  });
});

describe("the rules in force", () => {
  it("come with basis, reason and examples, all or one", async () => {
    const { request } = await openShop();
    const { body } = await request.get("/api/rules").expect(200);
    expect(body.rules.length).toBeGreaterThan(0);
    for (const rule of body.rules) {
      expect(rule.basis.document).not.toBe("");
      expect(rule.why).not.toBe("");
      expect(rule.examples.length).toBeGreaterThan(1);
    }
    const [rule] = body.rules;
    expect((await request.get(`/api/rules/${rule.id}`).expect(200)).body).toEqual({ ...rule, shop: null });
    const ofKit = await request.get(`/api/rules?kit=${kit.id}`).expect(200);
    expect(ofKit.body.rules).toEqual(library.rulebookOf(kit.id).rules);
  });
});

describe("the notes", () => {
  it("are found by words, and come without scripts", async () => {
    const { request } = await openShop();
    const all = (await request.get("/api/notes").expect(200)).body.notes;
    expect(all.length).toBeGreaterThanOrEqual(20);
    const found = (await request.get("/api/notes?q=deburring").expect(200)).body.notes;
    expect(found[0]).toEqual(all.find(({ id }: { id: string }) => id === found[0].id));
    const note = (await request.get(`/api/notes/${found[0].id}`).expect(200)).body;
    expect(note.html).toContain("<p>");
    expect(note.html).not.toMatch(/<script|<[^>]+\s+on\w+=|javascript:/i);
  });

  it.each(["~", "title:x^5 +-*", "a AND (b", "%22%3Cscript%3E", "🔩", " "])(
    "are searched for %j without a fault",
    async (q) => {
      const { request } = await openShop();
      const { body } = await request.get("/api/notes").query({ q }).expect(200);
      expect(Array.isArray(body.notes)).toBe(true);
    },
  );
});

describe("the forms of question", () => {
  it("say what they are for and what to ask when a slot is missing", async () => {
    const { request } = await openShop();
    const { body } = await request.get("/api/questions").expect(200);
    const ids = body.forms.map(({ id }: { id: string }) => id);
    expect(ids).toEqual(
      expect.arrayContaining(
        "before-closing may-i treatment stay-open close-later why why-not odd-ones changed notes tell".split(
          " ",
        ),
      ),
    );
    for (const form of body.forms) {
      expect(form.purpose).not.toBe("");
      for (const slot of form.slots) expect(slot.ask).not.toBe("");
    }
  });
});

describe("the page", () => {
  it("is served with its type, and not sent again unchanged", async () => {
    const { request } = await openShop();
    const reply = await request.get("/").expect(200);
    expect(reply.headers["content-type"]).toBe("text/html; charset=utf-8");
    await request
      .get("/")
      .set("if-none-match", reply.headers.etag ?? "")
      .expect(304);
    await request.get("/?kit=a#b").expect(200);
  });
});
