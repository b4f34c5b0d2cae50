import { chmodSync, readFileSync, statSync, writeFileSync } from "node:fs";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { makeKey, readKey } from "../../server/keys/key.js";
import { sqliteKeys } from "../../server/keys/sqlite.js";
import { Problem } from "../../server/problem.js";
import { card, keyFile, RINGS } from "./rings.js";

function codeOf(act: () => unknown): string {
  try {
    act();
  } catch (error) {
    if (error instanceof Problem) return error.code;
    throw error;
  }
  throw new Error("It did not throw.");
}

describe.each(RINGS)("a key ring $name", ({ open }) => {
  it("starts without keys", () => {
    const keys = open();
    expect(keys.list()).toEqual([]);
    expect(keys.get("aaaaaaaaaa")).toBeNull();
  });

  it("keeps keys in the order in which they were made", () => {
    const keys = open();
    keys.add(card("b", "Sam"));
    keys.add(card("a", "Ida", "mentor"));
    expect(keys.list()).toEqual([card("b", "Sam"), card("a", "Ida", "mentor")]);
    expect(keys.get("a")).toEqual(card("a", "Ida", "mentor"));
  });

  it("gives one name to one key at a time, however it is written", () => {
    const keys = open();
    keys.add(card("a", "Ida Berg", "mentor"));
    for (const name of ["Ida Berg", "ida  berg", "IDA BERG ", "Ida\u00a0Berg"]) {
      expect(codeOf(() => keys.add(card("b", name)))).toBe("KEY_NAME_TAKEN");
    }
    keys.revoke("a", "2031-06-01T00:00:00.000Z");
    keys.add(card("b", "Ida Berg"));
    expect(keys.list().map(({ id }) => id)).toEqual(["a", "b"]);
  });

  it("revokes for good, and keeps the first time", () => {
    const keys = open();
    keys.add(card("a", "Ida"));
    expect(keys.revoke("a", "2031-06-01T00:00:00.000Z").revokedAt).toBe("2031-06-01T00:00:00.000Z");
    expect(keys.revoke("a", "2032-01-01T00:00:00.000Z").revokedAt).toBe("2031-06-01T00:00:00.000Z");
    expect(keys.get("a")?.revokedAt).toBe("2031-06-01T00:00:00.000Z");
    expect(codeOf(() => keys.revoke("none", "2031-06-01T00:00:00.000Z"))).toBe("UNKNOWN_KEY");
  });

  it("has one sealing secret of 32 bytes", () => {
    const keys = open();
    const secret = Buffer.from(keys.sealingSecret()).toString("hex");
    expect(secret).toHaveLength(64);
    expect(Buffer.from(keys.sealingSecret()).toString("hex")).toBe(secret);
    expect(Buffer.from(open().sealingSecret()).toString("hex")).not.toBe(secret);
  });
});

describe("the file of keys", () => {
  it("is only its owner's to read", () => {
    const file = keyFile();
    sqliteKeys(file).add(card("a", "Ida"));
    expect(statSync(file).mode & 0o777).toBe(0o600);
  });

  it("does not hold a key that could be used", async () => {
    const file = keyFile();
    const { shown, stored } = await makeKey("Ida", "mentor", "2031-05-04T10:00:00.000Z");
    sqliteKeys(file).add(stored);
    const bytes = readFileSync(file);
    const seed = Buffer.from(readKey(shown)?.seed ?? []);
    expect(seed).toHaveLength(32);
    expect(bytes.includes(Buffer.from(stored.publicKey))).toBe(true);
    expect(bytes.includes(seed)).toBe(false);
    expect(bytes.includes(shown.slice(11))).toBe(false);
    expect(bytes.includes(seed.toString("hex"))).toBe(false);
  });

  it("shows a key made by another process at once", () => {
    const file = keyFile();
    const [server, command] = [sqliteKeys(file), sqliteKeys(file)];
    expect(server.list()).toEqual([]);
    command.add(card("a", "Ida"));
    expect(server.list()).toHaveLength(1);
    command.revoke("a", "2031-06-01T00:00:00.000Z");
    expect(server.get("a")?.revokedAt).not.toBeNull();
  });

  it("that cannot be read is never taken for having no keys", () => {
    const broken = keyFile();
    sqliteKeys(broken).add(card("a", "Ida"));
    writeFileSync(broken, "not a database at all, though long enough to be looked at".repeat(20));
    expect(codeOf(() => sqliteKeys(broken).list())).toBe("KEYS_FAILED");

    const foreign = keyFile();
    const db = new Database(foreign);
    db.exec("CREATE TABLE other (a)");
    db.close();
    expect(codeOf(() => sqliteKeys(foreign).list())).toBe("KEYS_FAILED");
    expect(codeOf(() => sqliteKeys(foreign).add(card("a", "Ida")))).toBe("KEYS_FAILED");

    const newer = keyFile();
    sqliteKeys(newer).add(card("a", "Ida"));
    const later = new Database(newer);
    later.pragma("user_version = 99");
    later.close();
    const before = readFileSync(newer);
    expect(codeOf(() => sqliteKeys(newer).list())).toBe("KEYS_FAILED");
    expect(codeOf(() => sqliteKeys(newer).add(card("b", "Sam")))).toBe("KEYS_FAILED");
    expect(readFileSync(newer).equals(before)).toBe(true);
  });

  it("that cannot be written can still be read", () => {
    const file = keyFile();
    sqliteKeys(file).add(card("a", "Ida"));
    chmodSync(file, 0o400);
    expect(sqliteKeys(file).list()).toHaveLength(1);
  });
});
