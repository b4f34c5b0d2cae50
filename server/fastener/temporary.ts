import { inchOfFraction, mmOfInch, positive } from "./input.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

/** The temporary fastener for a hole. */
export interface TemporaryFastener {
  /** Inch size as it is stamped on the body: `1/8`. */
  readonly size: string;
  readonly sizeMm: number;
  /** What colour each source prints for it, the table's first source first; sources may disagree. */
  readonly colours: readonly { readonly colour: string; readonly source: Citation }[];
}

/**
 * How far a hole may be above the size that is stamped on the fastener: half the step between two sizes (1/32 in),
 * so that the next size up is never the nearer one. Common practice, no source: a rivet's hole is a few
 * thousandths above its nominal size, and the fastener is named after the rivet.
 */
const MOST_ABOVE_MM = mmOfInch(1 / 64);
/** A hole that is a hair under the nominal size is still its hole. */
const UNDER_MM = 0.01;

/**
 * The temporary fastener that fits a hole of this size snugly: the largest one that is not above the hole.
 * @param holeMm  the hole as it is when the layers are pinned, mm
 * @returns       null when no size of the table is near enough: a loose one does not keep the others in line
 * @throws FASTENER_INPUT for NaN, infinite, zero or negative
 * @source kb/tables/temporary-fasteners.json (NAVEDTRA 14315, figure 4-7)
 */
export function temporaryFastenerFor(holeMm: number): TemporaryFastener | null {
  positive("holeMm", holeMm);
  const sizes = [...new Set(tables.temporaryFasteners.rows.map(({ size }) => size))]
    .map((size) => ({ size, sizeMm: mmOfInch(inchOfFraction(size)) }))
    .sort((a, b) => b.sizeMm - a.sizeMm);
  const found = sizes.find(({ sizeMm }) => sizeMm <= holeMm + UNDER_MM);
  if (!found || holeMm - found.sizeMm > MOST_ABOVE_MM) return null;
  const colours = tables.temporaryFasteners.rows
    .filter(({ size }) => size === found.size)
    .map(({ colour, source }) => ({ colour, source }));
  return { ...found, colours };
}
