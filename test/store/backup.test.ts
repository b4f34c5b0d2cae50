import { copyFileSync, existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { Problem } from "../../server/problem.js";
import { backUp } from "../../server/store/backup.js";
import { firstBreak } from "../../server/store/chain.js";
import { sqliteBook } from "../../server/store/sqlite.js";
import { tempFolder } from "./books.js";
import { setting } from "./statement.js";

function written(count = 3): string {
  const file = join(tempFolder(), "book.sqlite");
  const book = sqliteBook(file);
  for (let n = 0; n < count; n++) book.append([setting(`A.top.${n}`)], { key: `k${n}`, expected: n });
  book.close();
  return file;
}

const refused = (code: string) => expect.objectContaining({ constructor: Problem, code });

describe("a backup of the shop book", () => {
  it("made while others write holds every entry up to a moment, and put in place goes on from there", async () => {
    const file = written(400);
    const book = sqliteBook(file);
    const to = join(dirname(file), "backups", "one.sqlite");
    const copying = backUp(file, to);
    let n = 400;
    let done = false;
    const writing = (async () => {
      while (!done || n < 410) {
        book.append([setting(`A.top.${n}`)], { key: `k${n}`, expected: n });
        n += 1;
        await new Promise((resolve) => setImmediate(resolve));
      }
    })();
    const made = await copying;
    done = true;
    await writing;

    expect(made.trouble).toBeNull();
    expect(made.entries).toBeGreaterThanOrEqual(400);
    expect(readdirSync(dirname(to))).toEqual(["one.sqlite"]);
    const restored = join(tempFolder(), "book.sqlite");
    copyFileSync(to, restored);
    const other = sqliteBook(restored);
    expect(other.since(0)).toEqual(book.since(0).slice(0, made.entries));
    expect(other.since(0).at(-1)?.hash).toBe(made.head);
    expect(other.append([setting("A.top.1")], { key: "more", expected: made.entries }).version).toBe(
      made.entries + 1,
    );
    expect(firstBreak(other.since(0))).toBeNull();
    // And what was recorded after the backup can be taken over as long as the copy was not written on.
    const third = sqliteBook(to);
    expect(third.adopt(book.since(0))).toBe(n - made.entries);
    for (const one of [book, other, third]) one.close();
  });

  it("never writes over a file, and leaves nothing half made", async () => {
    const file = written();
    const to = join(dirname(file), "kept.sqlite");
    writeFileSync(to, "mine");
    await expect(backUp(file, to)).rejects.toEqual(refused("BACKUP_EXISTS"));
    expect(readFileSync(to, "utf8")).toBe("mine");

    const blocked = join(dirname(file), "blocked");
    writeFileSync(blocked, "a file where a folder should be");
    await expect(backUp(file, join(blocked, "x.sqlite"))).rejects.toBeInstanceOf(Problem);
    const foreign = join(dirname(file), "other.txt");
    writeFileSync(foreign, "not a book");
    await expect(backUp(foreign, join(dirname(file), "x.sqlite"))).rejects.toEqual(
      refused("SHOPBOOK_NOT_OURS"),
    );
    expect(existsSync(join(dirname(file), "x.sqlite"))).toBe(false);
  });

  it("of a broken book is made all the same, and says so", async () => {
    const file = written();
    const db = new Database(file);
    db.exec("DROP TRIGGER entries_keep_their_words; UPDATE entries SET by = 'nobody' WHERE seq = 2");
    db.close();
    const to = join(dirname(file), "broken.sqlite");
    const made = await backUp(file, to);
    expect(made.trouble?.message).toContain("entry 2 was changed");
    const copy = sqliteBook(to);
    expect(copy.trouble?.code).toBe("SHOPBOOK_BROKEN");
    expect(copy.version()).toBe(3);
    copy.close();
  });
});
