import { restsOnMemory } from "../../fastener/figure.js";
import type { OutsideLimits } from "../../fastener/flush-tool.js";
import type { Drill } from "../../fastener/hole.js";
import { MM_PER_INCH, sayLength, type Units } from "../../kit/units.js";
import { isLarger } from "../../order/prep.js";
import type {
  DrillLot,
  FormingLot,
  GateLot,
  PinLot,
  RivetLot,
  StepSheet,
  WalledInBy,
} from "../../order/step-sheet.js";
import type { Hold, OrderRule } from "../../order/types.js";
import type { Job } from "../types.js";
import { sayGripDoubts } from "./fastener.js";
import { capital, counted, listed, plural, sentences } from "./grammar.js";
import { saySize } from "./measures.js";
import { namesOf } from "./names.js";
import { sayLeftOff } from "./order-plan.js";
import { sayAskedBy, sayHold } from "./reasons.js";

/** Headings of a sheet, and what stands under one that has nothing. */
export const SHEET_WORDS = {
  rivets: { title: "Rivets to fetch", none: "No rivet is to be set here for now." },
  open: { title: "Not to be set for now", none: "" },
  drills: { title: "Holes and drills", none: "No hole size is settled here." },
  forming: { title: "Dimples and countersinks", none: "Nothing is dimpled or countersunk here." },
  pins: { title: "Temporary fasteners", none: "Nothing is left to pin." },
  gates: {
    title: "Before the parts come on, in this order",
    none: "The kit lists nothing, and no ruling does.",
  },
  before: {
    title: "Set before a part closes",
    none: "Nothing needs setting before a part of this step closes.",
  },
  after: { title: "Only after", none: "" },
  cautions: "Cautions",
  sources: "Sources",
  steps: "Sheets of the manual's steps",
  whole: "Picking list of the whole assembly",
  page: "Back to the page",
  plan: "The order of work",
  columns: {
    where: "Where",
    what: "What",
    gate: "What to do",
    parts: "On which parts",
    rivet: "Rivet",
    count: "Count",
    fetch: "Fetch",
  },
} as const;

/** "Sedge Two, tailplane: step 6-4, Trim-servo mount". */
export function saySheetTitle(job: Job, { step }: Pick<StepSheet, "step">): string {
  const about = step ? `step ${step.id}, ${step.title}` : "everything to fetch";
  return `${job.kit.name}, ${job.assembly.name}: ${about}`;
}

/** "Sedge Two, tailplane: the order of work". */
export function sayPlanTitle({ kit, assembly }: Pick<Job, "kit" | "assembly">): string {
  return `${kit.name}, ${assembly.name}: the order of work`;
}

/** What the sheet rests on: "Build manual, revision C (2024-03-01). Shop book, version 12." */
export function saySheetGround({ kit, version }: Job): string {
  return sentences(`${kit.name}, ${kit.revision} (${kit.dated})`, `shop book, version ${version}`);
}

/** How much of it there is to do; a step of which the manual names no row says so. */
export function saySheetSum(job: Job, sheet: StepSheet): string {
  const { step, parts, holes, rivets, set, leftOpen } = sheet;
  const off = sayPartsOff(job, sheet);
  if (holes.length === 0) {
    return step
      ? "The manual names neither a part nor a row for this step. What is done to the holes stands on the sheets of the steps that set them."
      : "The assembly has no holes.";
  }
  const now = rivets.reduce((sum, lot) => sum + lot.holes.length, 0);
  if (step && step.rows.length === 0)
    return sentences(
      `the manual names no row to set in this step; ${namesOf(job).parts(parts)} ${plural(parts.length, "comes", "come")} on`,
      `${counted(holes.length, "hole")} ${plural(holes.length, "goes", "go")} through ${plural(parts.length, "it", "them")}; ${now === 0 ? "none" : now} of them may be set once ${plural(parts.length, "it is", "they are")} on`,
      set.length > 0 && `${set.length} ${plural(set.length, "is", "are")} set already`,
      leftOpen.length > 0 &&
        `${leftOpen.length} ${plural(leftOpen.length, "stays", "stay")} open for now and ${plural(leftOpen.length, "is", "are")} not counted`,
      off,
    );
  return sentences(
    `${counted(holes.length, "hole")}: ${counted(now, "rivet")} to set`,
    set.length > 0 && `${set.length} ${plural(set.length, "is", "are")} set already`,
    leftOpen.length > 0 &&
      `${leftOpen.length} ${plural(leftOpen.length, "stays", "stay")} open for now and ${plural(leftOpen.length, "is", "are")} not counted`,
    off,
  );
}

/** Parts of the sheet that something keeps off for now; those whose rivets all stay open speak for themselves. */
function sayPartsOff(job: Job, { leftOff }: StepSheet): string {
  const kept = leftOff.filter(
    ({ wouldWallIn, wantedBefore, keepApart }) =>
      wouldWallIn.length + wantedBefore.length + keepApart.length > 0,
  );
  return sentences(...kept.map((off) => `${namesOf(job).thePart(off.part)} ${sayLeftOff(job, off)}`)).replace(
    /\.$/,
    "",
  );
}

/** "3.2 x 6 domed pulled rivet, protruding head, 3.2 mm (0.126 in)". */
export function saySheetRivet(job: Job, { rivet, holes, apart, gripDoubts }: RivetLot): string {
  return sentences(
    `${rivet.name}, ${rivet.head} head, ${sayLength(rivet.diameterMm, job.kit.units)}`,
    sayGripDoubts(gripDoubts, holes.length),
    apart.length > 0 && `not counted: ${counted(apart.length, "hole")} under “${SHEET_WORDS.open.title}”`,
  );
}

/** A drill as it is asked for: "No. 30 drill", "letter F drill", "1/8 in drill". */
export function sayDrillName({ name }: Drill): string {
  const said = /^#(\d+)$/.exec(name)?.[1];
  if (said) return `No. ${said} drill`;
  return /^[A-Z]$/.test(name) ? `letter ${name} drill` : `${name} drill`;
}

/** A hole's size to the ten-thousandth of an inch that drills are listed in: "0.1285 in (3.26 mm)". */
function sayFineSize(mm: number, units: Units): string {
  const inch = `${Number((mm / MM_PER_INCH).toFixed(4))} in`;
  return units === "inch" ? `${inch} (${saySize(mm, "mm")})` : `${saySize(mm, "mm")} (${inch})`;
}

/** Which drill opens the holes to what size, or that nothing is drilled. */
export function sayDrills(job: Job, lot: DrillLot): string {
  const { units } = job.kit;
  const grows = isLarger(lot.finalMm, lot.punchedMm);
  const size = sayFineSize(lot.finalMm, units);
  return sentences(
    grows ? sayOpening(lot, size, units) : `as punched, ${size}: nothing to drill`,
    grows && lot.done.length > 0 && `${counted(lot.done.length, "hole")} marked as enlarged already`,
    grows && sayApart(lot.apart),
    lot.limits &&
      `finished hole for the rivet: ${sayFineSize(lot.limits.minMm, units)} to ${sayFineSize(lot.limits.maxMm, units)}`,
    lot.fit !== null &&
      lot.fit !== "fits" &&
      `${capital(size)} is ${lot.fit === "oversize" ? "above" : "below"} that: do not drill, ask the kit maker`,
  );
}

function sayOpening({ punchedMm, drill, within, fit }: DrillLot, size: string, units: Units): string {
  const from = `open from ${sayFineSize(punchedMm, units)} to ${size}`;
  // A drill for a hole that the rivet does not fit is no help.
  if (fit !== null && fit !== "fits") return from;
  if (drill) return `${from} with the ${sayDrillName(drill)}`;
  const some = within.slice(0, 3).map(sayDrillName);
  return some.length > 0
    ? `${from}: no standard drill has that very size; inside the rivet's limits lie the ${listed(some, "or")}`
    : `${from}: no standard drill has that size, ask the kit maker`;
}

/** What is dimpled or countersunk, and how often. */
export function sayForming(
  job: Job,
  { act, rivetMm, under, count, holes, apart, done, mouth, angle, outside }: FormingLot,
): string {
  const { units } = job.kit;
  const names = namesOf(job);
  const rivet = rivetMm === null ? "a rivet that is not settled" : `the ${sayLength(rivetMm, units)} rivet`;
  const tool =
    act === "dimple"
      ? `dimple dies for ${rivet}`
      : `countersink for ${rivet} and its head's angle, with a stop`;
  return sentences(
    holes.length === 0
      ? tool
      : act === "dimple"
        ? `${tool}: ${counted(count, "dimple")} in ${counted(holes.length, "hole")}, ${under ? "each layer" : "every layer"} by itself`
        : `${tool}: ${counted(holes.length, "hole")}${under ? ` in ${names.thePart(under.sunk)}` : ""}`,
    under && sayUnder(act, under, job),
    mouth &&
      `mouth of a 100 degree countersink: ${sayFineSize(mouth.minMm, units)} to ${sayFineSize(mouth.maxMm, units)}`,
    angle &&
      `${act === "dimple" ? "dies" : "cutter"} of ${angle.degrees}°${angle.source.confidence === "unverified" ? " from memory, not verified: ask the kit maker" : ""}`,
    sayOutside(outside, job),
    done.length > 0 &&
      `${counted(done.length, "hole")} marked as ${act === "dimple" ? "dimpled" : "countersunk"} already`,
    sayApart(apart),
  );
}

/** That dimples sit in a countersink of a layer under them, for the one who dimples and the one who countersinks. */
export function sayUnder(
  act: "dimple" | "countersink",
  { sunk, dimpled }: NonNullable<FormingLot["under"]>,
  job: Pick<Job, "kit" | "assembly">,
): string {
  const names = namesOf(job);
  return act === "dimple"
    ? `${names.thePart(sunk)} is not dimpled: it is countersunk for the dimples above it`
    : `it takes the dimples of ${names.parts(dimpled)}, not the rivet's head alone: cut it wider, with the layers apart, and try it with a scrap dimpled alike`;
}

/** Layers that the handbook would not form so, and what it has for a thick one under dimpled ones; empty for none. */
export function sayOutside(outside: readonly OutsideLimits[], job: Pick<Job, "kit" | "assembly">): string {
  const names = namesOf(job);
  const said = (["dimple", "countersink"] as const).flatMap((act) => {
    const layers = outside.filter((one) => one.act === act);
    if (layers.length === 0) return [];
    const which = listed(
      layers.map(
        ({ part, thicknessMm }) => `${names.thePart(part)} at ${saySize(thicknessMm, job.kit.units)}`,
      ),
    );
    const disputed = layers.some((one) => one.disputed)
      ? ", though another source would still dimple it"
      : "";
    const sunk = layers.filter(({ maySink }) => maySink).map(({ part }) => part);
    const limit =
      act === "dimple"
        ? "above the handbook's limit for a cold dimple"
        : "thinner than the handbook's gauge for a countersink";
    const other =
      sunk.length > 0
        ? ` (the handbook has dimpled sheets sit in a countersink of a thick one under them; ${names.parts(sunk)} would be thick enough)`
        : "";
    return [
      `${which} ${plural(layers.length, "is", "are")} ${limit}${disputed}: ask the kit maker first${other}`,
    ];
  });
  return said.join("; ");
}

/** Which temporary fastener; that no table says how many. */
export function sayPins(job: Job, { holeMm, when, fastener, holes }: PinLot): string {
  const size = sayFineSize(holeMm, job.kit.units);
  const state = when === "enlarged" ? `once enlarged to ${size}` : `holes of ${size}`;
  if (!fastener)
    return sentences(
      `${state}: no size of temporary fastener in the table fits ${plural(holes.length, "it", "them")}`,
    );
  const colours = [...new Set(fastener.colours.map(({ colour }) => colour))];
  return sentences(
    `${state}: temporary fasteners of ${sayLength(fastener.sizeMm, "inch")}, ${listed(colours, "or")}`,
    colours.length > 1 && "sources differ on the colour: go by the size on the body",
  );
}

/** Said once under the temporary fasteners. */
export const PIN_COUNT =
  "No table says how many to use: pin until the parts cannot slip and the holes line up, or as the kit's manual says.";

/** On which parts a gate is open, done or uncertain. */
export function sayGateLot(job: Job, { open, unknown, done }: GateLot): string {
  const names = namesOf(job);
  const parts = (states: readonly { readonly part: string }[]): string =>
    names.parts(states.map(({ part }) => part));
  return sentences(
    open.length > 0 && `to do: ${parts(open)}`,
    unknown.length > 0 && `perhaps, for a treatment is not decided: ${parts(unknown)}`,
    done.length > 0 && `done: ${names.parts(done)}`,
  );
}

/** That rivets come before or after a part, and which rule says so. */
export function sayOrders(job: Job, rules: readonly OrderRule[]): string {
  const [first] = rules;
  if (!first) return "";
  const wish = first.strength === "must" ? "" : "better ";
  const part = namesOf(job).thePart(first.part);
  return sentences(
    `${counted(rules.length, "rivet")} ${wish}${first.relation} ${part} comes on`,
    sayAskedBy(job, first),
  );
}

/** That rivets are walled in once parts close, and what speaks against setting them before. */
export function sayWallsIn(job: Job, holes: readonly WalledInBy[]): string {
  const [first] = holes;
  if (!first) return "";
  const parts = namesOf(job).parts(first.by);
  const close = plural(first.by.length, "closes", "close");
  return sentences(
    `${counted(holes.length, "rivet")} ${first.own ? "of this step itself " : ""}before ${parts} ${close}: walled in afterwards`,
    first.hold &&
      `${sayHold(job, first.hold)}: closing and hold contradict each other, ask the kit maker or your mentor`,
  );
}

function sayApart(apart: readonly string[]): string | false {
  return (
    apart.length > 0 &&
    `${counted(apart.length, "hole")} not to be touched yet: see “${SHEET_WORDS.open.title}”`
  );
}

/** What was taken from tables whose values are from memory. */
export function sayUnverified(sources: Parameters<typeof restsOnMemory>[0]): string | null {
  return restsOnMemory(sources) ? "A size on this sheet is from memory and not verified." : null;
}

/** That holes are set which were to stay open. */
export function saySetThoughHeld(job: Job, holds: readonly Hold[]): string {
  const names = namesOf(job);
  const until = holds[0]?.until ?? null;
  const where = names.where(holds.map(({ hole }) => hole));
  return until === null
    ? sentences(`marked as set, though whether they stay open is not decided: ${where}`)
    : sentences(
        `marked as set, but to stay open until ${names.milestone(until)}: ${where}`,
        "ask the kit maker whether that has to come out again",
      );
}

/** That there is no order in which these rivets can be set. */
export function sayStuck(job: Job, holes: readonly string[]): string {
  return sentences(
    `there is no order in which ${plural(holes.length, "this rivet", "these rivets")} can be set: ${namesOf(job).where(holes)}`,
    "set nothing of it; ask for the whole order to see why, and ask the kit maker",
  );
}
