import { mkdir, mkdtemp, rm, rmdir, stat } from "node:fs/promises";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import chromium from "@sparticuz/chromium";
import { type Browser, chromium as playwright } from "playwright-core";
import { buildApp } from "../../server/app.js";
import { PROJECT } from "../../server/files.js";
import type { KeyRing } from "../../server/keys/contract.js";
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

/**
 * The program as it runs for the builder, on a free port, with an empty shop book in a folder of its own.
 * @param keys       of those who may accept rules; nobody has one when left out
 * @param keyNeeded  whether every write needs a key, as when other machines reach the program
 */
export async function startProgram(
  keys?: KeyRing,
  keyNeeded = false,
): Promise<{ readonly url: string; readonly stop: () => Promise<void> }> {
  const folder = await mkdtemp(join(tmpdir(), "tailroom-page-"));
  const app = buildApp({
    workshop: openWorkshop(loadLibrary(), sqliteBook(join(folder, "shop-book.sqlite"))),
    page: await loadPage(join(PROJECT, "web")),
    ...(keys && { keys }),
    keyNeeded,
  });
  await app.listen({ port: 0, host: "127.0.0.1" });
  return {
    url: `http://127.0.0.1:${(app.server.address() as AddressInfo).port}`,
    stop: async () => {
      await app.close();
      await rm(folder, { recursive: true, force: true });
    },
  };
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
