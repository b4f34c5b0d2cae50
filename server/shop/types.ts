import type { RuleInFile } from "../ruling/schema.js";

/** One revision of a shop rule as it is recorded: it begins as a draft. */
export interface RuleRevisionStatement {
  readonly kind: "rule-revision";
  readonly by: string;
  readonly kit: string;
  /** A rule belongs to the kit, not to one of its assemblies. */
  readonly assembly: null;
  readonly body: {
    readonly rule: RuleInFile;
    /** 1, 2, 3 … for each rule. */
    readonly revision: number;
  };
}

/**
 * What can happen to a revision: it is proposed to the mentor, taken back by its author, accepted (from then
 * on in force), sent back with comments, or taken out of force.
 */
export const RULE_STEPS = ["propose", "withdraw", "accept", "return", "retire"] as const;
export type RuleStep = (typeof RULE_STEPS)[number];

/** A remark of the review. */
export interface RuleComment {
  /** JSON pointer into the rule that it is about; null = the rule as a whole. */
  readonly at: string | null;
  readonly text: string;
}

/** A step in a rule's life as it is recorded. */
export interface RuleStepStatement {
  readonly kind: "rule-step";
  readonly by: string;
  readonly kit: string;
  readonly assembly: null;
  readonly body: {
    readonly rule: string;
    readonly revision: number;
    /** `hashOfRule` of the revision: what was looked at is what the step is about. */
    readonly hash: string;
    readonly step: RuleStep;
    readonly comments: readonly RuleComment[];
    /** Reference of the kit maker's agreement, for a departure. */
    readonly reference?: string;
    /** Id of the mentor's key that the step was made with. */
    readonly mentor?: string;
  };
}

/** A remark written down beside the work. */
export interface NoteStatement {
  readonly kind: "note";
  readonly by: string;
  readonly kit: string;
  readonly assembly: string;
  readonly body: { readonly hole?: string; readonly part?: string; readonly text: string };
}

/** A statement with its place in the shop book. */
export type Placed<S> = S & {
  readonly seq: number;
  /** ISO 8601 in UTC. */
  readonly at: string;
};

/** An entry of the shop book as far as the life of rules is concerned; others are passed over. */
export type LifeEntry =
  | Placed<RuleRevisionStatement>
  | Placed<RuleStepStatement>
  | { readonly kind: "marks" | "note" };

/** Where one revision stands; "replaced" = another revision came into force in its place. */
export type Standing = "draft" | "proposed" | "returned" | "in force" | "replaced" | "retired";

export interface Revision {
  readonly revision: number;
  readonly rule: RuleInFile;
  /** SHA-256 (hex) of the rule's canonical JSON. */
  readonly hash: string;
  /** Its author, who cannot accept it. */
  readonly by: string;
  readonly at: string;
  /** Version of the shop book that it came in with. */
  readonly version: number;
  readonly standing: Standing;
}

export interface HistoryStep {
  readonly step: RuleStep;
  readonly revision: number;
  readonly by: string;
  readonly at: string;
  readonly version: number;
  readonly comments: readonly RuleComment[];
  readonly mentor: string | null;
  readonly reference: string | null;
  /**
   * Code of the refusal when the step was not allowed where it stands; it then changed nothing. The program
   * records no such step; a book from elsewhere may hold one.
   */
  readonly refused: string | null;
}

/** A shop rule through its whole life. */
export interface ShopRule {
  readonly id: string;
  readonly kit: string;
  /** Oldest first; never empty, numbers without gaps. */
  readonly revisions: readonly Revision[];
  /** "proposed" while a revision waits for the mentor, else where the newest revision stands. */
  readonly status: Exclude<Standing, "replaced">;
  /** Revision that waits for the mentor. */
  readonly proposed: number | null;
  /** Revision in force; a newer draft does not touch it. */
  readonly inForce: number | null;
  readonly history: readonly HistoryStep[];
}
