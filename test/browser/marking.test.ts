import { expect, test } from "vitest";
import { hole, PHONE, Shop } from "./shop.js";

const shop = new Shop();
/** Two holes that the view from above shows. */
const [FIRST, SECOND] = ["RIB-4.top.3", "RIB-4.top.4"];

test("holes are marked from the map, a second page sees it, and the marks can be undone", async () => {
  const page = await shop.page();
  const other = await shop.page();
  await hole(page, FIRST).click();
  await hole(page, SECOND).click();
  await page.getByRole("button", { name: "pinned", exact: true }).click();
  await page.getByText("Recorded: 2 holes pinned.").waitFor();
  expect((await shop.work()).holes).toMatchObject({ [FIRST]: "pinned", [SECOND]: "pinned" });

  await hole(other, FIRST).locator(".symbol.is-pinned").waitFor();
  await expect.poll(() => hole(other, FIRST).getAttribute("aria-label")).toMatch(/pinned/);

  await page.getByRole("button", { name: "Undo: 2 holes pinned" }).click();
  await page.getByText("Undone: 2 holes pinned.").waitFor();
  expect((await shop.work()).holes).toEqual({});
  await hole(other, FIRST).locator(".symbol.is-unset").waitFor();
});

test("a mark that was made meanwhile is shown, and nothing is overwritten", async () => {
  const page = await shop.page(undefined, { expected: /412|ERR_FAILED/ });
  await page.route("**/api/marks/events", (route) => route.abort());
  await page.reload();
  await hole(page, SECOND).waitFor();
  const { version } = await shop.work();

  const other = await shop.page();
  await hole(other, FIRST).click();
  await other.getByRole("button", { name: "set", exact: true }).click();
  await other.getByText("Recorded: 1 hole set.").waitFor();

  await hole(page, SECOND).click();
  await page.getByRole("button", { name: "pinned", exact: true }).click();
  await page.getByText("Somebody else marked something meanwhile.").waitFor();
  await hole(page, FIRST).locator(".symbol.is-set").waitFor();
  const work = await shop.work();
  expect(work.version).toBe(version + 1);
  expect(work.holes[SECOND]).toBeUndefined();

  await page.getByRole("button", { name: "Try again" }).click();
  await page.getByText("Recorded: 1 hole pinned.").waitFor();
  expect((await shop.work()).holes).toMatchObject({ [FIRST]: "set", [SECOND]: "pinned" });
});

test("a mark whose reply was lost counts once when it is sent again", async () => {
  const page = await shop.page(undefined, { expected: /ERR_FAILED/ });
  let lost = false;
  await page.route("**/api/marks", async (route) => {
    if (lost) return route.continue();
    lost = true;
    await route.fetch();
    await route.abort();
  });
  const { version } = await shop.work();
  await hole(page, "RIB-5.top.2").click();
  await page.getByRole("button", { name: "set", exact: true }).click();
  await page.getByText("cannot be reached").waitFor();
  await page.getByRole("button", { name: "Try again" }).click();
  await page.getByText("Recorded: 1 hole set.").waitFor();
  expect((await shop.work()).version).toBe(version + 1);
});

test("marks are recorded under the name of who is working, which the browser keeps, and stand in the build record", async () => {
  const page = await shop.page();
  await page.getByRole("button", { name: "Parts", exact: true }).click();
  await page.getByLabel("Who is working?").fill("Ada <b>L.</b>");
  await page.getByLabel("Who is working?").press("Tab");
  await page.reload();
  expect(await page.getByLabel("Who is working?").inputValue()).toBe("Ada <b>L.</b>");
  await page.getByRole("button", { name: "Map", exact: true }).click();
  await hole(page, "RIB-6.top.2").click();
  await page.getByRole("button", { name: "set", exact: true }).click();
  await page.getByText("Recorded: 1 hole set.").waitFor();
  await page.getByRole("button", { name: "Parts", exact: true }).click();
  await page.getByRole("link", { name: "Build record" }).click();
  await page.getByRole("heading", { name: /^Build record/ }).waitFor();
  const line = page.locator("table.record tbody tr").filter({ hasText: "rib 6" });
  expect(await line.locator("td").first().textContent()).toBe("Ada <b>L.</b>");
  await page.goBack();
});

test("prep gates and milestones are marks too", async () => {
  const page = await shop.page();
  await page.getByRole("button", { name: "Parts", exact: true }).click();
  const part = page
    .locator(".part")
    .filter({ has: page.locator("input") })
    .first();
  await part.locator("summary").click();
  await part.getByRole("checkbox").first().check();
  await page.getByText("Recorded: 1 prep step done.").waitFor();
  expect(Object.values((await shop.work()).prep).flat()).toHaveLength(1);
  expect(await part.getByRole("checkbox").first().isChecked()).toBe(true);

  await page.locator(".checks").first().getByRole("checkbox").first().check();
  await page.getByText("Recorded: 1 milestone reached.").waitFor();
  expect((await shop.work()).milestones).toHaveLength(1);
  await page.locator(".notice").getByRole("button", { name: "Undo" }).click();
  await page.getByText("Undone: 1 milestone reached.").waitFor();
  expect((await shop.work()).milestones).toHaveLength(0);
});

test("what speaks against a rivet that was set is told, and the mark stands", async () => {
  const page = await shop.page();
  const held = (await shop.rulings()).find(({ hold, hole: id }) => hold && id.startsWith("RIB-1.top"));
  expect(held).toBeDefined();
  await hole(page, held?.hole ?? "").click();
  const reply = page.waitForResponse("**/api/marks");
  await page.getByRole("button", { name: "set", exact: true }).click();
  const { warnings } = (await (await reply).json()) as { readonly warnings: readonly string[] };
  expect(warnings.length).toBeGreaterThan(0);
  await page.locator(".warnings").waitFor();
  expect(await page.locator(".warnings li").allTextContents()).toEqual(warnings);
  expect((await shop.work()).holes[held?.hole ?? ""]).toBe("set");
});

test("holes marked again by somebody else are not undone over their head", async () => {
  const page = await shop.page();
  const other = await shop.page();
  await hole(page, "RIB-6.top.1").click();
  await page.getByRole("button", { name: "pinned", exact: true }).click();
  await page.getByText("Recorded: 1 hole pinned.").waitFor();
  await hole(other, "RIB-6.top.1").locator(".is-pinned").waitFor();
  await hole(other, "RIB-6.top.1").click();
  await other.getByRole("button", { name: "set", exact: true }).click();
  await hole(page, "RIB-6.top.1").locator(".is-set").waitFor();
  await page.getByRole("button", { name: "Undo: 1 hole pinned" }).click();
  await page.getByText("These were marked again since. Nothing was undone.").waitFor();
  expect((await shop.work()).holes["RIB-6.top.1"]).toBe("set");
});

test("the whole run, from the question to a mark and back, needs the keyboard alone", async () => {
  const page = await shop.page();
  const tabTo = async (name: RegExp): Promise<void> => {
    for (let presses = 0; presses < 80; presses++) {
      await page.keyboard.press("Tab");
      const words = await page.evaluate(
        "document.activeElement.getAttribute('aria-label') ?? document.activeElement.textContent",
      );
      if (name.test(String(words))) return;
    }
    throw new Error(`Tab never came to ${name}.`);
  };

  await page.keyboard.press("Tab");
  expect(await page.locator(":focus").textContent()).toBe("Skip to the question");
  await page.keyboard.press("Enter");
  await page.keyboard.type("Which holes stay open?");
  await page.keyboard.press("Enter");
  await page.locator(".turn.is-current .headline-words").waitFor();

  await tabTo(/, hole 1: /);
  expect(await page.locator(":focus").getAttribute("role")).toBe("option");
  await page.keyboard.press("End");
  const last = await page.locator(":focus").getAttribute("data-hole");
  await page.keyboard.press("Home");
  await page.keyboard.press("ArrowRight");
  const next = await page.locator(":focus").getAttribute("data-hole");
  expect(next).not.toBe(last);
  await page.keyboard.press("Enter");
  expect(await page.locator(":focus").getAttribute("aria-selected")).toBe("true");

  const before = (await shop.work()).version;
  await tabTo(/^pinned$/);
  await page.keyboard.press("Enter");
  await page.getByText("Recorded: 1 hole pinned.").waitFor();
  expect((await shop.work()).holes[next ?? ""]).toBe("pinned");
  await tabTo(/^Undo: 1 hole pinned$/);
  await page.keyboard.press("Enter");
  await page.getByText("Undone: 1 hole pinned.").waitFor();
  expect((await shop.work()).version).toBe(before + 2);
});

test("a question about chosen holes is offered and asked from the map", async () => {
  const page = await shop.page();
  await hole(page, FIRST).click();
  await page
    .getByRole("group", { name: "Ask about" })
    .getByRole("button", { name: "What is done here?" })
    .click();
  await page.locator(".turn.is-current .headline-words").waitFor();
  const answer = await shop.answer({ form: "treatment", slots: { hole: FIRST } });
  expect(await page.locator(".turn.is-current .headline-words").textContent()).toBe(answer.headline);
});

test("on a phone a row of the answer leads to its holes on the map, large enough to tap", async () => {
  const page = await shop.page(PHONE);
  await page.getByRole("button", { name: "Which holes stay open?" }).click();
  await page.locator(".turn.is-current .row-where").first().click();
  expect(await page.locator(".main").getAttribute("data-pane")).toBe("map");
  const chosen = page.locator(".hole.is-selected .hole-target").first();
  await chosen.waitFor();
  const box = await chosen.boundingBox();
  expect(box?.width).toBeGreaterThanOrEqual(24);
  await page.goBack();
  await expect.poll(() => page.locator(".main").getAttribute("data-pane")).toBe("answer");
});
