import type { FactFigure } from "../../facts/figures.js";
import type { Dictionary } from "../../facts/types.js";
import type { Units } from "../../kit/units.js";
import type { ConditionTrace } from "../../ruling/types.js";
import { sayFigure } from "./figures.js";
import { listed } from "./grammar.js";
import { factLabel, isWanted, sayFlag, sayValue, theFact } from "./measures.js";
import type { Names } from "./names.js";

export type LeafTrace = Extract<ConditionTrace, { op: "leaf" }>;

/** What saying a condition needs. */
export interface Sayer {
  readonly dictionary: Dictionary;
  readonly names: Names;
  readonly units: Units;
  /** The sum behind a fact of a hole; left out where sums are not to be said. */
  readonly figureAt?: (hole: string, fact: string) => FactFigure | null;
}

/** Operators between numbers, as they read after a value. */
const COMPARES: Readonly<Record<string, string>> = {
  lessThan: "less than",
  lessThanInclusive: "at most",
  greaterThan: "more than",
  greaterThanInclusive: "at least",
};

/**
 * The leaves that decided a condition's verdict: of a true "all" its parts, of a false one only those that failed,
 * of an unknown one only those that are not known; "any" the other way about. Under "not" a leaf keeps its own verdict.
 */
export function decisive(trace: ConditionTrace): readonly LeafTrace[] {
  if (trace.op === "leaf") return [trace];
  const settles =
    trace.op === "all" ? trace.verdict !== "true" : trace.op === "any" && trace.verdict !== "false";
  const counting = settles ? trace.of.filter(({ verdict }) => verdict === trace.verdict) : trace.of;
  return counting.flatMap(decisive);
}

/**
 * A failed condition with only the branch that lacked least of each failed "any": what it takes less to meet stands
 * nearer to why it failed than a branch for other holes, "at most 3/32 in" at a 1/8 in rivet.
 */
export function nearestMiss(trace: ConditionTrace): ConditionTrace {
  if (trace.op === "leaf" || trace.op === "not" || trace.verdict !== "false") return trace;
  const of = trace.of.map(nearestMiss);
  if (trace.op === "all") return { ...trace, of };
  const byLack = [...of].sort((a, b) => decisive(a).length - decisive(b).length || gapOf(a) - gapOf(b));
  return { ...trace, of: byLack.slice(0, 1) };
}

/** How far the numbers of a condition's deciding leaves are from what is needed, as shares of it. */
function gapOf(trace: ConditionTrace): number {
  return decisive(trace).reduce(
    (sum, { needed, actual }) =>
      typeof needed === "number" && typeof actual === "number" && needed !== 0
        ? sum + Math.abs((needed - actual) / needed)
        : sum,
    0,
  );
}

/** A leaf at one hole, where it is known which. */
interface Placed {
  readonly leaf: LeafTrace;
  readonly hole: string | null;
}

/** One condition with the hole's own value: "headroom is 0.6 mm, less than the 1 mm wanted". */
export function sayLeaf(leaf: LeafTrace, sayer: Sayer, hole: string | null = null): string {
  return sayLeafAt(leaf, [{ leaf, hole }], sayer);
}

/**
 * The same condition at several holes, with all their values: "headroom is 0.4 to 0.8 mm, less than the 1 mm wanted".
 * @param alsoNeeded  further conditions on the same fact with the same values
 */
function sayLeafAt(
  leaf: LeafTrace,
  placed: readonly Placed[],
  sayer: Sayer,
  alsoNeeded: readonly LeafTrace[] = [],
): string {
  const { dictionary, names, units } = sayer;
  const entry = dictionary.facts.get(leaf.fact) ?? { name: leaf.fact, unit: null, valuesFrom: null };
  const needed = sayValue(leaf.needed, entry, names, units);
  const found = placed.map((one) => one.leaf.actual).filter((value) => value !== null);
  if (found.length === 0) {
    // A settled attribute that is in conflict or unclaimed is known to be open: it is not a missing fact.
    const lack = leaf.verdict === "false" ? "is not settled" : "is not known";
    return `${theFact(leaf.fact)} ${lack} (${asked(leaf, needed)})`;
  }
  const flag = new Set(found).size === 1 && typeof found[0] === "boolean" && sayFlag(leaf.fact, found[0]);
  if (flag) return `${flag}${sayBehind(sumsOf(placed, sayer), ": ")}`;
  if (found.every((value) => value === "none")) return `there is no ${factLabel(leaf.fact)}`;
  const actual = sayActuals(found, (value) => sayValue(value, entry, names, units));
  const tails = alsoNeeded.map((other) => comparison(other, sayValue(other.needed, entry, names, units)));
  const tail = listed([...new Set([comparison(leaf, needed), ...tails])].filter((one) => one !== ""));
  const behind = sayBehind(sumsOf(placed, sayer), " (");
  return `${theFact(leaf.fact)} is ${actual}${tail === "" ? "" : `, ${tail}`}${behind === "" ? "" : `${behind})`}`;
}

/** The different sums behind a fact at several holes, in words, the least first. */
function sumsOf(placed: readonly Placed[], { figureAt, names, units }: Sayer): readonly string[] {
  if (!figureAt) return [];
  const figures = placed.flatMap(({ leaf, hole }) =>
    hole === null ? [] : (figureAt(hole, leaf.fact) ?? []),
  );
  const least = [...figures].sort((a, b) => a.figure.value - b.figure.value);
  return [...new Set(least.map((one) => sayFigure(one, names, units)))];
}

/** One sum, or the least of several. */
function sayBehind([first, ...others]: readonly string[], before: string): string {
  if (first === undefined) return "";
  return `${before}${others.length > 0 ? "at the least: " : ""}${first}`;
}

/** How a value stands to what is needed; empty where the value says it all. */
function comparison(leaf: LeafTrace, needed: string): string {
  const met = leaf.verdict === "true";
  const compare = COMPARES[leaf.operator];
  if (compare)
    return `${met ? "" : "not "}${compare} ${met && isWanted(leaf.fact) ? `the ${needed} wanted` : needed}`;
  const againstFact = typeof leaf.needed === "object" && !Array.isArray(leaf.needed);
  const saysItAll = met && !againstFact && (leaf.operator === "equal" || leaf.operator === "in");
  if (saysItAll || leaf.needed === "none") return "";
  switch (leaf.operator) {
    case "contains":
      return met ? "" : `without ${needed}`;
    case "doesNotContain":
      return met ? `without ${needed}` : "";
    case "in":
      return `not one of ${needed}`;
    case "notIn":
      return met ? `not one of ${needed}` : "which is left out";
    case "notEqual":
      if (againstFact) return `${met ? "unlike" : "the same as"} ${needed}`;
      return met ? `not ${needed}` : "which is left out";
    default:
      if (againstFact) return `${met ? "the same as" : "unlike"} ${needed}`;
      return `not ${needed}`;
  }
}

type Actual = NonNullable<LeafTrace["actual"]>;

/** One value, the span of several numbers, or the few different texts. */
function sayActuals(found: readonly Actual[], say: (value: Actual) => string): string {
  const numbers = found.filter((value): value is number => typeof value === "number");
  if (numbers.length === found.length) {
    const [least, most] = [say(Math.min(...numbers)), say(Math.max(...numbers))];
    if (least === most) return least;
    const unit = / \D+$/.exec(most)?.[0] ?? "";
    return `${least.endsWith(unit) ? least.slice(0, least.length - unit.length) : least} to ${most}`;
  }
  const texts = [...new Set(found.map(say))];
  return texts.length > 4 ? `${texts.slice(0, 3).join(", ")} and ${texts.length - 3} others` : listed(texts);
}

/** What a leaf asks for, in words that stand alone: "less than 1 mm is asked for". */
function asked(leaf: LeafTrace, needed: string): string {
  const compare = COMPARES[leaf.operator];
  if (compare) return `${compare} ${needed} is asked for`;
  switch (leaf.operator) {
    case "contains":
      return `${needed} in it is asked for`;
    case "doesNotContain":
      return `anything without ${needed} is asked for`;
    case "in":
      return `one of ${needed} is asked for`;
    case "notIn":
      return `anything but ${needed} is asked for`;
    case "notEqual":
      return `anything but ${needed} is asked for`;
    default:
      return `${needed} is asked for`;
  }
}

/** Conditions in one breath: "the head is flush and the thickest layer is 0.6 mm"; with semicolons where they hold commas. */
export function joinConditions(said: readonly string[]): string {
  return said.some((one) => one.includes(",")) ? said.join("; ") : listed(said);
}

/**
 * The deciding conditions of one rule in words, each once.
 * @param traces  the rule's conditions at one hole or at several with the same outcome
 * @param holes   those holes, in the same order, so that the sums behind the values can be said
 */
export function sayConditions(
  traces: readonly ConditionTrace[],
  sayer: Sayer,
  holes: readonly string[] = [],
): readonly string[] {
  const placed = traces.flatMap((trace, i) =>
    decisive(trace).map((leaf): Placed => ({ leaf, hole: holes[i] ?? null })),
  );
  const leaves = groupedBy(placed, ({ leaf: { fact, operator, needed, verdict } }) => [
    fact,
    operator,
    needed,
    verdict,
  ]);
  const ofOneFact = groupedBy(leaves, (list) => [list[0]?.leaf.fact, list.map(({ leaf }) => leaf.actual)]);
  const said = ofOneFact.map((lists) => {
    const [first, ...others] = lists as readonly (readonly [Placed, ...Placed[]])[];
    return first
      ? sayLeafAt(
          first[0].leaf,
          first,
          sayer,
          others.map(([{ leaf }]) => leaf),
        )
      : "";
  });
  return [...new Set(said)];
}

function groupedBy<T>(items: readonly T[], keyOf: (item: T) => unknown): readonly (readonly T[])[] {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    const key = JSON.stringify(keyOf(item));
    groups.set(key, [...(groups.get(key) ?? []), item]);
  }
  return [...groups.values()];
}
