import {
  createPrivateKey,
  createPublicKey,
  type KeyObject,
  randomBytes,
  scrypt,
  timingSafeEqual,
} from "node:crypto";
import { promisify } from "node:util";
import { Problem } from "../problem.js";
import type { Role, StoredKey, Stretched } from "./contract.js";

/** What the key is shown as, once: its public id, a dot, and 32 random bytes in base64url. */
const FORM = /^([a-z2-7]{10})\.([A-Za-z0-9_-]{43})$/;
/**
 * 32 MiB and about a tenth of a second for each try. The secret is 256 random bits, which nobody guesses;
 * stretching it is a second wall should the file of keys be read by a stranger.
 */
const COST = { N: 2 ** 15, r: 8, p: 1 } as const;
const HASH_BYTES = 32;
const MOST_NAME = 80;

const stretchWith = promisify<string, Uint8Array, number, object, Buffer>(scrypt);

/**
 * A new key.
 * @param at  ISO 8601 in UTC
 * @returns   the key itself, to be shown once and never kept, and what is kept of it
 * @throws    KEY_NAME_REFUSED
 */
export async function makeKey(
  name: string,
  role: Role,
  at: string,
): Promise<{ readonly shown: string; readonly stored: StoredKey }> {
  refuseName(name);
  const id = base32(randomBytes(10));
  const seed = randomBytes(32);
  const shown = `${id}.${seed.toString("base64url")}`;
  const salt = randomBytes(16);
  const hash = await stretch(shown, salt, COST);
  const stored: StoredKey = {
    id,
    name,
    role,
    madeAt: at,
    revokedAt: null,
    scrypt: { ...COST, salt: salt.toString("base64url"), hash: hash.toString("base64url") },
    publicKey: publicKeyOf(seed),
  };
  return { shown, stored };
}

/** Id and seed of a key as it was shown; null for what does not look like one. */
export function readKey(shown: string): { readonly id: string; readonly seed: Uint8Array } | null {
  const [, id, secret] = FORM.exec(shown) ?? [];
  if (id === undefined || secret === undefined) return null;
  return { id, seed: Buffer.from(secret, "base64url") };
}

/**
 * Whether this is the key that was kept. Takes as long for a wrong key as for the right one, and as long
 * for a key that was never made (`stored` null) as for one that was.
 */
export async function fits(shown: string, stored: StoredKey | null): Promise<boolean> {
  const { salt, hash, ...cost } = stored?.scrypt ?? NOBODY;
  const made = await stretch(shown, Buffer.from(salt, "base64url"), cost);
  const kept = Buffer.from(hash, "base64url");
  const same = made.length === kept.length && timingSafeEqual(made, kept);
  return same && stored !== null;
}

const NOBODY: Stretched = {
  ...COST,
  salt: Buffer.alloc(16).toString("base64url"),
  hash: Buffer.alloc(HASH_BYTES).toString("base64url"),
};

function refuseName(name: string): void {
  if (/\S/.test(name) && name.length <= MOST_NAME && !/[\p{C}\p{Zl}\p{Zp}]/u.test(name)) return;
  throw new Problem("KEY_NAME_REFUSED", "That is not a name a key can carry.", {
    fix: `Give a name of at most ${MOST_NAME} characters on one line.`,
  });
}

function stretch(
  shown: string,
  salt: Uint8Array,
  { N, r, p }: Pick<Stretched, "N" | "r" | "p">,
): Promise<Buffer> {
  // The default ceiling of 32 MiB is one byte short of what N and r ask for.
  return stretchWith(shown, salt, HASH_BYTES, { N, r, p, maxmem: 256 * N * r });
}

/** @source RFC 8410, section 7: an Ed25519 private key in PKCS #8 is this prefix and the 32 bytes */
const PKCS8_ED25519 = Buffer.from("302e020100300506032b657004220420", "hex");
/** @source RFC 8410, section 4: an Ed25519 public key in SPKI is this prefix and the 32 bytes */
const SPKI_ED25519 = Buffer.from("302a300506032b6570032100", "hex");

/** The key with which its holder signs. */
export function signingKey(seed: Uint8Array): KeyObject {
  return createPrivateKey({
    key: Buffer.concat([PKCS8_ED25519, seed]),
    format: "der",
    type: "pkcs8",
  });
}

/** The key with which a signature is checked; from `StoredKey.publicKey`. */
export function checkingKey(publicKey: string): KeyObject {
  const raw = Buffer.from(publicKey, "base64url");
  return createPublicKey({ key: Buffer.concat([SPKI_ED25519, raw]), format: "der", type: "spki" });
}

function publicKeyOf(seed: Uint8Array): string {
  const spki = createPublicKey(signingKey(seed)).export({ format: "der", type: "spki" });
  return spki.subarray(SPKI_ED25519.length).toString("base64url");
}

const ALPHABET = "abcdefghijklmnopqrstuvwxyz234567";

/** One letter for the low five bits of each byte. @source RFC 4648, section 6 (the alphabet, in lower case) */
function base32(bytes: Uint8Array): string {
  return [...bytes].map((byte) => ALPHABET[byte & 31]).join("");
}
