import { childrenOf, isLeaf, opOf, otherFact } from "./conditions.js";
import type { Domains, FactDomain, NumberDomain } from "./domain.js";
import { isOrdering } from "./operators.js";
import type { Condition, Leaf } from "./types.js";
import {
  complement,
  type End,
  intersect,
  isEmpty,
  isEverything,
  isWithin,
  numbers,
  subtract,
  theNumbers,
  theTexts,
  type ValueSet,
} from "./value-set.js";

/**
 * One axis of the space in which conditions are boxes:
 * a fact's value; whether a list has an element; how two facts compare; whether an attribute is settled at
 * all (a condition on one that is in conflict or unclaimed is false, whatever it asks); whether a fact is known
 * at all (all that "a gap of 0 or more" asks).
 */
export type Axis = { readonly key: string; readonly everything: ValueSet } & (
  | { readonly kind: "value"; readonly fact: string }
  | { readonly kind: "element"; readonly fact: string; readonly element: string }
  | { readonly kind: "comparison"; readonly facts: readonly [string, string] }
  | { readonly kind: "settled" | "known"; readonly fact: string }
);

/** How far a box reaches along one axis. */
export interface Side {
  readonly axis: Axis;
  readonly set: ValueSet;
}

/** A product of sets, one per axis, by the axis' key; axes that are not named are not limited. Never empty. */
export type Box = ReadonlyMap<string, Side>;

/** A condition as a union of boxes. No boxes: it can never hold. One box without sides: it always holds. */
export type Boxes = readonly Box[];

/** More boxes than this and the answer is "not shown": the sums would take too long to follow typing. */
export const MOST_BOXES = 500;
export const MOST_PIECES = 4000;

/**
 * The values for which a condition holds, exactly, as far as each axis is looked at by itself: a comparison
 * of two facts is an axis of its own (`witness.ts` brings the two together).
 * @returns null when there would be more than MOST_BOXES
 */
export function boxesOf(condition: Condition, domains: Domains): Boxes | null {
  return normal(condition, false, domains);
}

function normal(condition: Condition, negated: boolean, domains: Domains): Boxes | null {
  if (isLeaf(condition)) {
    const box = leafBox(condition, domains);
    if (!negated) return box === null ? [] : [box];
    // A fact that is not known makes the opposite unknown too, so the opposite of what is always so never holds.
    return box === null ? [new Map()] : onlyKnown(box) ? [] : outside(box);
  }
  const op = opOf(condition);
  if (op === "not") return joined(childrenOf(condition), !negated, domains, true);
  return joined(childrenOf(condition), negated, domains, (op === "all") !== negated);
}

/** The conditions' boxes: those in all of them, or in any. */
function joined(
  conditions: readonly Condition[],
  negated: boolean,
  domains: Domains,
  all: boolean,
): Boxes | null {
  let boxes: Boxes = all ? [new Map()] : [];
  for (const condition of conditions) {
    const more = normal(condition, negated, domains);
    if (more === null) return null;
    boxes = withoutCovered(
      all ? boxes.flatMap((box) => more.flatMap((other) => meet(box, other))) : [...boxes, ...more],
    );
    if (boxes.length > MOST_BOXES) return null;
  }
  return boxes;
}

/** The part of the space that two boxes share: one box or none. */
export function meet(a: Box, b: Box): readonly Box[] {
  const sides = new Map(a);
  for (const [key, side] of b) {
    const set = intersect(setIn(sides, side), side.set);
    if (isEmpty(set)) return [];
    sides.set(key, { axis: side.axis, set });
  }
  for (const side of sides.values()) {
    if (side.axis.kind === "known" && isEmpty(intersect(side.set, impliedBy(sides, side.axis)))) return [];
  }
  return [sides];
}

/** What a box leaves of an axis: all of it where it is not limited. */
function setIn(box: Box, { axis }: Side): ValueSet {
  return box.get(axis.key)?.set ?? (axis.kind === "known" ? impliedBy(box, axis) : axis.everything);
}

/** A fact whose value is asked for, or compared, is known. */
function impliedBy(box: Box, known: Axis & { readonly kind: "settled" | "known" }): ValueSet {
  for (const { axis } of box.values()) {
    const isAsked = axis.kind === "comparison" ? axis.facts.includes(known.fact) : axis.fact === known.fact;
    if (isAsked && axis !== known && axis.kind !== "known") return flags("true");
  }
  return known.everything;
}

/** Whether every point of `a` is in `b`. */
export function covers(b: Box, a: Box): boolean {
  // A box that is limited where the other one is not cannot cover it: most pairs end here, without set algebra.
  for (const key of b.keys()) if (!a.has(key)) return false;
  for (const [key, side] of b) if (!isWithin(a.get(key)?.set ?? side.axis.everything, side.set)) return false;
  return true;
}

/** The points of some boxes that are in none of the others; null when there would be too many pieces. */
export function remainder(of: Boxes, others: Boxes): Boxes | null {
  let pieces = of;
  for (const other of others) {
    pieces = pieces.flatMap((piece) => cut(piece, other));
    if (pieces.length > MOST_PIECES) return null;
  }
  return pieces;
}

/**
 * A part of a box that is in none of the others; null when they cover it. Stops at the first one found, so that it is
 * quick where there is one; "not shown" after too many cuts.
 */
export function uncoveredIn(box: Box, others: Boxes): Box | null | "not shown" {
  let cuts = 0;
  const search = (piece: Box, from: number): Box | null | "not shown" => {
    for (let i = from; i < others.length; i++) {
      const other = others[i] as Box;
      if (meet(piece, other).length === 0) continue;
      if (++cuts > MOST_PIECES) return "not shown";
      for (const part of cut(piece, other)) {
        const found = search(part, i + 1);
        if (found !== null) return found;
      }
      return null;
    }
    return piece;
  };
  return search(box, 0);
}

/** What two unions of boxes share; null when there would be too many pieces. */
export function shared(a: Boxes, b: Boxes): Boxes | null {
  if (a.length * b.length > MOST_PIECES) return null;
  return withoutCovered(a.flatMap((box) => b.flatMap((other) => meet(box, other))));
}

/** `box` without `other`, as boxes that do not overlap. */
function cut(box: Box, other: Box): Boxes {
  if (meet(box, other).length === 0) return [box];
  const pieces: Box[] = [];
  let rest = box;
  for (const [key, side] of other) {
    const own = setIn(rest, side);
    const outsideSet = subtract(own, side.set);
    if (!isEmpty(outsideSet)) pieces.push(new Map(rest).set(key, { axis: side.axis, set: outsideSet }));
    rest = new Map(rest).set(key, { axis: side.axis, set: intersect(own, side.set) });
  }
  return pieces;
}

/** Whether all that a box asks is that a fact is known. */
function onlyKnown(box: Box): boolean {
  const [side] = box.values();
  return box.size === 1 && side?.axis.kind === "known";
}

/** Everything outside a box. */
function outside(box: Box): Boxes {
  return cut(new Map(), box);
}

/** Without boxes that another one holds. */
function withoutCovered(boxes: Boxes): Boxes {
  if (boxes.length > MOST_BOXES * 4) return boxes;
  const kept: Box[] = [];
  for (const box of boxes) {
    if (kept.some((other) => covers(other, box))) continue;
    for (let i = kept.length - 1; i >= 0; i--) {
      const other = kept[i];
      if (other && covers(box, other)) kept.splice(i, 1);
    }
    kept.push(box);
  }
  return kept;
}

/** A leaf's box; null when no value meets it. */
function leafBox(leaf: Leaf, domains: Domains): Box | null {
  const sides = new Map<string, Side>();
  const add = (axis: Axis, set: ValueSet): boolean => {
    if (isEmpty(set)) return false;
    if (!isEverything(set)) sides.set(axis.key, { axis, set });
    return true;
  };
  const other = otherFact(leaf.value);
  const domain = domains.get(leaf.fact);
  if (!domain) throw new Error(`fact ${leaf.fact} is not in the dictionary`);
  const side = other === null ? valueSide(leaf, domain) : comparisonSide(leaf, other, domain);
  if (!add(side.axis, side.set)) return null;
  if (sides.size === 0 && domain.type === "number" && domain.range && !domain.ruled) {
    const known = { key: `${leaf.fact} known`, fact: leaf.fact, everything: flags("true", "false") };
    add({ kind: "known", ...known }, flags("true"));
  }
  for (const fact of other === null ? [leaf.fact] : [leaf.fact, other]) {
    if (domains.get(fact)?.ruled) {
      const axis: Axis = {
        kind: "settled",
        key: `${fact} settled`,
        fact,
        everything: flags("true", "false"),
      };
      add(axis, flags("true"));
    }
  }
  return sides;
}

function valueSide(leaf: Leaf, domain: FactDomain): Side {
  const { fact, operator, value } = leaf;
  if (domain.type === "list") {
    const element = String(value);
    const possible = domain.texts === null || domain.texts.includes(element);
    const everything = possible ? flags("true", "false") : flags("false");
    const wanted = intersect(everything, flags(operator === "contains" ? "true" : "false"));
    return {
      axis: { kind: "element", key: `${fact} has ${element}`, fact, element, everything },
      set: wanted,
    };
  }
  const axis: Axis = { kind: "value", key: fact, fact, everything: everythingOf(domain) };
  const values = (Array.isArray(value) ? value : [value]) as readonly (string | number | boolean)[];
  const listed =
    domain.type === "number"
      ? numbersMeeting(operator, values.map(Number), domain)
      : intersect(axis.everything, theTexts(textsOf(domain), values.map(String)));
  return { axis, set: operator === "notEqual" || operator === "notIn" ? complement(listed) : listed };
}

/** Numbers that meet an operator; for notEqual and notIn, the ones listed. */
function numbersMeeting(
  operator: string,
  values: readonly number[],
  { whole, range }: NumberDomain,
): ValueSet {
  if (!isOrdering(operator)) return theNumbers(whole, values, range);
  const end: End = { at: values[0] ?? Number.NaN, closed: operator.endsWith("Inclusive") };
  return numbers(whole, operator.startsWith("less") ? { to: end } : { from: end }, range);
}

/** How the outcome of comparing two facts limits them: an axis of its own. */
function comparisonSide(leaf: Leaf, other: string, domain: FactDomain): Side {
  const swapped = other < leaf.fact;
  const facts: readonly [string, string] = swapped ? [other, leaf.fact] : [leaf.fact, other];
  const outcomes = domain.type === "number" ? ["less", "equal", "greater"] : ["equal", "different"];
  const wanted = WANTED[leaf.operator]?.map((outcome) => (swapped ? MIRRORED[outcome] : outcome)) ?? [];
  const key = `${facts[0]} against ${facts[1]}`;
  return {
    axis: { kind: "comparison", key, facts, everything: theTexts(outcomes, outcomes) },
    set: theTexts(
      outcomes,
      wanted.filter((outcome) => outcome !== undefined),
    ),
  };
}

const WANTED: Readonly<Record<string, readonly string[]>> = {
  equal: ["equal"],
  notEqual: ["less", "greater", "different"],
  lessThan: ["less"],
  lessThanInclusive: ["less", "equal"],
  greaterThan: ["greater"],
  greaterThanInclusive: ["greater", "equal"],
};
const MIRRORED: Readonly<Record<string, string>> = {
  less: "greater",
  greater: "less",
  equal: "equal",
  different: "different",
};

/** All values of a number, text or flag. */
export function everythingOf(domain: FactDomain): ValueSet {
  if (domain.type === "number") return numbers(domain.whole, {}, domain.range);
  const texts = textsOf(domain);
  return texts === null ? complement(theTexts(null, [])) : theTexts(texts, texts);
}

function textsOf(domain: FactDomain): readonly string[] | null {
  if (domain.type === "flag") return FLAGS;
  return domain.type === "number" ? null : domain.texts;
}

const FLAGS = ["true", "false"] as const;

function flags(...values: readonly ("true" | "false")[]): ValueSet {
  return theTexts(FLAGS, values);
}
