import { Engine, type EngineResult, Fact } from "json-rules-engine";
import type { FactValue } from "../kit/types.js";
import { childrenOf, isLeaf, opOf, otherFact } from "./conditions.js";
import { joinTruths } from "./kleene.js";
import type { Condition, ConditionTrace, Leaf, LeafValue, Truth } from "./types.js";

/**
 * The one file that knows the rules library. The library has two values and lets `notEqual`, `notIn` and
 * `not` hold for facts that are absent; here its result tree is read again with three.
 */

/** What a condition sees where an attribute was looked at and is not settled: in conflict, or unclaimed. */
export const UNSETTLED = Symbol("not settled");

/** What a condition sees of one fact: its value; undefined = not known. */
export type Seen = FactValue | typeof UNSETTLED | undefined;

/** What a rule sees of one hole. */
export type View = (fact: string) => Seen;

interface LibraryOperator {
  evaluate(actual: unknown, needed: unknown): boolean;
}

const operators = libraryOperators();

/** The library keeps its operators on the engine without typing them; this fails at start if that changes. */
function libraryOperators(): { get(name: string): LibraryOperator | undefined } {
  const { operators: held } = new Engine() as unknown as {
    operators?: { get?: (name: string) => LibraryOperator };
  };
  if (typeof held?.get !== "function" || held.get("equal").evaluate(1, 1) !== true) {
    throw new Error("json-rules-engine no longer holds its operators where they were");
  }
  return held as { get(name: string): LibraryOperator | undefined };
}

/** Whether two known values stand to each other as the library's operator says. */
export function stands(actual: FactValue, operator: string, needed: LeafValue): boolean {
  const found = operators.get(operator);
  if (!found) throw new Error(`unknown operator ${operator}`);
  return found.evaluate(actual, needed);
}

/**
 * Truth of a leaf for what is seen.
 * A condition on an attribute asks for a settled value, so it is false, whatever its operator, where the
 * attribute is in conflict or unclaimed; a condition on anything not known is unknown.
 */
export function leafTruth(leaf: Leaf, actual: Seen, other: Seen): Truth {
  const compared = otherFact(leaf.value) !== null;
  if (actual === UNSETTLED || (compared && other === UNSETTLED)) return "false";
  if (actual === undefined || (compared && other === undefined)) return "unknown";
  return stands(actual, leaf.operator, compared ? (other as FactValue) : leaf.value) ? "true" : "false";
}

/**
 * Runs one rule's conditions in the library, once for each view, one after the other (an engine that runs
 * twice at once loses results).
 * @param facts  facts that the conditions look at
 * @returns      for each view the condition tree with its three-valued verdicts
 */
export async function runConditions(
  conditions: Condition,
  facts: readonly string[],
  views: readonly View[],
): Promise<ConditionTrace[]> {
  const engine = new Engine([{ conditions: conditions as never, event: { type: "met" } }], {
    allowUndefinedFacts: true,
  });
  const traces: ConditionTrace[] = [];
  for (const view of views) {
    const known: Record<string, Fact> = {};
    for (const fact of facts) {
      const value = view(fact);
      // Without a cache key the library need not hash every fact: most of its time otherwise.
      if (value !== undefined && value !== UNSETTLED) known[fact] = new Fact(fact, value, { cache: false });
    }
    traces.push(readResult(conditions, await engine.run(known), view));
  }
  return traces;
}

interface ResultNode {
  readonly result?: boolean;
  readonly all?: readonly ResultNode[];
  readonly any?: readonly ResultNode[];
  readonly not?: ResultNode;
}

function readResult(conditions: Condition, run: EngineResult, view: View): ConditionTrace {
  const [result] = [...run.results, ...run.failureResults];
  if (!result) throw new Error("the rules library returned no result");
  // The library keeps the root's result beside the tree, not in it.
  const root = { ...(result.conditions as ResultNode), result: result.result === true };
  return read(conditions, root, view).trace;
}

interface Read {
  readonly trace: ConditionTrace;
  /** False once a leaf was unknown or unsettled: then the library's own verdict means nothing. */
  readonly plain: boolean;
}

/** The condition beside the library's result for it. */
function read(condition: Condition, node: ResultNode, view: View): Read {
  if (isLeaf(condition)) return readLeaf(condition, node, view);
  const op = opOf(condition) as "all" | "any" | "not";
  const nodes = op === "not" ? [node.not] : node[op];
  const parts = childrenOf(condition).map((child, i) => {
    const below = nodes?.[i];
    if (!below) throw new Error("the rules library left out a condition");
    return read(child, below, view);
  });
  const of = parts.map(({ trace }) => trace);
  const verdict = joinTruths(
    op,
    of.map((trace) => trace.verdict),
  );
  const plain = parts.every((part) => part.plain);
  if (plain && (verdict === "true") !== node.result) throw new Error("the rules library disagrees");
  return { trace: { op, verdict, of }, plain };
}

function readLeaf(leaf: Leaf, node: ResultNode, view: View): Read {
  const other = otherFact(leaf.value);
  const actual = view(leaf.fact);
  const seen = [actual, ...(other === null ? [] : [view(other)])];
  const unsettled = seen.includes(UNSETTLED);
  const unknown = seen.includes(undefined);
  if (!unsettled && !unknown && typeof node.result !== "boolean") {
    throw new Error("the rules library left out a condition");
  }
  return {
    trace: {
      op: "leaf",
      verdict: unsettled ? "false" : unknown ? "unknown" : node.result ? "true" : "false",
      fact: leaf.fact,
      operator: leaf.operator,
      needed: leaf.value,
      actual: shown(actual),
    },
    plain: !unsettled && !unknown,
  };
}

/** A leaf's actual value in a trace; null = not known, or not settled. */
export function shown(seen: Seen): FactValue | null {
  return seen === undefined || seen === UNSETTLED ? null : seen;
}
