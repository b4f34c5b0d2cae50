import type { AddressInfo } from "node:net";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { firstBreak } from "../../server/store/chain.js";
import { sqliteBook } from "../../server/store/sqlite.js";
import { tempFolder } from "../store/books.js";
import { marksOf } from "../store/statement.js";
import { assembly, openShop, place } from "./shop.js";

const WRITERS = 200;
/** A writer that was overtaken this often gives up: so many tries are answered, and no more. */
const MOST_TRIES = 4;

interface Told {
  readonly key: string;
  readonly hole: string;
  readonly version: number;
}

describe("two hundred people marking at once", () => {
  it("every mark that was accepted is there once, every other writer was told that it was overtaken", async () => {
    const file = join(tempFolder(), "book.sqlite");
    const shop = await openShop(sqliteBook(file));
    await shop.app.listen({ port: 0, host: "127.0.0.1" });
    const { port } = shop.app.server.address() as AddressInfo;
    const at = `http://127.0.0.1:${port}`;
    const marks = `${at}/api/kits/${place.kit}/assemblies/${place.assembly}/marks`;

    const statuses: number[] = [];
    const accepted: Told[] = [];
    const write = async (writer: number): Promise<void> => {
      const hole = assembly.holes[writer % assembly.holes.length]?.id ?? "";
      const key = `writer-${writer}`;
      for (let attempt = 0; attempt < MOST_TRIES; attempt++) {
        const seen = (await fetch(marks)).headers.get("etag") ?? "";
        const reply = await fetch(`${at}/api/marks`, {
          method: "POST",
          headers: {
            "content-type": "application/json",
            "idempotency-key": key,
            // Every other one writes on top of whatever is there.
            "if-match": writer % 2 === 0 ? "*" : seen,
          },
          body: JSON.stringify({
            ...place,
            by: `person ${writer}`,
            marks: [{ kind: "hole", hole, state: "pinned" }],
          }),
        });
        const body = (await reply.json()) as { version: number; code?: string };
        statuses.push(reply.status);
        if (reply.status === 200) {
          accepted.push({ key, hole, version: body.version });
          return;
        }
        expect([reply.status, body.code]).toEqual([412, "VERSION_STALE"]);
      }
    };
    await Promise.all(Array.from({ length: WRITERS }, (_, writer) => write(writer)));

    expect(shop.unforeseen).toEqual([]);
    expect(statuses.filter((status) => status === 412).length).toBeGreaterThan(0);
    expect(accepted.length).toBeGreaterThanOrEqual(WRITERS / 2);
    const { entries } = shop.book.snapshot();
    expect(firstBreak(entries)).toBeNull();
    expect(entries).toHaveLength(accepted.length);
    for (const { key, hole, version } of accepted) {
      const mine = entries.filter((entry) => entry.key === key);
      expect(mine.map(({ seq }) => seq)).toEqual([version]);
      expect(marksOf(mine[0])).toEqual([{ kind: "hole", hole, state: "pinned" }]);
    }
  }, 120_000);
});
