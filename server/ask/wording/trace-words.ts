import type { Dictionary } from "../../facts/types.js";
import type { Operator } from "../../ruling/operators.js";
import { attributeLabel, factLabel } from "./measures.js";
import { OPERATOR_WORDS } from "./rule-writing.js";

/** The words with which a trace is shown: what it calls by name is said as everywhere else. */
export interface TraceWords {
  readonly operators: Readonly<Record<Operator, string>>;
  /** Facts and attributes, with the unit that a trace's bare numbers have: "headroom (mm)". */
  readonly facts: Readonly<Record<string, string>>;
}

export function traceWords({ facts, attributes }: Dictionary): TraceWords {
  const withUnit = (label: string, unit: string | null): string =>
    unit === null || unit === "count" ? label : `${label} (${unit})`;
  return {
    operators: OPERATOR_WORDS,
    facts: Object.fromEntries([
      ...[...attributes.values()].map(({ name, unit }) => [name, withUnit(attributeLabel(name), unit)]),
      ...[...facts.values()].map(({ name, unit }) => [name, withUnit(factLabel(name), unit)]),
    ]),
  };
}
