import type { FactFigure } from "../facts/figures.js";
import type { FactRecord } from "../facts/types.js";
import type { Assembly, Kit } from "../kit/types.js";
import type { Mark, Work } from "../kit/work.js";
import type { ReworkAsked, ReworkFound } from "../order/rework-asked.js";
import type { Standing } from "../order/types.js";
import type { HoleReach, Reach } from "../reach/types.js";
import type { Rulebook } from "../ruling/rulebook.js";
import type { AttributeTrace, Rulings, Truth } from "../ruling/types.js";
import type { NoteShelf } from "./notes.js";

/** Ids of the question forms; they are contract. */
export type FormId = string;

/** What a question names, by id. Only the slots that the question filled are there. */
export interface Slots {
  readonly part?: string;
  readonly row?: string;
  readonly hole?: string;
  readonly holes?: readonly string[];
  readonly assembly?: string;
  readonly side?: string;
  readonly treatment?: string;
  readonly head?: string;
  readonly milestone?: string;
  readonly family?: string;
  readonly step?: string;
  readonly [slot: string]: string | readonly string[] | undefined;
}

/** What the program understood of a question, and the same in plain words. */
export interface Reading {
  readonly form: FormId;
  readonly slots: Slots;
  readonly said: string;
}

/** Everything an answer may draw on. Built once per state of the work; only asked afterwards. */
export interface Job {
  readonly kit: Kit;
  readonly assembly: Assembly;
  readonly work: Work;
  /** Version of the shop book that `work` stands at. */
  readonly version: number;
  /** By position of the hole in the assembly. */
  readonly facts: readonly FactRecord[];
  readonly rulebook: Rulebook;
  readonly rulings: Rulings;
  readonly reach: Reach;
  readonly notes: NoteShelf;
  /**
   * A way back that was worked out; null = not yet, and a form then throws `Unsolved`. Left out where nobody works
   * one out: the best that is found without a solver is told then, as not proved.
   */
  readonly reworked?: (standing: Standing, asked: ReworkAsked) => ReworkFound | null;
  /** A shop rule that is not in force but counts here as if it were; every answer says so. */
  readonly tried?: { readonly rule: string; readonly title: string };
  /** Shop rules in force that do not fit the kit or the other rules and so do not count; every answer says so. */
  readonly leftOut?: readonly LeftOut[];
  /** Why the shop book cannot be trusted; every answer says so. Left out or null when it can. */
  readonly broken?: string | null;
}

/** A shop rule in force that cannot be used. */
export interface LeftOut {
  readonly rule: string;
  readonly title: string;
  /** What is wrong with it. */
  readonly what: string;
}

/** The sum or measure behind a fact, with its terms and the same in words. */
export interface TraceFigure extends FactFigure {
  readonly said: string;
}

/** One piece of evidence behind an answer, as data. */
export type TraceEntry =
  | ({
      readonly kind: "ruling" /** Holes for which the same was settled for the same reasons. */;
      readonly holes: readonly string[];
      /** Sums and measures behind the facts of the claims, at `hole`; added when the answer is given. */
      readonly figures?: readonly TraceFigure[];
    } & AttributeTrace)
  | ({
      readonly kind: "reach" /** Parts that count as closed for this look. */;
      readonly closed: readonly string[];
      /** Holes with the same approaches, blocked by the same parts; `hole` is the first of them. */
      readonly holes: readonly string[];
    } & HoleReach)
  | {
      readonly kind: "order";
      readonly rule: string;
      readonly title: string;
      readonly holes: readonly string[];
      readonly verdict: Truth;
      readonly why: string;
    }
  | {
      readonly kind: "hold";
      readonly hole: string;
      /** Holes that the same rule holds until the same milestone; `hole` is the first of them. */
      readonly holes: readonly string[];
      readonly until: string;
      readonly rule: string;
      readonly why: string;
    }
  | { readonly kind: "prep"; readonly part: string; readonly gate: string; readonly done: boolean }
  | { readonly kind: "note"; readonly note: string; readonly title: string };

/** One line of an answer's table. `holes` are the ids that the line is about. */
export interface AnswerRow {
  readonly holes: readonly string[];
  /** In the builder's words, as shown: "rib 4, top flange row, holes 2–6 from the front". */
  readonly where: string;
  /** What to do or know there. */
  readonly what: string;
  /** Named values for machines and for the table's columns. */
  readonly [field: string]: unknown;
}

export interface Source {
  readonly rule?: string;
  readonly note?: string;
  readonly table?: string;
  readonly rank?: string;
  readonly document: string;
  readonly place: string;
  readonly dated?: string | null;
}

export type Verdict = "yes" | "no" | "undecided" | "conflict";

/** What a form's answering file returns; the contract's answer without the reading. */
export interface FormAnswer {
  readonly verdict?: Verdict;
  readonly headline: string;
  /** The first line in brief, without its lists, for where the first sentence is long; it is no part of an answer given. */
  readonly brief?: string;
  readonly holes: readonly string[];
  readonly rows: readonly AnswerRow[];
  readonly trace: readonly TraceEntry[];
  readonly cautions: readonly string[];
  readonly sources: readonly Source[];
  readonly followUps: readonly Reading[];
  readonly proposal?: { readonly marks: readonly Mark[] };
}

/** The contract of POST /api/ask. */
export interface Answer extends FormAnswer {
  readonly outcome: "answered" | "ask-back" | "not-understood" | "proposal";
  readonly reading: Reading | null;
  readonly choices?: readonly Reading[];
  /** Content words that could not be used; never silently dropped. */
  readonly notUnderstood?: readonly string[];
  /** Spelling corrections made while reading: "dimpel" → "dimple". */
  readonly corrected?: readonly { readonly from: string; readonly to: string }[];
  /** What the reading took from the question before it; left out when that is nothing. */
  readonly carried?: { readonly form: boolean; readonly slots: readonly string[] };
  /** Version of the shop book that the answer rests on. */
  readonly version: number;
}
