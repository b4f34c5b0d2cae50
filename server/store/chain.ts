import { createHash } from "node:crypto";
import { canonicalJson } from "../canonical.js";
import type { Entry, Statement } from "./contract.js";

/** Where the chain ends: what the next entry hangs on. */
export interface Head {
  readonly version: number;
  /** Hash of the last entry; null for an empty book. */
  readonly hash: string | null;
}

/** The hash that an entry must carry. */
export function hashOf(entry: Omit<Entry, "hash"> & { readonly hash?: string }): string {
  const { hash: _, ...rest } = entry;
  return createHash("sha256").update(canonicalJson(rest)).digest("hex");
}

/** Statements as entries, each hanging on the one before it. */
export function seal(head: Head, statements: readonly Statement[], key: string, at: string): Entry[] {
  let { version, hash: prevHash } = head;
  return statements.map((statement) => {
    version += 1;
    // A copy: what the caller does to its own object later must not reach the book.
    const { kind, by, kit, assembly, body } = JSON.parse(canonicalJson(statement)) as Statement;
    const open = { seq: version, at, kind, by, kit, assembly, body, key, prevHash };
    const entry = { ...open, hash: hashOf(open) } as Entry;
    prevHash = entry.hash;
    return entry;
  });
}

function hasItsHash(entry: Entry): boolean {
  try {
    return entry.hash === hashOf(entry);
  } catch {
    // What has no canonical form was never hashed.
    return false;
  }
}

/**
 * Looks for the first entry that does not belong: a wrong number, a broken link, or a content that is
 * no longer what was hashed.
 * @returns its place in the list and what is wrong, or null when the chain is whole
 */
export function firstBreak(
  entries: readonly Entry[],
  from: Head = { version: 0, hash: null },
): { readonly index: number; readonly what: string } | null {
  let { version, hash } = from;
  for (const [index, entry] of entries.entries()) {
    version += 1;
    if (entry.seq !== version) return { index, what: `entry ${version} is missing` };
    if (entry.prevHash !== hash) return { index, what: `entry ${version} does not follow the one before it` };
    if (!hasItsHash(entry)) return { index, what: `entry ${version} was changed after it was written` };
    hash = entry.hash;
  }
  return null;
}
