import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { firstBreak } from "../../server/store/chain.js";
import { entriesIn } from "../../server/store/lines.js";
import { SHOP_BOOK, sqliteBook } from "../../server/store/sqlite.js";
import { revision, shopRule, step } from "../shop/rules.js";
import { setting } from "../store/statement.js";
import { PATIENCE_MS, run, startServer, tempFolder } from "./program.js";

/** A data folder with a book of marks and a rule in force. */
function shop(): string {
  const data = tempFolder();
  const book = sqliteBook(join(data, SHOP_BOOK));
  const rule = shopRule("a");
  book.append([setting("A.top.1")], { key: "k1", expected: 0 });
  const life = [revision(rule, 1), step(rule, 1, "propose"), step(rule, 1, "accept")];
  book.append(life, { key: "k2", expected: 1 });
  book.close();
  return data;
}

async function cli(...args: readonly string[]): Promise<{ code: number | null; out: string; err: string }> {
  const program = run("book-cli", args);
  const code = await program.ended;
  return { code, out: program.out, err: program.err };
}

describe("npm run book", { timeout: PATIENCE_MS }, () => {
  it("exports the book, verifies it, and takes it over in an empty folder, naming the rules in force", async () => {
    const data = shop();
    const file = join(data, "book.jsonl");
    expect((await cli("export", file, "--data", data)).code).toBe(0);
    const again = await cli("export", file, "--data", data);
    expect([again.code, again.err]).toEqual([1, expect.stringMatching(/^FILE_EXISTS/)]);
    const printed = await cli("export", "--data", data);
    expect(printed.out).toBe(readFileSync(file, "utf8"));

    const verified = await cli("verify", file);
    expect([verified.code, verified.out]).toEqual([
      0,
      expect.stringMatching(/^Whole: 4 entries, the last of /),
    ]);
    const other = tempFolder();
    const taken = await cli("import", file, "--data", other);
    expect(taken.code).toBe(0);
    expect(taken.err).toContain("Took over 4 of 4 entries");
    expect(taken.err).toContain("In force for kit: a, revision 1, accepted by mentor: Rule a");
    const book = sqliteBook(join(other, SHOP_BOOK));
    expect(book.since(0)).toEqual(entriesIn(readFileSync(file, "utf8"), file));
    book.close();
  });

  it("refuses a changed file, naming the line, and another book's entries, and records nothing", async () => {
    const data = shop();
    const file = join(data, "book.jsonl");
    await cli("export", file, "--data", data);
    const text = readFileSync(file, "utf8");
    writeFileSync(file, text.replace('"set"', '"unset"'));
    const changed = await cli("import", file, "--data", tempFolder());
    expect([changed.code, changed.err]).toEqual([1, expect.stringMatching(/^IMPORT_BROKEN .*: Line 2 /)]);
    expect((await cli("verify", file)).code).toBe(1);

    writeFileSync(file, text);
    const elsewhere = shop();
    const diverging = await cli("import", file, "--data", elsewhere);
    expect([diverging.code, diverging.err]).toEqual([1, expect.stringMatching(/^IMPORT_DIVERGES/)]);
    const book = sqliteBook(join(elsewhere, SHOP_BOOK));
    expect(book.version()).toBe(4);
    book.close();
  });

  it("backs up while the program runs; put in an empty folder the program goes on from it", async () => {
    const data = shop();
    const { child, ended } = await startServer(["--data", data]);
    const to = join(data, "aside", "copy.sqlite");
    const backup = await cli("backup", to, "--data", data);
    expect([backup.code, backup.out]).toEqual([0, expect.stringMatching(/^Backed up 4 entries to /)]);
    child.kill("SIGTERM");
    expect(await ended).toBe(0);

    const restored = tempFolder();
    writeFileSync(join(restored, SHOP_BOOK), readFileSync(to));
    const second = await startServer(["--data", restored]);
    const health = (await (await fetch(`${second.address}health`)).json()) as object;
    expect(health).toMatchObject({ status: "ok", version: 4 });
    const book = sqliteBook(join(data, SHOP_BOOK));
    const copy = sqliteBook(join(restored, SHOP_BOOK));
    expect(copy.since(0)).toEqual(book.since(0));
    expect(firstBreak(copy.since(0))).toBeNull();
    book.close();
    copy.close();
  });

  it.each([
    ["nothing", [], /^ARGUMENT_INVALID: .*npm run book -- export/],
    ["an act that it does not have", ["burn"], /^ARGUMENT_INVALID: "burn" is not known/],
    ["no book", ["export"], /^FILE_MISSING/],
    ["an import without a file", ["import"], /^ARGUMENT_INVALID: Which file/],
  ])("says in one line what is wrong with %s", async (_what, args, message) => {
    const data = tempFolder();
    const { code, err } = await cli(...args, "--data", data);
    expect(code).toBe(1);
    expect(err).toMatch(message);
    expect(err.trim().split("\n")).toHaveLength(1);
    expect(existsSync(join(data, SHOP_BOOK))).toBe(false);
  });
});
