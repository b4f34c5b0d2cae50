import countersinkGaugesFile from "../../kb/tables/countersink-gauges.json" with { type: "json" };
import countersinkMouthsFile from "../../kb/tables/countersink-mouths.json" with { type: "json" };
import deburringFile from "../../kb/tables/deburring.json" with { type: "json" };
import dimpleLimitsFile from "../../kb/tables/dimple-limits.json" with { type: "json" };
import dimpleOrdersFile from "../../kb/tables/dimple-orders.json" with { type: "json" };
import drillsFile from "../../kb/tables/drills.json" with { type: "json" };
import flushStacksFile from "../../kb/tables/flush-stacks.json" with { type: "json" };
import headAnglesFile from "../../kb/tables/head-angles.json" with { type: "json" };
import layoutFile from "../../kb/tables/layout.json" with { type: "json" };
import lengthsFile from "../../kb/tables/lengths.json" with { type: "json" };
import oversizeFile from "../../kb/tables/oversize.json" with { type: "json" };
import pulledInchGripsFile from "../../kb/tables/pulled-inch-grips.json" with { type: "json" };
import pulledInchHolesFile from "../../kb/tables/pulled-inch-holes.json" with { type: "json" };
import pulledMetricGripsFile from "../../kb/tables/pulled-metric-grips.json" with { type: "json" };
import pulledMetricHolesFile from "../../kb/tables/pulled-metric-holes.json" with { type: "json" };
import removalFile from "../../kb/tables/removal.json" with { type: "json" };
import shopHeadsFile from "../../kb/tables/shop-heads.json" with { type: "json" };
import solidDrillsFile from "../../kb/tables/solid-drills.json" with { type: "json" };
import temporaryFastenersFile from "../../kb/tables/temporary-fasteners.json" with { type: "json" };
import { type TableFile, tableOf } from "./table.js";

/** Limits of the finished hole by rivet size, in the table's units. */
interface HoleRow {
  readonly rivet: number;
  readonly min: number;
  readonly max: number;
  readonly source: string;
}
interface InchHoleRow extends Omit<HoleRow, "rivet"> {
  readonly rivet: string;
  readonly drill: string;
}
interface LayoutRow {
  readonly rows: string;
  readonly edgeMin?: number;
  readonly edgeMinFlush?: number;
  readonly edgeMax?: number;
  readonly pitchMin?: number;
  readonly pitchMax?: number;
  readonly usualMin?: number;
  readonly usualMax?: number;
  readonly rowGapMin?: number;
  readonly source: string;
}
interface OversizeRow {
  readonly what: string;
  readonly upTo?: number | null;
  readonly step?: number;
  readonly maxFraction?: number;
  readonly maxCount?: number;
  readonly maxAdjacent?: number;
  readonly source: string;
}

/** Every published table, with each row's source in place. Lengths are in the table's own `units`. */
export const tables = {
  drills: tableOf(drillsFile),
  pulledMetricHoles: tableOf<HoleRow>(pulledMetricHolesFile),
  pulledMetricGrips: tableOf<HoleRow & { length: number }>(pulledMetricGripsFile),
  pulledInchGrips: tableOf<{
    number: string;
    rivet: string;
    min: number;
    max: number;
    length: number;
    source: string;
  }>(pulledInchGripsFile),
  pulledInchHoles: tableOf<InchHoleRow>(pulledInchHolesFile),
  solidDrills: tableOf<{ rivet: string; drill: string; size: number; source: string }>(solidDrillsFile),
  headAngles: tableOf<{ kind: string; series: string; angle: number; source: string }>(headAnglesFile),
  countersinkGauges: tableOf<{ rivet: string; min: number; source: string }>(countersinkGaugesFile),
  countersinkMouths: tableOf<{ rivet: string; min: number; max: number; source: string }>(
    countersinkMouthsFile,
  ),
  dimpleLimits: tableOf<{ max: number; source: string }>(dimpleLimitsFile),
  dimpleOrders: tableOf<{ rivet: string; dimpledAt: number; final: number; source: string }>(
    dimpleOrdersFile,
  ),
  flushStacks: tableOf<{ top: string; under: string; source: string }>(flushStacksFile),
  shopHeads: tableOf<{ what: string; width: number; height: number | null; source: string }>(shopHeadsFile),
  layout: tableOf<LayoutRow>(layoutFile as TableFile<LayoutRow>),
  lengths: tableOf<{ kind: string; allowance: number; source: string }>(lengthsFile),
  oversize: tableOf<OversizeRow>(oversizeFile as TableFile<OversizeRow>),
  removal: tableOf<{ kind: string; drill: string; source: string }>(removalFile),
  deburring: tableOf<{ maxFraction: number; max: number; source: string }>(deburringFile),
  temporaryFasteners: tableOf<{ size: string; colour: string; source: string }>(temporaryFastenersFile),
} as const;
