import { expect, test } from "vitest";
import { ask, PLACE, Shop, WIDE } from "./shop.js";

const shop = new Shop();

test("a part is pointed at by keyboard alone, from the list of parts", async () => {
  const page = await shop.page(WIDE);
  await page.getByRole("button", { name: "Parts", exact: true }).click();
  const part = page.locator('details.part[data-part="RIB-3"]');
  await part.locator("summary").focus();
  await page.keyboard.press("Enter");
  await page
    .getByRole("button", { name: /^Point at .* on the map$/ })
    .first()
    .waitFor();
  const point = part.getByRole("button", { name: /^Point at .* on the map$/ });
  await point.focus();
  await page.keyboard.press("Enter");
  expect(await page.locator(".main").getAttribute("data-pane")).toBe("map");
  expect(await page.locator('.is-pointed[data-part="RIB-3"]').count()).toBeGreaterThan(0);
  expect(await page.locator(".hole-panel:focus-within").count()).toBe(1);
});

test("the plan is what is printed when the plan is open", async () => {
  const page = await shop.page(WIDE);
  await page.getByRole("button", { name: "Plan", exact: true }).click();
  await page.locator(".plan:not([aria-busy]) .step-list li").first().waitFor();
  await page.emulateMedia({ media: "print" });
  expect(await page.locator(".step-list li").first().isVisible()).toBe(true);
  expect(await page.locator(".talk").isVisible()).toBe(false);
  expect(await page.locator(".papers").isVisible()).toBe(false);
  expect(await page.locator(".plan .cautions li").first().isVisible()).toBe(true);
  await page.emulateMedia({ media: "screen" });
  await page.getByRole("button", { name: "Map", exact: true }).click();
  await page.emulateMedia({ media: "print" });
  expect(await page.locator(".step-list").isVisible()).toBe(false);
});

test("a remark on a hole is written from the hole's panel and stands in the shop book", async () => {
  const page = await shop.page(WIDE);
  await page.getByRole("button", { name: "Map", exact: true }).click();
  await page.locator(".hole").first().focus();
  await page.keyboard.press("Enter");
  const form = page.locator(".hole-panel .note-form");
  await form.locator("summary").click();
  await form.getByRole("textbox").fill("Edge filed smooth <b>here</b>.");
  await form.getByRole("button", { name: "Write it down" }).click();
  await page.getByText("The remark is in the shop book").waitFor();
  const record = await fetch(`${shop.url}/api/kits/${PLACE.kit}/assemblies/${PLACE.assembly}/record`);
  expect(await record.text()).toContain("Edge filed smooth <b>here</b>.");
  expect(await form.getByRole("textbox", { includeHidden: true }).inputValue()).toBe("");
});

test("an answer about a step of the manual leads to that step's sheet", async () => {
  const page = await shop.page(WIDE);
  await ask(page, "what tools for step 6-4");
  const link = page.getByRole("link", { name: "Sheet of step 6-4, for print" });
  await link.waitFor();
  const href = await link.getAttribute("href");
  const sheet = await fetch(`${shop.url}${href}`);
  expect(sheet.status).toBe(200);
  expect(await sheet.text()).toContain("step 6-4");
});
