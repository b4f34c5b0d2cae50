import type { Truth } from "./types.js";

/**
 * Kleene's strong three-valued logic: false settles an "and", true an "or", whatever is not known.
 * @source S. C. Kleene, "Introduction to Metamathematics", 1952, § 64 (from memory)
 */
export function allOf(verdicts: readonly Truth[]): Truth {
  if (verdicts.includes("false")) return "false";
  return verdicts.includes("unknown") ? "unknown" : "true";
}

export function anyOf(verdicts: readonly Truth[]): Truth {
  if (verdicts.includes("true")) return "true";
  return verdicts.includes("unknown") ? "unknown" : "false";
}

export function notOf(verdict: Truth): Truth {
  if (verdict === "unknown") return "unknown";
  return verdict === "true" ? "false" : "true";
}

/** Joins the verdicts of a condition's children; "not" has one. */
export function joinTruths(op: "all" | "any" | "not", verdicts: readonly Truth[]): Truth {
  if (op === "all") return allOf(verdicts);
  return op === "any" ? anyOf(verdicts) : notOf(verdicts[0] ?? "unknown");
}
