import type { Mark } from "../kit/work.js";
import type { Problem } from "../problem.js";
import type { Ruled } from "../shop/ruled.js";
import type { NoteStatement, RuleRevisionStatement, RuleStepStatement } from "../shop/types.js";

/**
 * The shop book's promise. Nothing is ever changed or taken out: what was recorded stays, and undoing
 * is a new entry. The embedded default is SQLite (`sqlite.ts`); `memory.ts` keeps the same promise for
 * tests, and both pass `test/store/promise.test.ts`.
 */
export interface ShopBook {
  /** False when the book can be read but not written. */
  readonly writable: boolean;

  /**
   * Why it cannot be written, which is what `append` throws; null when it can. SHOPBOOK_READ_ONLY: the disk
   * does not let us. SHOPBOOK_BROKEN: the chain is not whole, so what it says cannot be trusted.
   */
  readonly trouble: Problem | null;

  /**
   * Records the statements, all or none, in their order. Once it returns they are on the disk.
   *
   * A key that was used before with the same statements gives the first receipt again and records
   * nothing, whatever the expected version: a phone that lost the reply may simply send again.
   * Entries made after the expected version are in the way only when they are about the same thing: marks of
   * the same assembly, rules of the same kit. Notes are in nobody's way.
   * @throws VERSION_STALE when such an entry was made after the expected version, or there is no such version yet
   * @throws IDEMPOTENCY_REUSED when the key was used before with other statements
   * @throws NOTHING_TO_RECORD for an empty list
   * @throws SHOPBOOK_BROKEN, SHOPBOOK_READ_ONLY, SHOPBOOK_FULL, SHOPBOOK_BUSY, SHOPBOOK_FAILED when the disk refuses; nothing was recorded
   */
  append(statements: readonly Statement[], request: AppendRequest): Receipt;

  /**
   * Takes over the entries of another copy of the book as they are, with their numbers, dates and hashes. What
   * is here already must be the beginning of it; the rest is added, all or nothing.
   * @returns how many were added
   * @throws IMPORT_BROKEN when the chain is not whole, IMPORT_DIVERGES when this book goes on differently
   * @throws what `append` throws when the disk refuses
   */
  adopt(entries: readonly Entry[]): number;

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
  readonly body: {
    readonly marks: readonly Mark[];
    /** What was ruled for the rivets set, as it stood then; left out where there is none. */
    readonly ruled?: readonly Ruled[];
  };
}

/** What can be recorded. */
export type Statement = MarksStatement | RuleRevisionStatement | RuleStepStatement | NoteStatement;

export interface AppendRequest {
  /** Chosen by the writer, once per act; the same key marks a repeat of the same act. */
  readonly key: string;
  /** Version of the book that the writer looked at; "any" writes on top of whatever is there. */
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
