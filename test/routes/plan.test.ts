import { describe, expect, it } from "vitest";
import { Problem } from "../../server/problem.js";
import { memoryBook } from "../../server/store/memory.js";
import { assembly, assemblyPath, kit, openShop } from "./shop.js";

const planPath = `${assemblyPath}/plan`;

/** Marks recorded through the API. */
async function mark(shop: Awaited<ReturnType<typeof openShop>>, marks: readonly object[]): Promise<void> {
  await shop.request
    .post("/api/marks")
    .set({ "idempotency-key": crypto.randomUUID(), "if-match": "*" })
    .send({ kit: kit.id, assembly: assembly.id, marks })
    .expect(200);
}

const rowSet = (...rows: string[]): object[] =>
  assembly.holes
    .filter(({ rowId }) => rows.includes(rowId))
    .map(({ id }) => ({ kind: "hole", hole: id, state: "set" }));

describe("GET …/plan", () => {
  it("gives the whole order, each step with its place, its words and its reasons", async () => {
    const { request } = await openShop();
    const { body } = await request.get(planPath).expect(200);
    expect(body).toMatchObject({
      kit: kit.id,
      assembly: assembly.id,
      version: 0,
      status: "open",
      turnOvers: 1,
    });
    const set = body.steps.flatMap((step: { holes?: string[]; kind: string }) =>
      step.kind === "rivets" ? step.holes : [],
    );
    const open = body.leftOpen.map(({ hole }: { hole: string }) => hole);
    expect([...set, ...open].sort()).toEqual(assembly.holes.map(({ id }) => id).sort());
    for (const step of body.steps) {
      expect(step.said).toMatch(/^[A-Z].*\.$/);
      expect(step.where).not.toBe("");
    }
  });

  it("carries the cautions that the answer to the same question carries", async () => {
    const { request } = await openShop();
    const { body } = await request.get(planPath).expect(200);
    const asked = { kit: kit.id, assembly: assembly.id, form: "plan", slots: {} };
    const answer = await request.post("/api/ask").send(asked).expect(200);
    expect(body.cautions).toEqual(answer.body.cautions);
    expect(body.cautions.join("\n")).toMatch(/\beyes?\b/i);
    expect(body.cautions.at(-1)).toContain("The kit maker's data and current notices govern");
  });

  it("says first, on paper too, when the shop book that it rests on cannot be trusted", async () => {
    const trouble = new Problem("SHOPBOOK_BROKEN", "Entry 7 was changed.", { fix: "Restore it." });
    const { request } = await openShop({ ...memoryBook(), trouble });
    const { body } = await request.get(planPath).expect(200);
    expect(body.cautions[0]).toContain("Entry 7 was changed.");
    for (const paper of ["plan.html", "sheet.html"]) {
      const { text } = await request.get(`${assemblyPath}/${paper}`).expect(200);
      expect(text).toContain("Entry 7 was changed.");
    }
  });

  it("follows the marks", async () => {
    const shop = await openShop();
    await mark(shop, rowSet("WEB-DOUBLER.upper"));
    const { body } = await shop.request.get(planPath).expect(200);
    expect(body.version).toBe(1);
    const rows = body.steps.map(({ row }: { row?: string }) => row);
    expect(rows).not.toContain("WEB-DOUBLER.upper");
    expect(rows).toContain("WEB-DOUBLER.lower");
  });

  it("an assembly that there is not is a clear problem", async () => {
    const { request } = await openShop();
    const { body } = await request.get(`/api/kits/${kit.id}/assemblies/wing/plan`).expect(404);
    expect(body.code).toBe("UNKNOWN_ASSEMBLY");
  });
});

describe("GET …/plan.svg", () => {
  it("is a picture on its own, without scripts, styles or anything fetched", async () => {
    const { request } = await openShop();
    const { body, headers, text } = await request.get(`${planPath}.svg`).expect(200);
    const svg = text ?? body.toString("utf8");
    expect(headers["content-type"]).toBe("image/svg+xml; charset=utf-8");
    expect(svg).toMatch(/^<svg xmlns="http:\/\/www\.w3\.org\/2000\/svg"/);
    expect(svg).not.toMatch(/<script|<style|style=|href|onload/);
    expect(svg).toContain("trim-servo mount");
  });
});

describe("the way back through the API", () => {
  it("is told as proved, the same the second time, while other questions are answered", async () => {
    const shop = await openShop();
    await mark(shop, rowSet("SERVO-MOUNT.outer", "SERVO-MOUNT.inner"));
    const ask = () =>
      shop.request.post("/api/ask").send({ kit: kit.id, assembly: assembly.id, form: "rework", slots: {} });
    const [back, next] = await Promise.all([
      ask().expect(200),
      shop.request
        .post("/api/ask")
        .send({ kit: kit.id, assembly: assembly.id, question: "what comes next?" })
        .expect(200),
    ]);
    expect(back.body.headline).toContain("Drill out 6 rivets");
    expect(back.body.headline).toContain("fewer will not do");
    expect(next.body.headline).toContain("5 rivets are walled in");
    const again = await ask().expect(200);
    expect(again.body).toEqual(back.body);
  });

  it("what if records nothing", async () => {
    const shop = await openShop();
    const { body } = await shop.request
      .post("/api/ask")
      .send({ kit: kit.id, assembly: assembly.id, question: "What if I hang the servo mount first?" })
      .expect(200);
    expect(body).toMatchObject({ outcome: "answered", version: 0 });
    expect(body.headline).toMatch(/^If the trim-servo mount is hung first/);
    // To "does it matter?" a no would say that it does not.
    expect(body.verdict).toBeUndefined();
    expect((await shop.request.get(`${assemblyPath}/marks`).expect(200)).body.holes).toEqual({});
  });
});
