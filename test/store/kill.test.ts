import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { firstBreak } from "../../server/store/chain.js";
import type { Entry } from "../../server/store/contract.js";
import { sqliteBook } from "../../server/store/sqlite.js";
import { tempFolder } from "./books.js";
import { runWriter } from "./child.js";
import { marksOf } from "./statement.js";

interface Acknowledged {
  readonly key: string;
  readonly size: number;
  readonly version: number;
  readonly hash: string;
}

const ROUNDS = 20;

describe("pulling the plug", () => {
  it(`kill -9 in the middle of writing, ${ROUNDS} times over on one book: every acknowledged act is there whole, nothing is half there`, async () => {
    const file = join(tempFolder(), "book.sqlite");
    const acknowledged: Acknowledged[] = [];
    for (let round = 0; round < ROUNDS; round += 2) {
      // Two writers at once on the same book, each killed at a moment of its own.
      const outcomes = await Promise.all(
        [round, round + 1].map((name) =>
          runWriter(["burst", file, `w${name}`], { killAfterMs: (name * 37) % 90 }),
        ),
      );
      for (const { lines, signal, errors } of outcomes) {
        expect(errors).toBe("");
        expect(signal).toBe("SIGKILL");
        acknowledged.push(...lines.map((line) => JSON.parse(line) as Acknowledged));
      }
      const book = sqliteBook(file);
      const { entries } = book.snapshot();
      book.close();
      expect(firstBreak(entries)).toBeNull();
      expectWhole(entries);
      for (const { key, size, version, hash } of acknowledged) {
        expect(entries[version - 1]).toMatchObject({ key, hash });
        expect(entries.slice(version - size, version).every((entry) => entry.key === key)).toBe(true);
      }
    }
    expect(acknowledged.length).toBeGreaterThan(ROUNDS);
  }, 120_000);
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
