import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import type { PlanShown } from "../../web/wire.js";
import { ask, headline, hole, PLACE, Shop, settled, WIDE } from "./shop.js";

const shop = new Shop();
const AT = `/api/kits/${PLACE.kit}/assemblies/${PLACE.assembly}`;
const SMALL = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true } as const;
const SIZES = [
  ["a phone of 360 pixels", SMALL],
  ["a screen of 1280 pixels", WIDE],
] as const;

const overflow = (page: Page): Promise<number> =>
  page.locator("html").evaluate((root) => root.scrollWidth - root.clientWidth);

async function json<T>(path: string): Promise<T> {
  const response = await fetch(`${shop.url}${path}`);
  expect(response.status).toBe(200);
  return (await response.json()) as T;
}

/** Opens the plan and waits until it is drawn. */
async function openPlan(page: Page): Promise<void> {
  await page.getByRole("button", { name: "Plan", exact: true }).click();
  await page.locator(".plan:not([aria-busy]) .step-list li").first().waitFor();
}

test.each(SIZES)("on %s the plan shows its picture and the same steps as a list", async (_name, size) => {
  const page = await shop.page(size);
  await openPlan(page);
  const image = page.locator(".plan-frame img");
  await expect
    .poll(() => image.evaluate((one) => Number(Reflect.get(one, "naturalWidth"))))
    .toBeGreaterThan(100);
  const { steps, cautions } = await json<Pick<PlanShown, "steps" | "cautions">>(`${AT}/plan`);
  const shown = await page.locator(".step-list li").allTextContents();
  expect(shown).toHaveLength(steps.length);
  shown.forEach((text, at) => {
    expect(text).toContain(steps[at]?.where);
    expect(text).toContain(steps[at]?.said);
  });
  expect(cautions.length).toBeGreaterThan(0);
  expect(await page.locator(".plan .cautions li").allTextContents()).toEqual(cautions);
  expect(await overflow(page)).toBe(0);
});

test("a step of the plan leads to the sheet of the manual's step that it belongs to", async () => {
  const page = await shop.page();
  await openPlan(page);
  const link = page.locator(".step-list a").filter({ hasText: "sheet of step 6-4" }).first();
  const response = await fetch(await link.evaluate((one) => String(Reflect.get(one, "href"))));
  expect(response.status).toBe(200);
  expect(await response.text()).toContain("step 6-4, Trim-servo mount");
});

test("a step's rivets are one tap from the map", async () => {
  const page = await shop.page(SMALL);
  await openPlan(page);
  await page.locator(".step-list .row-where").first().tap();
  expect(await page.locator(".main").getAttribute("data-pane")).toBe("map");
  expect(await page.locator(".hole.is-selected").count()).toBeGreaterThan(0);
});

test("a plan that cannot be fetched leaves no older picture or list in its place", async () => {
  const page = await shop.page(WIDE, { expected: /503/ });
  await openPlan(page);
  await page.getByRole("button", { name: "Map", exact: true }).click();
  await page.route(`**${AT}/plan`, (route) => route.fulfill({ status: 503, body: "" }));
  await hole(page, "RIB-4.top.3").click();
  await page.getByRole("button", { name: "pinned", exact: true }).click();
  await page.getByText("Recorded: 1 hole pinned.").waitFor();
  await page.getByRole("button", { name: "Plan", exact: true }).click();
  await page.locator(".plan .problem").waitFor();
  expect(await page.locator(".plan-frame").count()).toBe(0);
  expect(await page.locator(".step-list li").count()).toBe(0);
  await page.unroute(`**${AT}/plan`);
  await page.locator(".plan .problem").getByRole("button").first().click();
  await page.locator(".plan-frame").waitFor();
});

test("on a phone the picture is of a size to be read, scrolls in its own frame, and fits the width when asked", async () => {
  const page = await shop.page(SMALL);
  await openPlan(page);
  const frame = page.locator(".plan-frame");
  const width = (): Promise<number> =>
    frame.locator("img").evaluate((one) => one.getBoundingClientRect().width);
  const full = await width();
  expect(await overflow(page)).toBe(0);
  expect(await frame.getAttribute("tabindex")).toBe("0");
  await page.getByRole("button", { name: "Fit to the width" }).focus();
  await page.keyboard.press("Enter");
  expect(full).toBeGreaterThan((await width()) * 1.5);
  await page.keyboard.press("Enter");
  expect(await width()).toBe(full);
});

test("every paper that the plan offers is there", async () => {
  const page = await shop.page();
  await openPlan(page);
  const { steps } = await json<{ steps: unknown[] }>(AT);
  const links = await page
    .locator(".papers a")
    .evaluateAll((all) => all.map((one) => [String(Reflect.get(one, "href")), one.textContent] as const));
  expect(links).toHaveLength(steps.length + 2);
  for (const [href, words] of links) {
    const response = await fetch(href);
    expect({ words, status: response.status }).toEqual({ words, status: 200 });
    expect(response.headers.get("content-type")).toContain("text/html");
  }
});

test.each(SIZES)(
  "on %s a sheet fits, and on paper its links are gone and its boxes stay",
  async (_name, size) => {
    const page = await shop.page(size);
    await page.goto(`${shop.url}${AT}/steps/6-7/sheet.html?spares=10`);
    expect(await overflow(page)).toBe(0);
    expect(await page.getByRole("heading", { level: 1 }).textContent()).toContain("Top skin");
    const { rivets } = await json<{ rivets: { code: string; fetch: number }[] }>(
      `${AT}/steps/6-7/sheet?spares=10`,
    );
    for (const { code, fetch: toFetch } of rivets) {
      const row = page.locator(".rivets tbody tr").filter({ hasText: code });
      expect((await row.locator(".number").allTextContents()).at(-1)).toBe(String(toFetch));
    }
    await page.locator("nav summary").click();
    expect(await page.locator("nav [aria-current=page]").textContent()).toContain("6-7");
    await page.emulateMedia({ media: "print" });
    expect(await page.locator("nav").isVisible()).toBe(false);
    expect(await page.locator(".tick span").first().isVisible()).toBe(true);
  },
);

test("the printed plan shows its picture", async () => {
  const page = await shop.page();
  await page.goto(`${shop.url}${AT}/plan.html`);
  await page.emulateMedia({ media: "print" });
  const image = page.locator("figure img");
  await expect
    .poll(() => image.evaluate((one) => Number(Reflect.get(one, "naturalWidth"))))
    .toBeGreaterThan(100);
});

test("a question is put together by choosing, and asked only when it is whole", async () => {
  const page = await shop.page(SMALL);
  await page.getByRole("button", { name: "Choose a question" }).tap();
  const dialog = page.getByRole("dialog", { name: "Choose a question" });
  await dialog.getByLabel("What do you want to know?").selectOption("before-closing");
  const go = dialog.getByRole("button", { name: "Ask" });
  await dialog.getByText("Which part do you want to close?").waitFor();
  expect(await go.isDisabled()).toBe(true);
  expect(await overflow(page)).toBe(0);
  await dialog.getByLabel(/^Part/).selectOption({ label: "top skin" });
  await dialog.getByText("What must be set before the top skin closes?").waitFor();
  await go.tap();
  await settled(page);
  const answer = await shop.answer({ form: "before-closing", slots: { part: "TOP-SKIN" } });
  expect(await headline(page)).toBe(answer.headline);
  expect(await dialog.isVisible()).toBe(false);
});

test("choosing goes from the part to the row to the hole", async () => {
  const page = await shop.page();
  await page.getByRole("button", { name: "Choose a question" }).click();
  const dialog = page.getByRole("dialog", { name: "Choose a question" });
  await dialog.getByLabel("What do you want to know?").selectOption("treatment");
  const choose = async (slot: string, label: string, then: string): Promise<void> => {
    await dialog.getByLabel(slot, { exact: true }).selectOption({ label });
    await dialog.getByText(then).waitFor();
  };
  expect(await dialog.getByLabel("Hole", { exact: true }).isDisabled()).toBe(true);
  await choose("Part", "rib 4", "What is done to rib 4?");
  await choose("Row", "rib 4, top flange row", "What is done to the top flange row of rib 4?");
  const id = await dialog.getByLabel("Hole", { exact: true }).locator("option").nth(3).textContent();
  await choose("Hole", id ?? "", "What is done to rib 4, top flange row, hole 3");
  await dialog.getByRole("button", { name: "Ask" }).click();
  await settled(page);
  const answer = await shop.answer({ form: "treatment", slots: { hole: "RIB-4.top.3" } });
  expect(await headline(page)).toBe(answer.headline);
});

test("choosing works by keyboard alone, and Escape leads back to where one was", async () => {
  const page = await shop.page();
  const open = page.getByRole("button", { name: "Choose a question" });
  await open.focus();
  await page.keyboard.press("Enter");
  const dialog = page.getByRole("dialog", { name: "Choose a question" });
  await dialog.locator(".choose-row").first().waitFor();
  await dialog.getByText("?").first().waitFor();
  const purpose = dialog.getByLabel("What do you want to know?");
  await purpose.focus();
  await page.keyboard.type("The whole order");
  await dialog.getByText("What is the whole order of work").waitFor();
  await page.keyboard.press("Escape");
  expect(await dialog.isVisible()).toBe(false);
  expect(await open.evaluate((one) => one.matches(":focus"))).toBe(true);
});

test("a chip for each slot of the answer offers what else makes sense, and one tap asks it", async () => {
  const page = await shop.page(SMALL);
  await ask(page, "How is rib 3's top row treated?");
  const turn = page.locator(".turn.is-current");
  expect(await turn.locator(".slot-chip").count()).toBe(1);
  expect(await turn.locator(".slot-carried").count()).toBe(0);
  await turn.locator(".slot-chip").tap();
  await turn.getByRole("button", { name: "rib 4, top flange row" }).tap();
  await page.getByRole("heading", { name: "What is done to the top flange row of rib 4?" }).waitFor();
  await settled(page);
  const answer = await shop.answer({ form: "treatment", slots: { row: "RIB-4.top" } });
  expect(await headline(page)).toBe(answer.headline);
  expect(await overflow(page)).toBe(0);
});

test("what was carried over from the question before says so", async () => {
  const page = await shop.page();
  await ask(page, "How is rib 3's top row treated?");
  await ask(page, "and on rib 4?");
  const turn = page.locator(".turn.is-current");
  expect(await turn.locator(".slot-chip").textContent()).toMatch(
    /row rib 4, top flange row \(from the question before\)/,
  );
  expect(await turn.locator(".reading > p").textContent()).toContain("the same question as before");
});

test("a chip opens and closes by keyboard", async () => {
  const page = await shop.page();
  await ask(page, "How is rib 3's top row treated?");
  const turn = page.locator(".turn.is-current");
  const chip = turn.locator(".slot-chip");
  await chip.focus();
  await page.keyboard.press("Enter");
  await turn.locator(".slot-choices").waitFor();
  expect(await chip.getAttribute("aria-expanded")).toBe("true");
  await page.keyboard.press("Tab");
  expect(
    await turn
      .locator(".slot-choices button")
      .first()
      .evaluate((one) => one.matches(":focus")),
  ).toBe(true);
  await page.keyboard.press("Escape");
  expect(await turn.locator(".slot-choices").count()).toBe(0);
  expect(await chip.evaluate((one) => one.matches(":focus"))).toBe(true);
});

test("a part tapped on the map can be asked about", async () => {
  const page = await shop.page();
  await page.locator('.outline[data-part="RIB-4"]').first().dispatchEvent("click");
  const panel = page.getByRole("region", { name: "Chosen holes" });
  expect(await panel.textContent()).toContain("Rib 4");
  await panel
    .getByRole("group", { name: "Ask about" })
    .getByRole("button", { name: "What before it closes?" })
    .click();
  await settled(page);
  const answer = await shop.answer({ form: "before-closing", slots: { part: "RIB-4" } });
  expect(await headline(page)).toBe(answer.headline);
});

test("what is offered follows the work: a rivet that is set is not offered to be set", async () => {
  const page = await shop.page();
  const first = "RIB-4.top.3";
  await hole(page, first).dispatchEvent("click");
  const asks = page.getByRole("group", { name: "Ask about" });
  const offered = (): Promise<string[]> => asks.locator(".chip").allTextContents();
  await expect.poll(offered).toContain("May I set it?");
  await page
    .getByRole("group", { name: "Mark as" })
    .getByRole("button", { name: "set", exact: true })
    .click();
  await page.getByText("Recorded: 1 hole set.").waitFor();
  await expect.poll(offered).not.toContain("May I set it?");
  await expect
    .poll(() => page.locator(".welcome .chip").allTextContents())
    .toContain("What is done and what is left?");
});

test("all that the plan and the choosing let one use has a name", async () => {
  const page = await shop.page();
  await openPlan(page);
  await page.locator(".step-sheets summary").click();
  await page.getByRole("button", { name: "Choose a question" }).click();
  await page.getByRole("dialog").locator(".choose-row").nth(1).waitFor();
  for (const role of ["button", "link", "combobox", "textbox", "img", "region"] as const)
    expect(await page.getByRole(role, { name: /\S/ }).count(), role).toBe(await page.getByRole(role).count());
});
