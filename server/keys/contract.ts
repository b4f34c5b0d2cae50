/**
 * The keys of a shop: who may write from another machine, and who may accept a rule. They are kept apart
 * from the shop book, so that no export, copy or print of the book can carry them. `sqlite.ts` keeps
 * them in a file, `memory.ts` is its twin for tests; both pass `test/keys/ring.test.ts`.
 */
export interface KeyRing {
  /** Every key ever made, oldest first, the revoked ones too. */
  list(): readonly StoredKey[];

  get(id: string): StoredKey | null;

  /**
   * Keeps a new key.
   * @throws KEY_NAME_TAKEN while a key that is not revoked has that name
   */
  add(key: StoredKey): void;

  /**
   * From now on the key opens nothing. Revoking twice keeps the first time.
   * @param at  ISO 8601 in UTC
   * @throws    UNKNOWN_KEY
   */
  revoke(id: string, at: string): StoredKey;

  /** Secret of the shop itself, 32 bytes, made at first use: with it the shop knows its own papers again. */
  sealingSecret(): Uint8Array;
}

export const ROLES = ["mentor", "builder"] as const;
/** A builder's key writes; a mentor's also accepts rules and sends them back. */
export type Role = (typeof ROLES)[number];

/** What is kept of a key: enough to know it again, not enough to use it. */
export interface StoredKey {
  /** Public; the first part of the key. */
  readonly id: string;
  /** Whose it is; what they do is recorded under this name. */
  readonly name: string;
  readonly role: Role;
  /** ISO 8601 in UTC. */
  readonly madeAt: string;
  readonly revokedAt: string | null;
  readonly scrypt: Stretched;
  /** Ed25519 public key, raw, base64url: checks what the key's holder signed elsewhere. */
  readonly publicKey: string;
}

/**
 * A secret stretched by scrypt, with what it takes to do it again.
 * @source RFC 7914, section 2 (N cost, r block size, p parallelisation)
 */
export interface Stretched {
  readonly N: number;
  readonly r: number;
  readonly p: number;
  /** Base64url. */
  readonly salt: string;
  /** Base64url. */
  readonly hash: string;
}
