import type { Job } from "./ask/types.js";
import { counted, sentence } from "./ask/wording/grammar.js";
import { namesOf } from "./ask/wording/names.js";
import { sayWeighing } from "./ask/wording/reasons.js";
import { type Mark, stateOf, withMarks } from "./kit/work.js";
import { maySetTogether } from "./order/may-set.js";
import type { Reason } from "./order/types.js";

/** More than this is not read at the bench; the questions give the rest. */
const MOST_WARNINGS = 8;
/** More rivets than this in one go are not looked at one by one: the reply must come while the hands are still there. */
const MOST_LOOKED_AT = 500;

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
  if (holes.length > MOST_LOOKED_AT) {
    return [`${counted(holes.length, "rivet")} told at once were not looked at one by one; ask about them.`];
  }
  // Gates and milestones told in the same breath count as done before the rivets.
  const prepared = marks.filter(({ kind }) => kind !== "hole");
  const job = { ...before, work: withMarks(before.work, prepared) };
  const { each, together } = maySetTogether(job, holes);
  const byText = new Map<string, { readonly code: Reason["code"]; readonly about: string[] }>();
  for (const { holes: about, reasons } of each) {
    for (const { code, text } of sayWeighing(job, weighing(reasons), about)) {
      byText.set(text, { code, about: [...(byText.get(text)?.about ?? []), ...about] });
    }
  }
  // What matters most first, over all holes: the list is cut off at its end.
  const reasons = each.flatMap((one) => weighing(one.reasons));
  const codes = sayWeighing(job, reasons, holes).map(({ code }) => code);
  const sorted = [...byText].sort(([, a], [, b]) => codes.indexOf(a.code) - codes.indexOf(b.code));
  const names = namesOf(job);
  const warnings = [
    ...sayWeighing(job, weighing(together), holes).map(({ text }) => `all of them: ${text}`),
    ...sorted.map(([text, { about }]) => `${names.where(about, 3)}: ${text}`),
  ].map(sentence);
  const more = warnings.length - MOST_WARNINGS;
  return more > 0
    ? [
        ...warnings.slice(0, MOST_WARNINGS),
        `${counted(more, "more warning")} not shown; ask about these holes.`,
      ]
    : warnings;
}

function weighing(reasons: readonly Reason[]): readonly Reason[] {
  return reasons.filter(({ weight }) => weight !== "note");
}
