import { stateOf } from "../../kit/work.js";
import { maySet } from "../../order/may-set.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots, Verdict } from "../types.js";
import { counted, listed, plural, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading } from "../wording/readings.js";
import { sayWeighing } from "../wording/reasons.js";
import { sayOpen } from "./open.js";
import { grouped, rowOf, ruledAt, settledText } from "./ruled.js";
import { milestoneSlot, scopeOf } from "./slots.js";

/** Holes that one milestone lets go, and whether it is reached. */
interface Release {
  readonly milestone: string;
  readonly reached: boolean;
  /** Unset ones, in the assembly's order. */
  readonly holes: readonly string[];
}

/** What is closed at which milestone, and what a milestone that is reached has let go. */
export const closeLater: Form = {
  id: "close-later",
  answer(job: Job, slots: Slots): FormAnswer {
    const scope = scopeOf(job, slots);
    const milestone = milestoneSlot(job, slots);
    const unset = scope.holes.filter((hole) => stateOf(job.work, hole) !== "set");
    const releases = releasesOf(job, unset).filter(
      (release) => !milestone || release.milestone === milestone,
    );
    const open = unset.filter((hole) => {
      const { status } = ruledAt(job, hole).of("hold");
      return status === "undecided" || status === "conflict";
    });
    const holes = releases.flatMap((release) => release.holes);
    const trace = rulingTrace(job, [...holes, ...open], ["hold"]);
    const free = releases.filter(({ reached }) => reached).flatMap((release) => release.holes);
    return {
      verdict: openVerdictOf(job, open),
      headline: headlineOf(job, scope.said, milestone, releases, open),
      brief: headlineOf(job, scope.said, milestone, releases, open, true),
      holes,
      rows: [...releases.flatMap((release) => rowsOf(job, release)), ...openRows(job, open)],
      trace,
      cautions: cautionsFor(job, free, free.length > 0 ? ["rivet"] : [], trace),
      sources: ruleSources(job, rulesIn(trace)),
      followUps: [
        ...(free.length > 0 ? [reading(job, "may-i", { act: "set", holes: free })] : []),
        ...releases
          .filter(({ reached }) => !reached)
          .slice(0, 2)
          .map((release) => reading(job, "tell", { milestone: release.milestone, reached: "yes" })),
      ],
    };
  },
};

/** By milestone, in the assembly's order; those that let nothing go are left out. */
function releasesOf(job: Job, holes: readonly string[]): readonly Release[] {
  return job.assembly.milestones
    .map(({ id }) => ({
      milestone: id,
      reached: job.work.milestones.has(id),
      holes: holes.filter((hole) => settledText(ruledAt(job, hole).of("hold")) === id),
    }))
    .filter((release) => release.holes.length > 0);
}

function openVerdictOf(job: Job, open: readonly string[]): Verdict | undefined {
  if (open.length === 0) return undefined;
  return open.some((hole) => ruledAt(job, hole).of("hold").status === "conflict") ? "conflict" : "undecided";
}

function headlineOf(
  job: Job,
  said: string,
  milestone: string | undefined,
  releases: readonly Release[],
  open: readonly string[],
  isBrief = false,
): string {
  const names = namesOf(job);
  const unsure =
    open.length > 0 &&
    `whether ${counted(open.length, "more hole")} ${plural(open.length, "is", "are")} held open is not decided`;
  if (releases.length === 0) {
    const until = milestone ? ` until ${names.milestone(milestone)}` : "";
    return sentences(`no hole of ${said} is held open${until}`, unsure);
  }
  const waiting = releases.filter(({ reached }) => !reached);
  const [only] = waiting;
  return sentences(
    ...releases
      .filter(({ reached }) => reached)
      .map(
        (release) =>
          `${names.milestone(release.milestone)}: ${counted(release.holes.length, "hole")} ${plural(release.holes.length, "is", "are")} no longer held, ${mayBeSet(job, release)}`,
      ),
    only && waiting.length === 1
      ? `once ${names.milestone(only.milestone)}, ${counted(only.holes.length, "hole")} ${plural(only.holes.length, "is", "are")} no longer held${isBrief ? "" : `: ${names.where(only.holes)}`}`
      : waiting.length > 1 &&
          `no longer held: ${listed(waiting.map((release) => `${counted(release.holes.length, "hole")} once ${names.milestone(release.milestone)}`))}`,
    unsure,
  );
}

function mayBeSet(job: Job, { holes }: Release): string {
  const free = holes.filter((hole) => maySet(job, hole).verdict === "yes").length;
  if (free === holes.length) return "and may be set now";
  return free === 0 ? "but none may be set yet" : `${free} of them may be set now`;
}

/** A release that is reached tells of each hole whether it may be set now; one to come only what it waits for. */
function rowsOf(job: Job, { milestone, reached, holes }: Release): readonly AnswerRow[] {
  const names = namesOf(job);
  const lines = holes.map((hole) => ({ hole, ...lineOf(job, hole, milestone, reached) }));
  return grouped(lines, ({ hole, ...line }) => [rowOf(job, hole), line]).map((group) => {
    const ids = group.map(({ hole }) => hole);
    const { what = "", verdict = null } = group[0] ?? {};
    return { holes: ids, where: names.everywhere(ids), what, milestone, reached, verdict };
  });
}

function lineOf(
  job: Job,
  hole: string,
  milestone: string,
  reached: boolean,
): { readonly what: string; readonly verdict: Verdict | null } {
  const name = namesOf(job).milestone(milestone);
  if (!reached) return { what: sentences(`open until ${name}`), verdict: null };
  const may = maySet(job, hole);
  const reasons = sayWeighing(
    job,
    may.reasons.filter(({ weight }) => weight === may.verdict),
    [hole],
  ).map(({ text }) => text);
  const lead =
    may.verdict === "yes" ? "no longer held: may be set now" : "no longer held, but not to be set yet";
  return { what: sentences(lead, ...reasons), verdict: may.verdict };
}

function openRows(job: Job, open: readonly string[]): readonly AnswerRow[] {
  return grouped(open, (hole) => [rowOf(job, hole), sayOpen(job, ruledAt(job, hole), ["hold"])]).map(
    (holes) => ({
      holes,
      where: namesOf(job).everywhere(holes),
      what: sayOpen(job, ruledAt(job, holes[0] ?? ""), ["hold"]),
      milestone: null,
      reached: null,
      verdict: ruledAt(job, holes[0] ?? "").of("hold").status,
    }),
  );
}
