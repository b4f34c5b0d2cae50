import type { FactRecord } from "../../facts/types.js";
import type { FactValue } from "../../kit/types.js";
import { sayValue } from "../json.js";
import type { Leaf, Principle, Rule } from "../types.js";

/** How findings name things: as the files do, or as a builder does (`ask/wording/finding-words.ts`). */
export interface FindingWords {
  /** One hole or more: "hole RIB-3.top.8 (and 3 more)"; never called with none. */
  holes(ids: readonly string[]): string;
  /** "gapMm lessThan 1". */
  leaf(leaf: Leaf): string;
  /** What is known of an invented hole: "gapMm 0.5, kind rib, through A and B". */
  facts(facts: FactRecord): string;
  fact(name: string): string;
  /** A value of that fact. */
  value(fact: string, value: number): string;
  attribute(name: string): string;
  /** Two claims, one against the other: "head flush against protruding". */
  against(attribute: string, own: unknown, theirs: unknown): string;
  part(id: string): string;
  /** Why one rule goes before another; the declared reason is said with it. */
  principle(principle: Principle, winner: Rule, loser: Rule, reason: string | null): string;
}

/** Everything by the name that it has in the files: for those who write these. */
export const FILE_WORDS: FindingWords = {
  holes: (ids) => `hole ${ids[0]}${ids.length > 1 ? ` (and ${ids.length - 1} more)` : ""}`,
  leaf: ({ fact, operator, value }) => {
    const needed =
      typeof value === "object" && !Array.isArray(value) ? (value as { fact: string }).fact : null;
    return `${fact} ${operator} ${needed ?? sayValue(value)}`;
  },
  facts: (facts) => {
    const said = Object.entries(facts).map(([name, value]) => `${name} ${sayFactValue(value)}`);
    return said.length === 0 ? "any facts" : said.join(", ");
  },
  fact: (name) => name,
  value: (_fact, value) => String(value),
  attribute: (name) => name,
  against: (attribute, own, theirs) => `${attribute} ${String(own)} against ${String(theirs)}`,
  part: (id) => id,
  principle: (principle, _winner, _loser, reason) => `${principle}${reason === null ? "" : ` (${reason})`}`,
};

function sayFactValue(value: FactValue): string {
  return Array.isArray(value) ? value.join(" and ") || "empty" : String(value);
}
