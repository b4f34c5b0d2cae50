import type { GripFit } from "../../fastener/fit.js";
import type { HoleFit } from "../../fastener/hole.js";
import type { Rivet } from "../../kit/types.js";
import type { Units } from "../../kit/units.js";
import { sayDistance } from "./edge.js";
import { sentences } from "./grammar.js";
import { sayBoth, sayLimits } from "./sizes.js";

/** What may be wrong with a hole. */
export const DAMAGES = ["oversize", "oblong", "cracked", "edge", "misplaced"] as const;
export type Damage = (typeof DAMAGES)[number];

/** Damages of a hole, as they are said. */
export const DAMAGED: Readonly<Record<string, string>> = {
  oversize: "oversize",
  oblong: "out of round",
  cracked: "cracked",
  edge: "too near the edge",
  misplaced: "in the wrong place",
};

/** What a crack, or a hole in the wrong place, comes to. */
export const REFUSED: Readonly<Record<"cracked" | "misplaced", string>> = {
  cracked:
    "a crack is not drilled away here: set nothing in that hole, mark it, and ask the kit maker or a licensed person",
  misplaced:
    "a hole in the wrong place is not moved: drill no second one beside it, set nothing, and ask the kit maker or a licensed person",
};

/** Said with everything that is short of a plain no. */
export const TAKE_IT_TO =
  "That is what the numbers allow, not leave to do it: take it to the kit maker or a licensed person first";

/** Said where nothing may be set. */
export const LEAVE_IT =
  "Set nothing there: leave it pinned or open, and ask the kit maker or a licensed person";

/** The largest rivet that was found for a hole: "the next size up is CR-40-6, 4 mm (0.157 in)". */
export function sayNext(code: string | null, diameterMm: number, units: Units): string {
  const size = sayBoth(diameterMm, units);
  return code === null
    ? `the next size up by the tables is ${size}, and the kit has no rivet of that kind and head in it`
    : `the next size up in the kit is ${code}, ${size}`;
}

/** That the next size up in the kit comes in no length for the stack. */
export function sayMisses(next: Rivet | null, stackMm: number, units: Units): string {
  const range = next?.grip ? `, ${sayLimits(next.grip, units)},` : "";
  return `its grip range${range} does not hold the stack of ${sayBoth(stackMm, units)}, and the kit has no other length of that size`;
}

/** What a grip range says of the stack where nothing speaks against it. */
export function sayGripOf(fit: GripFit | null): string {
  return fit === "fits"
    ? "its grip range holds the stack"
    : "whether its grip range holds the stack is not known";
}

/** How many oversize holes a row allows. */
export function sayRepairLimit(max: number, rivets: number): string {
  const most = max === 0 ? "no oversize hole" : `at most ${max} oversize ${max === 1 ? "hole" : "holes"}`;
  return `a row of ${rivets} allows ${most} by the handbook (a fifth of them, ten at the most), and not more than two side by side`;
}

/** Where the rows say what a short line has no room for. */
export const SEE_ROWS = "the rows say what may be done";

/** What an oversize hole comes to first of all. */
export const SET_NOTHING_YET =
  "set nothing in it yet; the next size up may serve, or the kit maker is to be asked";

/** What a measured size is to a rivet's limits, in a few words. */
export function saySizeFit(code: string, fit: string): string {
  return fit === "fits"
    ? `its size is within the limits of ${code}`
    : `its size is below the limits of ${code}`;
}

const GENERAL_OVERSIZE =
  "set nothing in it yet; the next size up may serve where edge and pitch are enough for it, and only for a fifth of a row's rivets, ten at the most; otherwise ask the kit maker or a licensed person";

const MORE_EDGE_STILL = `${LEAVE_IT}; a larger rivet needs more edge still`;

/** What the handbook says of such a hole, without a place to judge. */
export const GENERALLY: Readonly<Record<Damage, string>> = {
  oversize: GENERAL_OVERSIZE,
  oblong: `${GENERAL_OVERSIZE}; measure it across its longest`,
  cracked: REFUSED.cracked,
  edge: MORE_EDGE_STILL,
  misplaced: REFUSED.misplaced,
};

/** Such a hole, no one in particular. */
export function sayInGeneral(damage: Damage, what: string): string {
  return sentences(`a hole that is ${DAMAGED[damage]}: ${what}`, "Name the hole to have its numbers");
}

/** @param open  what keeps the rivet from being settled */
export function sayRivetOpen(open: string): string {
  return `which rivet was to go in is not settled. ${open}`;
}

/** A measured hole against its rivet's limits: within them, or below. */
export function sayMeasured(mm: number, { code, hole }: Rivet, fit: HoleFit, units: Units): string {
  const [size, limits] = [sayBoth(mm, units), sayLimits(hole, units)];
  return fit === "fits"
    ? `${size} is within the limits of ${code}, ${limits}: as far as its size goes the hole serves; measure it across its longest`
    : `${size} is below the limits of ${code}, ${limits}: it is not oversize`;
}

/** An edge that is too short as drawn. @param drawn  the edge distance as it is drawn, and what is needed */
export function sayEdgeShort(drawn: string): string {
  return `as drawn ${drawn}. ${MORE_EDGE_STILL}`;
}

/** An edge that is enough as drawn, and may be less at the bench. */
export function sayMeasureEdge(drawn: string, neededMm: number, units: Units): string {
  return `as drawn ${drawn}. Measure yours from the hole's centre: below ${sayBoth(neededMm, units)} ${LEAVE_IT.toLowerCase()}`;
}

export const NO_LARGER_RIVET = `neither the kit nor a table has a larger rivet of its kind. ${LEAVE_IT}`;

/** What speaks against the next size up, each in its own words. */
export function sayHeadShort(clearance: string): string {
  return `its head does not clear: ${clearance}`;
}
export function sayTooLarge(mostMm: number, units: Units): string {
  return `the hole is larger already than the ${sayBoth(mostMm, units)} that it takes at the most`;
}
export const TOO_THIN = "the top layer is too thin to be countersunk for it by the handbook's gauge";
export const DIMPLED_SMALLER =
  "it is dimpled, and no table says that a dimple may be formed for a larger head";

/** What is told of a larger rivet beside its distances. */
export function sayFinishedHole(limits: Rivet["hole"], units: Units): string {
  return `finished hole ${sayLimits(limits, units)}`;
}
export function sayHeadOpen(clearance: string | null): string {
  return `whether its head clears is not known${clearance === null ? "" : `: ${clearance}`}`;
}

/** What is said of a larger rivet: in full, for a headline, and in a few words. */
export interface SaidOfNext {
  readonly what: string;
  readonly brief: string;
  readonly short: string;
}

/** @param found  the next size up; @param shorts  what speaks against it */
export function sayServesNot(found: string, shorts: readonly string[]): SaidOfNext {
  return {
    what: `${found}, but it does not serve: ${shorts.join("; ")}. ${LEAVE_IT}`,
    brief: `${found}, but it does not serve; the row says why. ${LEAVE_IT}`,
    short: `${found}, but it does not serve`,
  };
}

/** @param found  the next size up; @param numbers  its distances, hole and grip */
export function sayMayServe(found: string, numbers: readonly string[]): SaidOfNext {
  return {
    what: `${found}; ${numbers.join("; ")}. ${TAKE_IT_TO}`,
    brief: `${found}, and edge and pitch are enough for it. ${TAKE_IT_TO}`,
    short: `${found}, and edge and pitch are enough for it`,
  };
}

/** Of several holes that differ: at how many a larger rivet does not serve. */
export function sayHowMany(no: number, of: number): string {
  if (no === of) return "nothing here takes a larger rivet";
  return no === 0
    ? "edge and pitch are enough for the next size up; what else it takes, and what is not known, stands in the rows"
    : `at ${no} of ${of} holes a larger rivet does not serve; the rows say where and why`;
}

/** The first line: where, what is wrong, and what it comes to. @param more  sentences after it */
export function sayDamaged(place: string, damage: Damage, what: string, ...more: readonly string[]): string {
  return sentences(`${place}, ${DAMAGED[damage]}: ${what}`, ...more);
}

/** Of a place where there is nothing to mend. */
export function sayNoHoles(place: string): string {
  return sentences(`${place} has no holes`);
}

/** One layer's edge distance, with what is wanted: "rib 3, edge distance 8 mm …". */
export function sayEdgeOf(
  part: string,
  edge: Parameters<typeof sayDistance>[1],
  rivetMm: number,
  units: Units,
): string {
  return `${part}, ${sayDistance("edge distance", edge, rivetMm, units)}`;
}
