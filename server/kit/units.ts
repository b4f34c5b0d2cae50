import { Problem } from "../problem.js";
import { drillInch } from "./drills.js";

/** Units of a kit's file, and of its paper. */
export type Units = "mm" | "inch";

export const MM_PER_INCH = 25.4;

/** A length as somebody wrote it, with its own unit. */
export interface WrittenLength {
  readonly mm: number;
  readonly unit: Units;
  /** `#30` or `F` when a drill was named; drills are inch sizes. */
  readonly drill: string | null;
}

/**
 * The length that a text states together with its unit: `3.2 mm`, `3,2 mm`, `1/8 in`, `1/8"`, `1 1/2 in`,
 * `0.125 in`, a bare fraction (inch, as the trade says it), `#30`, `No. 30`, `letter F`, `F`.
 * @returns null for anything else: a number without unit, another unit, a doubtful comma (`1,250 mm`)
 */
export function readLength(text: string): WrittenLength | null {
  const plain = text.trim().replace(/\s+/g, " ");
  return readDrill(plain) ?? readFraction(plain) ?? readDecimal(plain);
}

function readDrill(text: string): WrittenLength | null {
  const number = /^(?:#|no\.?|number) ?([1-9]\d?)$/i.exec(text)?.[1];
  const letter = /^(?:letter )?([A-Z])$/i.exec(text)?.[1];
  const drill = number ? `#${number}` : letter?.toUpperCase();
  if (!drill) return null;
  const inch = drillInch(drill);
  return inch === null ? null : { mm: inch * MM_PER_INCH, unit: "inch", drill };
}

function readFraction(text: string): WrittenLength | null {
  const found = /^(?:(\d{1,3})[ -])?(\d{1,2})\/(2|4|8|16|32|64) ?(?:in\.?|inch|inches|"|″)?$/i.exec(text);
  if (!found) return null;
  const inch = Number(found[1] ?? 0) + Number(found[2]) / Number(found[3]);
  return { mm: inch * MM_PER_INCH, unit: "inch", drill: null };
}

function readDecimal(text: string): WrittenLength | null {
  const found = /^(-?\d{0,6})([.,]\d{1,6})? ?(mm|in\.?|inch|inches|"|″)$/i.exec(text);
  if (!found) return null;
  const [, whole = "", rest = "", unit = ""] = found;
  if (!/\d/.test(whole + rest)) return null;
  // "1,250" is one and a quarter to some and twelve hundred and fifty to others.
  if (/^,\d{3}$/.test(rest) && /[1-9]/.test(whole)) return null;
  const value = Number(`${whole}${rest.replace(",", ".")}`);
  return unit.toLowerCase() === "mm"
    ? { mm: value, unit: "mm", drill: null }
    : { mm: value * MM_PER_INCH, unit: "inch", drill: null };
}

/**
 * A written length in the one way that slots hold it: `3.2 mm`, `1/8 in`, `0.125 in`, `No. 30`, `letter F`.
 * `readLength` reads every one of them back.
 */
export function writtenText({ mm, unit, drill }: WrittenLength): string {
  if (drill === null) {
    if (unit === "mm") return `${decimal(mm, 4)} mm`;
    const inch = mm / MM_PER_INCH;
    return `${fraction(inch, EXACT_INCH) ?? decimal(inch, 6)} in`;
  }
  return drill.startsWith("#") ? `No. ${drill.slice(1)}` : `letter ${drill}`;
}

/** A fraction only where it is what was typed, in one way or the other. */
const EXACT_INCH = 1e-9;

/**
 * A length of a file in mm.
 * @param value  a number in the file's units, or text with that unit
 * @param units  the file's units
 * @throws UNITS_MIXED for text in the other unit (drill numbers and letters are inch sizes)
 * @throws LENGTH_UNREADABLE for text that is no length, or leaves a doubt
 * @throws NUMBER_NOT_FINITE
 */
export function parseLength(value: number | string, units: Units): number {
  if (typeof value === "number") {
    if (!Number.isFinite(value)) {
      throw new Problem("NUMBER_NOT_FINITE", "A length must be a finite number.", {
        fix: "Write the length as a number.",
      });
    }
    return units === "mm" ? value : value * MM_PER_INCH;
  }
  const written = readLength(value);
  if (!written) {
    throw new Problem("LENGTH_UNREADABLE", `"${value}" is not a length that can be read without doubt.`, {
      fix:
        units === "mm"
          ? 'Write a number in mm, or text with its unit such as "3.2 mm".'
          : 'Write a number in inches, or text with its unit such as "1/8 in", "0.125 in" or "#30".',
    });
  }
  if (written.unit !== units) {
    throw new Problem(
      "UNITS_MIXED",
      `"${value}" is in ${inUnits(written.unit)}, the file in ${inUnits(units)}.`,
      {
        fix: `Write it in ${inUnits(units)}: ${sayIn(written.mm, units)}.`,
      },
    );
  }
  return written.mm;
}

function inUnits(units: Units): string {
  return units === "mm" ? "millimetres" : "inches";
}

/**
 * A length for people, the kit's own unit first: `4.1 mm (0.161 in)`, `1/8 in (3.18 mm)`.
 * Hundredths of a millimetre, always thousandths of an inch (0.130) and half ones as drills have them; fractions of an
 * inch where it is one exactly.
 * @throws NUMBER_NOT_FINITE
 */
export function sayLength(mm: number, units: Units): string {
  if (!Number.isFinite(mm)) {
    throw new Problem("NUMBER_NOT_FINITE", "A length must be a finite number.", {
      fix: "Say that the length is not known instead.",
    });
  }
  return units === "mm"
    ? `${sayIn(mm, "mm")} (${inchDecimal(mm / MM_PER_INCH, 3)} in)`
    : `${sayIn(mm, "inch")} (${sayIn(mm, "mm")})`;
}

function sayIn(mm: number, units: Units): string {
  if (units === "mm") return `${decimal(mm, 2)} mm`;
  const inch = mm / MM_PER_INCH;
  return `${fraction(inch) ?? inchDecimal(inch, isHalfThousandth(inch) ? 4 : 3)} in`;
}

/** Whether a size is one that drills are printed with: 0.1285 in is, to a hundredth of a thousandth. */
export function isHalfThousandth(inch: number): boolean {
  const halves = inch * 2000;
  return Math.abs(halves - Math.round(halves)) < 0.02 && Math.round(halves) % 2 === 1;
}

/** So many places, as drawings state inches: 0.130 stands beside 0.1285 and 0.134; nothing is 0. */
function inchDecimal(inch: number, places: number): string {
  const rounded = Number(decimal(inch, places));
  return rounded === 0 ? "0" : rounded.toFixed(places);
}

/** At most so many places, without zeros at the end and never "-0"; halves go up as on paper (3.175 to 3.18). */
function decimal(value: number, places: number): string {
  const scale = 10 ** places;
  // Twelve digits first: 3.175 is a hair less in binary.
  return String(Math.round(Number((value * scale).toPrecision(12))) / scale || 0);
}

/** `1/8`, `1 1/2` when the value is a 64th exactly (to a ten-thousandth of an inch unless said otherwise); else null. */
function fraction(inch: number, within = 0.0001): string | null {
  const sixtyFourths = Math.round(inch * 64);
  if (sixtyFourths <= 0 || Math.abs(inch - sixtyFourths / 64) > within) return null;
  const whole = Math.floor(sixtyFourths / 64);
  let top = sixtyFourths % 64;
  let bottom = 64;
  while (top > 0 && top % 2 === 0) {
    top /= 2;
    bottom /= 2;
  }
  if (top === 0) return String(whole);
  return whole > 0 ? `${whole} ${top}/${bottom}` : `${top}/${bottom}`;
}
