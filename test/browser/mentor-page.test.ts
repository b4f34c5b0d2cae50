import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { describe, expect, it, onTestFinished } from "vitest";
import { makeKey } from "../../server/keys/key.js";
import { memoryKeys } from "../../server/keys/memory.js";
import { hashOfRule } from "../../server/shop/life.js";
import { memoryBook } from "../../server/store/memory.js";
import { tempFolder } from "../process/program.js";
import { aRule } from "../routes/a-rule.js";
import { kit, openShop } from "../routes/shop.js";
import { openBrowser } from "./program.js";

describe("the page that goes to a mentor", () => {
  it("opened from the disk, answers the review, and the shop takes the answer", {
    timeout: 120_000,
  }, async () => {
    const ida = await makeKey("Ida", "mentor", "2031-05-04T10:00:00.000Z");
    const keys = memoryKeys();
    keys.add(ida.stored);
    const { request } = await openShop(memoryBook(), { keys });
    const rule = aRule("wooden-bar");
    const act = { "if-match": "*", "idempotency-key": "s" };
    await request.post("/api/rules").set(act).send({ kit: kit.id, rule }).expect(200);
    await request
      .post(`/api/rules/${rule.id}/propose`)
      .set({ ...act, "idempotency-key": "p" })
      .send({ kit: kit.id, revision: 1, hash: hashOfRule(rule) })
      .expect(200);
    const saved = join(tempFolder(), "review.html");
    writeFileSync(saved, (await request.get(`/api/reviews/${rule.id}/page?kit=${kit.id}`).expect(200)).text);

    const browser = await openBrowser();
    onTestFinished(() => browser.close());
    const page = await browser.newPage({ viewport: { width: 360, height: 740 } });
    const troubles: string[] = [];
    const asked: string[] = [];
    page.on("pageerror", (error) => troubles.push(error.message));
    page.on("console", (message) => troubles.push(message.text()));
    page.on("request", (one) => asked.push(one.url()));
    await page.goto(pathToFileURL(saved).href);
    expect(await page.locator("main").textContent()).toContain("Back the flange up with the wooden bar.");
    expect(await page.evaluate<number>("document.documentElement.scrollWidth")).toBeLessThanOrEqual(360);

    const sign = page.getByRole("button", { name: "Sign" });
    await sign.click();
    expect(await page.getByRole("status").textContent()).toContain("Choose");
    await page.getByLabel("Send back").check();
    await page.getByLabel("Your key").fill(ida.shown);
    await sign.click();
    expect(await page.getByRole("status").textContent()).toContain("at least one comment");
    await page.getByLabel("Accept").check();
    await page.getByLabel("Why").fill("Ünderstood: “yes”.");
    await page.getByLabel("Your key").fill("no key");
    await sign.click();
    expect(await page.getByRole("status").textContent()).toContain("not a key");
    await page.getByLabel("Your key").fill(ida.shown);
    const [download] = await Promise.all([page.waitForEvent("download"), sign.click()]);
    expect(download.suggestedFilename()).toBe("answer-wooden-bar-1.json");
    const answer = readFileSync(await download.path(), "utf8");
    expect(answer).not.toContain(ida.shown.slice(11));

    const handed = await request.post("/api/reviews/answer").send(JSON.parse(answer)).expect(200);
    expect(handed.body.rule).toMatchObject({ status: "in force", inForce: 1 });
    expect(handed.body.rule.history.at(-1)).toMatchObject({
      by: "Ida",
      comments: [{ at: "/why", text: "Ünderstood: “yes”." }],
    });
    expect(troubles).toEqual([]);
    expect(asked.filter((url) => !url.startsWith("file:") && !url.startsWith("blob:"))).toEqual([]);
  });
});
