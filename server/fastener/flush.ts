import { mmOfInch, outOfTable, positive } from "./input.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

/** What a thickness lets one do for a flush rivet. */
export interface FlushChoice {
  /** Null: neither limit allows it; the kit maker decides. */
  readonly treatment: "dimple" | "countersink" | null;
  readonly mayDimple: boolean;
  readonly mayCountersink: boolean;
  /** Thinnest sheet for a countersink of that size. */
  readonly gaugeMm: number;
  /** True between the two published dimple limits, where sources disagree. */
  readonly disputed: boolean;
  readonly sources: readonly Citation[];
}

/** Published limits are in thousandths of an inch; sheet is compared at half that. */
const SLACK_MM = mmOfInch(0.0005);

/**
 * Whether a layer is thin enough for a cold dimple, by the lower of the two published limits.
 * @throws FASTENER_OUT_OF_TABLE, FASTENER_INPUT
 * @source dimple-max-040 (FAA AC 65-15A, quoted)
 */
export function withinDimpleLimit(thicknessMm: number): boolean {
  positive("thicknessMm", thicknessMm);
  const { rows } = tables.dimpleLimits;
  if (rows.length === 0) throw outOfTable("dimple-limits", "The table of dimple limits is empty.");
  return thicknessMm <= mmOfInch(Math.min(...rows.map(({ max }) => max))) + SLACK_MM;
}

/**
 * Dimple or machine countersink one layer for a 100 degree flush rivet. Thin sheet is dimpled; a sheet
 * takes a machine countersink only from the gauge on where the head stays above its far face.
 * @param rivet        inch size such as `1/8`
 * @param thicknessMm  the layer's own thickness
 * @throws FASTENER_OUT_OF_TABLE for a rivet that the gauge table does not have; FASTENER_INPUT
 * @source csk-min-gauge (US Army TM 9-2320-363-34-2 table 4), dimple-max-040 (FAA AC 65-15A, quoted)
 */
export function flushChoice(rivet: string, thicknessMm: number): FlushChoice {
  positive("thicknessMm", thicknessMm);
  const gauge = tables.countersinkGauges.rows.find((row) => row.rivet === rivet);
  if (!gauge) {
    throw outOfTable("countersink-gauges", `No table has a countersink gauge for a ${rivet} rivet.`);
  }
  const [strict, wide] = [...tables.dimpleLimits.rows].sort((a, b) => a.max - b.max);
  if (!strict) throw outOfTable("dimple-limits", "The table of dimple limits is empty.");
  const mayCountersink = thicknessMm >= mmOfInch(gauge.min) - SLACK_MM;
  const mayDimple = thicknessMm <= mmOfInch(strict.max) + SLACK_MM;
  const disputed = !mayDimple && wide !== undefined && thicknessMm <= mmOfInch(wide.max) + SLACK_MM;
  return {
    treatment: mayDimple ? "dimple" : mayCountersink ? "countersink" : null,
    mayDimple,
    mayCountersink,
    gaugeMm: mmOfInch(gauge.min),
    disputed,
    sources: [gauge.source, strict.source, ...(disputed && wide ? [wide.source] : [])],
  };
}
