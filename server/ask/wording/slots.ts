import type { SlotSpec } from "../form.js";
import type { Slots } from "../types.js";
import { capital, listed } from "./grammar.js";
import { attributeLabel } from "./measures.js";
import { type Named, namesOf } from "./names.js";

/** What a slot is called on its chip. */
const LABELS: Readonly<Record<string, string>> = {
  part: "Part",
  row: "Row",
  hole: "Hole",
  holes: "Holes",
  family: "Family",
  step: "Step",
  neighbour: "Near",
  side: "Seen",
  milestone: "Until",
  notice: "Notice",
  act: "Act",
  attribute: "About",
  other: "Compared with",
  not: "With or without",
  sense: "Asked",
  first: "Hung first",
  done: "Done",
  reached: "Reached",
  gate: "Prep",
  topic: "Topic",
};

/** A slot's name for people: "Part"; "With or without" for `not`. */
export function slotLabel(name: string): string {
  return LABELS[name] ?? capital(name.replace(/([a-z])([A-Z])/g, "$1 $2").toLowerCase());
}

/** A slot's value for people: a part, row or hole by its name, a flag in words. */
export function saySlot(
  job: Named,
  { name, type }: Pick<SlotSpec, "name" | "type">,
  value: NonNullable<Slots[string]>,
): string {
  const names = namesOf(job);
  if (typeof value !== "string") return type === "holes" ? names.scope(value) : listed(value);
  switch (type) {
    case "part":
      return names.part(value);
    case "rivet":
      return names.rivet(value);
    case "row":
      return names.row(value);
    case "hole":
      return names.hole(value);
    case "family":
      return names.family(value);
    case "neighbour":
      return names.neighbour(value);
    case "step":
      return names.step(value);
    case "side":
      return names.view(value);
    case "milestone":
      return names.milestone(value);
    case "gate":
      return names.gate(value);
    case "notice": {
      const notice = job.kit.notices.find(({ id }) => id === value);
      return notice ? `${notice.id}, ${notice.title}` : value;
    }
    case "attribute":
      return attributeLabel(value);
    case "flag":
      return name === "not" ? (value === "yes" ? "without it" : "with it") : value;
    case "sense":
      return SENSES[value] ?? value;
    default:
      return value;
  }
}

/** How a question is put. */
const SENSES: Readonly<Record<string, string>> = {
  against: "the other way round",
  open: "not as a yes or no",
  must: "as a must",
};

/** Offered in place of an optional slot's value. */
export const LEFT_OUT = {
  place: "the whole assembly",
  other: "leave it out",
} as const;

/** Said when the holes of a row can be chosen only after the row. */
export const ROW_FIRST = "Choose a part and a row first.";

/** Said of a slot that says nothing without one of others: "Choose treatment or head first." */
export function sayFirst(others: readonly string[]): string {
  return `Choose ${listed(
    others.map((name) => slotLabel(name).toLowerCase()),
    "or",
  )} first.`;
}
