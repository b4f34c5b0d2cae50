import { createHash, sign, verify } from "node:crypto";
import { canonicalJson } from "../canonical.js";
import type { StoredKey } from "../keys/contract.js";
import { checkingKey, readKey, signingKey } from "../keys/key.js";
import { Problem } from "../problem.js";
import type { RuleComment } from "../shop/types.js";
import type { ReviewFile } from "./types.js";

export const ANSWER_FORMAT = "tailroom review answer 1";

/** What a mentor decided. */
export interface Decision {
  readonly step: "accept" | "return";
  readonly comments: readonly RuleComment[];
  /** Reference of the kit maker's agreement; null = the one that the rule names, if any. */
  readonly reference: string | null;
}

/** A review file with a mentor's decision, signed with the mentor's key. */
export interface ReviewAnswer {
  readonly format: typeof ANSWER_FORMAT;
  readonly review: ReviewFile;
  readonly answer: Decision;
  /** Id of the mentor's key. */
  readonly mentor: string;
  /** Ed25519 over `signedText`, base64url. */
  readonly signature: string;
}

/**
 * The words that a mentor signs: the decision, and the content hash of what it is about. The page that goes to a
 * mentor writes the same text (`routes/mentor-script.js`).
 */
function signedText(contentHash: string, mentor: string, answer: Decision): string {
  return canonicalJson({ answer, contentHash, format: ANSWER_FORMAT, mentor });
}

/**
 * Answers a review with a key as it was shown.
 * @throws KEY_UNREADABLE
 * @source RFC 8032 (Ed25519)
 */
export function signAnswer(review: ReviewFile, answer: Decision, shown: string): ReviewAnswer {
  const key = readKey(shown.trim());
  if (!key) {
    throw new Problem("KEY_UNREADABLE", "That is not a key.", {
      fix: "Give the whole key as it was shown: ten letters and digits, a dot, and 43 more.",
    });
  }
  const text = signedText(review.contentHash, key.id, answer);
  const signature = sign(null, Buffer.from(text), signingKey(key.seed)).toString("base64url");
  return { format: ANSWER_FORMAT, review, answer, mentor: key.id, signature };
}

/**
 * The mentor whose answer it is.
 * @param key  the key that the answer names, as it is kept; null = there is none
 * @throws     ANSWER_KEY_REFUSED (no mentor's key, or revoked), ANSWER_SIGNATURE_WRONG
 */
export function signerOf(
  { review, answer, mentor, signature }: ReviewAnswer,
  key: StoredKey | null,
): StoredKey {
  if (key?.role !== "mentor" || key.revokedAt !== null) {
    throw new Problem("ANSWER_KEY_REFUSED", "The answer is not signed with a mentor's key of this shop.", {
      where: { pointer: "/mentor" },
      fix: "Have it answered with a mentor's key that is not revoked.",
    });
  }
  const text = Buffer.from(signedText(review.contentHash, mentor, answer));
  if (verify(null, text, checkingKey(key.publicKey), Buffer.from(signature, "base64url"))) return key;
  throw new Problem("ANSWER_SIGNATURE_WRONG", "The answer is not as its mentor signed it.", {
    where: { pointer: "/signature" },
    fix: "Ask the mentor for the file as it was signed.",
  });
}

/** Idempotency key of an answer: the same answer counts once, however often it is handed in. */
export function answerKey({ review, answer, mentor }: ReviewAnswer): string {
  const text = signedText(review.contentHash, mentor, answer);
  return `answer-${createHash("sha256").update(text).digest("hex").slice(0, 40)}`;
}
