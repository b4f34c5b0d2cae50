import type { FactFigure, Wanted } from "../../facts/figures.js";
import type { Term } from "../../fastener/figure.js";
import type { Units } from "../../kit/units.js";
import { saySize, saySpan } from "./measures.js";
import type { Names } from "./names.js";

/**
 * The sum behind a fact: "gap 1.9 mm at elevator full up less tolerance 0.1 mm less head 1 mm". Where the fact is a
 * yes or no, with what is left and what is wanted: "… leaves 0.9 mm, margin wanted 1 mm".
 */
export function sayFigure({ figure, per, position, wanted }: FactFigure, names: Names, units: Units): string {
  const [first, ...others] = figure.terms;
  if (!first) return "";
  const isMeasure = others.length === 0 && !per && !wanted;
  const start = isMeasure && first.part ? `in ${names.thePart(first.part)}` : sayTerm(first, names, units);
  const sum = [
    `${start}${position ? ` at ${position}` : ""}`,
    ...others.map((term) => `${term.sign > 0 ? "plus" : "less"} ${sayTerm(term, names, units)}`),
    ...(per ? [`over ${sayTerm(per, names, units)}`] : []),
  ].join(" ");
  if (!wanted) return sum;
  const verb = others.some(({ sign }) => sign < 0) ? "leaves" : "makes";
  const result = others.length > 0 ? ` ${verb} ${saySize(figure.value, units)}` : "";
  return `${sum}${result}, ${sayWanted(wanted, units)}`;
}

function sayTerm({ what, part, value }: Term, names: Names, units: Units): string {
  const size = saySize(value, units);
  if (!part) return `${what} ${size}`;
  return what === "layer" ? `${size} of ${names.thePart(part)}` : `${what} ${size} in ${names.thePart(part)}`;
}

function sayWanted({ what, minMm, maxMm }: Wanted, units: Units): string {
  if (minMm !== null && maxMm !== null) return `${what} ${saySpan(minMm, maxMm, units)}`;
  const limit = minMm ?? maxMm;
  return limit === null ? what : `${what} wanted ${saySize(limit, units)}`;
}
