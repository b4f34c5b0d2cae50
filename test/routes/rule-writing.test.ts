import { describe, expect, it } from "vitest";
import { aRule, itsHoles } from "./a-rule.js";
import { assembly, openShop, place } from "./shop.js";

describe("writing a rule", () => {
  it("begins with the words that it can use", async () => {
    const shop = await openShop();
    const { body } = await shop.request.get("/api/rules/vocabulary").query(place).expect(200);
    expect(body.holes).toBe(assembly.holes.length);
    expect(body.families).toHaveLength(5);
    await shop.request
      .get("/api/rules/vocabulary")
      .query({ ...place, assembly: "nowhere" })
      .expect(404);
    await shop.request.get("/api/rules/vocabulary").query({ kit: place.kit }).expect(400);
  });

  it("shows where its conditions hold before anything else of it is written", async () => {
    const shop = await openShop();
    const { conditions } = aRule("wooden-bar");
    const { body } = await shop.request
      .post("/api/rules/matches")
      .send({ ...place, conditions })
      .expect(200);
    expect(body.holds).toEqual(itsHoles);
    expect(body.nodes[0]).toEqual({ pointer: "", holds: itsHoles.length, open: 0 });
    expect(shop.book.version()).toBe(0);
  });

  it("names what is wrong in them by its place", async () => {
    const shop = await openShop();
    const conditions = { all: [{ fact: "rowId", operator: "equal", value: "NOWHERE.at-all" }] };
    const { body } = await shop.request
      .post("/api/rules/matches")
      .send({ ...place, conditions })
      .expect(200);
    expect(body.problems).toMatchObject([{ code: "VALUE_UNKNOWN", pointer: "/all/0/value" }]);
    expect(body.holds).toEqual([]);
  });
});
