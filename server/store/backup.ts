import { existsSync, mkdirSync, renameSync, rmSync } from "node:fs";
import { dirname } from "node:path";
import Database from "better-sqlite3";
import { Problem } from "../problem.js";
import { asProblem, brokenIn, refuseForeign } from "./sqlite.js";

/** What was put aside. */
export interface BackedUp {
  readonly entries: number;
  /** Hash of the last entry; written on paper, it proves later that nothing before it was changed. */
  readonly head: string | null;
  /** Why the copy cannot be trusted: the book itself is broken. */
  readonly trouble: Problem | null;
}

/**
 * Copies the shop book while others go on writing in it, to one file that stands on its own. It has its name
 * only once it is whole and checked. To restore it, stop the program and put the copy in the place of the book.
 * @param to  must not be there yet; its folder is made
 * @throws BACKUP_EXISTS, SHOPBOOK_NOT_OURS, SHOPBOOK_NEWER, and when a disk refuses SHOPBOOK_FULL, SHOPBOOK_READ_ONLY …
 * @source SQLite, "Online Backup API"
 */
export async function backUp(file: string, to: string): Promise<BackedUp> {
  refuseForeign(file);
  if (existsSync(to)) {
    throw new Problem("BACKUP_EXISTS", `There is a file ${to} already; it was left as it is.`, {
      where: { file: to },
      fix: "Name another file.",
    });
  }
  const part = `${to}.part`;
  try {
    mkdirSync(dirname(to), { recursive: true });
  } catch (error) {
    throw asProblem(error, to);
  }
  try {
    const book = new Database(file, { readonly: true, fileMustExist: true, timeout: 2000 });
    try {
      await book.backup(part);
    } finally {
      book.close();
    }
    const made = checked(part, file);
    renameSync(part, to);
    return made;
  } catch (error) {
    throw asProblem(error, to);
  } finally {
    for (const ending of ["", "-wal", "-shm", "-journal"]) rmSync(`${part}${ending}`, { force: true });
  }
}

function checked(part: string, file: string): BackedUp {
  const copy = new Database(part, { fileMustExist: true });
  try {
    // Without a log beside it the copy is one file.
    copy.pragma("journal_mode = DELETE");
    const last = copy.prepare("SELECT seq, hash FROM entries ORDER BY seq DESC LIMIT 1").get() as
      | { seq: number; hash: string }
      | undefined;
    return { entries: last?.seq ?? 0, head: last?.hash ?? null, trouble: brokenIn(copy, file) };
  } finally {
    copy.close();
  }
}
