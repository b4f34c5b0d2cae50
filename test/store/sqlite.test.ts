import {
  chmodSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { Problem } from "../../server/problem.js";
import { firstBreak } from "../../server/store/chain.js";
import { MIGRATIONS } from "../../server/store/migrations.js";
import { sqliteBook } from "../../server/store/sqlite.js";
import { tempFolder } from "./books.js";
import { runWriter } from "./child.js";
import { setting } from "./statement.js";

function problemOf(act: () => unknown): Problem {
  try {
    act();
  } catch (error) {
    if (error instanceof Problem) return error;
    throw error;
  }
  throw new Error("It did not throw.");
}

/** A file with two entries, closed. */
function written(): string {
  const file = join(tempFolder(), "book.sqlite");
  const book = sqliteBook(file);
  book.append([setting("A.top.1")], { key: "k1", expected: 0 });
  book.append([setting("A.top.2")], { key: "k2", expected: 1 });
  book.close();
  return file;
}

describe("a shop book's file", () => {
  it("is there again after closing, in folders that are made when needed", () => {
    const file = join(tempFolder(), "a", "b", "book.sqlite");
    const book = sqliteBook(file);
    book.append([setting("A.top.1")], { key: "k1", expected: 0 });
    book.close();

    const again = sqliteBook(file);
    expect(again.since(0).map((entry) => entry.key)).toEqual(["k1"]);
    expect(again.append([setting("A.top.2")], { key: "k2", expected: 1 }).version).toBe(2);
    again.close();
  });

  it("is written through a log, synced in full, with foreign keys and strict tables", () => {
    const file = written();
    const db = new Database(file);
    expect(db.pragma("journal_mode", { simple: true })).toBe("wal");
    expect(db.prepare("SELECT strict FROM pragma_table_list WHERE name = 'entries'").get()).toEqual({
      strict: 1,
    });
    db.close();
  });

  it("never lets an entry be changed or taken out, not even by another program", () => {
    const db = new Database(written());
    expect(() => db.exec("UPDATE entries SET by = 'nobody'")).toThrow(/never changed/);
    expect(() => db.exec("DELETE FROM entries WHERE seq = 2")).toThrow(/never taken out/);
    db.close();
  });

  it("that was tampered with is read but not written, and the entry is named", () => {
    const file = written();
    const db = new Database(file);
    db.exec("DROP TRIGGER entries_keep_their_words; UPDATE entries SET by = 'nobody' WHERE seq = 2");
    db.close();
    const book = sqliteBook(file);
    expect(book.writable).toBe(false);
    expect(book.trouble?.code).toBe("SHOPBOOK_BROKEN");
    expect(book.trouble?.message).toContain("entry 2 was changed");
    expect(book.since(0).map(({ by }) => by)).toEqual(["builder", "nobody"]);
    const write = () => book.append([setting("A.top.3")], { key: "k3", expected: "any" });
    expect(problemOf(write).code).toBe("SHOPBOOK_BROKEN");
    expect(problemOf(() => book.adopt([])).code).toBe("SHOPBOOK_BROKEN");
    expect(book.version()).toBe(2);
    book.close();
  });

  it("of a newer format is refused and left untouched", () => {
    const file = written();
    const db = new Database(file);
    db.pragma(`user_version = ${MIGRATIONS.length + 1}`);
    db.pragma("journal_mode = DELETE");
    db.close();
    const before = readFileSync(file);

    const problem = problemOf(() => sqliteBook(file));

    expect(problem.code).toBe("SHOPBOOK_NEWER");
    expect(problem.fix).toContain("newer program");
    expect(readFileSync(file).equals(before)).toBe(true);
    expect(readdirSync(join(file, ".."))).toEqual(["book.sqlite"]);
  });

  it("of a newer format is refused when only its log says so", () => {
    const file = written();
    const copy = join(tempFolder(), "book.sqlite");
    const db = new Database(file);
    db.pragma(`user_version = ${MIGRATIONS.length + 1}`);
    copyFileSync(file, copy);
    copyFileSync(`${file}-wal`, `${copy}-wal`);
    db.close();
    expect(problemOf(() => sqliteBook(copy)).code).toBe("SHOPBOOK_NEWER");
  });

  it("that is something else is refused and left untouched", () => {
    const folder = tempFolder();
    const other = join(folder, "other.sqlite");
    const db = new Database(other);
    db.exec("CREATE TABLE recipes (name TEXT)");
    db.close();
    const text = join(folder, "notes.txt");
    writeFileSync(text, "not a database ".repeat(20));
    for (const file of [other, text]) {
      const before = readFileSync(file);
      expect(problemOf(() => sqliteBook(file)).code).toBe("SHOPBOOK_NOT_OURS");
      expect(readFileSync(file).equals(before)).toBe(true);
    }
  });

  it("that is a folder is refused", () => {
    const folder = join(tempFolder(), "book.sqlite");
    mkdirSync(folder);
    expect(problemOf(() => sqliteBook(folder)).code).toBe("SHOPBOOK_FAILED");
  });

  it("that another program is writing says so, records nothing, and works again afterwards", () => {
    const file = written();
    const book = sqliteBook(file, { waitMs: 20 });
    const other = new Database(file);
    other.exec("BEGIN IMMEDIATE");
    expect(problemOf(() => book.append([setting("A.top.3")], { key: "k3", expected: 2 })).code).toBe(
      "SHOPBOOK_BUSY",
    );
    expect(book.version()).toBe(2);
    other.exec("ROLLBACK");
    other.close();
    expect(book.append([setting("A.top.3")], { key: "k3", expected: 2 }).version).toBe(3);
    book.close();
  });

  it("shows what another process wrote", () => {
    const file = written();
    const one = sqliteBook(file);
    const two = sqliteBook(file);
    one.append([setting("A.top.3")], { key: "k3", expected: 2 });
    expect(two.since(2).map((entry) => entry.key)).toEqual(["k3"]);
    expect(problemOf(() => two.append([setting("A.top.4")], { key: "k4", expected: 2 })).code).toBe(
      "VERSION_STALE",
    );
    one.close();
    two.close();
  });
});

describe("a disk that refuses", () => {
  it("when full: says so, records nothing half, and reads go on", () => {
    const file = join(tempFolder(), "book.sqlite");
    const book = sqliteBook(file, { maxPages: 30 });
    let problem: Problem | undefined;
    let accepted = 0;
    while (!problem && accepted < 1000) {
      const statements = [setting(`A.${"x".repeat(1500)}.1`), setting(`A.${"y".repeat(1500)}.2`)];
      try {
        book.append(statements, { key: `k${accepted}`, expected: "any" });
        accepted += 1;
      } catch (error) {
        problem = error as Problem;
      }
    }
    expect(problem).toBeInstanceOf(Problem);
    expect(problem?.code).toBe("SHOPBOOK_FULL");
    expect(problem?.fix).toContain("room");
    expect(accepted).toBeGreaterThan(1);
    expect(book.version()).toBe(2 * accepted);
    expect(firstBreak(book.snapshot().entries)).toBeNull();
    book.close();

    const roomy = sqliteBook(file);
    expect(roomy.append([setting("A.top.1")], { key: "more", expected: 2 * accepted }).version).toBe(
      2 * accepted + 1,
    );
    roomy.close();
  });

  it.runIf(process.platform === "linux")(
    "when a write fails in the middle: says so, and reads go on",
    async () => {
      const file = join(tempFolder(), "book.sqlite");
      const { lines, errors } = await runWriter(["fill", file], { maxFileKiB: 400 });
      expect(errors).toBe("");
      const outcome = JSON.parse(lines[0] ?? "") as { code: string; version: number; read: number };
      expect(outcome.code).toMatch(/^SHOPBOOK_(FULL|FAILED)$/);
      expect(outcome.version).toBeGreaterThan(10);
      expect(outcome.read).toBe(outcome.version);

      const book = sqliteBook(file);
      expect(book.version()).toBe(outcome.version);
      expect(firstBreak(book.snapshot().entries)).toBeNull();
      book.close();
    },
  );

  it.runIf(process.platform === "linux")(
    "when folder and file are read-only: reads go on, writing is refused",
    async () => {
      const file = written();
      const folder = join(file, "..");
      chmodSync(file, 0o444);
      chmodSync(folder, 0o555);
      const { lines, errors } = await runWriter(["unprivileged", file]);
      chmodSync(folder, 0o755);
      expect(errors).toBe("");
      expect(lines.map((line) => JSON.parse(line))).toEqual([
        { writable: false, read: ["k1", "k2"], code: "SHOPBOOK_READ_ONLY" },
      ]);
      expect(existsSync(`${file}-wal`)).toBe(false);
    },
  );

  it.runIf(process.platform === "linux")(
    "when no book is there and none can be made: says which folder",
    async () => {
      const folder = tempFolder();
      chmodSync(folder, 0o555);
      const { lines, errors } = await runWriter(["unprivileged", join(folder, "book.sqlite")]);
      expect(lines).toEqual([]);
      expect(errors).toContain("cannot be made: the folder cannot be written");
    },
  );
});
