import type { Place, Problem } from "../../problem.js";
import { type Finding, type FindingKind, finding } from "./finding.js";

const UNKNOWN_NAMES: ReadonlySet<string> = new Set([
  "FACT_UNKNOWN",
  "VALUE_UNKNOWN",
  "OPERATOR_UNKNOWN",
  "ATTRIBUTE_UNKNOWN",
  "OVERRIDE_UNKNOWN",
  "DEPARTURE_UNKNOWN",
  "EXAMPLE_HOLE",
]);
const FAILING: ReadonlySet<string> = new Set(["EXAMPLE_FAILS", "EXAMPLE_UNDECIDED", "EXAMPLES_MISSING"]);
const LOOPS: ReadonlySet<string> = new Set(["OVERRIDE_LOOP", "ATTRIBUTE_LOOP"]);

/**
 * What loading refuses about a rule, as findings: unknown names with the nearest right one, loops, malformed parts.
 * @param rule      its id, as far as it has one
 * @param problems  as loading told them
 * @param place     where the rule stands, so that pointers can be told from there
 */
export function findingsOf(rule: string, problems: readonly Problem[], place: Place): readonly Finding[] {
  return problems.map(({ code, message, where, fix }) =>
    finding(rule, {
      kind: kindOf(code),
      severity: "error",
      said: message,
      pointer: within(place, where),
      fix,
    }),
  );
}

/** The pointer from the rule on; "" for a place outside it. */
function within(rule: Place, where: Place): string {
  const [base, pointer] = [rule.pointer ?? "", where.pointer ?? ""];
  if (rule.file !== where.file || !`${pointer}/`.startsWith(`${base}/`)) return "";
  return pointer.slice(base.length);
}

function kindOf(code: string): FindingKind {
  if (UNKNOWN_NAMES.has(code)) return "unknown name";
  if (FAILING.has(code)) return "example fails";
  return LOOPS.has(code) ? "override loop" : "malformed";
}
