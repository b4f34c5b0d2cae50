import type { Locator, Page } from "playwright-core";
import { expect, test } from "vitest";
import { makeKey } from "../../server/keys/key.js";
import { memoryKeys } from "../../server/keys/memory.js";
import type { Lived } from "../../web/wire.js";
import { ask, hole, PHONE, PLACE, Shop, WIDE } from "./shop.js";

const AT = "2031-05-01T08:00:00.000Z";
const sam = await makeKey("Sam", "builder", AT);
const bo = await makeKey("Bo", "builder", AT);
const mo = await makeKey("Mo", "mentor", AT);
const keys = memoryKeys();
const [kim, jo, pat] = [
  await makeKey("Kim", "builder", AT),
  await makeKey("Jo", "mentor", AT),
  await makeKey("Pat", "builder", AT),
];
for (const { stored } of [sam, bo, mo, kim, jo, pat]) keys.add(stored);
const shop = new Shop(keys, true);

const WRONG = `${sam.stored.id}.${"A".repeat(43)}`;
const RULE = {
  id: "wooden-bar",
  title: "Back rib 2's top row up with the wooden bar",
  family: "caution",
  basis: { rank: "shop", document: "Shop notebook", place: "page 4" },
  why: "The flange bent on the practice piece.",
  conditions: { all: [{ fact: "rowId", operator: "equal", value: "RIB-2.top" }] },
  event: { type: "caution", params: { text: "Back the flange up with the wooden bar.", acts: ["rivet"] } },
  examples: [
    { hole: "RIB-2.top.1", fires: true },
    { hole: "RIB-3.top.1", fires: false },
  ],
};

/** Goes there with the Tab key alone. */
async function tabTo(page: Page, target: Locator, key: "Tab" | "Shift+Tab" = "Tab"): Promise<void> {
  await target.waitFor();
  for (let presses = 0; presses < 150; presses++) {
    if (await target.evaluate((one) => one === one.ownerDocument.activeElement)) return;
    await page.keyboard.press(key);
  }
  throw new Error(`150 times ${key} did not lead to ${target}.`);
}

/** Presses a button without the mouse. */
async function press(page: Page, name: string | RegExp): Promise<void> {
  await tabTo(page, page.getByRole("button", { name, exact: typeof name === "string" }));
  await page.keyboard.press("Enter");
}

const bar = (page: Page): Locator => page.locator(".sign-in > summary");

/** Signs in without the mouse; what comes of it is for the caller to look at. */
async function signIn(page: Page, key: string): Promise<void> {
  const field = page.getByLabel("Your key", { exact: true });
  if (!(await field.isVisible())) {
    await tabTo(page, bar(page), "Shift+Tab");
    await page.keyboard.press("Enter");
  }
  await tabTo(page, field);
  await field.fill("");
  await page.keyboard.insertText(key);
  await page.keyboard.press("Enter");
}

async function fitsThePhone(page: Page): Promise<void> {
  expect(await page.evaluate<number>("document.documentElement.scrollWidth")).toBeLessThanOrEqual(390);
  const { height } = (await bar(page).boundingBox()) ?? { height: 0 };
  expect(height).toBeGreaterThanOrEqual(44);
}

const state = (page: Page, words: string): Promise<void> =>
  page.locator(".rule-state", { hasText: words }).waitFor();

test("with keys needed, on a phone and without a mouse, a builder proposes and a mentor accepts elsewhere", async () => {
  const builder = await shop.page(PHONE, { expected: /401/ });
  await bar(builder).filter({ hasText: "Reading only" }).waitFor();
  await fitsThePhone(builder);

  await press(builder, "Shop rules");
  await press(builder, "Write a rule");
  await tabTo(builder, builder.locator("#rule-json"));
  await builder.keyboard.press("Control+A");
  await builder.keyboard.insertText(JSON.stringify(RULE));
  await builder.locator(".desk:not([aria-busy]) .desk-short", { hasText: "Holds at" }).waitFor();
  await press(builder, "Keep as a draft");
  await builder.locator(".problem-code", { hasText: "DOOR_KEY_NEEDED" }).waitFor();

  // The refusal opened the field; a wrong key is told beside it and signs nobody in.
  await signIn(builder, WRONG);
  await builder.locator(".sign-in .problem-code", { hasText: "DOOR_KEY_REFUSED" }).waitFor();
  expect(await bar(builder).textContent()).toContain("Reading only");
  await signIn(builder, sam.shown);
  await bar(builder).filter({ hasText: "Signed in: Sam, builder" }).waitFor();
  expect(await builder.getByLabel("Your key", { exact: true }).isVisible()).toBe(false);

  await press(builder, "Keep as a draft");
  await state(builder, "draft");
  await fitsThePhone(builder);
  await press(builder, /^Propose revision 1/);
  await state(builder, "waits for a mentor");

  const mentor = await shop.page(PHONE);
  await press(mentor, "Shop rules");
  await press(mentor, `Review: ${RULE.title}`);
  await mentor.getByRole("region", { name: "Review" }).waitFor();
  await signIn(mentor, mo.shown);
  await bar(mentor).filter({ hasText: "Signed in: Mo, mentor" }).waitFor();
  await fitsThePhone(mentor);
  await press(mentor, /^Accept/);
  await state(mentor, "in force");

  await state(builder, "in force");
  expect(await builder.locator(".rules-room").textContent()).toContain("accepted by Mo");
  const { cautions } = await shop.answer({ form: "treatment", slots: { hole: "RIB-2.top.1" } });
  expect(cautions).toContain("Back the flange up with the wooden bar.");
  for (const page of [builder, mentor]) {
    const kept = await page.evaluate("JSON.stringify([localStorage, sessionStorage]) + location.href");
    for (const { shown } of [sam, mo]) expect(kept).not.toContain(shown);
  }
});

/** Puts a rule of Sam's in force, or before the mentors, without the page. */
async function inForce(id: string, title: string, isAccepted = true): Promise<void> {
  let acts = 0;
  const post = async (path: string, body: object, { shown }: { readonly shown: string }): Promise<Lived> => {
    acts += 1;
    const response = await fetch(`${shop.url}/api/rules${path}`, {
      method: "POST",
      headers: {
        "content-type": "application/json",
        "idempotency-key": `${id}-${acts}`,
        "if-match": "*",
        authorization: `Bearer ${shown}`,
      },
      body: JSON.stringify({ kit: PLACE.kit, ...body }),
    });
    expect(response.status).toBe(200);
    return (await response.json()) as Lived;
  };
  const { rule } = await post("", { rule: { ...RULE, id, title } }, sam);
  const seen = { revision: 1, hash: rule.revisions[0]?.hash };
  await post(`/${id}/propose`, seen, sam);
  if (isAccepted) await post(`/${id}/accept`, seen, mo);
}

test("a rule in force is retired by its author with a reason; another builder's key does not", async () => {
  const title = "Back rib 2 up with the steel bar";
  await inForce("steel-bar", title);
  const other = await shop.page(WIDE, { expected: /403/ });
  await signIn(other, bo.shown);
  await bar(other).filter({ hasText: "Signed in: Bo" }).waitFor();
  const retire = async (page: Page): Promise<void> => {
    await press(page, "Shop rules");
    await press(page, title);
    await press(page, "Retire it");
  };
  await retire(other);
  await press(other, "Yes");
  await other.getByText("Say why first.").waitFor();
  await tabTo(other, other.getByLabel("Why", { exact: true }));
  await other.keyboard.insertText("I do not like it.");
  await press(other, "Yes");
  await other.locator(".problem-code", { hasText: "RULE_STEP_NOT_YOURS" }).waitFor();
  await state(other, "in force");

  const author = await shop.page(PHONE);
  await signIn(author, sam.shown);
  await bar(author).filter({ hasText: "Signed in: Sam" }).waitFor();
  await retire(author);
  await author.keyboard.insertText("The wooden bar serves better.");
  await press(author, "Yes");
  await state(author, "retired");
  expect(await author.locator(".rules-room").textContent()).toMatch(
    /retired by Sam.*The wooden bar serves better\./,
  );
});

test("a mark is refused until somebody signs in, and then carries their name", async () => {
  const page = await shop.page(WIDE, { expected: /401/ });
  await hole(page, "RIB-3.top.1").click();
  const set = page.getByRole("button", { name: "set", exact: true });
  await set.click();
  await page.locator(".notice", { hasText: "DOOR_KEY_NEEDED" }).waitFor();
  const before = await shop.work();
  await signIn(page, bo.shown);
  await bar(page).filter({ hasText: "Signed in: Bo" }).waitFor();
  await page.locator(".notice").getByRole("button", { name: "Try again" }).click();
  await page.locator(".notice", { hasText: "Recorded" }).waitFor();
  expect((await shop.work()).version).toBe(before.version + 1);

  await page.locator(".sign-in > summary").click();
  await page.getByRole("button", { name: "Sign out" }).click();
  await bar(page).filter({ hasText: "Reading only" }).waitFor();
});

const signedOut = async (page: Page): Promise<void> => {
  await bar(page).filter({ hasText: "Reading only" }).waitFor();
  const told = page.locator(".sign-in [role=alert]");
  expect(await told.textContent()).toMatch(/was revoked.*You are signed out\..*sign in here/);
  expect(await page.getByLabel("Your key", { exact: true }).isVisible()).toBe(true);
};

test("whose key is revoked is told so when they write: the remark stays typed, and goes in with a key that counts", async () => {
  const page = await shop.page(WIDE, { expected: /401/ });
  await signIn(page, kim.shown);
  await bar(page).filter({ hasText: "Signed in: Kim" }).waitFor();
  await hole(page, "RIB-4.top.1").click();
  await page.locator(".note-form summary").first().click();
  const remark = page.getByLabel("Remark for the shop book").first();
  await remark.fill("The flange has a nick.");
  keys.revoke(kim.stored.id, AT);
  await page.getByRole("button", { name: "Write it down" }).first().click();
  await page.locator(".notice", { hasText: "Nothing was written down" }).waitFor();
  await signedOut(page);
  expect(await remark.inputValue()).toBe("The flange has a nick.");
  await signIn(page, bo.shown);
  await bar(page).filter({ hasText: "Signed in: Bo" }).waitFor();
  await page.getByRole("button", { name: "Write it down" }).first().click();
  await page.locator(".notice", { hasText: "The remark is in the shop book" }).waitFor();
});

test("a mentor whose key is revoked while they review keeps the comment that they have typed", async () => {
  const title = "Back rib 2 up with the brass bar";
  await inForce("brass-bar", title, false);
  const page = await shop.page(WIDE, { expected: /401/ });
  await signIn(page, jo.shown);
  await bar(page).filter({ hasText: "Signed in: Jo" }).waitFor();
  await press(page, "Shop rules");
  await press(page, `Review: ${title}`);
  const comment = page.locator("#comment-whole");
  await comment.fill("Brass marks the sheet.");
  keys.revoke(jo.stored.id, AT);
  await page.getByRole("button", { name: /^Accept/ }).click();
  await signedOut(page);
  await page.getByLabel("Your mentor's key").waitFor();
  expect(await comment.inputValue()).toBe("Brass marks the sheet.");
});

test("whose key is revoked is told so when they only ask, and the answer comes all the same", async () => {
  const page = await shop.page(WIDE, { expected: /401/ });
  await signIn(page, pat.shown);
  await bar(page).filter({ hasText: "Signed in: Pat" }).waitFor();
  keys.revoke(pat.stored.id, AT);
  // As if some time had passed since the key was looked at.
  await page.evaluate("performance.now = ((now) => () => now.call(performance) + 60000)(performance.now)");
  await ask(page, "Which holes stay open?");
  await signedOut(page);
  expect(await page.locator(".turn.is-current .headline-words").textContent()).toMatch(/stay open/);
});
