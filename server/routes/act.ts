import type { FastifyRequest } from "fastify";
import { Type } from "typebox";
import { Problem } from "../problem.js";
import type { AppendRequest } from "../store/contract.js";
import type { RequestPlace } from "./problems.js";

const KEY = /^[\x21-\x7e]{1,100}$/;
/** The headers of every act that writes in the shop book. */
export const ActHeaders = Type.Object(
  {
    "idempotency-key": Type.String({
      pattern: KEY.source,
      description: "made up anew for every act; the same key again means the same act again",
    }),
    "if-match": Type.String({
      description: 'version that the act is based on, as in "12" with its quotes; or *',
    }),
  },
  { required: ["idempotency-key", "if-match"] },
);

/**
 * Under which key an act is recorded, and what it is based on.
 * @throws IDEMPOTENCY_KEY_MISSING, IF_MATCH_MISSING, IF_MATCH_MALFORMED
 */
export function appendRequest({ headers }: FastifyRequest): AppendRequest {
  const key = headers["idempotency-key"];
  if (typeof key !== "string" || !KEY.test(key)) {
    throw new Problem("IDEMPOTENCY_KEY_MISSING", "The Idempotency-Key header is missing or malformed.", {
      where: header("Idempotency-Key"),
      fix: "Send a new key for every act, such as a random UUID; at most 100 characters, no blanks.",
    });
  }
  const match = headers["if-match"];
  if (match === undefined) {
    throw new Problem("IF_MATCH_MISSING", "The If-Match header is missing.", {
      where: header("If-Match"),
      fix: "Send the ETag that it was read with, or * to write on top of whatever is there.",
    });
  }
  if (match === "*") return { key, expected: "any" };
  const version = /^"(\d{1,15})"$/.exec(match)?.[1];
  if (version === undefined) {
    throw new Problem("IF_MATCH_MALFORMED", "The If-Match header is not a version of the shop book.", {
      where: header("If-Match"),
      fix: 'Send the ETag as it was given, with its quotes: "12".',
    });
  }
  return { key, expected: Number(version) };
}

function header(name: string): RequestPlace {
  return { header: name };
}
