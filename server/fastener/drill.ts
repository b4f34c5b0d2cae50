import type { RivetKind } from "../kit/types.js";
import { type Drill, drillsWithin, type HoleLimits } from "./hole.js";
import { mmOfInch, outOfTable, positive, SAME_SIZE_MM } from "./input.js";
import { tableSizeOf } from "./rivet-size.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

/** The drill that brings a hole to its final size, and others that would serve. */
export interface FinalDrill {
  readonly drill: Drill;
  readonly others: readonly Drill[];
}

/**
 * The standard drill for a finished hole: the one of the ruled final size, else the one nearest to it; always one
 * that lies within the rivet's limits.
 * @param finalMm  as ruled, mm
 * @param metric   whether a metric drill goes before an inch one of the same size
 * @returns null when no standard drill lies within the limits: the kit maker says which
 * @throws FASTENER_INPUT
 */
export function finalDrill(limits: HoleLimits, finalMm: number, metric: boolean): FinalDrill | null {
  positive("finalMm", finalMm);
  const off = ({ mm }: Drill): number => {
    const away = Math.abs(mm - finalMm);
    // To a micrometre, so that of two drills as far from it the smaller goes first: none cuts smaller than itself.
    return away <= SAME_SIZE_MM ? 0 : Math.round(away * 1000);
  };
  const own = ({ name }: Drill): number => (name.endsWith(" mm") === metric ? 0 : 1);
  const [drill, ...others] = [...drillsWithin(limits)].sort(
    (a, b) => off(a) - off(b) || own(a) - own(b) || a.mm - b.mm,
  );
  return drill ? { drill, others } : null;
}

/** What a table prints for a rivet of some size: a drill, or limits of the hole that drills must lie in. */
export interface TableDrill {
  readonly kind: RivetKind;
  /** As the size is called: `1/8`, `3.2`. */
  readonly rivet: string;
  readonly drills: readonly Drill[];
  /** Null where the table prints a drill alone. */
  readonly limits: HoleLimits | null;
  readonly source: Citation;
}

/**
 * Drills that the tables give for a nominal rivet size, the one that the program uses first; sources that differ
 * stand side by side.
 * @throws FASTENER_OUT_OF_TABLE when no table has the size; FASTENER_INPUT
 * @source kb/tables/solid-drills.json, pulled-inch-holes.json, pulled-metric-holes.json
 */
export function tableDrills(rivetMm: number): readonly TableDrill[] {
  const found = [...solidDrills(rivetMm), ...pulledDrills(rivetMm)];
  if (found.length > 0) return found;
  throw outOfTable("solid-drills", `No table has a rivet of ${Number(rivetMm.toFixed(3))} mm.`);
}

/**
 * The largest hole that a table prints for a rivet of this size: its upper limit, or the largest clearance drill.
 * @returns mm; null when no table has the size
 * @throws FASTENER_INPUT
 * @source as `tableDrills`
 */
export function tableHoleMostMm(kind: RivetKind, rivetMm: number): number | null {
  const found = kind === "solid" ? solidDrills(rivetMm) : pulledDrills(rivetMm);
  const sizes = found.flatMap(({ limits, drills }) => (limits ? [limits.maxMm] : drills.map(({ mm }) => mm)));
  return sizes.length > 0 ? Math.max(...sizes) : null;
}

function solidDrills(rivetMm: number): readonly TableDrill[] {
  const size = tableSizeOf(rivetMm, "solid");
  return tables.solidDrills.rows
    .filter(({ rivet }) => rivet === size?.name)
    .map(({ rivet, drill, size: inch, source }) => ({
      kind: "solid",
      rivet,
      drills: [{ name: nameOf(drill), mm: mmOfInch(inch) }],
      limits: null,
      source,
    }));
}

function pulledDrills(rivetMm: number): readonly TableDrill[] {
  const size = tableSizeOf(rivetMm, "pulled");
  if (!size) return [];
  const rows =
    size.series === "inch"
      ? tables.pulledInchHoles.rows
          .filter(({ rivet }) => rivet === size.name)
          .map(({ min, max, source }) => ({ minMm: mmOfInch(min), maxMm: mmOfInch(max), source }))
      : tables.pulledMetricHoles.rows
          .filter(({ rivet }) => rivet.toFixed(1) === size.name)
          .map(({ min, max, source }) => ({ minMm: min, maxMm: max, source }));
  return rows.map(({ source, ...limits }) => ({
    kind: "pulled",
    rivet: size.name,
    drills: drillsWithin(limits),
    limits,
    source,
  }));
}

/** `30` → `#30`, `F` → `F`, `1/4` → `1/4 in`: as `Drill` names them. */
function nameOf(drill: string): string {
  if (drill.includes("/")) return `${drill} in`;
  return /^\d+$/.test(drill) ? `#${drill}` : drill;
}

/** A rivet size whose hole a measured or drilled hole would be. */
export interface SizeForHole {
  readonly kind: RivetKind;
  readonly rivet: string;
  readonly source: Citation;
}

/**
 * Nominal rivets that a hole of this size is right for: those whose limits hold it, and solid ones whose clearance
 * drill it is.
 * @throws FASTENER_INPUT
 */
export function sizesForHole(holeMm: number): readonly SizeForHole[] {
  positive("holeMm", holeMm);
  const within = (min: number, max: number): boolean => holeMm >= min - 1e-6 && holeMm <= max + 1e-6;
  const solid = tables.solidDrills.rows
    .filter(({ size }) => Math.abs(mmOfInch(size) - holeMm) <= SAME_SIZE_MM)
    .map(({ rivet, source }): SizeForHole => ({ kind: "solid", rivet: `${rivet} in`, source }));
  const inch = tables.pulledInchHoles.rows
    .filter(({ min, max }) => within(mmOfInch(min), mmOfInch(max)))
    .map(({ rivet, source }): SizeForHole => ({ kind: "pulled", rivet: `${rivet} in`, source }));
  const metric = tables.pulledMetricHoles.rows
    .filter(({ min, max }) => within(min, max))
    .map(({ rivet, source }): SizeForHole => ({ kind: "pulled", rivet: `${rivet.toFixed(1)} mm`, source }));
  return [...solid, ...inch, ...metric];
}
