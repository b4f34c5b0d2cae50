import { createHash, createHmac, timingSafeEqual } from "node:crypto";
import { canonicalJson } from "../canonical.js";
import { Problem } from "../problem.js";
import { REVIEW_FORMAT, type Review, type ReviewFile } from "./types.js";

/** A file that the shop knows again when it comes back. @source RFC 2104 (HMAC), RFC 8785 (canonical JSON) */
export function sealReview(review: Review, secret: Uint8Array): ReviewFile {
  const contentHash = contentHashOf(review);
  return { ...review, contentHash, seal: sealOf(contentHash, secret) };
}

/**
 * Makes sure that a file is as it left the shop: what the mentor read is what the program wrote.
 * @param file  any JSON with a content hash and a seal
 * @throws      REVIEW_EDITED
 */
export function refuseEdited(
  file: Readonly<Record<string, unknown>> & Pick<ReviewFile, "contentHash" | "seal">,
  secret: Uint8Array,
): void {
  const expected = sealOf(contentHashOf(file), secret);
  if (isSame(file.seal, expected) && isSame(file.contentHash, contentHashOf(file))) return;
  throw new Problem("REVIEW_EDITED", "This review is not as it left the shop.", {
    where: { pointer: "/review" },
    fix: "Fetch the review file again and have that one answered.",
  });
}

/** @throws TypeError for what JSON cannot hold */
function contentHashOf(file: object): string {
  const { contentHash: _hash, seal: _seal, ...content } = file as Partial<ReviewFile>;
  return createHash("sha256").update(canonicalJson(content)).digest("hex");
}

function sealOf(contentHash: string, secret: Uint8Array): string {
  return createHmac("sha256", secret).update(`${REVIEW_FORMAT}\n${contentHash}`).digest("hex");
}

function isSame(a: string, b: string): boolean {
  const [one, other] = [Buffer.from(a), Buffer.from(b)];
  return one.length === other.length && timingSafeEqual(one, other);
}
