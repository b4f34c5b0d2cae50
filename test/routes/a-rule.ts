import type { RuleInFile } from "../../server/ruling/schema.js";
import type { Condition } from "../../server/ruling/types.js";
import { assembly } from "./shop.js";

const [row, otherRow] = assembly.rows as unknown as [Row, Row];
interface Row {
  readonly id: string;
  readonly holes: readonly string[];
}

/** Holes at which `aRule` holds. */
export const itsHoles = row.holes;

/** A caution of the shop's own for one row of the demo kit; cautions contradict nothing. */
export function aRule(id: string, changes: Partial<RuleInFile> = {}): RuleInFile {
  return {
    id,
    title: "Back this row up with the wooden bar",
    family: "caution",
    basis: { rank: "shop", document: "Shop book", place: "page 3" },
    why: "The flange bent here on the practice piece.",
    conditions: { all: [{ fact: "rowId", operator: "equal", value: row.id } as Condition] },
    event: { type: "caution", params: { text: "Back the flange up with the wooden bar.", acts: ["rivet"] } },
    examples: [
      { hole: row.holes[0] ?? "", fires: true },
      { hole: otherRow.holes[0] ?? "", fires: false },
    ],
    ...changes,
  };
}
