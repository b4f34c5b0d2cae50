import { describe, expect, it } from "vitest";
import { tableDrills } from "../../server/fastener/drill.js";
import { flushChoice } from "../../server/fastener/flush.js";
import { inchOfMm, mmOfInch } from "../../server/fastener/input.js";
import { layoutMinimum } from "../../server/fastener/layout.js";
import { pulledLeastLength, pulledMetricLengths, solidLength } from "../../server/fastener/length.js";
import { shopHead } from "../../server/fastener/shop-head.js";
import { tables } from "../../server/fastener/tables.js";

/** What each source of a table prints, as "source: value". */
function printed<Row extends { readonly source: { readonly id: string } }>(
  rows: readonly Row[],
  value: (row: Row) => unknown,
): string[] {
  return rows.map((row) => `${row.source.id}: ${String(value(row))}`);
}

/** Sources are named in kb/tables; each table's `uses` says which one counts and why. */
describe("where sources disagree, the table holds both and the program says which it uses", () => {
  it("usual pitch: 4 to 8 diameters (Navy) or 6 to 8 (Army); only the least pitch of 3, on which all agree, is judged", () => {
    const usual = tables.layout.rows.filter((row) => row.usualMin !== undefined);
    expect(printed(usual, (row) => `${row.usualMin} to ${row.usualMax}`)).toEqual([
      "layout-army-spacing: 6 to 8",
      "layout-navy-spacing: 4 to 8",
    ]);
    expect(layoutMinimum(1, "protruding").pitchDiameters).toBe(3);
    const least = tables.layout.rows.filter((row) => row.rows === "one").map((row) => row.pitchMin);
    expect(new Set(least)).toEqual(new Set([3]));
  });

  it("rows apart: 2 diameters in the figure, 2.5 in a manual's text", () => {
    const gaps = tables.layout.rows.filter((row) => row.rowGapMin !== undefined);
    expect(printed(gaps, (row) => row.rowGapMin)).toEqual([
      "layout-double-row-min: 2",
      "layout-army-row-gap: 2.5",
    ]);
    expect(tables.layout.uses).toContain("uses 2.5 D between rows");
  });

  it("clearance drill: one number apart at 3/32, 5/32 and 3/16, the same at 1/8 (one source from memory, not verified)", () => {
    const drills = (rivet: string) =>
      printed(
        tables.solidDrills.rows.filter((row) => row.rivet === rivet),
        (row) => row.drill,
      );
    expect(drills("3/32")).toEqual(["drill-p40: 41", "drill-faa: 40"]);
    expect(drills("5/32")).toEqual(["drill-p40: 22", "drill-faa: 21"]);
    expect(drills("3/16")).toEqual(["drill-p40: 12", "drill-faa: 11"]);
    expect(drills("1/8")).toEqual(["drill-p40: 30", "drill-faa: 30"]);
  });

  it("machine countersink: from a gauge for each size (Army) or from 0.064 inch for all (Navy)", () => {
    const gauges = tables.countersinkGauges.rows.filter((row) => ["1/8", "any"].includes(row.rivet));
    expect(printed(gauges, (row) => row.min)).toEqual([
      "csk-min-gauge: 0.05",
      "csk-min-gauge-2: 0.05",
      "csk-navy-064: 0.064",
    ]);
    expect(flushChoice("1/8", mmOfInch(0.051)).mayCountersink).toBe(true);
    expect(flushChoice("1/8", mmOfInch(0.049)).mayCountersink).toBe(false);
  });

  it("cold dimple: up to 0.040 inch or up to 0.051; between the two the choice is disputed and not made", () => {
    expect(printed(tables.dimpleLimits.rows, (row) => row.max)).toEqual([
      "dimple-max-040: 0.04",
      "dimple-p40-051: 0.051",
    ]);
    expect(flushChoice("5/32", mmOfInch(0.045))).toMatchObject({ treatment: null, disputed: true });
    expect(flushChoice("5/32", mmOfInch(0.045)).sources.map(({ id }) => id)).toContain("dimple-p40-051");
  });

  it("solid length: one and a half diameters above the grip, and half a diameter as a misprint that is never used", () => {
    const solid = tables.lengths.rows.filter((row) => row.kind === "solid");
    expect(printed(solid, (row) => row.allowance)).toEqual([
      "length-protruding: 1.5",
      "length-faa: 1.5",
      "length-army-shelter-half: 0.5",
    ]);
    expect(inchOfMm(solidLength("1/8", mmOfInch(0.1)).computedMm)).toBeCloseTo(0.1 + 1.5 / 8, 9);
  });

  it("pulled length at a limit: the grip table still offers the shorter, a maker's rule of thumb asks for more (which column is which diameter is inferred)", () => {
    // ISO 15981 table 2 (columns inferred) beside a maker's rule: 4.8 mm through 6 mm.
    expect(pulledMetricLengths(4.8, 6).map(({ lengthMm }) => lengthMm)).toEqual([10, 12]);
    expect(pulledLeastLength(4.8, 6).leastMm).toBeCloseTo(10.8, 9);
  });

  it("shop head: the strictest of the least widths and of the least heights", () => {
    const least = tables.shopHeads.rows.filter((row) => row.what === "least");
    expect(printed(least, (row) => `${row.width} by ${row.height}`)).toEqual([
      "head-mil-minimum: 1.4 by 0.3",
      "head-training-range: 1.25 by 0.33",
      "head-mil-r-47196: 1.3 by null",
    ]);
    expect(shopHead(1)).toMatchObject({ leastWidthMm: 1.4, leastHeightMm: 0.33 });
  });

  it("drill to remove a solid rivet: the same size, or one larger, which would enlarge the hole", () => {
    const solid = tables.removal.rows.filter((row) => row.kind === "solid");
    expect(printed(solid, (row) => row.drill)).toEqual([
      "remove-drill: same as the rivet",
      "remove-training-card: same or one size larger",
    ]);
    expect(tables.removal.uses).toContain("same size");
  });

  it("hole for a 1/8 pulled rivet: two limits a thousandth apart", () => {
    const eighth = tables.pulledInchHoles.rows.filter((row) => row.rivet === "1/8");
    expect(printed(eighth, (row) => `${row.min} to ${row.max}`)).toEqual([
      "drill-blind-tm: 0.128 to 0.132",
      "drill-blind-ifi: 0.129 to 0.133",
    ]);
    const [first] = tableDrills(mmOfInch(1 / 8)).filter(({ kind }) => kind === "pulled");
    expect(inchOfMm(first?.limits?.maxMm ?? 0)).toBeCloseTo(0.132, 9);
  });

  it("every table with a second source for one thing says which is used", () => {
    for (const table of [
      tables.layout,
      tables.solidDrills,
      tables.countersinkGauges,
      tables.dimpleLimits,
      tables.lengths,
      tables.shopHeads,
      tables.removal,
      tables.pulledInchHoles,
      tables.temporaryFasteners,
    ]) {
      expect(table.uses, table.id).toMatch(/program|goes first|go by/);
    }
  });
});
