import type { Mark } from "../kit/work.js";

/**
 * The shop book's promise. Nothing is ever changed or taken out: what was recorded stays, and undoing
 * is a new entry. The embedded default is SQLite (`sqlite.ts`); `memory.ts` keeps the same promise for
 * tests, and both pass `test/store/promise.test.ts`.
 */
export interface ShopBook {
  /** False when the book can be read but not written; `append` then throws SHOPBOOK_READ_ONLY. */
  readonly writable: boolean;

  /**
   * Records the statements, all or none, in their order. Once it returns they are on the disk.
   *
   * A key that was used before with the same statements gives the first receipt again and records
   * nothing, whatever the expected version: a phone that lost the reply may simply send again.
   * @throws VERSION_STALE when the book has moved on from the expected version
   * @throws IDEMPOTENCY_REUSED when the key was used before with other statements
   * @throws NOTHING_TO_RECORD for an empty list
   * @throws SHOPBOOK_READ_ONLY, SHOPBOOK_FULL, SHOPBOOK_BUSY, SHOPBOOK_FAILED when the disk refuses; nothing was recorded
   */
  append(statements: readonly Statement[], request: AppendRequest): Receipt;

  /** Entries after the given version, oldest first. */
  since(version: number): readonly Entry[];

  /** The whole book as it stands now. */
  snapshot(): Snapshot;

  /** Sequence number of the last entry; 0 for an empty book. Sees entries made by other processes. */
  version(): number;

  /** Lets go of the file. Closing twice is harmless. */
  close(): void;
}

/** Marks made together on one assembly. */
export interface MarksStatement {
  readonly kind: "marks";
  readonly by: string;
  readonly kit: string;
  readonly assembly: string;
  readonly body: { readonly marks: readonly Mark[] };
}

/** What can be recorded. */
export type Statement = MarksStatement;

export interface AppendRequest {
  /** Chosen by the writer, once per act; the same key marks a repeat of the same act. */
  readonly key: string;
  /** Version that the writer looked at; "any" writes on top of whatever is there. */
  readonly expected: number | "any";
}

/** A statement as it stands in the book. */
export type Entry = Statement & {
  /** 1, 2, 3 … without gaps. */
  readonly seq: number;
  /** When it was recorded, ISO 8601 in UTC. */
  readonly at: string;
  readonly key: string;
  /** Hash of the entry before it; null for the first. */
  readonly prevHash: string | null;
  /** SHA-256 (hex) over the canonical JSON of all other fields. */
  readonly hash: string;
};

export interface Receipt {
  /** Version right after these entries. */
  readonly version: number;
  readonly entries: readonly Entry[];
  /** True when they had been recorded before under the same key. */
  readonly repeated: boolean;
}

export interface Snapshot {
  readonly version: number;
  readonly entries: readonly Entry[];
}
