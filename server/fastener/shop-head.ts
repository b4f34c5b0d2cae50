import { outOfTable, positive } from "./input.js";
import type { Citation } from "./table.js";
import { tables } from "./tables.js";

export interface ShopHead {
  readonly nominalWidthMm: number;
  readonly nominalHeightMm: number;
  readonly leastWidthMm: number;
  readonly leastHeightMm: number;
  readonly sources: readonly Citation[];
}

/**
 * Shop head of a driven solid rivet: nominal 1.5 D wide and 0.5 D high; the least values are the
 * strictest that any source prints.
 * @source head-nominal; head-mil-minimum, head-training-range, head-mil-r-47196 (see the table's `uses`)
 */
export function shopHead(rivetMm: number): ShopHead {
  positive("rivetMm", rivetMm);
  const { rows } = tables.shopHeads;
  const nominal = rows.find((row) => row.what === "nominal");
  const least = rows.filter((row) => row.what === "least");
  if (!nominal || nominal.height === null || least.length === 0) {
    throw outOfTable("shop-heads", "The shop-head table has no nominal or least values.");
  }
  return {
    nominalWidthMm: nominal.width * rivetMm,
    nominalHeightMm: nominal.height * rivetMm,
    leastWidthMm: Math.max(...least.map((row) => row.width)) * rivetMm,
    leastHeightMm: Math.max(...least.map((row) => row.height ?? 0)) * rivetMm,
    sources: [nominal.source, ...least.map((row) => row.source)],
  };
}
