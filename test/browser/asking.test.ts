import { expect, test } from "vitest";
import { ask, headline, PLACE, Shop, settled } from "./shop.js";

const shop = new Shop();
const QUESTION = "What must be set before the trim-servo mount closes?";

test("a question in words is answered with the program's own headline, rows and verdict", async () => {
  const page = await shop.page();
  await ask(page, QUESTION);
  const answer = await shop.answer({ question: QUESTION });
  expect(answer.outcome).toBe("answered");
  const turn = page.locator(".turn.is-current");
  expect(await headline(page)).toBe(answer.headline);
  expect(await turn.locator(".reading q").textContent()).toBe(answer.reading?.said);
  const listed = answer.rows.filter(({ kind }) => kind !== "in full");
  expect(await turn.locator(".rows tbody tr").count()).toBe(listed.length);
  expect(await turn.locator(".in-full p").allTextContents()).toEqual(
    answer.rows.filter((row) => !listed.includes(row)).map(({ what }) => what),
  );
  expect(await turn.locator(".verdict").count()).toBe(answer.verdict ? 1 : 0);
  expect(await page.locator("#spoken").textContent()).toContain(answer.headline);
});

test("the holes of the answer stand out on the map, in the answer's order", async () => {
  const page = await shop.page();
  await ask(page, QUESTION);
  const { holes } = await shop.answer({ question: QUESTION });
  expect(holes.length).toBeGreaterThan(0);
  const shown = await page.locator(".hole.is-asked").evaluateAll((all) => all.map((one) => one.dataset.hole));
  expect(shown.length).toBeGreaterThan(0);
  for (const id of shown) expect(holes).toContain(id);
  const [first] = shown;
  const order = await page.locator(`[data-hole="${first}"] .hole-order`).textContent();
  expect(order).toBe(String(holes.indexOf(first ?? "") + 1));
});

test("a spelling that was corrected is shown", async () => {
  const page = await shop.page();
  await ask(page, "Which holes are not dimpeld?");
  const { corrected = [] } = await shop.answer({ question: "Which holes are not dimpeld?" });
  expect(corrected.length).toBeGreaterThan(0);
  expect(await page.locator(".corrected del").first().textContent()).toBe(corrected[0]?.from);
  expect(await page.locator(".corrected ins").first().textContent()).toBe(corrected[0]?.to);
});

test("what is missing is asked back, and a choice answers it", async () => {
  const page = await shop.page();
  await ask(page, "What must be set before it closes?");
  const choices = page.locator(".turn.is-current .choice");
  const { outcome, choices: offered = [] } = await shop.answer({
    question: "What must be set before it closes?",
  });
  expect(outcome).toBe("ask-back");
  expect(await choices.allTextContents()).toEqual(offered.map(({ said }) => said));
  await choices.first().click();
  await settled(page);
  const [first] = offered;
  const answer = await shop.answer({ form: first?.form, slots: first?.slots });
  expect(await headline(page)).toBe(answer.headline);
});

test("a follow-up is asked with one tap, and the keyboard goes with it", async () => {
  const page = await shop.page();
  await ask(page, QUESTION);
  const chip = page.locator(".turn.is-current .answer .follow-ups button").first();
  const words = (await chip.textContent()) ?? "";
  await chip.click();
  await settled(page);
  const question = page.locator(".turn.is-current .question");
  expect(await question.textContent()).toBe(words);
  expect(await question.evaluate((element) => element.matches(":focus"))).toBe(true);
});

test("a word that could not be used is named", async () => {
  const page = await shop.page();
  await ask(page, "Which holes are florbed?");
  expect(await page.locator(".turn.is-current mark").allTextContents()).toContain("florbed");
});

test("a word that could not be used is marked where it is quoted, and nowhere else", async () => {
  const page = await shop.page();
  await ask(page, "One rivet on rib 3 is loose, can I close the top skin?");
  const marks = page.locator(".turn.is-current mark");
  const words = await marks.allTextContents();
  expect(words.length).toBeGreaterThan(0);
  expect(new Set(words).size).toBe(words.length);
});

test("a yes to whether it is too early has no sign of leave", async () => {
  const page = await shop.page();
  const question = "Is it too early to close the top skin?";
  expect((await shop.answer({ question })).verdict).toBe("yes");
  await ask(page, question);
  const turn = page.locator(".turn.is-current");
  expect(await turn.locator(".verdict").textContent()).toBe("Yes");
  expect(await turn.locator(".verdict-yes").count()).toBe(0);
  expect(await turn.locator(".verdict-turned").count()).toBe(1);
  expect(await turn.locator(".slot-chip").allTextContents()).toContain("asked the other way round");
});

test("the reasons are folded, and open to rules, bases and the values found", async () => {
  const page = await shop.page();
  await ask(page, "Why is rib 2, top row, hole 3 dimpled?");
  const turn = page.locator(".turn.is-current");
  const { trace } = await shop.answer({ question: "Why is rib 2, top row, hole 3 dimpled?" });
  expect(trace.length).toBeGreaterThan(0);
  expect(await turn.locator(".trace").count()).toBe(0);
  await turn.locator(".why > summary").click();
  await turn.locator(".trace").waitFor();
  expect(await turn.locator(".trace > li").count()).toBe(trace.length);
  await turn.locator(".claim > summary").first().click();
  expect(await turn.locator(".claim[open] .basis").first().textContent()).toMatch(
    /manual|notice|handbook|shop/,
  );
  expect(await turn.locator(".claim[open] .found").first().textContent()).toMatch(/found: |not known/);
});

test("work told in words is recorded only when it is confirmed", async () => {
  const page = await shop.page();
  const before = await shop.work();
  await ask(page, "I have set rib 5, top row, holes 1 to 3");
  const proposal = page.getByRole("region", { name: "To be recorded" });
  expect(await proposal.getByRole("listitem").allTextContents()).toEqual([
    "rib 5, top flange row, holes 1–3: set",
  ]);
  expect((await shop.work()).version).toBe(before.version);

  await proposal.getByRole("button", { name: "Leave it" }).click();
  expect(await proposal.textContent()).toContain("Nothing was recorded");
  expect((await shop.work()).version).toBe(before.version);

  await ask(page, "I have set rib 5, top row, holes 1 to 3");
  const again = page.locator(".turn.is-current").getByRole("button", { name: "Record" });
  await again.click();
  await page.getByText("Recorded in the shop book.").waitFor();
  const { holes } = await shop.work();
  expect(Object.values(holes).filter((state) => state === "set")).toHaveLength(3);
});

test("an answer that the work has overtaken says so, and can be asked again", async () => {
  const page = await shop.page();
  await ask(page, QUESTION);
  const other = await shop.page();
  await ask(other, "I have pinned rib 6, top row, hole 2");
  await other.locator(".turn.is-current").getByRole("button", { name: "Record" }).click();
  const outdated = page.locator(".turn.is-current .outdated");
  await outdated.waitFor();
  await outdated.getByRole("button", { name: "Ask again" }).click();
  await outdated.waitFor({ state: "detached" });
  expect(await headline(page)).toBe((await shop.answer({ question: QUESTION })).headline);
});

test("the address, sent to a colleague, shows the same answer and view", async () => {
  const page = await shop.page();
  await ask(page, QUESTION);
  await page.getByRole("tab").nth(1).click();
  const hash = new URL(page.url()).hash;
  const read = new URLSearchParams(hash.slice(1));
  expect(read.get("kit")).toBe(PLACE.kit);
  expect(read.get("form")).toBe("before-closing");

  const other = await shop.page(undefined, { hash });
  await settled(other);
  expect(await headline(other)).toBe(await headline(page));
  expect(await other.locator(".question").textContent()).toBe(QUESTION);
});

test("Back returns to the question before, Forward to the one after", async () => {
  const page = await shop.page();
  await ask(page, QUESTION);
  await ask(page, "Which holes stay open?");
  const turns = page.locator(".turn");
  expect(await turns.count()).toBe(2);
  await page.goBack();
  await expect.poll(() => page.locator(".turn.is-current .question").textContent()).toBe(QUESTION);
  await page.goForward();
  await expect
    .poll(() => page.locator(".turn.is-current .question").textContent())
    .toBe("Which holes stay open?");
  expect(await turns.count()).toBe(2);
});

test("when the program cannot be reached, the page says so and keeps the words", async () => {
  const page = await shop.page(undefined, { expected: /ERR_FAILED/ });
  await page.route("**/api/ask", (route) => route.abort());
  await ask(page, QUESTION);
  expect(await page.locator(".turn.is-current .problem").textContent()).toContain("cannot be reached");
  expect(await page.getByRole("textbox", { name: "Your question" }).inputValue()).toBe(QUESTION);

  await page.unroute("**/api/ask");
  await page.locator(".turn.is-current .problem").getByRole("button", { name: "Try again" }).click();
  await page.locator(".turn.is-current .headline-words").waitFor();
  expect(await headline(page)).toBe((await shop.answer({ question: QUESTION })).headline);
});

test("what the program refuses is shown with its code, what is wrong and what to do", async () => {
  const page = await shop.page(undefined, {
    hash: `#${new URLSearchParams({ ...PLACE, ask: "?", form: "before-closing", "slot.part": "NO-SUCH-PART" })}`,
    expected: /status of 4/,
  });
  await settled(page);
  const problem = page.locator(".turn.is-current .problem");
  expect(await problem.locator("code").textContent()).toBe("UNKNOWN_ID");
  expect(await problem.textContent()).toContain("What to do");
});

test("Shift and Enter begins a new line; an empty question is not sent", async () => {
  const page = await shop.page();
  const box = page.getByRole("textbox", { name: "Your question" });
  await box.focus();
  await page.keyboard.press("Enter");
  expect(await page.locator(".turn").count()).toBe(0);
  await page.keyboard.type("Which holes");
  await page.keyboard.press("Shift+Enter");
  await page.keyboard.type("stay open?");
  expect(await box.inputValue()).toBe("Which holes\nstay open?");
  await page.keyboard.press("Enter");
  await settled(page);
  expect(await headline(page)).toBe((await shop.answer({ question: "Which holes stay open?" })).headline);
});

test("another assembly is chosen, sent by address, and Back returns to the first", async () => {
  const page = await shop.page();
  const first = await page.getByRole("heading", { level: 2 }).first().textContent();
  const chooser = page.getByRole("combobox", { name: "Kit and assembly" });
  const names = await chooser.locator("option").allTextContents();
  expect(names.length).toBeGreaterThan(1);
  await chooser.selectOption({ label: names.at(-1) });
  await expect.poll(() => page.getByRole("heading", { level: 2 }).first().textContent()).toBe(names.at(-1));
  const [kit, assembly] = (await chooser.inputValue()).split(" ");
  const read = new URLSearchParams(new URL(page.url()).hash.slice(1));
  expect([read.get("kit"), read.get("assembly")]).toEqual([kit, assembly]);
  await page.goBack();
  await expect.poll(() => page.getByRole("heading", { level: 2 }).first().textContent()).toBe(first);
});

test("an address of an assembly that is not here says so", async () => {
  const page = await shop.page(undefined, { hash: "#kit=no-such-kit&assembly=wing" });
  expect(await page.locator(".notice").textContent()).toContain("not here");
});
