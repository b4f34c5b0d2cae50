import type { Drill } from "../../fastener/hole.js";
import type { Citation } from "../../fastener/table.js";
import { isHalfThousandth, MM_PER_INCH, readLength, sayLength, type Units } from "../../kit/units.js";
import { listed } from "./grammar.js";

/** A length in both units, the kit's own first: `4 mm (0.157 in)`, `1/8 in (3.18 mm)`. */
export function sayBoth(mm: number, units: Units): string {
  return sayLength(mm, units);
}

/** Limits in both units: `3.3 to 3.4 mm (0.130 to 0.134 in)`. */
export function sayLimits({ minMm, maxMm }: { minMm: number; maxMm: number }, units: Units): string {
  const mm = `${places(minMm, 2)} to ${places(maxMm, 2)} mm`;
  const said = units === "inch" ? ownInches : inches;
  const inch = `${said(minMm)} to ${said(maxMm)} in`;
  return units === "mm" ? `${mm} (${inch})` : `${inch} (${mm})`;
}

/** A drill by its name, with its size in the other units: `No. 30 (0.1285 in, 3.26 mm)`, `4.1 mm (0.161 in)`. */
export function sayDrill({ name, mm }: Drill): string {
  if (name.endsWith(" mm")) return `${name} (${inches(mm)} in)`;
  if (name.endsWith(" in")) return `${name} (${places(mm, 2)} mm)`;
  return `${drillName(name)} (${inches(mm)} in, ${places(mm, 2)} mm)`;
}

/** `#30` → `No. 30`, `F` → `letter F`; others stay. */
export function drillName(name: string): string {
  if (name.startsWith("#")) return `No. ${name.slice(1)}`;
  return /^[A-Z]$/.test(name) ? `letter ${name}` : name;
}

/** A size as a slot holds it, with the other unit beside it: `1/8 in (3.18 mm)`, `No. 30 (0.1285 in, 3.26 mm)`. */
export function sayWritten(text: string): string {
  const written = readLength(text);
  if (!written) return text;
  const { mm, unit, drill } = written;
  if (drill) return `${text} (${inches(mm)} in, ${places(mm, 2)} mm)`;
  return unit === "mm" ? `${text} (${inches(mm)} in)` : `${text} (${places(mm, 2)} mm)`;
}

/** `0.1285`, `0.161`: thousandths, and the half thousandth that drills are printed with. */
function inches(mm: number): string {
  const inch = mm / MM_PER_INCH;
  return isHalfThousandth(inch) ? places(inch, 4) : inch.toFixed(3);
}

/** As a drawing in inches states it: rounded to thousandths, 0.0781 to 0.1406 in would be more than there is. */
function ownInches(mm: number): string {
  const inch = mm / MM_PER_INCH;
  return Math.abs(inch - Number(inch.toFixed(3))) < 0.00002 ? inch.toFixed(3) : places(inch, 4);
}

function places(value: number, count: number): string {
  const scale = 10 ** count;
  return String(Math.round(Number((value * scale).toPrecision(12))) / scale);
}

/** How far a value was verified, for a source's place; nothing where the document itself was read. */
const VERIFIED: Readonly<Record<Citation["confidence"], string>> = {
  read: "",
  secondary: "as quoted by a secondary source",
  derived: "computed from it",
  unverified: "from memory, not verified",
};

/** Where in a document a table's value stands, with how far it was verified: "table 1 (from memory, not verified)". */
export function sayPlace({ part, confidence }: Citation): string {
  return VERIFIED[confidence] === "" ? part : `${part} (${VERIFIED[confidence]})`;
}

/** Where a table's value comes from, with how far it was verified. */
export function sayCitation(citation: Citation): string {
  return `${citation.title}, ${sayPlace(citation)}`;
}

/** Said with an answer that rests on values nobody could verify; null when none does. */
export function sayUnverified(sources: readonly Citation[]): string | null {
  const open = sources.filter(({ confidence }) => confidence === "unverified");
  if (open.length === 0) return null;
  const titles = [...new Set(open.map(({ title, part }) => `${title}, ${part}`))];
  return `From memory and not verified: ${listed(titles)}. Check it against the kit maker's data before you cut.`;
}
