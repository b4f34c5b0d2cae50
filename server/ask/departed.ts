import type { Rule } from "../ruling/types.js";
import { GOVERNS, sayDepartures } from "./cautions.js";
import { scopeOf } from "./forms/slots.js";
import { rulesIn } from "./trace.js";
import type { FormAnswer, FormId, Job, Slots } from "./types.js";
import { groundCautions } from "./wording/ground.js";

/** Forms whose answers rest on the order of the whole work: one hole ruled otherwise can change any of them. */
const ON_ORDER: ReadonlySet<string> = new Set<FormId>([
  "before-closing",
  "close-later",
  "may-i",
  "next",
  "plan",
  "progress",
  "rework",
  "tell",
  "turn-over",
  "why-not",
]);
/** Forms that can be answered with fewer holes than they were asked about. */
const ON_SCOPE: ReadonlySet<string> = new Set<FormId>([
  "changed",
  "count",
  "odd-ones",
  "stay-open",
  "treatment",
  "why",
]);

/** What an answer is about, as far as departures are concerned. */
export interface Touchable {
  readonly form: string;
  readonly slots: Slots;
  readonly answer: Pick<FormAnswer, "holes" | "rows" | "trace">;
}

/** All cautions of an answer: what is wrong with the ground it stands on, then its own with the departures that touch it. */
export function allCautions(job: Job, cautions: readonly string[], touchable: Touchable): readonly string[] {
  return [...groundCautions(job), ...withDepartures(job, cautions, touchable)];
}

/** The cautions of an answer with every departure that touches it; rather one too many than one too few. */
function withDepartures(job: Job, cautions: readonly string[], touchable: Touchable): readonly string[] {
  const touching = departuresTouching(job, touchable);
  if (touching.length === 0) return cautions;
  const said = sayDepartures(job, touching).filter((text) => !cautions.includes(text));
  const last = cautions.lastIndexOf(GOVERNS);
  const at = last < 0 ? cautions.length : last;
  return [...cautions.slice(0, at), ...said, ...cautions.slice(at)];
}

function departuresTouching(job: Job, { form, slots, answer }: Touchable): readonly string[] {
  const departing = job.rulebook.rules.filter(({ departure }) => departure !== null);
  if (departing.length === 0) return [];
  const carried = new Set(rulesIn(answer.trace));
  const holes = new Set([...answer.holes, ...answer.rows.flatMap((row) => row.holes)]);
  if (ON_SCOPE.has(form)) for (const hole of scopeOf(job, placeIn(slots)).holes) holes.add(hole);
  const touches = (rule: Rule): boolean => {
    if (carried.has(rule.id)) return true;
    const truths = job.rulings.truths(rule.id);
    return job.rulings.ids.some(
      (hole, i) => truths[i] !== "false" && (ON_ORDER.has(form) || holes.has(hole)),
    );
  };
  return departing.filter(touches).map(({ id }) => id);
}

/** Where a question is about; which side it is seen from narrows nothing that a departure could slip past. */
function placeIn({ hole, holes, row, part, family }: Slots): Slots {
  return {
    ...(hole !== undefined && { hole }),
    ...(holes !== undefined && { holes }),
    ...(row !== undefined && { row }),
    ...(part !== undefined && { part }),
    ...(family !== undefined && { family }),
  };
}
