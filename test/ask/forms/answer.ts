import { expect } from "vitest";
import { FORMS } from "../../../server/ask/forms/index.js";
import type { FormAnswer, Job, Slots } from "../../../server/ask/types.js";
import { Problem } from "../../../server/problem.js";

/** A form's answer on a job. */
export function answer(job: Job, form: string, slots: Slots): FormAnswer {
  const found = FORMS.get(form);
  if (!found) throw new Error(`no form ${form}`);
  return found.answer(job, slots);
}

/** The problem that an answer throws. */
export function problemOf(job: Job, form: string, slots: Slots): Problem {
  try {
    answer(job, form, slots);
  } catch (error) {
    expect(error).toBeInstanceOf(Problem);
    return error as Problem;
  }
  throw new Error("no problem was thrown");
}

/** Everything that an answer says, as one text. */
export function textOf({ headline, rows }: FormAnswer): string {
  return [headline, ...rows.flatMap(({ where, what }) => [where, what])].join("\n");
}

/** What a row says of a hole. */
export function rowOf({ rows }: FormAnswer, hole: string, kind?: string): FormAnswer["rows"][number] {
  const found = rows.find((row) => row.holes.includes(hole) && (kind === undefined || row.kind === kind));
  if (!found) throw new Error(`no row on ${hole}`);
  return found;
}

const drawn = new WeakMap<
  Job,
  ReadonlyMap<string, { approaches: readonly string[][]; stack: readonly string[] }>
>();

/** By hole: the parts in the way of each approach that its own stack leaves, and the parts that it goes through. */
function drawing(
  job: Job,
): ReadonlyMap<string, { approaches: readonly string[][]; stack: readonly string[] }> {
  const known = drawn.get(job);
  if (known) return known;
  const made = new Map(
    job.assembly.holes.map(({ id, layers }, i) => [
      id,
      {
        approaches: (job.reach.holes[i]?.approaches ?? [])
          .filter(({ ownStack }) => ownStack.length === 0)
          .map(({ blockedBy }) => blockedBy.map(({ part }) => part)),
        stack: layers.map(({ part }) => part),
      },
    ]),
  );
  drawn.set(job, made);
  return made;
}

/** Whether a hole can be got at, worked out here from the drawn reach alone. */
export function reachable(job: Job, hole: string, closed: ReadonlySet<string>): boolean {
  return (drawing(job).get(hole)?.approaches ?? []).some((parts) => parts.every((part) => !closed.has(part)));
}

/** Parts of a hole's stack. */
export function stackAt(job: Job, hole: string): readonly string[] {
  return drawing(job).get(hole)?.stack ?? [];
}

/** Parts that rivets set so far close. */
export function closedNow(job: Job): Set<string> {
  return new Set(
    [...job.work.holes].filter(([, state]) => state === "set").flatMap(([hole]) => stackAt(job, hole)),
  );
}
