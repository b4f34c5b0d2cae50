import { finder } from "../../kit/find.js";
import { stateOf } from "../../kit/work.js";
import type { Hold } from "../../order/types.js";
import type { AnswerRow, Job } from "../types.js";
import { counted, listed, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { sayOpen } from "./open.js";
import { grouped, rowOf, ruledAt } from "./ruled.js";
import { heldRows, holdsIn } from "./stay-open.js";

/** Unset holes through the part that stay open when it closes: held ones, and those that are not decided. */
export function leftOpen(
  job: Job,
  part: string,
): { readonly held: readonly Hold[]; readonly undecided: readonly string[] } {
  const unset = finder(job.assembly)
    .holesThrough(part)
    .map(({ id }) => id)
    .filter((id) => stateOf(job.work, id) !== "set");
  const holds = holdsIn(job, unset);
  const held = holds.filter(({ until }) => until !== null);
  const isHeld = new Set(held.map(({ hole }) => hole));
  const unsure = new Set(holds.filter(({ until }) => until === null).map(({ hole }) => hole));
  const undecided = unset.filter(
    (id) => !isHeld.has(id) && (unsure.has(id) || job.rulings.of(id).verdict !== "settled"),
  );
  return { held, undecided };
}

/** More milestones than these are named below, not in the first line. */
const FEW_GROUPS = 2;

export function sayLeftOpen(job: Job, part: string): string {
  const { held, undecided } = leftOpen(job, part);
  const names = namesOf(job);
  const parts = [
    ...grouped(held, ({ until }) => until).map(
      (group) => `${counted(group.length, "hole")} until ${names.milestone(group[0]?.until ?? "")}`,
    ),
    ...(undecided.length > 0 ? [`${names.where(undecided, 2)}, not decided`] : []),
  ];
  if (parts.length > FEW_GROUPS) {
    return `leave ${counted(held.length + undecided.length, "hole")} of it open, ${undecided.length > 0 ? `${undecided.length} of them not decided: ` : ""}see below`;
  }
  return parts.length > 0 ? `leave open: ${listed(parts)}` : "";
}

export function leftOpenRows(job: Job, part: string): readonly AnswerRow[] {
  const { held, undecided } = leftOpen(job, part);
  const names = namesOf(job);
  return [
    ...heldRows(job, held),
    ...grouped(undecided, (id) => rowOf(job, id)).map((holes) => ({
      holes,
      where: names.everywhere(holes),
      what: sentences("leave open", sayOpen(job, ruledAt(job, holes[0] ?? ""))),
      verdict: "undecided" as const,
    })),
  ];
}
