import { inchOfMm, mmOfInch, outOfTable, positive } from "./input.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

/** What a thickness lets one do for a flush rivet. */
export interface FlushChoice {
  /** Null: neither limit allows it; the kit maker decides. */
  readonly treatment: "dimple" | "countersink" | null;
  readonly mayDimple: boolean;
  readonly mayCountersink: boolean;
  /** True between the two published dimple limits, where sources disagree. */
  readonly disputed: boolean;
  readonly why: string;
  readonly sources: readonly Citation[];
}

/** Published limits are in thousandths of an inch; sheet is compared at half that. */
const SLACK_MM = mmOfInch(0.0005);

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
  const inch = inchOfMm(thicknessMm).toFixed(3);
  const why = mayDimple
    ? `${inch} in is within the ${strict.max.toFixed(3)} in for a cold dimple`
    : mayCountersink
      ? `${inch} in is at least the ${gauge.min.toFixed(3)} in that a machine countersink needs`
      : `${inch} in is above the dimple limit and below the countersink gauge`;
  return {
    treatment: mayDimple ? "dimple" : mayCountersink ? "countersink" : null,
    mayDimple,
    mayCountersink,
    disputed,
    why,
    sources: [gauge.source, strict.source, ...(disputed && wide ? [wide.source] : [])],
  };
}

/** What to do with each layer of a stack for a flush rivet, head side first. */
export interface FlushStack {
  readonly layers: readonly ("dimple" | "countersink" | "leave")[];
  readonly why: string;
}

/**
 * The whole stack for a flush rivet. A machine countersink in the top layer alone takes the head when that
 * layer is thick enough; otherwise the top layer is dimpled, and every layer under it either is dimpled too or,
 * when it is thick enough, takes the dimple in a countersink of its own.
 * @returns null when a layer can be neither: ask the kit maker
 * @source dimple-combination (NAVEDTRA 14018): a dimpled top sheet may sit in a machine countersink below
 */
export function flushStack(rivet: string, thicknessesMm: readonly number[]): FlushStack | null {
  const choices = thicknessesMm.map((thickness) => flushChoice(rivet, thickness));
  const [top, ...under] = choices;
  if (!top) return null;
  if (!top.mayDimple) {
    if (!top.mayCountersink) return null;
    return {
      layers: ["countersink", ...under.map(() => "leave" as const)],
      why: "the top layer is thick enough to hold the whole head",
    };
  }
  const layers: ("dimple" | "countersink")[] = ["dimple"];
  for (const choice of under) {
    if (choice.treatment === null) return null;
    layers.push(choice.treatment);
    // Below a countersink nothing is formed: its far face is flat.
    if (choice.treatment === "countersink") break;
  }
  const rest = thicknessesMm.slice(layers.length).map(() => "leave" as const);
  const mixed = layers.includes("countersink");
  return {
    layers: [...layers, ...rest],
    why: mixed
      ? "a dimpled sheet sits in a countersink of the thick layer"
      : "every thin layer is dimpled alike",
  };
}

/**
 * Height of a countersunk head by cone geometry.
 * @param headMm   diameter across the head
 * @param shankMm  diameter of the shank
 * @param angleDeg included angle, 100 for the aircraft heads of the tables
 */
export function coneHeightMm(headMm: number, shankMm: number, angleDeg: number): number {
  positive("headMm", headMm);
  positive("shankMm", shankMm);
  return (headMm - shankMm) / 2 / Math.tan((angleDeg * Math.PI) / 360);
}
