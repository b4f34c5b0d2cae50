import type { FactRecord } from "../../facts/types.js";

const FINDING_KINDS = [
  "unknown name",
  "malformed",
  "never holds",
  "always holds",
  "holds nowhere here",
  "cannot be kept",
  "duplicate",
  "subsumed",
  "subsumes",
  "opposes",
  "override loop",
  "gap",
  "example fails",
  "cut off",
] as const;
export type FindingKind = (typeof FINDING_KINDS)[number];

/** `error`: the rule cannot be right as it stands; `warning`: look at it; `note`: good to know. */
export type Severity = "error" | "warning" | "note";
const SEVERITIES: readonly Severity[] = ["error", "warning", "note"];

/** A hole of the kit, or facts of an invented one. */
export type WitnessHole = { readonly hole: string } | { readonly facts: FactRecord };

/** One thing that was found about a rule, by itself or beside the others. */
export interface Finding {
  readonly kind: FindingKind;
  readonly severity: Severity;
  /** The rule first, then the others that it is about. */
  readonly rules: readonly string[];
  /** The attribute that it is about; null where it is about none. */
  readonly attribute: string | null;
  /** A hole that shows it; null where there is nothing to show. */
  readonly witness: WitnessHole | null;
  /** Holes of the kit that it is about, as far as they were looked at. */
  readonly holes: readonly string[];
  /** In plain words. */
  readonly said: string;
  /** Place in the rule, as a JSON pointer; "" = the whole rule. */
  readonly pointer: string;
  /** What can be done about it. */
  readonly fix: string;
}

/** What a finding must say; the rest is filled in. */
export type Told = Pick<Finding, "kind" | "severity" | "said" | "fix"> & Partial<Finding>;

export function finding(rule: string, told: Told): Finding {
  return Object.freeze({
    attribute: null,
    witness: null,
    holes: [],
    pointer: "",
    ...told,
    rules: [rule, ...(told.rules ?? [])],
  });
}

/** The gravest first; otherwise as they came. */
export function gravestFirst(findings: readonly Finding[]): readonly Finding[] {
  return [...findings].sort((a, b) => SEVERITIES.indexOf(a.severity) - SEVERITIES.indexOf(b.severity));
}
