import type { Browser, BrowserContextOptions, Locator, Page } from "playwright-core";
import { afterAll, beforeAll, expect, onTestFinished, vi } from "vitest";
import type { Answer } from "../../server/ask/types.js";
import type { KeyRing } from "../../server/keys/contract.js";
import type { RulingShown, WorkShown } from "../../web/wire.js";
import { openBrowser, startProgram } from "./program.js";

/** A browser on a busy machine takes its time; what is checked is what comes, not when. */
vi.setConfig({ testTimeout: 90_000, hookTimeout: 120_000 });

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
  #program: Awaited<ReturnType<typeof startProgram>> | null = null;

  /**
   * Starts both before the file's tests and ends both after them.
   * @param keys       of those who may accept rules
   * @param keyNeeded  whether every write needs one
   */
  constructor(keys?: KeyRing, keyNeeded = false) {
    beforeAll(async () => {
      this.#program = await startProgram(keys, keyNeeded);
      this.#browser = await openBrowser();
    });
    afterAll(async () => {
      await this.#browser?.close();
      await this.#program?.stop();
    });
  }

  get url(): string {
    if (!this.#program) throw new Error("The program has not started yet.");
    return this.#program.url;
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
    await page.goto(`${this.url}/${hash}`);
    await page.locator(".hole").first().waitFor({ state: "attached" });
    return page;
  }

  /** What the program itself answers, to hold the page against. */
  async answer(body: object): Promise<Answer> {
    const response = await fetch(`${this.url}/api/ask`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ ...PLACE, ...body }),
    });
    expect(response.status).toBe(200);
    return (await response.json()) as Answer;
  }

  /** Where the work stands in the shop book. */
  work(): Promise<WorkShown> {
    return this.#read("marks");
  }

  /** What is ruled for every hole. */
  async rulings(): Promise<readonly RulingShown[]> {
    return (await this.#read<{ readonly rulings: readonly RulingShown[] }>("rulings")).rulings;
  }

  async #read<T>(what: string): Promise<T> {
    const response = await fetch(`${this.url}/api/kits/${PLACE.kit}/assemblies/${PLACE.assembly}/${what}`);
    expect(response.status).toBe(200);
    return (await response.json()) as T;
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
