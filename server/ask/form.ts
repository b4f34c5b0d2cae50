import type { FormAnswer, FormId, Job, Slots } from "./types.js";

/** What a slot may hold. `holes` covers one hole, several, rows and parts: the reader resolves them to ids. */
export type SlotType =
  | "part"
  | "row"
  | "hole"
  | "holes"
  | "family"
  /** A step of the kit's manual. */
  | "step"
  /** A surface that comes near the holes. */
  | "neighbour"
  | "side"
  | "treatment"
  | "head"
  | "milestone"
  | "act"
  | "attribute"
  | "notice"
  | "state"
  | "gate"
  /** How a question is put: "against", where yes means that it will not do; "open", where neither yes nor no would be plain. */
  | "sense"
  /** "yes" or "no". */
  | "flag"
  | "topic"
  /** A rivet's nominal size with its unit, `3.2 mm` or `1/8 in`; never a drill's number or letter. */
  | "size"
  /** The size of a drill or of a hole: a number or letter drill too, `No. 30`, `letter F`. */
  | "drill"
  /** 0 to 100. */
  | "percent"
  /** A rivet by the kit's code for it. */
  | "rivet"
  /** What is wrong with a hole. */
  | "damage"
  | "tool";

export interface SlotSpec {
  readonly name: string;
  readonly type: SlotType;
  readonly required: boolean;
  /** What to ask when it is missing: "Which part do you want to close?" */
  readonly ask: string;
  /** Which of the kit's things make sense when it is asked back; all of them when absent. */
  readonly offer?: "not closed";
  /** It is still to come: "the latch is rigged, …" does not fill it, "until the latch is rigged" does. */
  readonly toCome?: true;
  /** The only words of its sort that it takes; all of them when absent. */
  readonly values?: readonly string[];
}

/** Whether a slot takes a word of its sort. */
export function takes({ values }: Pick<SlotSpec, "values">, value: string): boolean {
  return values === undefined || values.includes(value);
}

/** One question form as data: `kb/questions/ID.json`. */
export interface FormSpec {
  readonly id: FormId;
  /** What the builder wants to know, in one sentence. */
  readonly purpose: string;
  readonly slots: readonly SlotSpec[];
  /** Groups of slots of which at least one must be filled: `[["hole", "holes", "row", "part"]]`. */
  readonly oneOf: readonly (readonly string[])[];
  /** Groups of slots of which at most one may be filled: `[["state", "gate", "milestone"]]`. */
  readonly apart?: readonly (readonly string[])[];
  /** Slots that say nothing without one of others: `{"not": ["treatment", "head"]}`. */
  readonly needs?: Readonly<Record<string, readonly string[]>>;
  /**
   * Ways to say it. A word stands for everything that the lexicon holds to mean the same; `=word` for itself alone.
   * `{slot}` stands for a slot, `{where}` for any place, `{~slot}` for a word of that sort that fills nothing,
   * `{slot=value}` fills the slot, `[word]` may be left out, `a|b` is either; parts between commas come in any order.
   */
  readonly phrasings: readonly string[];
  /** Words that may stand in such a question without changing it. */
  readonly also?: readonly string[];
  /** Words, or words in a row, that make it another question: "did I dimple …" asks about work done, not about the ruling. */
  readonly bars?: readonly string[];
  /** What its answer tells anyway, so that it may be asked for beside the question: "…, and until when?" */
  readonly tells?: readonly ("when" | "which" | "why" | "how-many")[];
  /** It states something and asks nothing: a text with a question mark is never read so. */
  readonly statement?: boolean;
  /** The form that such a statement is of when it is asked: "I've set rib 3's top row, haven't I?" */
  readonly asked?: FormId;
  /** Forms that a builder tends to ask next. */
  readonly followUps: readonly FormId[];
}

/** The answering side of a form: one file each in `server/ask/forms/`. */
export interface Form {
  readonly id: FormId;
  /** @throws Problem UNKNOWN_ID, SLOT_MISSING or SLOT_INVALID when the slots don't fit */
  answer(job: Job, slots: Slots): FormAnswer;
}
