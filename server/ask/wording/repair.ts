import type { GripFit } from "../../fastener/fit.js";
import type { Rivet } from "../../kit/types.js";
import type { Units } from "../../kit/units.js";
import { sayBoth, sayLimits } from "./sizes.js";

/** Damages of a hole, as they are said. */
export const DAMAGED: Readonly<Record<string, string>> = {
  oversize: "oversize",
  oblong: "out of round",
  cracked: "cracked",
  edge: "too near the edge",
  misplaced: "in the wrong place",
};

/** What a crack, or a hole in the wrong place, comes to. */
export const REFUSED: Readonly<Record<string, string>> = {
  cracked:
    "a crack is not drilled away here: set nothing in that hole, mark it, and ask the kit maker or a licensed person",
  misplaced:
    "a hole in the wrong place is not moved: drill no second one beside it, set nothing, and ask the kit maker or a licensed person",
};

/** Said with everything that is short of a plain no. */
export const TAKE_IT_TO =
  "That is what the numbers allow, not leave to do it: take it to the kit maker or a licensed person first";

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
