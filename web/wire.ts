import type { RuleVocabulary } from "../server/ask/rule-vocabulary.js";
import type { Reading, Slots } from "../server/ask/types.js";
import type { ImpactKind } from "../server/ask/wording/impact-words.js";
import type { TraceWords } from "../server/ask/wording/trace-words.js";
import type { HoleMap } from "../server/kit/map.js";
import type { Assembly, Family, Kit, Milestone, Part, PrepGate, Row, Step } from "../server/kit/types.js";
import type { HoleState, Mark } from "../server/kit/work.js";
import type { Review } from "../server/review/types.js";
import type { RuleComment, ShopRule } from "../server/shop/types.js";

/** What the server sends and takes, as far as the page uses it. Answers and marks have their types there. */

export interface NamedThing {
  readonly id: string;
  readonly name: string;
}

export interface KitSummary extends Pick<Kit, "id" | "name" | "revision" | "dated"> {
  readonly assemblies: readonly NamedThing[];
}

export type PartShown = Omit<Part, "sheets" | "bodies">;

export interface AssemblyShown extends Pick<Assembly, "id" | "name" | "closings"> {
  readonly kit: Pick<Kit, "id" | "name" | "units">;
  readonly parts: readonly PartShown[];
  readonly rows: readonly Row[];
  readonly families: readonly Family[];
  readonly milestones: readonly Milestone[];
  readonly prepGates: readonly PrepGate[];
  readonly approaches: readonly NamedThing[];
  readonly neighbours: readonly NamedThing[];
  readonly steps: readonly Pick<Step, "id" | "title">[];
  readonly words: TraceWords;
  readonly map: HoleMap;
}

export interface RulingShown {
  readonly hole: string;
  readonly treatment: string | null;
  readonly finalDiameterMm: number | null;
  /** Code of the rivet. */
  readonly fastener: string | null;
  readonly head: string | null;
  /** Stays open until that milestone. */
  readonly hold: { readonly until: string; readonly why: string } | null;
  readonly verdict: "settled" | "undecided" | "conflict";
  /** What is not settled; its value above is null, which never means no. */
  readonly open: readonly {
    readonly attribute: string;
    readonly status: "undecided" | "conflict" | "unclaimed";
    readonly missing: readonly string[];
  }[];
}

/** Where the work stands; a hole that is not named is unset. */
export interface WorkShown {
  readonly version: number;
  readonly holes: Readonly<Record<string, HoleState>>;
  readonly prep: Readonly<Record<string, readonly string[]>>;
  readonly milestones: readonly string[];
}

/** What came of recording marks. */
export interface Recorded {
  readonly version: number;
  /** Marks that bring back what was there before. */
  readonly undo: readonly Mark[];
  /** What speaks against the marks; they were recorded all the same. */
  readonly warnings: readonly string[];
}

/** What is sent to be answered: words, with the reading that they may lean on, or a reading. */
export type Asked =
  | { readonly question: string; readonly context?: Reading }
  | { readonly form: string; readonly slots: Slots };

/** A question form, as it can be chosen. */
export interface FormShown {
  readonly id: string;
  readonly purpose: string;
  /** It states something and asks nothing: it is told, not chosen. */
  readonly statement?: boolean;
}

/** One thing that a person does, in the plan's order. */
export interface PlanStepShown {
  readonly kind: string;
  readonly generation: number;
  readonly where: string;
  readonly said: string;
  readonly holes?: readonly string[];
  readonly reasons: readonly { readonly code: string; readonly step?: string }[];
}

export interface PlanShown {
  readonly version: number;
  readonly status: "open" | "done" | "impossible";
  readonly turnOvers: number;
  readonly steps: readonly PlanStepShown[];
  readonly cautions: readonly string[];
}

/** A problem with something that was sent, with the place in it. */
export interface ProblemShown {
  readonly code: string;
  readonly detail: string;
  readonly pointer: string;
  readonly fix: string;
}

export type { RuleComment, RuleVocabulary, ShopRule };

/** Shop rules of one kit, in every state. */
export interface RulesShown {
  readonly version: number;
  readonly shop: readonly ShopRule[];
  /** Shop rules in force that cannot be used. */
  readonly problems: readonly string[];
}

/** What came of a step in a rule's life. */
export interface Lived {
  readonly version: number;
  readonly rule: ShopRule;
}

export interface MatchesShown {
  readonly nodes: readonly { readonly pointer: string; readonly holds: number; readonly open: number }[];
  readonly holds: readonly string[];
  readonly open: readonly string[];
  readonly problems: readonly ProblemShown[];
}

export interface FindingShown {
  readonly severity: "error" | "warning" | "note";
  readonly said: string;
  readonly pointer: string;
  readonly fix: string;
  readonly holes: readonly string[];
}

export interface ImpactLineShown {
  readonly kind: ImpactKind;
  readonly said: string;
  /** The same without the holes. */
  readonly what: string;
  readonly holes: readonly string[];
}

/** What a rule says and would do in one assembly. */
export interface PreviewShown {
  readonly problems: readonly ProblemShown[];
  readonly words: { readonly title: string; readonly said: string } | null;
  readonly matched: { readonly count: number; readonly holes: readonly string[] };
  readonly unknown: { readonly count: number; readonly holes: readonly string[] };
  readonly examples: readonly { readonly said: string; readonly comesOut: boolean }[];
  readonly findings: readonly FindingShown[];
  readonly departures: readonly {
    readonly from: string;
    readonly holes: readonly string[];
    readonly declared: boolean;
  }[];
  readonly impact: {
    readonly changed: readonly { readonly hole: string }[];
    readonly doneWrong: readonly { readonly hole: string }[];
    readonly said: readonly ImpactLineShown[];
  } | null;
}

/** A proposal that waits for a mentor. */
export interface WaitingShown {
  readonly rule: string;
  readonly title: string;
  readonly revision: number;
  readonly hash: string;
  readonly author: string;
  readonly proposedBy: string;
  readonly proposedAt: string;
}

/** All that a mentor needs to judge a proposal, in words. */
export type ReviewShown = Pick<
  Review,
  "rule" | "revision" | "hash" | "author" | "proposedBy" | "proposedAt" | "comments" | "text" | "shown"
>;

/** One difference between two revisions, in words. */
export interface ChangeShown {
  readonly pointer: string;
  readonly said: string;
}
