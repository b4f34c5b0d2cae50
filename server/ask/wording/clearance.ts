import type { Figure } from "../../fastener/figure.js";
import type { Units } from "../../kit/units.js";
import { saySize } from "./measures.js";

/** A sum of lengths in words: "gap 1.9 mm less dome 1 mm leaves 0.9 mm". */
export function saySum({ terms, value }: Figure, units: Units): string {
  const said = terms.map(({ what, sign, value: term }, at) =>
    at === 0
      ? `${what} ${saySize(term, units)}`
      : `${sign < 0 ? "less" : "plus"} ${what} ${saySize(term, units)}`,
  );
  return `${said.join(" ")} leaves ${sayLeft(value, units)}`;
}

/** What is left of a gap; nothing and less than nothing in words. */
function sayLeft(mm: number, units: Units): string {
  if (Math.abs(mm) < 0.005) return "nothing";
  return mm < 0 ? `${saySize(-mm, units)} too little` : saySize(mm, units);
}

export function sayMargin(marginMm: number | null, units: Units): string {
  return marginMm === null
    ? "neither a rule nor the kit states the margin that must stay free"
    : `margin wanted ${saySize(marginMm, units)}`;
}

/** Why clearance is not decided. */
export const NO_TOLERANCE =
  "the kit states no tolerance for that gap, so the worst case is not known: measure the gap";
