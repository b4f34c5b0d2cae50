import { canonicalJson } from "../canonical.js";
import { Problem } from "../problem.js";
import { type Head, seal } from "./chain.js";
import type { AppendRequest, Entry, Receipt, Statement } from "./contract.js";

/**
 * What an append comes to, the same for every kind of book.
 * @param head     where the book ends
 * @param earlier  entries already there under the request's key, oldest first
 * @returns        the receipt; its entries are still to be written unless `repeated`
 */
export function decide(
  head: Head,
  earlier: readonly Entry[],
  statements: readonly Statement[],
  request: AppendRequest,
  at: string,
): Receipt {
  if (statements.length === 0) {
    throw new Problem("NOTHING_TO_RECORD", "There is nothing to record.", { fix: "Send at least one mark." });
  }
  const last = earlier.at(-1);
  if (last) {
    if (canonicalJson(earlier.map(stated)) !== canonicalJson(statements.map(stated))) {
      throw new Problem("IDEMPOTENCY_REUSED", "This Idempotency-Key was used before for something else.", {
        fix: "Make a new key for every act; use the old one only to send the same act again.",
      });
    }
    return { version: last.seq, entries: earlier, repeated: true };
  }
  if (request.expected !== "any" && request.expected !== head.version) {
    throw new VersionStale(request.expected, head.version);
  }
  const entries = seal(head, statements, request.key, at);
  return { version: head.version + entries.length, entries, repeated: false };
}

/** Someone else wrote in between; says where the book stands now. */
export class VersionStale extends Problem {
  readonly version: number;

  constructor(expected: number, version: number) {
    super(
      "VERSION_STALE",
      `The shop book is at version ${version}, not ${expected}: something was recorded meanwhile.`,
      {
        fix: "Read the marks again, look at what changed, and send yours with the new version.",
      },
    );
    this.version = version;
  }
}

function stated({ kind, by, kit, assembly, body }: Statement): Statement {
  return { kind, by, kit, assembly, body };
}
