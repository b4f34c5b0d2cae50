import { sizesForHole } from "../../fastener/drill.js";
import { type GripFit, gripAt, gripFitOf, stackFormOf } from "../../fastener/fit.js";
import { SAME_SIZE_MM } from "../../fastener/input.js";
import { type LengthChoice, type SolidLength, solidLength, tabledLengths } from "../../fastener/length.js";
import { inchSizeAbove, tableSizeOf } from "../../fastener/rivet-size.js";
import { shopHead } from "../../fastener/shop-head.js";
import type { Citation } from "../../fastener/table.js";
import type { Hole, Rivet } from "../../kit/types.js";
import { holdOf } from "../../order/holds.js";
import { type Misfit, misfitsOf } from "../../order/misfit.js";
import { Problem } from "../../problem.js";
import { cautionsFor } from "../cautions.js";
import type { Form } from "../form.js";
import { citedSources, rivetSources, withUnverified } from "../table-sources.js";
import { ruleSources, rulesIn, rulingTrace } from "../trace.js";
import type { AnswerRow, FormAnswer, Job, Slots, Verdict } from "../types.js";
import {
  sayFinishedHole,
  sayGripFit,
  sayGripSum,
  sayNoneHolds,
  sayOthersThatHold,
  sayRivet,
  sayRivetCounts,
  sayShopHead,
  saySolidLength,
  sayTabledLengths,
  sayTail,
} from "../wording/fastener.js";
import { capital, counted, listed, plural, sentences, the } from "../wording/grammar.js";
import { namesOf } from "../wording/names.js";
import { sayMisfit } from "../wording/reasons.js";
import { sayCitation, sayLimits, sayWritten } from "../wording/sizes.js";
import { fittedAt, namesPlace, rivetSlot, ruledRivet, sizeSlot } from "./fitted.js";
import { sayOpen } from "./open.js";
import { grouped, openVerdict, type Ruled, ruledAt } from "./ruled.js";
import { type Sense, senseSlot, verdictAsPut } from "./sense.js";
import { askOn, type Scope, scopeOf, textSlot } from "./slots.js";

const ATTRIBUTES = ["rivet", "head", "treatment", "finalDiameterMm"] as const;

/** Which rivet goes in, and whether it holds the stack; or which rivet a hole of some size is for. */
export const fastener: Form = {
  id: "fastener",
  answer(job: Job, slots: Slots): FormAnswer {
    const rivet = rivetSlot(job, slots);
    const size = sizeSlot(slots, "size");
    const hole = sizeSlot(slots, "drill");
    if (!namesPlace(slots)) {
      if (rivet) return aboutRivet(job, rivet);
      if (hole) return forHole(job, textSlot(slots, "drill") ?? "", hole.mm);
      if (size) return ofSize(job, textSlot(slots, "size") ?? "", size.mm);
    }
    const scope = scopeOf(job, slots);
    const ruled = scope.holes.map((id) => ruledAt(job, id));
    const looks = ruled.map((one) => lookAt(job, one));
    const open = looks.filter((look) => look.rivet === null).map(({ ruled }) => ruled);
    const trace = rulingTrace(job, scope.holes, ["rivet", "head"]);
    const cited = looks.flatMap(({ cited }) => cited);
    const rivets = looks.flatMap((look) => look.rivet ?? []);
    const asked = rivet ?? size;
    return {
      ...(asked
        ? asAsked(
            scope,
            looks,
            senseSlot(slots),
            rivet ? rivet.code : sayWritten(textSlot(slots, "size") ?? ""),
            (one) =>
              rivet ? one.code === rivet.code : Math.abs(one.diameterMm - (size?.mm ?? 0)) <= SAME_SIZE_MM,
          )
        : {
            verdict: verdictAsPut(openVerdict(open) ?? fitVerdict(looks), senseSlot(slots), false),
            headline: headlineOf(scope, looks),
          }),
      holes: scope.holes,
      rows: rowsOf(job, looks),
      trace,
      cautions: withUnverified(cautionsFor(job, scope.holes, ["rivet"], trace), cited),
      sources: [...ruleSources(job, rulesIn(trace)), ...rivetSources(job, rivets), ...citedSources(cited)],
      followUps: [...askOn(job, "tools", slots, scope.holes), ...askOn(job, "treatment", slots, scope.holes)],
    };
  },
};

/** One hole's rivet with what can be computed of it. */
interface Look {
  readonly ruled: Ruled;
  readonly rivet: Rivet | null;
  readonly what: string;
  /** The rivet and whether it holds, for a headline. */
  readonly brief: string;
  readonly fit: GripFit | null;
  /** What else keeps it from going in as ruled. */
  readonly misfits: readonly Misfit[];
  readonly gripMm: number | null;
  /** Lengths that a table offers where the kit states no range that holds the stack; null where none was asked. */
  readonly tabled: readonly LengthChoice[] | null;
  readonly cited: readonly Citation[];
}

function lookAt(job: Job, ruled: Ruled): Look {
  const names = namesOf(job);
  const { units } = job.kit;
  const { hole } = ruled;
  const rivet = ruledRivet(job, ruled);
  if (!rivet) {
    const what = `drawn: ${names.rivet(hole.rivet.code)}, but that is not settled. ${sayOpen(job, ruled, ATTRIBUTES)}`;
    const said = what.replace(/\.$/, "");
    return { ruled, rivet: null, what: said, brief: said, ...UNSETTLED };
  }
  const fitted = fittedAt(job, ruled);
  const form = stackFormOf(fitted?.layers ?? []);
  const grip = gripAt(hole, rivet, form);
  const fit = gripFitOf(rivet, hole.gripMm, form);
  const solid = rivet.kind === "solid" ? lengthOf(rivet, hole.gripMm) : null;
  const head = rivet.kind === "solid" ? shopHead(rivet.diameterMm) : null;
  const hold = holdOf(job.rulings, job.work, hole.id);
  // What its grip range says is told by itself.
  const misfits = misfitsOf(job, hole).filter(({ what }) => what !== "too thick" && what !== "too thin");
  const others = alike(job, rivet).filter((one) => gripFitOf(one, hole.gripMm, form) === "fits");
  // The tables answer where the kit does not: without a range of its own, or without a rivet that holds.
  const asksTable = form === "flat" && (rivet.grip === null || (isBad(fit) && others.length === 0));
  const tabled = asksTable ? tabledLengths(rivet, hole.gripMm) : null;
  const brief = [sayRivet(rivet, names, units), sayGripFit(rivet, fit, form, units)];
  const what = [
    brief[0] ?? "",
    sayGripSum(grip, names, units),
    brief[1] ?? "",
    ...misfits.map((misfit) => sayMisfit(job, misfit)),
    sayOthersThatHold(
      others.map(({ code }) => code),
      fit,
    ),
    isBad(fit) && others.length === 0 ? sayNoneHolds([rivet, ...alike(job, rivet)], grip.value, units) : "",
    tabled ? sayTabledLengths(tabled, units) : "",
    sayFinishedHole(rivet, units),
    ...(head
      ? [saySolidLength(solid, rivet, form, units), sayShopHead(head, units)]
      : [sayTailRoom(job, hole)]),
    hold?.until ? `stays open until ${names.milestone(hold.until)}` : "",
  ];
  return {
    ruled,
    rivet,
    what: what.filter((text) => text !== "").join("; "),
    brief: brief.join("; "),
    fit,
    misfits,
    gripMm: grip.value,
    tabled: tabled?.choices ?? null,
    cited: [
      ...(solid && solid !== "too thick" ? solid.sources : []),
      ...(head ? head.sources : []),
      ...(tabled ? [...tabled.choices.map(({ source }) => source), tabled.thumb.source] : []),
    ],
  };
}

const UNSETTLED = { fit: null, misfits: [], gripMm: null, tabled: null, cited: [] } as const;

/** Null for a size that no table has; "too thick" for a stack on which the tables disagree. */
function lengthOf({ diameterMm, head }: Rivet, gripMm: number): SolidLength | "too thick" | null {
  const inch = tableSizeOf(diameterMm, "solid") && inchSizeAbove(diameterMm);
  if (!inch) return null;
  try {
    return solidLength(inch, gripMm, head);
  } catch (error) {
    if (error instanceof Problem && error.code === "FASTENER_OUT_OF_TABLE") return "too thick";
    throw error;
  }
}

/** Other rivets of the kit of the same kind, head and diameter. */
function alike({ kit }: Job, rivet: Rivet): readonly Rivet[] {
  return kit.rivets.filter(
    ({ code, kind, head, diameterMm }) =>
      code !== rivet.code &&
      kind === rivet.kind &&
      head === rivet.head &&
      Math.abs(diameterMm - rivet.diameterMm) <= SAME_SIZE_MM,
  );
}

/** The longest room that a tail needs behind the sheet, over the hole's approaches. */
function sayTailRoom({ kit }: Job, hole: Hole): string {
  const rooms = kit.approaches
    .filter(({ id }) => hole.approaches.includes(id))
    .flatMap(({ rooms }) => rooms.filter(({ side, what }) => side === "tail" && /\btail\b/i.test(what)));
  const longest = Math.max(...rooms.map(({ fromMm, lengthMm }) => fromMm + lengthMm));
  return rooms.length > 0 ? sayTail(longest, kit.units) : "";
}

function rowsOf(job: Job, looks: readonly Look[]): readonly AnswerRow[] {
  return grouped(looks, ({ ruled, what }) => [ruled.hole.rowId, what]).map((group) => {
    const [first] = group as [Look, ...Look[]];
    const holes = group.map(({ ruled }) => ruled.hole.id);
    const { rivet } = first;
    return {
      holes,
      where: namesOf(job).everywhere(holes),
      what: first.what,
      rivet: rivet?.code ?? null,
      drawn: first.ruled.hole.rivet.code,
      diameterMm: rivet?.diameterMm ?? null,
      head: rivet?.head ?? null,
      gripMm: first.gripMm,
      holdsMm: rivet?.grip ?? null,
      fit: first.fit,
      tabled: first.tabled,
      verdict: rivet ? "settled" : first.ruled.verdict,
    };
  });
}

function headlineOf({ said, holes }: Scope, looks: readonly Look[]): string {
  if (holes.length === 0) return `${capital(said)} has no holes.`;
  const counts = new Map<string | null, number>();
  for (const { rivet } of looks) {
    const code = rivet?.code ?? null;
    counts.set(code, (counts.get(code) ?? 0) + 1);
  }
  const [only] = looks;
  return sentences(
    looks.length === 1 && only
      ? `${said}: ${only.brief}`
      : `${counted(holes.length, "rivet")} for ${said}: ${sayRivetCounts(counts)}`,
    looks.length > 1 && doubts(looks),
  );
}

/** Whether every rivet goes in and holds its stack, where that is not a plain yes. */
function fitVerdict(looks: readonly Look[]): Verdict | undefined {
  if (looks.some(({ fit, misfits }) => isBad(fit) || misfits.length > 0)) return "no";
  return looks.some(({ fit }) => fit === "not known") ? "undecided" : undefined;
}

function isBad(fit: GripFit | null): boolean {
  return fit === "stack too thick" || fit === "stack too thin";
}

/** Rivets that don't go in or don't hold their stack, or of which that is not known. */
function doubts(looks: readonly Look[]): string {
  const codes = (wanted: (look: Look) => boolean): string[] => [
    ...new Set(looks.flatMap((look) => (look.rivet && wanted(look) ? [look.rivet.code] : []))),
  ];
  const misfit = codes(({ misfits }) => misfits.length > 0);
  const bad = codes(({ fit }) => isBad(fit));
  const unknown = codes(({ fit }) => fit === "not known");
  return sentences(
    misfit.length > 0 &&
      `${listed(misfit)} ${plural(misfit.length, "does", "do")} not go in everywhere as ruled: see the rows`,
    bad.length > 0 &&
      `${listed(bad)} ${plural(bad.length, "does", "do")} not hold the stack everywhere: see the rows`,
    unknown.length > 0 &&
      `whether ${listed(unknown)} ${plural(unknown.length, "holds", "hold")} the stack is not known: see the rows`,
  );
}

/** A rivet that was proposed against the one that is ruled. */
function asAsked(
  { said }: Scope,
  looks: readonly Look[],
  sense: Sense,
  asked: string,
  isIt: (rivet: Rivet) => boolean,
): Pick<FormAnswer, "verdict" | "headline"> {
  const other = looks.filter(({ rivet }) => rivet && !isIt(rivet));
  const open = looks.filter(({ rivet }) => rivet === null);
  const codes = [...new Set(other.flatMap(({ rivet }) => rivet?.code ?? []))];
  if (looks.length === 0) return { headline: `${capital(said)} has no holes.` };
  if (other.length > 0) {
    const some = other.length < looks.length ? `at ${counted(other.length, "hole")} ` : "";
    const own = looks.filter(({ rivet }) => rivet && isIt(rivet));
    return {
      verdict: verdictAsPut("no", sense, false),
      headline: sentences(
        own.length > 0
          ? `not everywhere: ${asked} is ruled at ${own.length} of the ${looks.length} holes`
          : "not that one",
        `${some}${said} takes ${listed(codes)}, not ${asked}`,
        own.length > 0 && doubts(own),
        own.length > 0 && open.length > 0 && `at ${counted(open.length, "hole")} the rivet is not settled`,
      ),
    };
  }
  if (open.length > 0)
    return {
      verdict: openVerdict(open.map(({ ruled }) => ruled)) ?? "undecided",
      headline: sentences(`not decided: the rivet for ${said} is not settled yet`, open[0]?.what),
    };
  // "Does it hold the stack?" is read as this question too: the ruled rivet that does not is no yes.
  const verdict = fitVerdict(looks) ?? "yes";
  const start = {
    yes: "it goes in",
    no: "it does not go in",
    undecided: "not decided",
    conflict: "not decided",
  }[verdict];
  const takes = `${capital(said)} takes ${asked}${verdict === "yes" ? "" : " by the rules"}`;
  return {
    verdict: verdictAsPut(verdict, sense, false),
    headline: sentences(`${start}. ${takes}`, doubts(looks)),
  };
}

const NO_PLACE = { holes: [], rows: [], trace: [], followUps: [] } as const;

/** A rivet of the kit by its code. */
function aboutRivet(job: Job, rivet: Rivet): FormAnswer {
  const { units } = job.kit;
  const holes = job.assembly.holes.filter(({ id }) => ruledRivet(job, ruledAt(job, id))?.code === rivet.code);
  const open = job.assembly.holes.filter(({ id }) => ruledRivet(job, ruledAt(job, id)) === null);
  const range = rivet.grip ? `holds ${sayLimits(rivet.grip, units)}` : "the kit states no grip range for it";
  const ids = holes.map(({ id }) => id);
  const spots = holes.length > 0 ? `: ${namesOf(job).where(ids)}` : "";
  return {
    ...NO_PLACE,
    headline: sentences(
      `${sayRivet(rivet, namesOf(job), units)}; ${range}; ${sayFinishedHole(rivet, units)}`,
      `it goes into ${counted(holes.length, "hole")} of ${the(job.assembly.name)}${spots}`,
      open.length > 0 && `at ${counted(open.length, "more hole")} it is not settled which rivet goes in`,
    ),
    holes: ids,
    cautions: cautionsFor(job, [], ["rivet"]),
    sources: rivetSources(job, [rivet]),
  };
}

/** The kit's rivets whose limits hold a hole of this size, then what the tables print. */
function forHole(job: Job, text: string, holeMm: number): FormAnswer {
  const { rivets, units } = job.kit;
  const own = rivets.filter(({ hole }) => holeMm >= hole.minMm - 1e-6 && holeMm <= hole.maxMm + 1e-6);
  const table = sizesForHole(holeMm);
  const named = [...new Set(table.map(({ kind, rivet }) => `${rivet} ${kind}`))];
  return {
    ...NO_PLACE,
    headline: sentences(
      own.length > 0
        ? `a finished hole of ${sayWritten(text)} is within the limits of ${listed(own.map(({ code }) => code))}`
        : `no rivet of the kit takes a finished hole of ${sayWritten(text)}`,
      named.length > 0
        ? `by the handbook it is a hole for ${listed(named, "or")} rivets`
        : "no table has a rivet for a hole of that size either",
      "Which one goes in is ruled hole by hole: name the part, row or hole",
    ),
    rows: [
      ...own.map((rivet) => ({
        holes: [],
        where: rivet.code,
        what: sayFinishedHole(rivet, units),
        rivet: rivet.code,
      })),
      ...table.map(({ kind, rivet, source }) => ({
        holes: [],
        where: `handbook, ${kind} rivet ${rivet}`,
        what: sayCitation(source),
      })),
    ],
    cautions: withUnverified(
      cautionsFor(job, [], ["drill", "rivet"]),
      table.map(({ source }) => source),
    ),
    sources: [...rivetSources(job, own), ...citedSources(table.map(({ source }) => source))],
  };
}

/** The kit's rivets of a nominal size. */
function ofSize(job: Job, text: string, mm: number): FormAnswer {
  const { rivets, units } = job.kit;
  const own = rivets.filter(({ diameterMm }) => Math.abs(diameterMm - mm) <= SAME_SIZE_MM);
  const known = tableSizeOf(mm, "pulled") ?? tableSizeOf(mm, "solid");
  return {
    ...NO_PLACE,
    headline: sentences(
      own.length > 0
        ? `the kit has ${counted(own.length, "rivet")} of ${sayWritten(text)}: ${listed(own.map(({ code }) => code))}`
        : `the kit has no rivet of ${sayWritten(text)}${known ? "" : ", and no table has that size"}`,
    ),
    rows: own.map((rivet) => ({
      holes: [],
      where: rivet.code,
      what: `${sayRivet(rivet, namesOf(job), units)}; ${rivet.grip ? `holds ${sayLimits(rivet.grip, units)}` : "grip range not stated"}; ${sayFinishedHole(rivet, units)}`,
      rivet: rivet.code,
    })),
    cautions: cautionsFor(job, [], ["rivet"]),
    sources: rivetSources(job, own),
  };
}
