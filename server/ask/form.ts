import type { FormAnswer, FormId, Job, Slots } from "./types.js";

/** What a slot may hold. `holes` covers one hole, several, rows and parts: the reader resolves them to ids. */
export type SlotType =
  | "part"
  | "row"
  | "hole"
  | "holes"
  | "family"
  | "side"
  | "treatment"
  | "head"
  | "milestone"
  | "act"
  | "attribute"
  | "notice"
  | "state"
  | "topic";

export interface SlotSpec {
  readonly name: string;
  readonly type: SlotType;
  readonly required: boolean;
  /** What to ask when it is missing: "Which part do you want to close?" */
  readonly ask: string;
}

/** One question form as data: `kb/questions/ID.json`. */
export interface FormSpec {
  readonly id: FormId;
  /** What the builder wants to know, in one sentence. */
  readonly purpose: string;
  readonly slots: readonly SlotSpec[];
  /** Groups of slots of which at least one must be filled: `[["hole", "holes", "row", "part"]]`. */
  readonly oneOf: readonly (readonly string[])[];
  /** Ways to say it; `{slot}` stands for a slot, `[word]` for a word that may be left out, `a|b` for either. */
  readonly phrasings: readonly string[];
  /** Forms that a builder tends to ask next. */
  readonly followUps: readonly FormId[];
}

/** The answering side of a form: one file each in `server/ask/forms/`. */
export interface Form {
  readonly id: FormId;
  /** @throws Problem UNKNOWN_ID, SLOT_MISSING or SLOT_INVALID when the slots don't fit */
  answer(job: Job, slots: Slots): FormAnswer;
}
