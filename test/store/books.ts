import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { onTestFinished } from "vitest";
import type { ShopBook } from "../../server/store/contract.js";
import { memoryBook } from "../../server/store/memory.js";
import { sqliteBook } from "../../server/store/sqlite.js";

/** A folder of its own, gone when the test is over. */
export function tempFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "shop-book-test-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

export const now = (): Date => new Date("2031-05-04T10:00:00.000Z");

/** Every kind of book, empty, closed after the test. */
export const KINDS: readonly { name: string; open: () => ShopBook }[] = [
  { name: "in memory", open: () => closing(memoryBook({ now })) },
  { name: "in SQLite", open: () => closing(sqliteBook(join(tempFolder(), "book.sqlite"), { now })) },
];

function closing(book: ShopBook): ShopBook {
  onTestFinished(() => book.close());
  return book;
}
