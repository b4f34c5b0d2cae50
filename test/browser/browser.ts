import { mkdir, mkdtemp, rm, rmdir, stat } from "node:fs/promises";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import chromium from "@sparticuz/chromium";
import {
  type Browser,
  type BrowserContextOptions,
  type Locator,
  type Page,
  chromium as playwright,
} from "playwright-core";
import { afterAll, beforeAll, expect, onTestFinished } from "vitest";
import { buildApp } from "../../server/app.js";
import type { Answer } from "../../server/ask/types.js";
import { PROJECT } from "../../server/files.js";
import { loadLibrary } from "../../server/library.js";
import { loadPage } from "../../server/routes/page.js";
import { sqliteBook } from "../../server/store/sqlite.js";
import { openWorkshop } from "../../server/workshop.js";

const ARGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];
/** Long enough for a browser to unpack on a slow machine; a lock older than that was left behind. */
const UNPACKING_MS = 60_000;

export const WIDE = { viewport: { width: 1280, height: 800 } } as const;
export const PHONE = {
  viewport: { width: 390, height: 844 },
  hasTouch: true,
  isMobile: true,
} as const;

/** The demo that the tests work on. */
export const PLACE = { kit: "sedge-two", assembly: "tailplane" } as const;

/** The program with an empty shop book, and a browser to look at it: one of each for a test file. */
export class Shop {
  #browser: Browser | null = null;
  #url = "";
  #close: (() => Promise<void>) | null = null;

  /** Starts both before the file's tests and ends both after them. */
  constructor() {
    beforeAll(async () => {
      const folder = await mkdtemp(join(tmpdir(), "tailroom-page-"));
      const app = buildApp({
        workshop: openWorkshop(loadLibrary(), sqliteBook(join(folder, "shop-book.sqlite"))),
        page: await loadPage(join(PROJECT, "web")),
      });
      await app.listen({ port: 0, host: "127.0.0.1" });
      this.#url = `http://127.0.0.1:${(app.server.address() as AddressInfo).port}`;
      this.#browser = await openBrowser();
      this.#close = async () => {
        await this.#browser?.close();
        await app.close();
        await rm(folder, { recursive: true, force: true });
      };
    });
    afterAll(() => this.#close?.());
  }

  get url(): string {
    return this.#url;
  }

  /**
   * A page in a browser profile of its own. When the test ends it must not have logged an error, and its
   * content security policy must not have been broken.
   * @param expected  errors that the test brings about itself, such as a refused request
   */
  async page(
    options: BrowserContextOptions = WIDE,
    { hash = "", expected = /^$/ }: { readonly hash?: string; readonly expected?: RegExp } = {},
  ): Promise<Page> {
    const context = await this.#browser?.newContext(options);
    if (!context) throw new Error("The browser is not open yet.");
    const page = await context.newPage();
    const troubles: string[] = [];
    page.on("pageerror", (error) => troubles.push(error.message));
    page.on("console", (message) => {
      if (["error", "warning"].includes(message.type()) && !expected.test(message.text()))
        troubles.push(message.text());
    });
    onTestFinished(async () => {
      await context.close();
      expect(troubles).toEqual([]);
    });
    await page.goto(`${this.#url}/${hash}`);
    await page.locator(".hole").first().waitFor({ state: "attached" });
    return page;
  }

  /** What the program itself answers, to hold the page against. */
  async answer(body: object): Promise<Answer> {
    const response = await fetch(`${this.#url}/api/ask`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ ...PLACE, ...body }),
    });
    expect(response.status).toBe(200);
    return (await response.json()) as Answer;
  }

  /** Where the work stands in the shop book. */
  async work(): Promise<{
    readonly version: number;
    readonly holes: Readonly<Record<string, string>>;
    readonly prep: Readonly<Record<string, readonly string[]>>;
    readonly milestones: readonly string[];
  }> {
    const response = await fetch(`${this.#url}/api/kits/${PLACE.kit}/assemblies/${PLACE.assembly}/marks`);
    return (await response.json()) as Awaited<ReturnType<Shop["work"]>>;
  }
}

/** Types a question and waits for its answer. */
export async function ask(page: Page, words: string): Promise<void> {
  await page.getByRole("textbox", { name: "Your question" }).fill(words);
  await page.keyboard.press("Enter");
  await settled(page);
}

/** Waits until the turn in view has its answer or its problem. */
export async function settled(page: Page): Promise<void> {
  await page.locator(".turn.is-current:not([aria-busy]) .turn-body > *").first().waitFor();
}

/** The headline in view. */
export function headline(page: Page): Promise<string | null> {
  return page.locator(".turn.is-current .headline-words").textContent();
}

/** A hole on the map, whichever view it is in. */
export function hole(page: Page, id: string) {
  return page.locator(`[data-hole="${id}"]`);
}

/** The computed value of a style. */
export function styleOf(element: Locator, property: string): Promise<string> {
  return element.evaluate(
    (one, name) => one.ownerDocument.defaultView?.getComputedStyle(one).getPropertyValue(name) ?? "",
    property,
  );
}

export async function openBrowser(): Promise<Browser> {
  return playwright.launch({ executablePath: await unpacked(), args: ARGS, headless: true });
}

/** The browser unpacks itself into the temporary folder; only one test file at a time may do that. */
async function unpacked(): Promise<string> {
  const lock = join(tmpdir(), "tailroom-browser.lock");
  while (!(await taken(lock))) await wait(250);
  try {
    return await chromium.executablePath();
  } finally {
    await rmdir(lock);
  }
}

async function taken(lock: string): Promise<boolean> {
  try {
    await mkdir(lock);
    return true;
  } catch {
    const age = await stat(lock).then(
      ({ mtimeMs }) => Date.now() - mtimeMs,
      () => 0,
    );
    if (age > UNPACKING_MS) await rm(lock, { recursive: true, force: true });
    return false;
  }
}
