import type { Locator, Page } from "playwright-core";
import { expect, test } from "vitest";
import { makeKey } from "../../server/keys/key.js";
import { memoryKeys } from "../../server/keys/memory.js";
import { signAnswer } from "../../server/review/review-answer.js";
import type { ReviewFile } from "../../server/review/types.js";
import type { Lived, RulesShown, ShopRule } from "../../web/wire.js";
import { ask, hole, PHONE, PLACE, Shop, WIDE } from "./shop.js";

const keys = memoryKeys();
const { shown: mentorKey, stored } = await makeKey("Mo the mentor", "mentor", "2031-05-01T08:00:00.000Z");
keys.add(stored);
const shop = new Shop(keys);

const TITLE = "Drill rib 3's top holes slowly";
const NARROW = { ...PHONE, viewport: { width: 360, height: 740 } } as const;
const MARKUP = `<img src=x onerror="document.title='caught'"><script>document.title='caught'</script>`;

/** The room of the rules with the list in it. */
async function room(page: Page): Promise<Locator> {
  await page.getByRole("button", { name: "Shop rules", exact: true }).click();
  const all = page.getByRole("region", { name: "Shop rules" });
  await all.getByRole("heading", { name: "Shop rules", exact: true }).waitFor();
  return all;
}

/** The option whose words fit; the words of a kit are not known beforehand. */
async function choose(select: Locator, words: RegExp): Promise<void> {
  const options = await select.locator("option").allTextContents();
  const label = options.find((one) => words.test(one));
  expect(label, `${words} of ${options.join(" | ")}`).toBeDefined();
  await select.selectOption({ label: label ?? "" });
}

/** Waits until what is written has been looked at. */
async function looked(page: Page): Promise<void> {
  await page.locator(".desk:not([aria-busy]) .desk-short:not(:empty)").waitFor();
}

/** Writes a caution for one row, examples picked on the map. */
async function write(page: Page, title = TITLE): Promise<void> {
  await page.getByRole("button", { name: "Write a rule" }).click();
  await page.getByLabel("Title: what it says, in one line").fill(title);
  await choose(page.getByLabel("Sort of rule"), /^caution/);
  await page.getByLabel("Fact", { exact: true }).selectOption("rowId");
  await page
    .getByLabel("Value of", { exact: false })
    .first()
    .selectOption({ label: await rowOption(page) });
  await page.getByLabel("What it says", { exact: true }).fill("Drill slowly and back the flange up.");
  await page.getByLabel("rivet", { exact: true }).check();
  await page.getByLabel("Why", { exact: true }).fill("The flange bent here on the practice piece.");
  await page.getByLabel("Document: where it is written down").fill("Shop notebook");
  await page.getByLabel("Place in it").fill("page 3");
}

async function rowOption(page: Page): Promise<string> {
  const options = await page
    .getByLabel("Value of", { exact: false })
    .first()
    .locator("option")
    .allTextContents();
  const found = options.find((one) => /rib 3, top/i.test(one));
  expect(found).toBeDefined();
  return found ?? "";
}

async function pickExamples(page: Page): Promise<void> {
  await hole(page, "RIB-3.top.1").click();
  await page.getByRole("button", { name: "the rule must hold", exact: true }).click();
  await hole(page, "RIB-2.top.1").click();
  await page.getByRole("button", { name: "it must not hold", exact: true }).click();
}

test("a rule is written without JSON, kept, proposed, reviewed and put in force, and answers use it", async () => {
  const page = await shop.page(WIDE, { expected: /401|403/ });
  await room(page);
  await write(page);
  await looked(page);
  expect(await page.locator(".desk-short").textContent()).toMatch(/^Holds at 8 holes;.*still to be written/);
  expect(await page.locator(".map-rule").textContent()).toContain("holds at 8 holes");
  expect(await hole(page, "RIB-3.top.1").getAttribute("aria-label")).toContain("the rule holds here");
  expect(await hole(page, "RIB-2.top.1").getAttribute("aria-label")).not.toContain("the rule holds here");

  await page.getByRole("button", { name: "Keep as a draft" }).click();
  await page.locator("#rule-examples-problem:not([hidden])").waitFor();
  expect(await page.locator("#rule-examples").getAttribute("aria-invalid")).toBe("true");
  expect(await page.evaluate("document.activeElement.id")).toBe("rule-examples");

  await pickExamples(page);
  await page.getByRole("button", { name: "Keep as a draft" }).click();
  await page.getByRole("heading", { name: TITLE }).waitFor();
  expect(await page.locator(".rule-state").textContent()).toContain("draft");

  await page.getByRole("button", { name: "Ask as if it were in force" }).click();
  await page.locator(".trying", { hasText: TITLE }).waitFor();
  await ask(page, "What do I do with hole 1 of rib 3's top row?");
  expect(await page.locator(".turn.is-current .tried-mark").isVisible()).toBe(true);
  expect(await page.locator(".turn.is-current .answer").textContent()).toContain("not in force");
  await page.getByRole("button", { name: "Answer as things stand" }).click();
  await ask(page, "What do I do with hole 1 of rib 3's top row?");
  expect(await page.locator(".turn.is-current .tried-mark").count()).toBe(0);
  expect(await page.locator(".turn.is-current .answer").textContent()).not.toContain("not in force");

  await page.getByRole("button", { name: "Shop rules", exact: true }).click();
  await page.getByRole("button", { name: /^Propose revision 1/ }).click();
  await page.locator(".rule-state", { hasText: "waits for a mentor" }).waitFor();
  const review = page.getByRole("region", { name: "Review" });
  expect(await review.textContent()).toContain("Drill slowly and back the flange up");
  expect(await review.getByRole("link", { name: "Sheet for paper" }).getAttribute("href")).toMatch(
    /^\/api\/reviews\/[a-z0-9-]+\/sheet\?kit=/,
  );

  await review.getByRole("button", { name: /^Accept/ }).click();
  await page.locator(".room-told", { hasText: "key" }).waitFor();
  await review
    .getByLabel("Your mentor's key")
    .fill("abcdefghij.wrongwrongwrongwrongwrongwrongwrongwrongwron");
  await review.getByRole("button", { name: /^Accept/ }).click();
  await page.locator(".room-told", { hasText: "DOOR_KEY_REFUSED" }).waitFor();
  await review.getByLabel("Your mentor's key").fill(mentorKey);
  await review.getByLabel("On the rule as a whole").fill("Good.");
  await review.getByRole("button", { name: /^Accept/ }).click();
  await page.locator(".rule-state", { hasText: "in force" }).waitFor();
  expect(await page.locator("#mentor-key").count()).toBe(0);
  expect(await page.locator(".rules-room").textContent()).toContain("accepted by Mo the mentor");
  expect(await page.locator(".rules-room").textContent()).toContain("The rule as a whole: Good.");
  const told = await shop.answer({ question: "What do I do with hole 1 of rib 3's top row?" });
  expect(JSON.stringify(told)).toContain("Drill slowly and back the flange up");
  expect(await page.evaluate("JSON.stringify(localStorage) + location.href")).not.toContain(mentorKey);
});

test("form and JSON keep in step; JSON that cannot be read is named with its place and the form keeps what it had", async () => {
  const page = await shop.page();
  await room(page);
  await write(page, "In step");
  const json = page.locator("#rule-json");
  const written = JSON.parse(await json.inputValue());
  expect(written.title).toBe("In step");
  expect(written.id).toBe("in-step");
  expect(written.conditions.all[0]).toMatchObject({ fact: "rowId", operator: "equal", value: "RIB-3.top" });

  await json.fill(JSON.stringify({ ...written, title: "From the JSON", why: "Typed there." }, null, 2));
  expect(await page.getByLabel("Title: what it says, in one line").inputValue()).toBe("From the JSON");
  expect(await page.getByLabel("Why", { exact: true }).inputValue()).toBe("Typed there.");

  await json.fill('{\n  "title": "Half"\n  "why": "no comma"\n}');
  expect(await page.locator("#rule-json-problem").textContent()).toMatch(/not JSON.*Line 3, column \d+/);
  expect(await json.getAttribute("aria-invalid")).toBe("true");
  expect(await page.getByLabel("Title: what it says, in one line").inputValue()).toBe("From the JSON");

  await json.fill(
    JSON.stringify({
      ...written,
      conditions: { all: [{ fact: "rowid", operator: "equal", value: "RIB-3.top" }] },
    }),
  );
  await page
    .locator(".condition .rule-problem:not([hidden])", { hasText: 'Did you mean "rowId"?' })
    .waitFor();
});

test("groups can be put inside one another, with the holes of each counted", async () => {
  const page = await shop.page();
  await room(page);
  await write(page, "Groups");
  await looked(page);
  await page.getByRole("button", { name: "Add a group" }).click();
  const inner = page.locator(".condition-group .condition-group");
  await inner.getByLabel("Fact", { exact: true }).selectOption("drawnHead");
  await inner.getByLabel("Value of", { exact: false }).selectOption({ index: 1 });
  await inner.getByLabel("How the conditions of this group are joined").selectOption("not");
  const written = JSON.parse(await page.locator("#rule-json").inputValue());
  expect(written.conditions.all[0].value).toBe("RIB-3.top");
  expect(written.conditions.all[1]).toEqual({
    not: { fact: "drawnHead", operator: "equal", value: expect.stringMatching(/./) },
  });
  await page.locator(".desk:not([aria-busy])").waitFor();
  const counts = await page.locator(".condition-count").allTextContents();
  expect(counts).toHaveLength(4);
  for (const count of counts) expect(count).toMatch(/^\d+ holes?/);
  expect(await page.locator(".map-rule").textContent()).toContain(`holds at ${counts[0]}`);
});

test("a rule file can be chosen, and what it holds is text and never markup", async () => {
  const page = await shop.page();
  await room(page);
  await page.getByRole("button", { name: "Write a rule" }).click();
  const rule = {
    id: "markup",
    title: MARKUP,
    family: "caution",
    basis: { rank: "shop", document: MARKUP, place: MARKUP },
    why: MARKUP,
    conditions: { all: [{ fact: "rowId", operator: "equal", value: "RIB-3.top" }] },
    event: { type: "caution", params: { text: MARKUP, acts: ["drill"] } },
    examples: [
      { hole: "RIB-3.top.1", fires: true, why: MARKUP },
      { hole: "RIB-2.top.1", fires: false, why: MARKUP },
    ],
  };
  const file = (name: string, body: object) => ({
    name,
    mimeType: "application/json",
    buffer: Buffer.from(JSON.stringify(body)),
  });
  await page
    .locator("#rule-file")
    .setInputFiles(
      file("rules.json", { format: "tailroom rules 1", rules: [rule, { ...rule, title: "other" }] }),
    );
  await page.locator(".desk-json").getByRole("button", { name: MARKUP }).click();
  expect(await page.getByLabel("Title: what it says, in one line").inputValue()).toBe(MARKUP);
  await looked(page);
  expect(await page.locator(".rule-words").textContent()).toContain(MARKUP);
  await page.getByRole("button", { name: "Keep as a draft" }).click();
  await page.getByRole("heading", { name: "<img", exact: false }).waitFor();
  await page.getByRole("button", { name: /^Propose/ }).click();
  await page.getByRole("region", { name: "Review" }).waitFor();
  expect(await page.locator("img[src=x], .rules-room script").count()).toBe(0);
  expect(await page.title()).not.toContain("caught");
  await page.getByRole("button", { name: "All shop rules" }).click();
  await page.getByRole("heading", { name: /^Waiting for a mentor/ }).waitFor();
  expect(await page.locator("img[src=x]").count()).toBe(0);
});

test("a rule that would make work done wrong says so before it counts, in words and on the map", async () => {
  const page = await shop.page();
  const set = await fetch(`${shop.url}/api/marks`, {
    method: "POST",
    headers: { "content-type": "application/json", "idempotency-key": "set-for-rules", "if-match": "*" },
    body: JSON.stringify({ ...PLACE, marks: [{ kind: "hole", hole: "RIB-3.top.2", state: "set" }] }),
  });
  expect(set.status).toBe(200);
  await room(page);
  await page.getByRole("button", { name: "Write a rule" }).click();
  await page.getByLabel("Title: what it says, in one line").fill("Flush everywhere on rib 3");
  await page.getByLabel("Fact", { exact: true }).selectOption("part");
  await choose(page.getByLabel("Value of", { exact: false }).first(), /^rib 3 /i);
  await choose(page.getByLabel(/^Head form/), /^flush$/);
  await page.locator(".check-line", { hasText: "set already" }).first().waitFor();
  await page.locator(".desk:not([aria-busy])").waitFor();
  expect(await page.locator(".desk-short").textContent()).toMatch(/work done at 1 hole would be wrong/);
  expect(await hole(page, "RIB-3.top.2").getAttribute("aria-label")).toContain("set already");
  expect(await hole(page, "RIB-3.top.1").getAttribute("aria-label")).toMatch(/with the rule: .*→ flush/);
});

test("a draft that was not kept is still there after the page was left", async () => {
  const page = await shop.page();
  await room(page);
  await write(page, "Left half way");
  await page.reload();
  const all = await room(page);
  await all.getByText("Left half way").waitFor();
  await all.getByRole("button", { name: "Go on writing" }).click();
  expect(await page.getByLabel("Title: what it says, in one line").inputValue()).toBe("Left half way");
});

test("a mentor sends a rule back with a comment on one part; the next revision shows what changed", async () => {
  const page = await shop.page();
  await room(page);
  await write(page, "Sent back once");
  await pickExamples(page);
  await page.getByRole("button", { name: "Keep as a draft" }).click();
  await page.getByRole("button", { name: /^Propose revision 1/ }).click();
  const review = page.getByRole("region", { name: "Review" });
  await review.getByLabel("Your mentor's key").fill(mentorKey);
  await review.getByRole("button", { name: "Send back with comments" }).click();
  await page.locator(".room-told", { hasText: "at least one comment" }).waitFor();
  await review.getByText("Comment on one part").click();
  await review.getByLabel("Why", { exact: true }).fill("Say how slowly.");
  await review.getByRole("button", { name: "Send back with comments" }).click();
  await page.locator(".rule-state", { hasText: "sent back" }).waitFor();
  expect(await page.locator(".comment").textContent()).toBe("Why: Say how slowly.");

  await page.getByRole("button", { name: "Go on writing" }).click();
  expect(await page.getByLabel(/^Short name/).getAttribute("readonly")).not.toBeNull();
  await page.getByLabel("Why", { exact: true }).fill("The flange bent here; 600 turns a minute are enough.");
  await page.getByRole("button", { name: "Keep as a draft" }).click();
  await page.locator(".diff li").first().waitFor();
  expect(await page.locator(".diff").textContent()).toMatch(/reason.*600 turns a minute/s);
  expect(await page.locator(".rule-state").textContent()).toContain("draft");
});

for (const [name, options] of [
  ["a phone of 360 pixels", NARROW],
  ["a screen of 1280 pixels", WIDE],
] as const) {
  test(`the room of the rules fits ${name}, and everything in it has a name`, async () => {
    const page = await shop.page(options);
    await room(page);
    const overflow = (): Promise<number> =>
      page.locator(".rules-room").evaluate((one) => one.scrollWidth - one.clientWidth);
    expect(await overflow()).toBe(0);
    await write(page, "A title that is long enough to need more than one line on a telephone in the shop");
    await page.getByRole("button", { name: "Add a group" }).click();
    await page.getByRole("button", { name: "Add a rule that it goes before" }).click();
    await page.getByRole("button", { name: "Declare a departure" }).click();
    await looked(page);
    expect(await overflow()).toBe(0);
    expect(await page.locator("html").evaluate((root) => root.scrollWidth - root.clientWidth)).toBe(0);
    for (const role of ["button", "checkbox", "textbox", "combobox"] as const) {
      const all = page.locator(".rules-room").getByRole(role);
      expect(await page.locator(".rules-room").getByRole(role, { name: /\S/ }).count(), role).toBe(
        await all.count(),
      );
    }
    const small = await page
      .locator(".rules-room :is(button:not(.quiet), select, input:not([type=checkbox], [type=file]))")
      .evaluateAll((all) => all.filter((one) => one.getBoundingClientRect().height < 34).length);
    expect(small).toBe(0);
  });
}

test("taking out a condition leaves the keyboard in its section", async () => {
  const page = await shop.page();
  await room(page);
  await write(page, "Keyboard");
  await page.getByRole("button", { name: "Add a condition" }).focus();
  await page.keyboard.press("Enter");
  expect(await page.evaluate("document.activeElement.textContent")).toBe("Add a condition");
  await page.getByRole("button", { name: "Take out the condition on no fact yet" }).focus();
  await page.keyboard.press("Enter");
  expect(await page.evaluate("document.activeElement.closest('.rule-section')?.dataset.section")).toBe(
    "Where it holds",
  );
});

test("a revision that somebody else kept meanwhile is shown before mine goes on top of it", async () => {
  await proposed("two-writers");
  const page = await shop.page();
  const all = await room(page);
  await all.locator(".rule-list:not(.queue)").getByRole("button", { name: "The rule two-writers" }).click();
  await page.getByRole("button", { name: "Go on writing" }).click();
  await page.getByLabel("Why", { exact: true }).fill("Mine.");
  const before = await readRule("two-writers");
  const theirs = await fetch(`${shop.url}/api/rules`, {
    method: "POST",
    headers: { "content-type": "application/json", "idempotency-key": "theirs", "if-match": "*" },
    body: JSON.stringify({
      kit: PLACE.kit,
      rule: { ...before.revisions[0]?.rule, why: "Theirs." },
      by: "Ada",
    }),
  });
  expect(theirs.status).toBe(200);
  await page.locator("#book", { hasText: String(((await theirs.json()) as Lived).version) }).waitFor();
  await page.locator(".desk:not([aria-busy])").waitFor();
  await page.getByRole("button", { name: "Keep as a draft" }).click();
  await page.locator(".room-ask", { hasText: "Ada wrote revision 2" }).waitFor();
  expect((await readRule("two-writers")).revisions).toHaveLength(2);
  await page.getByRole("button", { name: "Yes", exact: true }).click();
  await page.getByRole("heading", { name: "The rule two-writers" }).waitFor();
  expect((await readRule("two-writers")).revisions.map(({ rule }) => rule.why)).toEqual([
    "Seen on the practice piece.",
    "Theirs.",
    "Mine.",
  ]);
});

async function readRule(id: string): Promise<ShopRule> {
  const { shop: all } = (await (await fetch(`${shop.url}/api/rules?kit=${PLACE.kit}`)).json()) as RulesShown;
  const found = all.find((rule) => rule.id === id);
  if (!found) throw new Error(`There is no rule ${id}.`);
  return found;
}

/** Puts a rule before the mentor without the page. */
async function proposed(id: string): Promise<void> {
  const post = async (path: string, body: object): Promise<Lived> => {
    const response = await fetch(`${shop.url}${path}`, {
      method: "POST",
      headers: { "content-type": "application/json", "idempotency-key": `${id}${path}`, "if-match": "*" },
      body: JSON.stringify({ kit: PLACE.kit, ...body }),
    });
    expect(response.status).toBe(200);
    return (await response.json()) as Lived;
  };
  const { rule } = await post("/api/rules", {
    rule: {
      id,
      title: `The rule ${id}`,
      family: "caution",
      basis: { rank: "shop", document: "Shop notebook", place: "page 4" },
      why: "Seen on the practice piece.",
      conditions: { all: [{ fact: "rowId", operator: "equal", value: "RIB-2.top" }] },
      event: { type: "caution", params: { text: `Mind ${id}.`, acts: ["rivet"] } },
      examples: [
        { hole: "RIB-2.top.1", fires: true },
        { hole: "RIB-3.top.1", fires: false },
      ],
    },
  });
  await post(`/api/rules/${id}/propose`, { revision: 1, hash: rule.revisions[0]?.hash });
}

test("the signed answer of a mentor elsewhere is taken in; one that was edited is refused", async () => {
  await proposed("from-elsewhere");
  const given = await fetch(`${shop.url}/api/reviews/from-elsewhere/file?kit=${PLACE.kit}`);
  const review = (await given.json()) as ReviewFile;
  const answer = signAnswer(review, { step: "accept", comments: [], reference: null }, mentorKey);
  const page = await shop.page(WIDE, { expected: /4\d\d/ });
  const all = await room(page);
  const hand = (body: object): Promise<void> =>
    all.locator("#answer-file").setInputFiles({
      name: "answer.json",
      mimeType: "application/json",
      buffer: Buffer.from(JSON.stringify(body)),
    });
  await hand({ ...answer, answer: { ...answer.answer, step: "return" } });
  await page.locator(".room-told .problem-code", { hasText: /ANSWER_|REVIEW_/ }).waitFor();
  await hand(answer);
  await page.getByRole("heading", { name: "The rule from-elsewhere" }).waitFor();
  expect(await page.locator(".rule-state").textContent()).toContain("in force");
});

test("what another mentor decided meanwhile shows on the page without being asked for", async () => {
  await proposed("decided-elsewhere");
  const page = await shop.page();
  const all = await room(page);
  await all.getByRole("button", { name: "Review: The rule decided-elsewhere" }).click();
  await page.getByRole("region", { name: "Review" }).waitFor();
  const given = await fetch(`${shop.url}/api/reviews/decided-elsewhere/file?kit=${PLACE.kit}`);
  const review = (await given.json()) as ReviewFile;
  const decision = { step: "return", comments: [{ at: null, text: "Not yet." }], reference: null } as const;
  const handed = await fetch(`${shop.url}/api/reviews/answer`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(signAnswer(review, decision, mentorKey)),
  });
  expect(handed.status).toBe(200);
  await page.locator(".rule-state", { hasText: "sent back" }).waitFor();
});

test("an answer from elsewhere that is no answer file is refused", async () => {
  const page = await shop.page(WIDE, { expected: /4\d\d/ });
  const all = await room(page);
  await all.locator("#answer-file").setInputFiles({
    name: "answer.json",
    mimeType: "application/json",
    buffer: Buffer.from(JSON.stringify({ format: "something else" })),
  });
  await page.locator(".room-told .problem").waitFor();
  await all.locator("#answer-file").setInputFiles({
    name: "answer.json",
    mimeType: "application/json",
    buffer: Buffer.from("not JSON"),
  });
  await page.locator(".room-told", { hasText: "not an answer file" }).waitFor();
});
