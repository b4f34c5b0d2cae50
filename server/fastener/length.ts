import type { HeadForm, Rivet } from "../kit/types.js";
import { inchOfFraction, inchOfMm, mmOfInch, outOfTable, positive, SAME_SIZE_MM } from "./input.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

/** A rivet length that a table offers for a grip. */
export interface LengthChoice {
  /** `8 mm`, or number `42`. */
  readonly name: string;
  readonly lengthMm: number;
  readonly gripMinMm: number;
  readonly gripMaxMm: number;
  readonly source: Citation;
}

/**
 * Lengths of a metric pulled rivet whose grip range holds the stack, shortest first: usually one, two when
 * the grip is the limit between two lengths (then the shorter is the maker's usual choice), none when the
 * table has no such range.
 * @throws FASTENER_OUT_OF_TABLE for a diameter that the table does not have; FASTENER_INPUT
 * @source ISO 15981:2002 table 2; which column is which diameter is inferred (see the table's `uses`)
 */
export function pulledMetricLengths(rivetMm: number, gripMm: number): readonly LengthChoice[] {
  positive("rivetMm", rivetMm);
  positive("gripMm", gripMm);
  const rows = tables.pulledMetricGrips.rows.filter((row) => isMetric(row.rivet, rivetMm));
  if (rows.length === 0) {
    throw outOfTable("pulled-metric-grips", `No table has grips of a metric pulled rivet of ${rivetMm} mm.`);
  }
  return rows
    .filter((row) => gripMm >= row.min - 1e-9 && gripMm <= row.max + 1e-9)
    .map((row) => ({
      name: `${row.length} mm`,
      lengthMm: row.length,
      gripMinMm: row.min,
      gripMaxMm: row.max,
      source: row.source,
    }))
    .sort((a, b) => a.lengthMm - b.lengthMm);
}

/**
 * The inch pulled rivet whose grip range holds the stack. Ranges are printed to a thousandth and leave
 * no gap at that precision, so the grip is judged rounded to a thousandth of an inch.
 * @param rivet  `1/8`
 * @returns null when no number of that diameter takes the grip
 * @throws FASTENER_OUT_OF_TABLE for a diameter that the chart does not have
 * @source US Army TM 10-5410-221-14/1, table 4-3
 */
export function pulledInchNumber(rivet: string, gripMm: number): LengthChoice | null {
  positive("gripMm", gripMm);
  const rows = tables.pulledInchGrips.rows.filter((row) => row.rivet === rivet);
  if (rows.length === 0) {
    throw outOfTable("pulled-inch-grips", `The chart has no rows for a ${rivet} inch pulled rivet.`);
  }
  const grip = Math.round(inchOfMm(gripMm) * 1000) / 1000;
  const row = rows.find((candidate) => grip >= candidate.min && grip <= candidate.max);
  return row
    ? {
        name: row.number,
        lengthMm: mmOfInch(row.length),
        gripMinMm: mmOfInch(row.min),
        gripMaxMm: mmOfInch(row.max),
        source: row.source,
      }
    : null;
}

/** What the tables offer for a pulled rivet through a stack. */
export interface TabledLengths {
  /** Shortest first; two where the stack is the limit between them, none where no length has such a range. */
  readonly choices: readonly LengthChoice[];
  readonly thumb: PulledLeast;
}

/**
 * Lengths by the tables for a pulled rivet with a protruding head, which is what they are for; the kit's own range goes
 * first.
 * @returns null for another rivet, and for a diameter that no table has
 * @throws FASTENER_INPUT
 * @source as `pulledMetricLengths`, `pulledInchNumber` and `pulledLeastLength`
 */
export function tabledLengths(
  { kind, head, diameterMm }: Pick<Rivet, "kind" | "head" | "diameterMm">,
  gripMm: number,
): TabledLengths | null {
  if (kind !== "pulled" || head !== "protruding") return null;
  const thumb = pulledLeastLength(diameterMm, gripMm);
  if (tables.pulledMetricGrips.rows.some(({ rivet }) => isMetric(rivet, diameterMm)))
    return { choices: pulledMetricLengths(diameterMm, gripMm), thumb };
  const inch = tables.pulledInchGrips.rows.find(
    ({ rivet }) => Math.abs(mmOfInch(inchOfFraction(rivet)) - diameterMm) <= SAME_SIZE_MM,
  );
  if (!inch) return null;
  const choice = pulledInchNumber(inch.rivet, gripMm);
  return { choices: choice ? [choice] : [], thumb };
}

function isMetric(rivet: number, diameterMm: number): boolean {
  return Math.abs(rivet - diameterMm) < 0.005;
}

/** Length of a solid rivet: as computed, and the standard lengths around it. */
export interface SolidLength {
  readonly computedMm: number;
  /** Next standard length at or above the computed one, in 1/16 inch: the one to take. */
  readonly dashUp: number;
  /** Nearest standard length, which may be shorter. */
  readonly dashNearest: number;
  readonly dashUpMm: number;
  readonly sources: readonly Citation[];
}

const SIXTEENTH_MM = mmOfInch(1 / 16);
/** Above this stack, sources print different extra allowances: the program sends the builder to the designer. */
const THICK_STACK_MM = mmOfInch(0.5);

/**
 * Grip plus one and a half diameters for the shop head, then the next 1/16 inch up.
 * @param rivet   `1/8`
 * @param gripMm  stack, mm; for a flush rivet from the outer surface, and its length is measured over all
 * @throws FASTENER_OUT_OF_TABLE above 1/2 inch of stack; FASTENER_INPUT
 * @source length-protruding (NAVEDTRA 14018, chapter 13); length-round-to-standard; length-dash; length-countersunk-measure
 */
export function solidLength(rivet: string, gripMm: number, head: HeadForm = "protruding"): SolidLength {
  positive("gripMm", gripMm);
  if (gripMm > THICK_STACK_MM) {
    throw outOfTable("lengths", "Above 1/2 inch of stack two editions of one table disagree on the length.");
  }
  const rule = allowanceOf("solid");
  const computedMm = gripMm + rule.allowance * mmOfInch(inchOfFraction(rivet));
  const sixteenths = computedMm / SIXTEENTH_MM;
  const dashUp = Math.ceil(sixteenths - 1e-6);
  return {
    computedMm,
    dashUp,
    dashNearest: Math.round(sixteenths),
    dashUpMm: dashUp * SIXTEENTH_MM,
    sources: [rule.source, ...(head === "flush" ? [allowanceOf("solid flush").source] : [])],
  };
}

/** Least length of a pulled rivet's body by a rule of thumb. */
export interface PulledLeast {
  readonly leastMm: number;
  readonly source: Citation;
}

/**
 * The stack plus one diameter: a rule of thumb for a pulled rivet's body. It chooses nothing, since a rivet's own
 * grip range goes first; it shows where that range is generous, as at the limit between two lengths.
 * @throws FASTENER_INPUT
 * @source blind-length-rule (a rivet maker's published technical data)
 */
export function pulledLeastLength(rivetMm: number, gripMm: number): PulledLeast {
  const rule = allowanceOf("pulled");
  return {
    leastMm: positive("gripMm", gripMm) + rule.allowance * positive("rivetMm", rivetMm),
    source: rule.source,
  };
}

/** What a rivet's length is above the grip, in diameters: the first row of its kind is the one that is used. */
function allowanceOf(kind: "solid" | "solid flush" | "pulled") {
  const rule = tables.lengths.rows.find((row) => row.kind === kind);
  if (!rule) throw outOfTable("lengths", `The table has no length allowance for ${kind} rivets.`);
  return rule;
}
