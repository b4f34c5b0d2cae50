import type { RuleInFile } from "../ruling/schema.js";

export const REVIEW_FORMAT = "tailroom review 1";

/** What a mentor reads, in words; every list is cut at a stated length. */
export interface Shown {
  /** The rule: where it holds, what it says there, why, on what it stands. */
  readonly words: readonly string[];
  /** What is new against the revision in force; null when none is in force. */
  readonly changes: readonly string[] | null;
  /** What keeps it from coming into force at all. */
  readonly problems: readonly string[];
  readonly departures: readonly string[];
  readonly findings: readonly string[];
  readonly examples: readonly string[];
  /** What would be otherwise, by assembly. */
  readonly impact: readonly { readonly assembly: string; readonly lines: readonly string[] }[];
  /** What was said of earlier proposals of this rule. */
  readonly earlier: readonly string[];
}

/** A proposal as it is given to a mentor. */
export interface Review {
  readonly format: typeof REVIEW_FORMAT;
  readonly kit: { readonly id: string; readonly name: string; readonly revision: string };
  readonly rule: string;
  readonly revision: number;
  /** `hashOfRule` of the text. */
  readonly hash: string;
  /** Version of the shop book at which it was proposed: an answer to an earlier proposal is not one to this. */
  readonly proposal: number;
  readonly author: string;
  readonly proposedBy: string;
  /** ISO 8601 in UTC. */
  readonly proposedAt: string;
  readonly comments: readonly string[];
  /** Version of the shop book that it was looked at with. */
  readonly version: number;
  readonly text: RuleInFile;
  readonly shown: Shown;
}

/** A review as it leaves the shop. */
export interface ReviewFile extends Review {
  /** SHA-256 (hex) of the canonical JSON of all but this and the seal. */
  readonly contentHash: string;
  /** HMAC-SHA256 (hex) of the content hash under the shop's own secret. */
  readonly seal: string;
}
