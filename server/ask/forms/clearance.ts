import { type Figure, sumOf } from "../../fastener/figure.js";
import { leastRoom } from "../../fastener/headroom.js";
import { SAME_SIZE_MM } from "../../fastener/input.js";
import type { HeadForm, Hole, Rivet } from "../../kit/types.js";
import type { ClaimTrace } from "../../ruling/types.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { rivetSources } from "../table-sources.js";
import { drawingSource, ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots, Verdict } from "../types.js";
import { NO_TOLERANCE, sayMargin, saySum } from "../wording/clearance.js";
import { decisive } from "../wording/conditions.js";
import { capital, counted, listed, sentences, the } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { sayMissing, sayRule } from "../wording/rulings.js";
import { rivetSlot, ruledRivet } from "./fitted.js";
import { sayOpen } from "./open.js";
import { grouped, type Ruled, ruledAt } from "./ruled.js";
import { senseSlot, verdictAsPut } from "./sense.js";
import { askOn, chosenSlot, type Scope, scopeOf } from "./slots.js";

const HEADS = ["protruding", "flush"] as const;
/** Facts that say what stays free above a head. */
const ROOMS: ReadonlySet<string> = new Set(["headroomMm", "worstHeadroomMm"]);

/** Whether a head clears what comes near it: the least gap less the head, in the worst case, against the margin. */
export const clearance: Form = {
  id: "clearance",
  answer(job: Job, slots: Slots): FormAnswer {
    const scope = scopeOf(job, slots);
    const head = chosenSlot(slots, "head", HEADS);
    const rivet = rivetSlot(job, slots);
    const looks = scope.holes.map((id) => lookAt(job, ruledAt(job, id), head, rivet));
    const trace = rulingTrace(
      job,
      looks.filter(({ near }) => near).map(({ ruled }) => ruled.hole.id),
      ["head"],
    );
    const rivets = looks.flatMap((look) => (look.near ? (look.rivet ?? []) : []));
    return {
      verdict: verdictAsPut(verdictOf(looks), senseSlot(slots), looks.some(meets)),
      headline: headlineOf(job, scope, looks, slots.neighbour !== undefined),
      brief: headlineOf(job, scope, looks, slots.neighbour !== undefined, true),
      holes: scope.holes,
      rows: rowsOf(job, looks),
      trace,
      cautions: cautionsFor(job, scope.holes, ["rivet"], trace),
      sources: [...ruleSources(job, rulesIn(trace)), drawingSource(job), ...rivetSources(job, rivets)],
      followUps: [
        ...askOn(job, "treatment", slots, scope.holes),
        ...askOn(job, "why", slots, scope.holes, { attribute: "head" }),
      ],
    };
  },
};

type Clear = "clears" | "does not clear" | "not known" | "ruled all the same" | "nothing near";

interface Look {
  readonly ruled: Ruled;
  readonly near: boolean;
  readonly rivet: Rivet | null;
  readonly clear: Clear;
  readonly leavesMm: number | null;
  readonly marginMm: number | null;
  readonly what: string;
}

/** Whether a rivet's head clears at a hole, and why in words. */
export function clearanceAt(job: Job, ruled: Ruled, rivet: Rivet): Pick<Look, "clear" | "what"> {
  return lookAt(job, ruled, undefined, rivet);
}

function lookAt(job: Job, ruled: Ruled, head: HeadForm | undefined, asked: Rivet | undefined): Look {
  const { hole } = ruled;
  const { units } = job.kit;
  const { neighbour } = hole;
  const none = { ruled, near: neighbour !== null, rivet: null, leavesMm: null, marginMm: null };
  if (!neighbour)
    return { ...none, clear: "nothing near", what: "the kit names no surface that comes near the head" };
  const rivet = asked ?? proposed(job, ruled, head);
  const name = the(neighbour.name);
  if (!rivet) {
    const what = head
      ? `the kit has no ${head} rivet for this hole`
      : `which head goes in is not settled. ${sayOpen(job, ruled, ["head", "rivet"])}`.replace(/\.$/, "");
    return { ...none, clear: "not known", what };
  }
  const marginMm = marginAt(job, hole);
  const own = { ...none, rivet, marginMm };
  const figure = leavesOf(hole, rivet);
  const isOpen = neighbour.gapMm === null;
  const unknown = `${sayMissing("gapMm", { ...hole, neighbour: { ...neighbour, gapMm: null } })} is not known: measure it or ask the kit maker`;
  // What is known at one place of a travel is enough for a no, never for a yes.
  if (figure === null || (isOpen && figure.value >= (marginMm ?? 0) - 1e-6))
    return { ...own, clear: "not known", what: unknown };
  const sum = `${name}: ${saySum(figure, units)}, ${sayMargin(marginMm, units)}`;
  const least = { ...own, leavesMm: figure.value };
  const short = figure.value < (marginMm ?? 0) - 1e-6;
  const overruled = head === undefined && asked === undefined ? overruling(job, hole, rivet.head) : null;
  if (short && overruled)
    return {
      ...least,
      clear: "ruled all the same",
      what: `${sum}; yet ${overruled} settles on the ${rivet.head} head`,
    };
  if (short) return { ...least, clear: "does not clear", what: `${sum}: it does not clear` };
  if (marginMm === null) return { ...least, clear: "not known", what: sum };
  if (neighbour.toleranceMm === null)
    return { ...least, clear: "not known", what: `${sum} by the nominal sizes; ${NO_TOLERANCE}` };
  return { ...least, clear: "clears", what: `${sum}: it clears` };
}

/** Least known gap over the travel, less its tolerance, less the head; null where no gap is known. */
function leavesOf({ neighbour }: Hole, rivet: Rivet): Figure | null {
  if (!neighbour) return null;
  const places =
    neighbour.positions.length > 0 ? neighbour.positions : [{ name: null, gapMm: neighbour.gapMm }];
  const toleranceMm = neighbour.toleranceMm ?? 0;
  const gaps = places.flatMap(({ name, gapMm }) =>
    gapMm === null ? [] : [{ position: name, gapMm, toleranceMm }],
  );
  if (gaps.length === 0) return null;
  const { leaves, at } = leastRoom(gaps, rivet.headHeightMm);
  const label = at.position === null ? "gap" : `gap with ${at.position}`;
  const terms = leaves.terms
    .filter(({ what, value }) => value > 0 || what.startsWith("head"))
    .map((term, i) => {
      if (i === 0) return { ...term, what: label };
      return { ...term, what: term.what.startsWith("head") ? `${rivet.head} head` : "tolerance" };
    });
  return { ...sumOf("mm", terms), value: leaves.value };
}

/** The rivet asked about: the ruled one, or the drawn one's like with the proposed head; of several the tallest. */
function proposed(job: Job, ruled: Ruled, head: HeadForm | undefined): Rivet | null {
  const settled = ruledRivet(job, ruled);
  if (head === undefined || settled?.head === head) return settled;
  const drawn = ruled.hole.rivet;
  if (drawn.head === head) return drawn;
  const like = job.kit.rivets.filter((rivet) => rivet.head === head && rivet.kind === drawn.kind);
  const same = like.filter(({ diameterMm }) => Math.abs(diameterMm - drawn.diameterMm) <= SAME_SIZE_MM);
  return [...(same.length > 0 ? same : like)].sort((a, b) => b.headHeightMm - a.headHeightMm)[0] ?? null;
}

/** The margin that the kit or a rule wants above a head here, the largest of them; null when none does. */
function marginAt(job: Job, { id, neighbour }: Hole): number | null {
  const wanted = flushClaims(job, id).flatMap((claim) => {
    const leaves = decisive(claim.conditions);
    const applies = claim.verdict !== "false" || leaves.every(({ fact }) => ROOMS.has(fact));
    return applies
      ? roomLeaves(claim).flatMap(({ needed }) => (typeof needed === "number" ? [needed] : []))
      : [];
  });
  const all = [...wanted, ...(neighbour?.headMarginMm != null ? [neighbour.headMarginMm] : [])];
  return all.length > 0 ? Math.max(...all) : null;
}

/** Claims of a flush head that rest on the room above it. */
function flushClaims(job: Job, hole: string): readonly ClaimTrace[] {
  return job.rulings
    .trace(hole, "head")
    .claims.filter((claim) => claim.value === "flush" && roomLeaves(claim).length > 0);
}

function roomLeaves({ conditions }: ClaimTrace): ReturnType<typeof decisive> {
  return allLeaves(conditions).filter(
    ({ fact, operator }) => ROOMS.has(fact) && operator.startsWith("lessThan"),
  );
}

function allLeaves(trace: ClaimTrace["conditions"]): ReturnType<typeof decisive> {
  return trace.op === "leaf" ? [trace] : trace.of.flatMap(allLeaves);
}

/** The rule that settles on this head against the sum, in words; null when none does. */
function overruling(job: Job, hole: Hole, head: HeadForm): string | null {
  const trace = job.rulings.trace(hole.id, "head");
  if (trace.status !== "settled" || trace.value !== head) return null;
  const beaten = flushClaims(job, hole.id).filter(
    ({ verdict, lostTo }) => verdict !== "false" && lostTo.length > 0,
  );
  const winners = [...new Set(beaten.flatMap(({ lostTo }) => lostTo.map(({ rule }) => rule)))];
  const titles = winners.map((rule) => sayRule(job.rulebook.byId.get(rule)?.title ?? rule));
  return titles.length > 0 ? listed(titles) : null;
}

/** Whether the head touches at the worst: what lacks only some of its margin does not clear and yet does not foul. */
function meets({ clear, leavesMm }: Look): boolean {
  return clear === "does not clear" && leavesMm !== null && leavesMm <= 1e-6;
}

/** Whether it clears everywhere. */
function verdictOf(looks: readonly Look[]): Verdict | undefined {
  const has = (clear: Clear): boolean => looks.some((look) => look.clear === clear);
  if (looks.length === 0) return undefined;
  if (has("does not clear")) return "no";
  return has("not known") || has("ruled all the same") ? "undecided" : "yes";
}

function headlineOf(
  job: Job,
  { said, holes }: Scope,
  looks: readonly Look[],
  neighbour: boolean,
  isBrief = false,
): string {
  if (holes.length === 0)
    return sentences(neighbour ? `the kit names no hole of ${said}` : `${said} has no holes`);
  const [only] = looks;
  if (looks.length === 1 && only) return sentences(`${START[only.clear]}. ${capital(said)}: ${only.what}`);
  const where = (clear: Clear): readonly string[] =>
    looks.filter((look) => look.clear === clear).map(({ ruled }) => ruled.hole.id);
  const outcomes: readonly (readonly [Clear, string])[] = [
    ["does not clear", "the head does not clear"],
    ["not known", "whether it clears is not decided"],
    ["ruled all the same", "by the gap it would not clear, yet a stronger rule settles on that head"],
    ["clears", "it clears"],
    ["nothing near", "nothing comes near"],
  ];
  // The first of them are named, for they matter most; the others stand in the rows.
  const told = outcomes
    .filter(([clear]) => where(clear).length > 0)
    .map(([clear, text], i) => {
      const list = where(clear);
      if (list.length === holes.length) return text;
      return `${text} at ${counted(list.length, "hole")}${i === 0 && !isBrief ? ` (${namesOf(job).where(list, 2)})` : ""}`;
    });
  const near = holes.length - where("nothing near").length;
  if (near === 0) return sentences(`nothing comes near a head on ${said}: the kit names no surface there`);
  return sentences(`${overall(looks)}. ${capital(said)}`.concat(": ", told.join("; ")), tightest(job, looks));
}

/** Over all holes; in words that "does it foul" cannot turn round. */
function overall(looks: readonly Look[]): string {
  const verdict = verdictOf(looks);
  if (verdict === undefined) return "";
  return {
    yes: START.clears,
    no: START["does not clear"],
    undecided: "not decided everywhere",
    conflict: "",
  }[verdict];
}

const START: Readonly<Record<Clear, string>> = {
  clears: "it clears",
  "does not clear": "it does not clear",
  "not known": "not decided",
  "ruled all the same": "not decided by the gap",
  "nothing near": "nothing comes near",
};

/** The hole with the least room, with its sum. */
function tightest(job: Job, looks: readonly Look[]): string {
  const known = looks.filter(({ leavesMm, clear }) => leavesMm !== null && clear !== "ruled all the same");
  const [least] = [...known].sort((a, b) => (a.leavesMm ?? 0) - (b.leavesMm ?? 0));
  return least ? `the tightest is ${namesOf(job).hole(least.ruled.hole.id)}: ${least.what}` : "";
}

function rowsOf(job: Job, looks: readonly Look[]): readonly AnswerRow[] {
  // Gaps change from hole to hole: holes of one row with one outcome stand together, with the tightest one's sum.
  return grouped(looks, ({ ruled, clear, rivet }) => [ruled.hole.rowId, clear, rivet?.code]).map((group) => {
    const holes = group.map(({ ruled }) => ruled.hole.id);
    const [first] = [...group].sort((a, b) => (a.leavesMm ?? 0) - (b.leavesMm ?? 0)) as [Look, ...Look[]];
    const uneven = new Set(group.map(({ what }) => what)).size > 1;
    return {
      holes,
      where: namesOf(job).everywhere(holes),
      what: `${first.rivet ? `${first.rivet.code}; ` : ""}${uneven ? `at the tightest, ${namesOf(job).hole(first.ruled.hole.id)}, ` : ""}${first.what}`,
      clear: first.clear,
      leavesMm: first.leavesMm,
      marginMm: first.marginMm,
      rivet: first.rivet?.code ?? null,
    };
  });
}
