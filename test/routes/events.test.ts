import { once } from "node:events";
import { get, type IncomingMessage } from "node:http";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import { describe, expect, it, onTestFinished } from "vitest";
import { sqliteBook } from "../../server/store/sqlite.js";
import { tempFolder } from "../store/books.js";
import { setting } from "../store/statement.js";
import { openShop, type Shop } from "./shop.js";

/** A page that watches: what it was told so far. */
interface Watcher {
  readonly reply: IncomingMessage;
  text: string;
  versions(): number[];
}

async function listen({ app }: Shop): Promise<number> {
  await app.listen({ port: 0, host: "127.0.0.1" });
  return (app.server.address() as AddressInfo).port;
}

async function watch(port: number): Promise<Watcher> {
  const sent = get({ port, host: "127.0.0.1", path: "/api/marks/events" });
  onTestFinished(() => void sent.destroy());
  const [reply] = (await once(sent, "response")) as [IncomingMessage];
  const watcher: Watcher = {
    reply,
    text: "",
    versions: () =>
      [...watcher.text.matchAll(/data: \{"version":(\d+)\}/g)].map(([, version]) => Number(version)),
  };
  reply.setEncoding("utf8").on("data", (more: string) => {
    watcher.text += more;
  });
  return watcher;
}

async function until(holds: () => boolean, patienceMs = 1000): Promise<void> {
  const deadline = Date.now() + patienceMs;
  while (!holds()) {
    if (Date.now() > deadline) throw new Error("It did not come to that in time.");
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
}

describe("a page that watches the shop book", () => {
  it("is told the version at once, and each change within a second, in the form that browsers read", async () => {
    const shop = await openShop();
    const port = await listen(shop);
    const [one, two] = [await watch(port), await watch(port)];
    expect(one.reply.headers["content-type"]).toContain("text/event-stream");
    expect(one.reply.headers["x-content-type-options"]).toBe("nosniff");
    await until(() => one.versions().length === 1 && two.versions().length === 1);

    shop.book.append([setting("A.top.1")], { key: "k1", expected: 0 });
    await until(() => one.versions().length === 2 && two.versions().length === 2);

    expect(one.text).toBe(
      'retry: 1000\nevent: version\nid: 0\ndata: {"version":0}\n\nevent: version\nid: 1\ndata: {"version":1}\n\n',
    );
    expect(two.versions()).toEqual([0, 1]);
  });

  it("sees within a second what another process wrote", async () => {
    const file = join(tempFolder(), "book.sqlite");
    const shop = await openShop(sqliteBook(file));
    const watcher = await watch(await listen(shop));
    const theirs = sqliteBook(file);
    theirs.append([setting("A.top.1")], { key: "k1", expected: 0 });
    theirs.close();
    await until(() => watcher.versions().includes(1));
    expect(watcher.versions().at(-1)).toBe(1);
  });

  it("is let go when the program stops, so that it stops at once", async () => {
    const shop = await openShop();
    const watcher = await watch(await listen(shop));
    const ended = once(watcher.reply, "end");
    const start = Date.now();
    await shop.app.close();
    await ended;
    expect(Date.now() - start).toBeLessThan(1000);
  });

  it("is refused beyond 64, until one of them leaves", async () => {
    const shop = await openShop();
    const port = await listen(shop);
    const watchers = await Promise.all(Array.from({ length: 64 }, () => watch(port)));
    const refused = await watch(port);
    expect(refused.reply.statusCode).toBe(503);
    await until(() => refused.text.includes("TOO_MANY_WATCHERS"));

    watchers[0]?.reply.destroy();
    await until(() => true);
    let status: number | undefined;
    for (let tries = 0; tries < 50 && status !== 200; tries += 1) {
      status = (await watch(port)).reply.statusCode;
      await new Promise((resolve) => setTimeout(resolve, 10));
    }
    expect(status).toBe(200);
  });
});
