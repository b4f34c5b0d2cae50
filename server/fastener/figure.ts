import type { Citation } from "./table.js";

/** One term of a sum, as a trace shows it: "gap 1.9 mm", "less dome 1.0 mm". */
export interface Term {
  readonly what: string;
  /** Part that it is measured in, by id, where it is one part's. */
  readonly part?: string;
  readonly sign: 1 | -1;
  readonly value: number;
}

/** A computed number with how it came about. */
export interface Figure {
  readonly value: number;
  readonly unit: "mm" | "inch" | "diameters" | "count" | "per inch";
  readonly terms: readonly Term[];
  readonly sources: readonly Citation[];
  /** True when a value behind it is from memory and not verified: the answer must say so. */
  readonly unverified: boolean;
}

/** A figure whose value is the signed sum of its terms. */
export function sumOf(
  unit: Figure["unit"],
  terms: readonly Term[],
  sources: readonly Citation[] = [],
): Figure {
  const value = terms.reduce((sum, term) => sum + term.sign * term.value, 0);
  return { value, unit, terms, sources, unverified: restsOnMemory(sources) };
}

/** Whether any of the sources is from memory and not verified. */
export function restsOnMemory(sources: readonly Citation[]): boolean {
  return sources.some((source) => source.confidence === "unverified");
}
