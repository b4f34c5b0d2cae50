import type { Job } from "../ask/types.js";
import { sayHoldLine, sayLine, sayRuleInUse, sayRulesThen } from "../ask/wording/build-record.js";
import { csvOf } from "../csv.js";
import type { BuildRecord, RecordLine } from "../shop/record.js";

const COLUMNS = [
  "entry",
  "at_utc",
  "by",
  "kind",
  "what",
  "where",
  "holes",
  "treatment",
  "final_diameter_mm",
  "rivet",
  "head",
  "hold",
  "verdict",
  "not_settled",
  "rules",
] as const;
type Row = Partial<Record<(typeof COLUMNS)[number], string | number | null>>;

/** The build record as a table, one line for each thing done; then holds, departures and shop rules as they stand. */
export function recordTable(job: Job, record: BuildRecord): string {
  const rows: readonly Row[] = [
    ...record.lines.map((line) => lineRow(job, line)),
    ...record.holds.map((hold) => ({
      kind: "hold",
      what: sayHoldLine(job, hold),
      holes: hold.open.join(" "),
      hold: hold.until,
      rules: hold.ruleIds.join(", "),
    })),
    ...record.rules.map((used) => ({
      entry: used.from.version,
      at_utc: used.from.at,
      by: used.from.by,
      kind: used.rule.departure ? "departure" : "shop rule",
      what: sayRuleInUse(job, used),
      holes: used.holes.join(" "),
      rules: used.rule.id,
    })),
  ];
  return csvOf([COLUMNS, ...rows.map((row) => COLUMNS.map((column) => row[column] ?? null))]);
}

function lineRow(job: Job, line: RecordLine): Row {
  const row: Row = {
    entry: line.version,
    at_utc: line.at,
    by: line.by,
    kind: line.kind,
    ...sayLine(job, line),
    holes: "holes" in line ? line.holes.join(" ") : line.kind === "note" ? line.hole : null,
  };
  if (line.kind !== "set" || !line.ruled) return row;
  const { settled, verdict, open } = line.ruled;
  const value = (attribute: string): string | number | null => {
    const found = settled[attribute];
    return typeof found === "boolean" ? String(found) : (found ?? null);
  };
  return {
    ...row,
    treatment: value("treatment"),
    final_diameter_mm: value("finalDiameterMm"),
    rivet: value("rivet"),
    head: value("head"),
    hold: value("hold"),
    verdict,
    not_settled: open.join(" "),
    rules: sayRulesThen(line.ruled),
  };
}
