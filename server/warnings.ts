import type { Job } from "./ask/types.js";
import { counted, sentence } from "./ask/wording/grammar.js";
import { namesOf } from "./ask/wording/names.js";
import { sayReason } from "./ask/wording/reasons.js";
import { type Mark, stateOf, withMarks } from "./kit/work.js";
import { maySetTogether } from "./order/may-set.js";

/** More than this is not read at the bench; the questions give the rest. */
const MOST_WARNINGS = 8;

/**
 * What speaks against rivets that are told to be set, in the builder's words: holds, walled-in holes, what
 * is not settled, open gates, order. The marks stand all the same: the book holds what was done.
 * @param before  the job as it was before the marks
 */
export function warningsOf(before: Job, marks: readonly Mark[]): readonly string[] {
  const holes = marks.flatMap((mark) =>
    mark.kind === "hole" && mark.state === "set" && stateOf(before.work, mark.hole) !== "set"
      ? [mark.hole]
      : [],
  );
  if (holes.length === 0) return [];
  // Gates and milestones told in the same breath count as done before the rivets.
  const work = withMarks(
    before.work,
    marks.filter(({ kind }) => kind !== "hole"),
  );
  const standing = { ...before, work };
  const { each, together } = maySetTogether(standing, holes);
  const byReason = new Map<string, Set<string>>();
  for (const { holes: about, reasons: its } of each) {
    for (const reason of its.filter(({ weight }) => weight !== "note")) {
      const said = sayReason(standing, reason, about);
      byReason.set(said, new Set([...(byReason.get(said) ?? []), ...about]));
    }
  }
  const names = namesOf(before);
  const warnings = [
    ...[...byReason].map(([said, about]) => `${names.where([...about], 3)}: ${said}`),
    ...together.filter(({ weight }) => weight !== "note").map((reason) => sayReason(standing, reason)),
  ].map(sentence);
  const more = warnings.length - MOST_WARNINGS;
  return more > 0
    ? [
        ...warnings.slice(0, MOST_WARNINGS),
        `${counted(more, "more warning")} not shown: ask about these holes.`,
      ]
    : warnings;
}
