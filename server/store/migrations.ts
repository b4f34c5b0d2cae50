/**
 * The shop book's schema, one migration per version, oldest first; never edited once released. The
 * file's `user_version` is the number of migrations it has been through.
 */
export const MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE entries (
    seq       INTEGER PRIMARY KEY CHECK (seq > 0),
    at        TEXT NOT NULL,
    kind      TEXT NOT NULL,
    by        TEXT NOT NULL,
    kit       TEXT,
    assembly  TEXT,
    body      TEXT NOT NULL CHECK (json_valid(body)),
    key       TEXT NOT NULL,
    prev_hash TEXT UNIQUE REFERENCES entries (hash),
    hash      TEXT NOT NULL UNIQUE,
    CHECK ((seq = 1) = (prev_hash IS NULL))
  ) STRICT;

  CREATE INDEX entries_by_key ON entries (key);

  CREATE TRIGGER entries_stay BEFORE DELETE ON entries
  BEGIN SELECT RAISE (ABORT, 'entries of the shop book are never taken out'); END;

  CREATE TRIGGER entries_keep_their_words BEFORE UPDATE ON entries
  BEGIN SELECT RAISE (ABORT, 'entries of the shop book are never changed'); END;
  `,
  // Rules, steps of their life and notes came in beside the marks: a program that knows marks alone would pass
  // over a rule in force, so it must not open this file any more.
  `
  CREATE INDEX entries_by_subject ON entries (kind, kit, assembly, seq);
  `,
];

/** Marks the file as a shop book (SQLite's application_id): "tail" in ASCII. */
export const APPLICATION_ID = 0x7461696c;
