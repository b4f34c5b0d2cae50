import { randomBytes } from "node:crypto";
import { chmodSync, closeSync, existsSync, mkdirSync, openSync } from "node:fs";
import { dirname } from "node:path";
import Database from "better-sqlite3";
import { Problem } from "../problem.js";
import type { KeyRing, Role, StoredKey, Stretched } from "./contract.js";
import { refuseTaken, unknownKey } from "./memory.js";

/** The key ring's file name in the data folder. */
export const KEY_RING = "keys.sqlite";

/** Marks the file as a key ring (SQLite's application_id): "keys" in ASCII. */
const APPLICATION_ID = 0x6b657973;
const VERSION = 1;
const SCHEMA = `
  CREATE TABLE keys (
    id         TEXT PRIMARY KEY,
    name       TEXT NOT NULL,
    role       TEXT NOT NULL CHECK (role IN ('mentor', 'builder')),
    made_at    TEXT NOT NULL,
    revoked_at TEXT,
    scrypt     TEXT NOT NULL CHECK (json_valid(scrypt)),
    public_key TEXT NOT NULL
  ) STRICT;
  CREATE TABLE seal (only INTEGER PRIMARY KEY CHECK (only = 1), secret BLOB NOT NULL) STRICT;
`;

interface Row {
  readonly id: string;
  readonly name: string;
  readonly role: Role;
  readonly made_at: string;
  readonly revoked_at: string | null;
  readonly scrypt: string;
  readonly public_key: string;
}

/**
 * The keys in a file of their own, which only its owner can read; made with the first key. It is opened
 * anew for every look, so that a key made or revoked by the command counts at once while the program runs.
 *
 * Every call throws KEYS_FAILED when the file is there and cannot be used: that is never taken for "no keys".
 */
export function sqliteKeys(file: string): KeyRing {
  const read = <T>(look: (db: Database.Database) => T, without: T): T =>
    existsSync(file) ? using(file, look) : without;
  const write = <T>(act: (db: Database.Database) => T): T => {
    makeFile(file);
    const migrated = (db: Database.Database): T => {
      migrate(db);
      return act(db);
    };
    return using(file, (db) => db.transaction(() => migrated(db)).immediate());
  };
  return {
    list: () => read(all, []),
    get: (id) => read((db) => all(db).find((key) => key.id === id) ?? null, null),
    add: (key) =>
      write((db) => {
        refuseTaken(key, all(db));
        db.prepare(
          `INSERT INTO keys (id, name, role, made_at, revoked_at, scrypt, public_key)
           VALUES (@id, @name, @role, @madeAt, @revokedAt, @scrypt, @publicKey)`,
        ).run({ ...key, scrypt: JSON.stringify(key.scrypt) });
      }),
    revoke: (id, at) =>
      write((db) => {
        db.prepare("UPDATE keys SET revoked_at = coalesce(revoked_at, ?) WHERE id = ?").run(at, id);
        const key = all(db).find((one) => one.id === id);
        if (!key) throw unknownKey(id);
        return key;
      }),
    sealingSecret: () => read(secretIn, null) ?? write(makeSecret),
  };
}

function all(db: Database.Database): readonly StoredKey[] {
  if (versionOf(db) === 0) return [];
  return db.prepare<[], Row>("SELECT * FROM keys ORDER BY rowid").all().map(keyOf);
}

function keyOf({ id, name, role, made_at, revoked_at, scrypt, public_key }: Row): StoredKey {
  return {
    id,
    name,
    role,
    madeAt: made_at,
    revokedAt: revoked_at,
    scrypt: JSON.parse(scrypt) as Stretched,
    publicKey: public_key,
  };
}

function secretIn(db: Database.Database): Uint8Array | null {
  if (versionOf(db) === 0) return null;
  return db.prepare<[], { secret: Buffer }>("SELECT secret FROM seal").get()?.secret ?? null;
}

function makeSecret(db: Database.Database): Uint8Array {
  // Another process may have made it meanwhile.
  db.prepare("INSERT OR IGNORE INTO seal (only, secret) VALUES (1, ?)").run(randomBytes(32));
  const secret = secretIn(db);
  if (!secret) throw new TypeError("The secret was written and is not there.");
  return secret;
}

/** An empty file that only its owner can read: SQLite gives its own side files the same mode. */
function makeFile(file: string): void {
  if (existsSync(file)) return;
  try {
    mkdirSync(dirname(file), { recursive: true });
    closeSync(openSync(file, "a", 0o600));
    chmodSync(file, 0o600);
  } catch (error) {
    throw failed(file, error);
  }
}

function using<T>(file: string, act: (db: Database.Database) => T): T {
  let db: Database.Database | undefined;
  try {
    db = new Database(file, { timeout: 2000, fileMustExist: true });
    refuseOther(db, file);
    db.pragma("synchronous = FULL");
    db.pragma("trusted_schema = OFF");
    return act(db);
  } catch (error) {
    throw error instanceof Problem ? error : failed(file, error);
  } finally {
    db?.close();
  }
}

function migrate(db: Database.Database): void {
  if (versionOf(db) === VERSION) return;
  db.exec(SCHEMA);
  db.pragma(`application_id = ${APPLICATION_ID}`);
  db.pragma(`user_version = ${VERSION}`);
}

function refuseOther(db: Database.Database, file: string): void {
  const version = versionOf(db);
  const id = db.pragma("application_id", { simple: true }) as number;
  const isEmpty = version === 0 && id === 0;
  if (isEmpty ? db.prepare("SELECT 1 FROM sqlite_schema").get() === undefined : id === APPLICATION_ID) {
    if (version <= VERSION) return;
    throw failed(file, new Error(`its format is ${version}, this program knows up to ${VERSION}`));
  }
  throw failed(file, new Error("it is not a key ring"));
}

function versionOf(db: Database.Database): number {
  return db.pragma("user_version", { simple: true }) as number;
}

function failed(file: string, error: unknown): Problem {
  const { code, message } = error as { code?: string; message?: string };
  return new Problem("KEYS_FAILED", `The keys cannot be used (${code ?? message ?? "no reason given"}).`, {
    where: { file },
    fix: "Check the file and its folder. Without it nobody can sign in, and nothing is let in without.",
  });
}
