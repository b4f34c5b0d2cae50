import table from "../../kb/tables/drills.json" with { type: "json" };

const inchByName: ReadonlyMap<string, number> = new Map(table.rows.map((row) => [row.drill, row.inch]));

/**
 * Diameter of a number or letter drill, inch.
 * @param name  `#30` or `F`
 * @returns     null for a drill that the table does not have
 * @source      kb/tables/drills.json, which names the standard
 */
export function drillInch(name: string): number | null {
  return inchByName.get(name) ?? null;
}
