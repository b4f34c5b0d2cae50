import {
  closeSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  readSync,
  rmSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { basename, dirname, join } from "node:path";
import Database from "better-sqlite3";
import { Problem } from "../problem.js";
import { additions } from "./adopt.js";
import { firstBreak } from "./chain.js";
import type { AppendRequest, Entry, Receipt, ShopBook, Snapshot, Statement } from "./contract.js";
import { decide, type Subject } from "./decide.js";
import { closedBook } from "./memory.js";
import { APPLICATION_ID, MIGRATIONS } from "./migrations.js";

/** The shop book's file name in the data folder. */
export const SHOP_BOOK = "shop-book.sqlite";

export interface SqliteOptions {
  readonly now?: () => Date;
  /** Most 4 KiB pages that the file may take up; for a small card, and to try out a full disk. */
  readonly maxPages?: number;
  /** How long to wait for another process that is writing, ms. */
  readonly waitMs?: number;
}

/**
 * The shop book in an SQLite file, made when it is not there yet. Every append is on the disk before it
 * returns (WAL, synchronous FULL). The chain is checked once, at opening.
 *
 * A file or folder that cannot be written is read from a private copy; a book whose chain is not whole is read
 * as it is. In both cases reads go on, appends are refused, and `trouble` says why.
 * @throws SHOPBOOK_NEWER, SHOPBOOK_NOT_OURS: the file is left untouched
 * @throws SHOPBOOK_READ_ONLY, SHOPBOOK_FAILED when the file cannot be opened or made
 */
export function sqliteBook(file: string, options: SqliteOptions = {}): ShopBook {
  refuseForeign(file);
  try {
    mkdirSync(dirname(file), { recursive: true });
    return open(file, options);
  } catch (error) {
    if (!isReadOnly(error)) throw asProblem(error, file);
    if (!existsSync(file)) {
      throw new Problem(
        "SHOPBOOK_READ_ONLY",
        `The shop book ${file} cannot be made: the folder cannot be written.`,
        {
          where: { file },
          fix: "Give the folder write permission, or name another one with --data DIR.",
        },
      );
    }
    return openCopy(file, options);
  }
}

interface Row extends Omit<Entry, "body" | "prevHash"> {
  readonly body: string;
  readonly prev_hash: string | null;
}

function open(file: string, { now = () => new Date(), maxPages, waitMs = 2000 }: SqliteOptions): ShopBook {
  const db = new Database(file, { timeout: waitMs });
  let trouble: Problem | null;
  try {
    prepare(db, file, maxPages);
    trouble = brokenIn(db, file);
  } catch (error) {
    db.close();
    throw error;
  }

  const selectSince = db.prepare<[number], Row>("SELECT * FROM entries WHERE seq > ? ORDER BY seq");
  const selectByKey = db.prepare<[string], Row>("SELECT * FROM entries WHERE key = ? ORDER BY seq");
  const selectHead = db.prepare<[], { version: number; hash: string }>(
    "SELECT seq AS version, hash FROM entries ORDER BY seq DESC LIMIT 1",
  );
  const selectLast = db.prepare<[string, string], { last: number | null }>(
    "SELECT max(seq) AS last FROM entries WHERE kind = ? AND kit = ?",
  );
  const selectLastOf = db.prepare<[string, string, string], { last: number | null }>(
    "SELECT max(seq) AS last FROM entries WHERE kind = ? AND kit = ? AND assembly = ?",
  );
  const last = ({ kinds, kit, assembly }: Subject): number =>
    Math.max(
      ...kinds.map((kind) => {
        const row = assembly === null ? selectLast.get(kind, kit) : selectLastOf.get(kind, kit, assembly);
        return row?.last ?? 0;
      }),
    );
  const insert = db.prepare(
    `INSERT INTO entries (seq, at, kind, by, kit, assembly, body, key, prev_hash, hash)
     VALUES (@seq, @at, @kind, @by, @kit, @assembly, @body, @key, @prevHash, @hash)`,
  );
  const record = db.transaction((statements: readonly Statement[], request: AppendRequest): Receipt => {
    const head = selectHead.get() ?? { version: 0, hash: null };
    const earlier = selectByKey.all(request.key).map(entryOf);
    const receipt = decide(head, earlier, last, statements, request, now().toISOString());
    if (!receipt.repeated) write(receipt.entries);
    return receipt;
  });
  const write = (entries: readonly Entry[]): void => {
    for (const entry of entries) insert.run({ ...entry, body: JSON.stringify(entry.body) });
  };
  const adopt = db.transaction((others: readonly Entry[]): number => {
    const added = additions(since(0), others);
    write(added);
    return added.length;
  });

  const guarded = <T>(act: () => T): T => {
    if (!db.open) throw closedBook();
    try {
      return act();
    } catch (error) {
      throw asProblem(error, file);
    }
  };
  const since = (version: number): readonly Entry[] => selectSince.all(version).map(entryOf);

  const writing = <T>(act: () => T): T => {
    if (trouble) throw trouble;
    return guarded(act);
  };

  return {
    writable: trouble === null,
    trouble,
    append: (statements, request) => writing(() => record.immediate(statements, request)),
    adopt: (entries) => writing(() => adopt.immediate(entries)),
    since: (version) => guarded(() => since(version)),
    snapshot: (): Snapshot =>
      guarded(() => {
        const entries = since(0);
        return { version: entries.length, entries };
      }),
    version: () => guarded(() => selectHead.get()?.version ?? 0),
    close: () => {
      db.close();
    },
  };
}

function prepare(db: Database.Database, file: string, maxPages: number | undefined): void {
  refuseNewer(db.pragma("user_version", { simple: true }) as number, file);
  db.pragma("synchronous = FULL");
  db.pragma("fullfsync = ON");
  db.pragma("foreign_keys = ON");
  db.pragma("trusted_schema = OFF");
  // Before WAL, so that a new file carries our application id itself and not only in its log.
  migrate(db, file);
  db.pragma("journal_mode = WAL");
  if (maxPages !== undefined) db.pragma(`max_page_count = ${Math.trunc(maxPages)}`);
}

/** SHOPBOOK_BROKEN when the chain is not whole. */
export function brokenIn(db: Database.Database, file: string): Problem | null {
  const broken = firstBreak(db.prepare<[], Row>("SELECT * FROM entries ORDER BY seq").all().map(entryOf));
  if (!broken) return null;
  return new Problem(
    "SHOPBOOK_BROKEN",
    `The shop book cannot be trusted: ${broken.what}. It is read, but nothing is recorded in it.`,
    {
      where: { file },
      fix: "Put the last good copy of the file back, and keep this one for looking into what happened.",
    },
  );
}

function migrate(db: Database.Database, file: string): void {
  // Immediate even when there is nothing to do: a file that cannot be written shows here, at the start.
  db.transaction(() => {
    // Read again under the write lock: another process may have migrated it meanwhile.
    const version = db.pragma("user_version", { simple: true }) as number;
    refuseNewer(version, file);
    for (const sql of MIGRATIONS.slice(version)) db.exec(sql);
    if (version < MIGRATIONS.length) {
      db.pragma(`application_id = ${APPLICATION_ID}`);
      db.pragma(`user_version = ${MIGRATIONS.length}`);
    }
  }).immediate();
}

/** Reads a copy of the file and of its write-ahead log in a temporary folder of our own. */
function openCopy(file: string, options: SqliteOptions): ShopBook {
  const folder = mkdtempSync(join(tmpdir(), "shop-book-"));
  const copy = join(folder, basename(file));
  let book: ShopBook;
  try {
    copyFileSync(file, copy);
    if (existsSync(`${file}-wal`)) copyFileSync(`${file}-wal`, `${copy}-wal`);
    book = open(copy, options);
  } catch (error) {
    rmSync(folder, { recursive: true, force: true });
    throw asProblem(error, file);
  }
  // Of the two, a broken chain is the one to tell.
  const trouble = book.trouble ?? readOnly(file);
  const refuse = (): never => {
    throw trouble;
  };
  return {
    ...book,
    writable: false,
    trouble,
    append: refuse,
    adopt: refuse,
    close: () => {
      book.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/**
 * Looks at the file's first bytes without SQLite, which would already make its side files.
 * @source SQLite, "Database File Format", section 1.3 (magic at 0, user version at 60, application id at 68)
 */
export function refuseForeign(file: string): void {
  const header = Buffer.alloc(100);
  let length = 0;
  try {
    const handle = openSync(file, "r");
    try {
      length = readSync(handle, header, 0, header.length, 0);
    } finally {
      closeSync(handle);
    }
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return;
    throw asProblem(error, file);
  }
  if (length === 0) return;
  const isSqlite = length === 100 && header.toString("latin1", 0, 16) === "SQLite format 3\0";
  if (!isSqlite || header.readUInt32BE(68) !== APPLICATION_ID) {
    throw new Problem("SHOPBOOK_NOT_OURS", `${file} is not a shop book.`, {
      where: { file },
      fix: "Name another folder with --data DIR, or move that file out of the way.",
    });
  }
  refuseNewer(header.readUInt32BE(60), file);
}

function refuseNewer(version: number, file: string): void {
  if (version <= MIGRATIONS.length) return;
  throw new Problem(
    "SHOPBOOK_NEWER",
    `The shop book has format ${version}; this program knows up to ${MIGRATIONS.length}. It was left untouched.`,
    { where: { file }, fix: "Use the newer program that wrote it, or name another folder with --data DIR." },
  );
}

function entryOf({ prev_hash, body, ...row }: Row): Entry {
  return { ...row, body: JSON.parse(body), prevHash: prev_hash } as Entry;
}

function isReadOnly(error: unknown): boolean {
  const code = codeOf(error);
  return /^(SQLITE_READONLY|SQLITE_CANTOPEN|EACCES|EROFS|EPERM)/.test(code);
}

function readOnly(file: string): Problem {
  return new Problem(
    "SHOPBOOK_READ_ONLY",
    "The shop book can be read but not written; nothing was recorded.",
    {
      where: { file },
      fix: "Give the folder and the file write permission, then start the program again.",
    },
  );
}

/** The disk's refusal in our own words; our own problems and programming errors pass as they are. */
export function asProblem(error: unknown, file: string): unknown {
  if (error instanceof Problem) return error;
  const code = codeOf(error);
  const where = { file };
  if (/^(SQLITE_FULL|ENOSPC|EDQUOT)/.test(code)) {
    return new Problem("SHOPBOOK_FULL", "The disk is full; nothing was recorded.", {
      where,
      fix: "Make room on the disk and send it again.",
    });
  }
  if (isReadOnly(error)) return readOnly(file);
  if (/^SQLITE_(BUSY|LOCKED)/.test(code)) {
    return new Problem(
      "SHOPBOOK_BUSY",
      "Another program is writing in the shop book; nothing was recorded.",
      {
        where,
        fix: "Send it again in a moment.",
      },
    );
  }
  if (/^(SQLITE_(IOERR|CORRUPT|NOTADB|CONSTRAINT)|E[A-Z]+$)/.test(code)) {
    return new Problem(
      "SHOPBOOK_FAILED",
      `The shop book could not be used (${code}); nothing was recorded.`,
      {
        where,
        fix: "Check the disk; if it is sound, put the last good copy of the file back.",
      },
    );
  }
  return error;
}

function codeOf(error: unknown): string {
  const code = (error as { code?: unknown } | null)?.code;
  return typeof code === "string" ? code : "";
}
