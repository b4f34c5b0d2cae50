import { inchOfFraction, mmOfInch, positive, SAME_SIZE_MM } from "./input.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

/** Limits of a countersink's mouth, mm. */
export interface Mouth {
  readonly minMm: number;
  readonly maxMm: number;
  readonly source: Citation;
}

/**
 * Mouth of a 100 degree countersink for a rivet of this diameter.
 * @param rivetMm  nominal diameter of the rivet, mm
 * @returns        null for a size that the table does not have; another head angle is another mouth
 * @throws FASTENER_INPUT
 * @source kb/tables/countersink-mouths.json (US Army TM 9-2320-363-34-2, table 3)
 */
export function countersinkMouth(rivetMm: number): Mouth | null {
  positive("rivetMm", rivetMm);
  const row = tables.countersinkMouths.rows.find(
    ({ rivet }) => Math.abs(mmOfInch(inchOfFraction(rivet)) - rivetMm) <= SAME_SIZE_MM,
  );
  return row ? { minMm: mmOfInch(row.min), maxMm: mmOfInch(row.max), source: row.source } : null;
}
