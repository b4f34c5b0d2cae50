import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { firstBreak } from "../../server/store/chain.js";
import type { Entry } from "../../server/store/contract.js";
import { sqliteBook } from "../../server/store/sqlite.js";
import { tempFolder } from "./books.js";
import { bundledWriter, runWriter } from "./child.js";
import { marksOf } from "./statement.js";

interface Acknowledged {
  readonly key: string;
  readonly size: number;
  readonly version: number;
  readonly hash: string;
}

const BOOKS = 20;
const ROUNDS_PER_BOOK = 5;
/** At once on the same book, each killed at a moment of its own. */
const WRITERS = 2;

describe("pulling the plug", () => {
  it(`kill -9 in the middle of writing, ${BOOKS * ROUNDS_PER_BOOK * WRITERS} times: every acknowledged act is there whole, nothing is half there`, async () => {
    const script = bundledWriter();
    let kills = 0;
    let acts = 0;
    for (let n = 0; n < BOOKS; n++) {
      const file = join(tempFolder(), "book.sqlite");
      const acknowledged: Acknowledged[] = [];
      for (let round = 0; round < ROUNDS_PER_BOOK; round++) {
        const outcomes = await Promise.all(
          Array.from({ length: WRITERS }, (_, writer) => {
            kills += 1;
            return runWriter(["burst", file, `w${round}-${writer}`], {
              killAfterMs: (kills * 7) % 23,
              script,
            });
          }),
        );
        for (const { lines, signal, errors } of outcomes) {
          expect(errors).toBe("");
          expect(signal).toBe("SIGKILL");
          acknowledged.push(...lines.map((line) => JSON.parse(line) as Acknowledged));
        }
        const book = sqliteBook(file);
        expect(book.trouble).toBeNull();
        const { entries } = book.snapshot();
        book.close();
        expect(firstBreak(entries)).toBeNull();
        expectWhole(entries);
        for (const { key, size, version, hash } of acknowledged) {
          expect(entries[version - 1]).toMatchObject({ key, hash });
          expect(entries.slice(version - size, version).every((entry) => entry.key === key)).toBe(true);
        }
      }
      acts += acknowledged.length;
    }
    expect(kills).toBeGreaterThanOrEqual(200);
    expect(acts).toBeGreaterThan(kills);
  }, 180_000);
});

/** Each act's entries stand together and are as many as they say they are ("1of3", "2of3", "3of3"). */
function expectWhole(entries: readonly Entry[]): void {
  const acts = new Map<string, Entry[]>();
  for (const entry of entries) acts.set(entry.key, [...(acts.get(entry.key) ?? []), entry]);
  for (const act of acts.values()) {
    const names = act.map(
      (entry) => marksOf(entry).map((mark) => (mark.kind === "hole" ? mark.hole : ""))[0],
    );
    expect(names.map((name) => name?.split(".").at(-1))).toEqual(
      names.map((_, index) => `${index + 1}of${names.length}`),
    );
    expect((act.at(-1)?.seq ?? 0) - (act[0]?.seq ?? 0)).toBe(act.length - 1);
  }
}
