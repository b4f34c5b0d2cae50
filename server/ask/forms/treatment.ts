import { outsideLimits } from "../../fastener/flush-tool.js";
import { TREATMENTS, type Treatment } from "../../kit/types.js";
import { holdOf } from "../../order/holds.js";
import { misfitsOf } from "../../order/misfit.js";
import { formsFirst, workAt } from "../../order/prep.js";
import type { Hold } from "../../order/types.js";
import { type Act, actsOf, cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { citedSources, withUnverified } from "../table-sources.js";
import { ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Reading, Slots } from "../types.js";
import { capital, counted, sentences } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { reading, sayWanted, TREATED } from "../wording/readings.js";
import { sayMisfit } from "../wording/reasons.js";
import { sayCounts, sayFlushWay, sayHead, sayWork } from "../wording/rulings.js";
import { sayOutside } from "../wording/step-sheet.js";
import { handbookWayAt, ruledRivet } from "./fitted.js";
import { sayOpen } from "./open.js";
import {
  grouped,
  isEnlarged,
  openVerdict,
  type Ruled,
  ruledAt,
  settledNumber,
  settledText,
} from "./ruled.js";
import { askOn, chosenSlot, type Scope, scopeOf } from "./slots.js";

const ATTRIBUTES = ["treatment", "under", "finalDiameterMm", "head", "rivet"] as const;
const HEADS = ["protruding", "flush"] as const;

interface Filter {
  readonly treatment: Treatment | undefined;
  /** A second treatment that will do as well: "dimpled or countersunk". */
  readonly orTreatment: Treatment | undefined;
  readonly head: (typeof HEADS)[number] | undefined;
  readonly not: boolean;
}

/** What is done to each hole and to what size, or which holes get a treatment or a head. */
export const treatment: Form = {
  id: "treatment",
  answer(job: Job, slots: Slots): FormAnswer {
    const scope = scopeOf(job, slots);
    const filter: Filter = {
      treatment: chosenSlot(slots, "treatment", TREATMENTS),
      orTreatment: chosenSlot(slots, "orTreatment", TREATMENTS),
      head: chosenSlot(slots, "head", HEADS),
      not: chosenSlot(slots, "not", ["yes", "no"]) === "yes",
    };
    const ruled = scope.holes.map((id) => ruledAt(job, id));
    const verdicts = ruled.map((one) => ({ one, meets: meets(one, filter) }));
    const told = verdicts.filter(({ meets }) => meets === true).map(({ one }) => one);
    const open = verdicts.filter(({ meets }) => meets === null).map(({ one }) => one);
    const [one, ...more] = ruled;
    if (one && more.length === 0 && isFiltering(filter)) {
      return { ...yesOrNo(job, scope, filter, one), ...evidence(job, slots, [one], []), holes: scope.holes };
    }
    return {
      verdict: openVerdict([...told, ...open]),
      headline: isFiltering(filter) ? headlineOf(job, scope, filter, told, open) : overview(job, scope, told),
      holes: told.map(({ hole }) => hole.id),
      ...evidence(job, slots, told, open),
    };
  },
};

/** Rows, trace, cautions and what to ask next, for the holes told of and those on which it is not decided. */
function evidence(
  job: Job,
  slots: Slots,
  told: readonly Ruled[],
  open: readonly Ruled[],
): Omit<FormAnswer, "verdict" | "headline" | "holes"> {
  const holes = [...told, ...open].map(({ hole }) => hole.id);
  const trace = rulingTrace(job, holes, ATTRIBUTES);
  const cited = [...told, ...open].flatMap((one) => handbookWayAt(job, one)?.sources ?? []);
  return {
    rows: rowsOf(job, told, open),
    trace,
    cautions: withUnverified(cautionsFor(job, holes, actsFor(job, told), trace), cited),
    sources: [...ruleSources(job, rulesIn(trace)), ...citedSources(cited)],
    followUps: followUps(job, slots, told),
  };
}

/** One hole and a treatment or a head: a question of yes or no. */
function yesOrNo(
  job: Job,
  { said }: Scope,
  filter: Filter,
  ruled: Ruled,
): Pick<FormAnswer, "verdict" | "headline"> {
  const answer = meets(ruled, filter);
  const what = whatOf(job, ruled);
  if (answer === null) {
    return {
      verdict: openVerdict([ruled]) ?? "undecided",
      headline: sentences(`not decided for ${said}`, what),
    };
  }
  const fact = sentences(`${capital(said)}: ${what}`);
  // Whether it is not dimpled: what a yes or a no would mean hangs on who reads it.
  if (filter.not) return { headline: fact };
  return {
    // Asked which of two, "yes" says nothing.
    verdict: answer ? (filter.orTreatment === undefined ? "yes" : undefined) : "no",
    headline:
      answer && filter.orTreatment !== undefined ? fact : sentences(answer ? "yes" : "no").concat(" ", fact),
  };
}

function isFiltering({ treatment, orTreatment, head }: Filter): boolean {
  return treatment !== undefined || orTreatment !== undefined || head !== undefined;
}

/** Whether a hole is one that was asked for; null when that hangs on something that is not settled. */
function meets(ruled: Ruled, { treatment, orTreatment, head, not }: Filter): boolean | null {
  const treatments = [treatment, orTreatment].filter((wanted) => wanted !== undefined);
  const found = [
    ...(treatments.length > 0 ? [either(treatments.map((wanted) => isTreated(ruled, wanted)))] : []),
    ...(head === undefined ? [] : [isOf(ruled, "head", head)]),
  ];
  const all = found.includes(false) ? false : found.includes(null) ? null : true;
  return all === null || !not ? all : !all;
}

function either(found: readonly (boolean | null)[]): boolean | null {
  return found.includes(true) ? true : found.includes(null) ? null : false;
}

/** A hole that is dimpled may be enlarged first, or sit in a countersink: it is enlarged, or countersunk, too. */
function isTreated(ruled: Ruled, wanted: Treatment): boolean | null {
  if (wanted === "enlarge") return isEnlarged(ruled);
  const found = isOf(ruled, "treatment", wanted);
  const { status, value } = ruled.of("under");
  const mayBeUnder = wanted === "countersink" && isOf(ruled, "treatment", "dimple") !== false;
  if (found !== false || !mayBeUnder || ruled.hole.layers.length < 2 || status === "unclaimed") return found;
  return status === "settled" ? value === "countersink" : null;
}

function isOf({ of }: Ruled, attribute: string, wanted: string): boolean | null {
  const value = settledText(of(attribute));
  return value === null ? null : value === wanted;
}

function overview(job: Job, { said, holes }: Scope, told: readonly Ruled[]): string {
  if (holes.length === 0) return `${capital(said)} has no holes.`;
  const works = grouped(told, (one) => whatOf(job, one));
  const rows = grouped(told, ({ hole }) => hole.rowId).length;
  const [first] = told;
  if (works.length === 1 && first) {
    const where = rows > 1 ? `all ${holes.length} holes of ${said}` : namesOf(job).where(holes);
    return sentences(`${where}: ${whatOf(job, first)}`);
  }
  return sentences(
    `${counted(holes.length, "hole")} of ${said}: ${sayCounts(countsOf(told))}`,
    exceptionsSaid(job, told, rows),
  );
}

/** How many holes get each treatment, or have none settled. */
function countsOf(told: readonly Ruled[]): ReadonlyMap<string, number> {
  const counts = new Map<string, number>();
  for (const { of } of told) {
    const { status } = of("treatment");
    const value = settledText(of("treatment"));
    const word =
      value === null ? (status === "conflict" ? "in conflict" : "undecided") : (TREATED[value] ?? value);
    counts.set(word, (counts.get(word) ?? 0) + 1);
  }
  return counts;
}

function headlineOf(
  job: Job,
  { said, holes }: Scope,
  { treatment, orTreatment, head, not }: Filter,
  told: readonly Ruled[],
  open: readonly Ruled[],
): string {
  const be = told.length === 1 ? "is" : "are";
  // What is ruled, never what was done: "are dimpled" would say that somebody has dimpled them.
  const words =
    head === undefined && treatment !== "as punched" && orTreatment !== "as punched"
      ? `${not && orTreatment === undefined ? "not " : ""}to be ${sayWanted([treatment, orTreatment], head, not && orTreatment !== undefined)}`
      : sayWanted([treatment, orTreatment], head, not);
  const where = told.length > 0 ? namesOf(job).where(told.map(({ hole }) => hole.id)) : "";
  // Asked which of two, how many get each stands before where they are.
  const each = orTreatment !== undefined && !not && told.length > 0 ? sayCounts(countsOf(told)) : "";
  return sentences(
    [`${counted(told.length, "hole")} of ${said} ${be} ${words}`, each || where]
      .filter((one) => one !== "")
      .join(": "),
    each !== "" && where,
    open.length > 0 &&
      `whether ${counted(open.length, "more hole")} ${open.length === 1 ? "is" : "are"}, is not decided yet`,
    told.length === holes.length && told.length > 1 && "that is all of them",
  );
}

/** The work at a hole, or what is open about it. */
function whatOf(job: Job, ruled: Ruled): string {
  const { hole, of } = ruled;
  const names = namesOf(job);
  const layers = workAt(hole, job.rulings.of(hole.id));
  const treatment = settledText(of("treatment"));
  const head = settledText(of("head"));
  const rivet = settledText(of("rivet"));
  const work =
    treatment === null
      ? ""
      : sayWork(
          {
            treatment,
            finalDiameterMm: settledNumber(of("finalDiameterMm")),
            punchedMm: hole.punchedMm,
            layers,
            isFormedFirst: formsFirst(job.kit, treatment === "dimple" ? "dimple" : "countersink"),
          },
          names,
          job.kit.units,
        );
  const fitted = ruledRivet(job, ruled);
  const outside = fitted ? sayOutside(outsideLimits(fitted.diameterMm, layers), job) : "";
  const way = handbookWayAt(job, ruled);
  const hold = holdOf(job.rulings, job.work, hole.id);
  const settled = [
    work,
    outside,
    ...misfitsOf(job, hole).map((misfit) => sayMisfit(job, misfit)),
    rivet ? `rivet ${names.rivet(rivet)}` : "",
    head ? sayHead(head) : "",
    hold ? sayHeld(job, hold) : "",
  ].filter((word) => word !== "");
  const open = sentences(sayOpen(job, ruled, ATTRIBUTES), way && sayFlushWay(way.layers, names));
  return open === "" ? settled.join("; ") : sentences(settled.join("; "), open).replace(/\.$/, "");
}

function rowsOf(job: Job, told: readonly Ruled[], open: readonly Ruled[]): readonly AnswerRow[] {
  const odd = exceptionsIn(told);
  const rows = (list: readonly Ruled[], asked: boolean): AnswerRow[] =>
    grouped(list, (one) => [
      one.hole.rowId,
      signature(one),
      holdOf(job.rulings, job.work, one.hole.id)?.until,
      whatOf(job, one),
    ]).map((group) => {
      const first = group[0] as Ruled;
      const holes = group.map(({ hole }) => hole.id);
      return {
        holes,
        where: namesOf(job).everywhere(holes),
        what: whatOf(job, first),
        treatment: settledText(first.of("treatment")),
        layers: workAt(first.hole, job.rulings.of(first.hole.id)).map(({ part, act }) => ({ part, act })),
        punchedMm: first.hole.punchedMm,
        finalDiameterMm: settledNumber(first.of("finalDiameterMm")),
        head: settledText(first.of("head")),
        rivet: settledText(first.of("rivet")),
        verdict: first.verdict,
        exception: holes.some((id) => odd.has(id)),
        asked,
      };
    });
  return [...rows(told, true), ...rows(open, false)];
}

/** That the hole stays open for now, or that the rules don't tell. */
function sayHeld(job: Job, { until }: Hold): string {
  return until === null
    ? "whether it stays open is not decided"
    : `stays open until ${namesOf(job).milestone(until)}`;
}

function signature({ hole, of }: Ruled): unknown {
  return [
    hole.punchedMm,
    hole.layers.length,
    ...ATTRIBUTES.map((attribute) => {
      const { status, value, missing } = of(attribute);
      return [status, value, missing];
    }),
  ];
}

/** Holes that are treated unlike most of their row. A row without a majority has none. */
function exceptionsIn(told: readonly Ruled[]): ReadonlySet<string> {
  const odd = new Set<string>();
  for (const row of grouped(told, ({ hole }) => hole.rowId)) {
    const kinds = [...grouped(row, signature)].sort((a, b) => b.length - a.length);
    if ((kinds[0]?.length ?? 0) * 2 <= row.length) continue;
    for (const kind of kinds.slice(1)) for (const { hole } of kind) odd.add(hole.id);
  }
  return odd;
}

function exceptionsSaid(job: Job, told: readonly Ruled[], rows: number): string {
  const odd = exceptionsIn(told);
  if (odd.size === 0) return "";
  if (rows === 1) return `not like the rest of the row: ${namesOf(job).where([...odd])}`;
  const uneven = new Set(told.filter(({ hole }) => odd.has(hole.id)).map(({ hole }) => hole.rowId)).size;
  return `${counted(uneven, "row")} ${uneven === 1 ? "is" : "are"} not treated alike throughout`;
}

function actsFor(job: Job, told: readonly Ruled[]): readonly Act[] {
  const acts = new Set<Act>();
  for (const { hole, of } of told) {
    const found = TREATMENTS.find((name) => name === settledText(of("treatment")));
    const finalMm = settledNumber(of("finalDiameterMm"));
    if (!found) continue;
    const layers = workAt(hole, job.rulings.of(hole.id));
    for (const act of actsOf(layers, found, finalMm !== null && finalMm > hole.punchedMm)) acts.add(act);
  }
  return [...acts];
}

/** Why it is so; what stays open there; whether the part's family is alike. */
function followUps(job: Job, slots: Slots, told: readonly Ruled[]): readonly Reading[] {
  const holes = told.map(({ hole }) => hole.id);
  const isWhole = !slots.hole && !slots.holes && !slots.row && !slots.part && !slots.family;
  const families = new Set(
    told.map(({ hole }) => job.assembly.parts.find(({ id }) => id === hole.part)?.family ?? null),
  );
  const [family] = families;
  return [
    ...(isWhole || holes.length === 0 ? [] : askOn(job, "why", slots, holes)),
    ...askOn(job, "stay-open", slots, holes),
    ...(families.size === 1 && family ? [reading(job, "odd-ones", { family })] : []),
  ];
}
