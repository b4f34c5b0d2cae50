import { canonicalJson } from "../canonical.js";
import { Problem } from "../problem.js";
import { type Head, seal } from "./chain.js";
import type { AppendRequest, Entry, Receipt, Statement } from "./contract.js";

/** What a statement is about, as far as two people can get in each other's way. */
export interface Subject {
  readonly kinds: readonly Statement["kind"][];
  readonly kit: string;
  /** Null = whichever assembly. */
  readonly assembly: string | null;
}

/** What must not have changed under the writer of a statement; null = nothing, it stands beside all others. */
export function subjectOf({ kind, kit, assembly }: Statement): Subject | null {
  if (kind === "note") return null;
  if (kind === "marks") return { kinds: ["marks"], kit, assembly };
  // All rules of the kit: two that are harmless one by one may override each other in a circle.
  return { kinds: ["rule-revision", "rule-step"], kit, assembly: null };
}

/**
 * What an append comes to, the same for every kind of book.
 * @param head     where the book ends
 * @param earlier  entries already there under the request's key, oldest first
 * @param last     version of the last entry about a subject; 0 = none
 * @returns        the receipt; its entries are still to be written unless `repeated`
 */
export function decide(
  head: Head,
  earlier: readonly Entry[],
  last: (subject: Subject) => number,
  statements: readonly Statement[],
  request: AppendRequest,
  at: string,
): Receipt {
  if (statements.length === 0) {
    throw new Problem("NOTHING_TO_RECORD", "There is nothing to record.", { fix: "Send at least one mark." });
  }
  const repeated = earlier.at(-1);
  if (repeated) {
    if (canonicalJson(earlier.map(stated)) !== canonicalJson(statements.map(stated))) {
      throw new Problem("IDEMPOTENCY_REUSED", "This Idempotency-Key was used before for something else.", {
        fix: "Make a new key for every act; use the old one only to send the same act again.",
      });
    }
    return { version: repeated.seq, entries: earlier, repeated: true };
  }
  const { expected } = request;
  if (expected !== "any" && expected !== head.version) {
    const isOvertaken = statements.some((statement) => {
      const subject = subjectOf(statement);
      return subject !== null && last(subject) > expected;
    });
    if (expected > head.version || isOvertaken) throw new VersionStale(expected, head.version);
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
        fix: "Read it again, look at what changed, and send yours with the new version.",
      },
    );
    this.version = version;
  }
}

/** What a person stated: sent again, it must be the same. What the program adds to marks may differ by then. */
function stated(statement: Statement): Statement {
  const { by, kit } = statement;
  if (statement.kind === "marks") {
    const { kind, assembly, body } = statement;
    return { kind, by, kit, assembly, body: { marks: body.marks } };
  }
  const { kind, assembly, body } = statement;
  return { kind, by, kit, assembly, body } as Statement;
}
