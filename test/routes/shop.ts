import type { FastifyInstance } from "fastify";
import supertest from "supertest";
import { onTestFinished } from "vitest";
import { type AppOptions, buildApp } from "../../server/app.js";
import type { Page } from "../../server/routes/page.js";
import type { ShopBook } from "../../server/store/contract.js";
import { memoryBook } from "../../server/store/memory.js";
import { openWorkshop, type Workshop } from "../../server/workshop.js";
import { assembly, kit, library } from "../support/library.js";

export { assembly, kit, library, place } from "../support/library.js";

export const assemblyPath = `/api/kits/${kit.id}/assemblies/${assembly.id}`;

const file = (type: string, text: string) => ({ type, bytes: Buffer.from(text), etag: `"${text.length}"` });
export const page: Page = new Map([
  ["/", file("text/html; charset=utf-8", "<!doctype html><title>page</title>")],
  ["/style.css", file("text/css; charset=utf-8", "body {}")],
]);

export interface Shop {
  readonly app: FastifyInstance;
  readonly book: ShopBook;
  readonly workshop: Workshop;
  /** Requests to the app, without a fixed port. */
  readonly request: ReturnType<typeof supertest>;
  /** Errors that the app did not foresee. */
  readonly unforeseen: readonly unknown[];
}

/** The app over an empty shop book; closed after the test. */
export async function openShop(
  book: ShopBook = memoryBook(),
  options: Partial<AppOptions> = {},
): Promise<Shop> {
  const unforeseen: unknown[] = [];
  const workshop = openWorkshop(library, book);
  const report = (error: unknown) => unforeseen.push(error);
  const app = buildApp({ workshop, page, hosts: ["bench.shop"], report, ...options });
  await app.ready();
  onTestFinished(() => app.close());
  return { app, book, workshop, request: supertest(app.server), unforeseen };
}
