import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import type { Answer } from "../../server/ask/types.js";
import { ask, hole, PHONE, Shop, styleOf, WIDE } from "./shop.js";

const shop = new Shop();
const QUESTION = "What must be set before the trim-servo mount closes?";

for (const [name, options] of [
  ["a phone of 390 pixels", PHONE],
  ["a screen of 1280 pixels", WIDE],
] as const) {
  test(`nothing runs off the side of ${name}`, async () => {
    const page = await shop.page(options);
    const overflow = (): Promise<number> =>
      page.locator("html").evaluate((root) => root.scrollWidth - root.clientWidth);
    await ask(page, QUESTION);
    await page.locator(".turn.is-current .why > summary").click();
    expect(await overflow()).toBe(0);
    const { scrollWidth, clientWidth } = await page
      .locator(".conversation")
      .evaluate(({ scrollWidth, clientWidth }) => ({ scrollWidth, clientWidth }));
    expect(scrollWidth).toBe(clientWidth);
    for (const pane of ["Map", "Parts"]) {
      await page.getByRole("button", { name: pane, exact: true }).click();
      expect(await overflow()).toBe(0);
    }
  });
}

test("on paper there are the question, the answer, every reason and the map, and no controls", async () => {
  const page = await shop.page();
  await ask(page, "Which holes stay open?");
  await ask(page, QUESTION);
  await page.emulateMedia({ media: "print" });
  const turn = page.locator(".turn.is-current");
  await turn.locator(".trace").waitFor();
  for (const shown of [".question", ".headline", ".rows", ".trace"])
    expect(await turn.locator(shown).first().isVisible()).toBe(true);
  expect(await turn.locator("details:not([open])").count()).toBe(0);
  expect(await page.locator(".paper").isVisible()).toBe(true);
  for (const hidden of [
    ".ask",
    ".panes",
    ".map-controls",
    ".follow-ups",
    ".print-button",
    ".turn:not(.is-current)",
  ])
    for (const one of await page.locator(hidden).all()) expect(await one.isVisible()).toBe(false);
  await page.emulateMedia({ media: "screen" });
  // The page folds them up again once the print view has gone.
  await expect.poll(() => turn.locator(".why[open]").count()).toBe(0);
});

test("the map prints from a phone's answer pane too", async () => {
  const page = await shop.page(PHONE);
  await ask(page, QUESTION);
  expect(await page.locator(".paper").isVisible()).toBe(false);
  await page.emulateMedia({ media: "print" });
  expect(await page.locator(".paper").isVisible()).toBe(true);
});

test("everything that can be used has a name", async () => {
  const page = await shop.page();
  await ask(page, QUESTION);
  await page.locator(".hole").first().click();
  await page.locator(".hole-panel .asks:not([aria-busy]) .chip").first().waitFor();
  const check = async (): Promise<void> => {
    let seen = 0;
    for (const role of [
      "button",
      "tab",
      "option",
      "checkbox",
      "textbox",
      "combobox",
      "link",
      "listbox",
    ] as const) {
      // The page may still be filling itself between the two counts.
      const nameless = async (): Promise<number> =>
        (await page.getByRole(role).count()) - (await page.getByRole(role, { name: /\S/ }).count());
      await expect.poll(nameless, { message: role }).toBe(0);
      seen += await page.getByRole(role).count();
    }
    expect(seen).toBeGreaterThan(20);
  };
  await check();
  await page.getByRole("button", { name: "Parts", exact: true }).click();
  await page.locator(".part > summary").first().click();
  await page.locator(".part .asks:not([aria-busy]) .chip").first().waitFor();
  await check();
});

/** What can be tapped and is smaller than a thumb: under 44 pixels one way. Holes are found by what is nearest. */
async function tooSmall(page: Page): Promise<readonly string[]> {
  return page.locator("button, select, summary, input, textarea, a[href]").evaluateAll((all) =>
    all
      .filter((one) => one.checkVisibility() && !one.closest(".unseen, .skip"))
      .map((one) => {
        const { width, height } = (one.closest("label") ?? one).getBoundingClientRect();
        return { said: `${one.tagName} ${one.className} ${one.textContent}`, least: Math.min(width, height) };
      })
      .filter(({ least }) => least < 44)
      .map(({ said, least }) => `${said}: ${least}`),
  );
}

/** @source WCAG 2.2, success criterion 2.5.5, target size (enhanced) */
test("on a phone everything that can be tapped is at least 44 pixels wide and high", async () => {
  const page = await shop.page(PHONE);
  const pane = (name: string): Promise<void> => page.getByRole("button", { name, exact: true }).click();
  expect(await page.locator("button:visible").count()).toBeGreaterThan(5);
  expect(await tooSmall(page)).toEqual([]);
  await ask(page, QUESTION);
  await page.locator(".turn.is-current .why > summary").click();
  expect(await tooSmall(page)).toEqual([]);
  await ask(page, "I have set rib 3's top row.");
  await page.getByRole("button", { name: "Record", exact: true }).waitFor();
  expect(await tooSmall(page)).toEqual([]);
  await pane("Map");
  await hole(page, "RIB-3.top.4").click();
  await page.locator(".hole-panel .asks:not([aria-busy]) .chip").first().waitFor();
  expect(await tooSmall(page)).toEqual([]);
  await pane("Parts");
  await page.locator(".part > summary").first().click();
  await page.locator(".part .asks:not([aria-busy]) .chip").first().waitFor();
  expect(await tooSmall(page)).toEqual([]);
  await pane("Plan");
  await page.locator(".step-list li").first().waitFor();
  expect(await tooSmall(page)).toEqual([]);
  await pane("Shop rules");
  await page.getByRole("button", { name: "Write a rule" }).click();
  await page.locator(".desk:not([aria-busy])").waitFor();
  expect(await tooSmall(page)).toEqual([]);
});

test("what has the keyboard has a ring of three pixels around it, wherever Tab leads", async () => {
  const page = await shop.page();
  await ask(page, QUESTION);
  const rings = new Set<string>();
  for (let presses = 0; presses < 25; presses++) {
    await page.keyboard.press("Tab");
    const at = page.locator(":focus");
    if ((await at.count()) === 0 || (await at.evaluate((one) => one.matches(".hole, body")))) continue;
    rings.add(await styleOf(at, "outline-style"));
    rings.add(await styleOf(at, "outline-width"));
  }
  expect([...rings].sort()).toEqual(["3px", "solid"]);
});

test("of a long row the whole name is in sight where it is chosen on a phone", async () => {
  const page = await shop.page(PHONE);
  await page.getByRole("button", { name: "Map", exact: true }).click();
  await hole(page, "RIB-3.top.4").click();
  const words = page.locator(".chosen p");
  const { scrollHeight, clientHeight } = await words.evaluate(({ scrollHeight, clientHeight }) => ({
    scrollHeight,
    clientHeight,
  }));
  expect(scrollHeight).toBeLessThanOrEqual(clientHeight);
});

test("a hole says what it is, what is done to it and its state", async () => {
  const page = await shop.page();
  const label = await hole(page, "RIB-4.top.3").getAttribute("aria-label");
  expect(label).toMatch(/^rib 4, top flange row, hole 3: .+, unset/);
});

test("shapes tell treatments apart, and filling tells states apart, without colour", async () => {
  const page = await shop.page({ ...WIDE, forcedColors: "active" });
  const shapes = await page
    .locator(".symbol-body")
    .evaluateAll((all) => [
      ...new Set(all.map((one) => `${one.parentElement?.className} ${one.getAttribute("d")}`)),
    ]);
  const outlines = new Set(shapes.map((shape) => shape.split(" ").at(-1)));
  expect(outlines.size).toBeGreaterThan(1);
  const body = hole(page, "RIB-4.top.3").locator(".symbol-body");
  const [wash, line] = [await styleOf(body, "fill"), await styleOf(body, "stroke")];
  expect(wash).not.toBe(line);
});

test("words with markup in them stay words, and a note keeps only plain markup", async () => {
  const page = await shop.page();
  const evil = '<img src="x" onerror="window.ran = true"><script>window.ran = true</script>';
  const answer: Answer = {
    outcome: "answered",
    reading: { form: "notes", slots: { topic: evil }, said: evil },
    corrected: [{ from: evil, to: evil }],
    notUnderstood: [evil],
    choices: [{ form: "notes", slots: {}, said: evil }],
    headline: evil,
    holes: [],
    rows: [
      {
        holes: [],
        where: evil,
        what: evil,
        html: `<p>Plain <strong>words</strong> ${evil}<a href="javascript:window.ran = true">link</a><svg onload="window.ran = true"></svg></p>`,
      },
    ],
    trace: [{ kind: "note", note: "x", title: evil }],
    cautions: [evil],
    sources: [{ document: evil, place: evil }],
    followUps: [{ form: "notes", slots: {}, said: evil }],
    version: 0,
  };
  await page.route("**/api/ask", (route) => route.fulfill({ json: answer }));
  await ask(page, evil);
  await page.locator(".turn.is-current .why > summary").click();
  const turn = page.locator(".turn.is-current");
  expect(await turn.locator(".headline-words").textContent()).toBe(evil);
  expect(await turn.locator(".question").textContent()).toBe(evil);
  expect(await turn.locator(".note strong").textContent()).toBe("words");
  expect(
    await turn.locator("img, script, iframe, .note svg, [onerror], [onload], [href^=javascript]").count(),
  ).toBe(0);
  expect(await page.evaluate("window.ran")).toBeUndefined();
});

test("a question with markup in it is asked and shown as it was typed", async () => {
  const page = await shop.page(undefined, { expected: /status of 4/ });
  const typed = "Which <b>holes</b> stay <img src=x onerror=alert(1)> open?";
  await ask(page, typed);
  expect(await page.locator(".turn.is-current .question").textContent()).toBe(typed);
  expect(await page.locator(".turn.is-current img").count()).toBe(0);
});

test("the page is told apart in the dark and with less motion, without complaint", async () => {
  const page = await shop.page({ ...WIDE, colorScheme: "dark", reducedMotion: "reduce" });
  await ask(page, QUESTION);
  const body = page.locator("body");
  const [ground, ink] = [await styleOf(body, "background-color"), await styleOf(body, "color")];
  expect(ground).not.toBe(ink);
  expect(await styleOf(page.locator(".conversation"), "scroll-behavior")).toBe("auto");
});

test("the map zooms by buttons, moves by buttons, and fits again", async () => {
  const page = await shop.page();
  const paper = page.locator(".paper");
  const width = async (): Promise<number> => (await paper.boundingBox())?.width ?? 0;
  const fitting = await width();
  const left = page.getByRole("button", { name: "Move the view right" });
  expect(await left.isVisible()).toBe(false);
  await page.getByRole("button", { name: "Zoom in" }).click();
  await page.getByRole("button", { name: "Zoom in" }).click();
  expect(await width()).toBeGreaterThan(fitting * 2);
  const before = (await paper.boundingBox())?.x ?? 0;
  await left.click();
  await expect.poll(async () => (await paper.boundingBox())?.x).toBeLessThan(before);
  await page.getByRole("button", { name: "Show the whole view" }).click();
  expect(await width()).toBeCloseTo(fitting, 0);
});

test("choosing a hole opens its questions below the map without moving the scale of the map", async () => {
  const page = await shop.page();
  const paper = page.locator(".paper");
  const before = await paper.boundingBox();
  await hole(page, "RIB-4.top.3").click();
  await page.getByRole("region", { name: "Chosen holes" }).waitFor();
  expect((await paper.boundingBox())?.width).toBe(before?.width);
});
