import type { FactRecord } from "../facts/types.js";
import type { FactValue } from "../kit/types.js";
import { type Axis, type Box, type Boxes, everythingOf, remainder } from "./boxes.js";
import type { Domains } from "./domain.js";
import { anyOf, has, isWithin, theTexts, type ValueSet } from "./value-set.js";

/** Tries made for one box before giving up, and for all boxes of one search together. */
const MOST_TRIES = 20_000;
const MOST_TRIES_IN_ALL = 100_000;

type Scalar = number | string;

/** A search for a hole: its facts; "none" = there is no such hole; "not shown" = the search was too long. */
export type Witness = FactRecord | "none" | "not shown";

/**
 * Facts of an invented hole that lies in one of the boxes: every fact that the boxes look at, with a value.
 * Attributes that the box wants unsettled are left out.
 */
export function witnessOf(boxes: Boxes, domains: Domains): Witness {
  let answer: Witness = "none";
  const budget: Budget = { left: MOST_TRIES_IN_ALL };
  for (const box of boxes) {
    if (budget.left <= 0) return "not shown";
    const found = witnessIn(box, domains, budget);
    if (typeof found === "object") return found;
    if (found === "not shown") answer = found;
  }
  return answer;
}

/** Whether the first condition can only hold where the second does; "not shown" when it could not be worked out. */
export function implies(inner: Boxes, outer: Boxes, domains: Domains): "yes" | "no" | "not shown" {
  const rest = remainder(inner, outer);
  if (rest === null) return "not shown";
  const witness = witnessOf(rest, domains);
  if (typeof witness === "object") return "no";
  return witness === "none" ? "yes" : "not shown";
}

/** Tries that a search has left. */
interface Budget {
  left: number;
}

function witnessIn(box: Box, domains: Domains, budget: Budget): Witness {
  const sides = [...box.values()];
  const values = comparedValues(box, domains, budget);
  if (typeof values === "string") return values;
  const record: Record<string, FactValue> = {};
  for (const { axis, set } of sides) {
    if (axis.kind === "value" && !values.has(axis.fact)) {
      const value = anyOf(set);
      if (value !== null) values.set(axis.fact, value);
    } else if (axis.kind === "known" && anyOf(set) === "true" && !values.has(axis.fact)) {
      const domain = domains.get(axis.fact);
      const value = domain && anyOf(box.get(axis.fact)?.set ?? everythingOf(domain));
      if (value !== null && value !== undefined) values.set(axis.fact, value);
    } else if (axis.kind === "element") {
      const list = (record[axis.fact] as readonly string[] | undefined) ?? [];
      record[axis.fact] = anyOf(set) === "true" ? [...list, axis.element] : list;
    }
  }
  for (const [fact, value] of values) {
    record[fact] = domains.get(fact)?.type === "flag" ? value === "true" : value;
  }
  for (const { axis, set } of sides) {
    if ((axis.kind === "settled" || axis.kind === "known") && anyOf(set) === "false")
      delete record[axis.fact];
  }
  return record;
}

type Comparison = { readonly axis: Axis & { readonly kind: "comparison" }; readonly set: ValueSet };

/**
 * Values for the facts that are compared with each other, found by trying. Between two neighbouring ends of
 * intervals all numbers are alike but for their order, so as many as there are facts are enough to try.
 */
function comparedValues(
  box: Box,
  domains: Domains,
  budget: Budget,
): Map<string, Scalar> | "none" | "not shown" {
  const comparisons = comparisonsIn(box);
  const facts = [...new Set(comparisons.flatMap(({ axis }) => axis.facts))].sort();
  const sets = facts.map((fact) => {
    const domain = domains.get(fact);
    if (!domain) throw new Error(`fact ${fact} is not in the dictionary`);
    return box.get(fact)?.set ?? everythingOf(domain);
  });
  const candidates = facts.map((_, i) => candidatesOf(sets, i));
  const chosen = new Map<string, Scalar>();
  let tries = 0;
  const place = (i: number): boolean => {
    const fact = facts[i];
    if (fact === undefined) return true;
    for (const value of candidates[i] ?? []) {
      if (++tries > MOST_TRIES) return false;
      chosen.set(fact, value);
      if (comparisons.every((comparison) => agrees(comparison, chosen)) && place(i + 1)) return true;
    }
    chosen.delete(fact);
    return false;
  };
  const isFound = place(0);
  budget.left -= tries;
  if (isFound) return chosen;
  return tries > MOST_TRIES ? "not shown" : "none";
}

/** The box's comparisons, without those of an attribute that is not settled: nothing is compared there. */
function comparisonsIn(box: Box): readonly Comparison[] {
  const unsettled = new Set(
    [...box.values()].flatMap(({ axis, set }) =>
      axis.kind === "settled" && anyOf(set) === "false" ? [axis.fact] : [],
    ),
  );
  return [...box.values()].flatMap(({ axis, set }) =>
    axis.kind === "comparison" && !axis.facts.some((fact) => unsettled.has(fact)) ? [{ axis, set }] : [],
  );
}

function candidatesOf(sets: readonly ValueSet[], i: number): readonly Scalar[] {
  const own = sets[i];
  if (!own) return [];
  const spare = sets.length;
  if (own.kind === "texts") {
    const listed = new Set(sets.flatMap((set) => (set.kind === "texts" ? [...set.texts] : [])));
    for (let fresh = 1; fresh <= spare; fresh++) listed.add(`other ${fresh}`);
    return [...listed].filter(
      (text) => isWithin(theTexts(own.domain, [text]), own) && inDomain(own.domain, text),
    );
  }
  const { whole } = own;
  const ends = sets
    .flatMap((set) => (set.kind === "numbers" ? set.intervals : []))
    .flatMap(({ from, to }) => [from.at, to.at])
    .filter(Number.isFinite);
  const marks = [...new Set(ends.length === 0 ? [0] : ends)].sort((a, b) => a - b);
  const numbers = new Set<number>(marks);
  marks.forEach((mark, at) => {
    const next = marks[at + 1];
    for (let step = 1; step <= spare; step++) {
      if (at === 0) numbers.add(mark - step);
      const share = next === undefined ? mark + step : mark + ((next - mark) * step) / (spare + 1);
      numbers.add(whole ? mark + step : share);
      if (whole) numbers.add(mark - step);
    }
  });
  // No length or count of a real hole is below zero: such values come last.
  return [...numbers]
    .sort((a, b) => Number(a < 0) - Number(b < 0) || a - b)
    .filter((at) => has(own, at) && (!whole || Number.isInteger(at)));
}

function inDomain(domain: readonly string[] | null, text: string): boolean {
  return domain === null || domain.includes(text);
}

/** Whether what is chosen so far does not break a comparison. */
function agrees({ axis, set }: Comparison, chosen: ReadonlyMap<string, Scalar>): boolean {
  const [a, b] = axis.facts.map((fact) => chosen.get(fact));
  if (a === undefined || b === undefined || set.kind !== "texts") return true;
  const numeric = typeof a === "number" && typeof b === "number";
  const outcome = a === b ? "equal" : !numeric ? "different" : a < b ? "less" : "greater";
  return set.texts.has(outcome);
}
