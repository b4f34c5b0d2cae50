import { Problem } from "../problem.js";

/** How far a published value was verified. */
export type Confidence = "read" | "secondary" | "derived" | "unverified";

/** Where a value comes from. */
export interface Citation {
  /** Key of the source within its table. */
  readonly id: string;
  readonly title: string;
  readonly part: string;
  readonly dated: string | null;
  readonly confidence: Confidence;
}

/** One row with its source in place of the source's key. */
export type Sourced<Row> = Omit<Row, "source"> & { readonly source: Citation };

/** A table of `kb/tables` as it stands in its file. */
export interface TableFile<Row extends { readonly source: string }> {
  readonly format: string;
  readonly id: string;
  readonly title: string;
  readonly units: string;
  /** Which row the program uses, and why, where sources disagree. */
  readonly uses?: string;
  readonly rows: readonly Row[];
  readonly sources: Readonly<
    Record<
      string,
      {
        readonly title: string;
        readonly part: string;
        readonly dated: string | null;
        readonly confidence: string;
      }
    >
  >;
}

export interface Table<Row> {
  readonly id: string;
  readonly title: string;
  readonly units: string;
  readonly uses: string | null;
  readonly rows: readonly Sourced<Row>[];
}

const CONFIDENCES: readonly string[] = ["read", "secondary", "derived", "unverified"];

/**
 * A table with every row's source in place.
 * @throws TABLE_INVALID when a row names no source of the table, the source no place, or its confidence is none of the four
 */
export function tableOf<Row extends { readonly source: string }>(file: TableFile<Row>): Table<Row> {
  const rows = file.rows.map((row, i) => {
    const source = file.sources[row.source];
    if (file.format !== "tailroom table 1" || !source?.part || !CONFIDENCES.includes(source.confidence)) {
      throw new Problem("TABLE_INVALID", `Row ${i + 1} of table ${file.id} has no proper source.`, {
        where: { file: `kb/tables/${file.id}.json`, pointer: `/rows/${i}/source` },
        fix: "Name one of the table's sources, with the place in it and a confidence of read, secondary, derived or unverified.",
      });
    }
    const citation: Citation = {
      id: row.source,
      title: source.title,
      part: source.part,
      dated: source.dated,
      confidence: source.confidence as Confidence,
    };
    return Object.freeze({ ...row, source: Object.freeze(citation) });
  });
  return Object.freeze({
    id: file.id,
    title: file.title,
    units: file.units,
    uses: file.uses ?? null,
    rows: Object.freeze(rows),
  });
}
