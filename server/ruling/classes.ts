import { type Column, seenAt } from "./columns.js";
import { leavesOf, otherFact } from "./conditions.js";
import { leafTruth, type Seen } from "./engine.js";
import { isOrdering } from "./operators.js";
import type { Condition, Leaf, Truth } from "./types.js";

/** Truths as small numbers, for arrays by hole. */
export const TRUTHS = ["unknown", "false", "true"] as const;
export const UNKNOWN = 0;
export const FALSE = 1;
export const TRUE = 2;

export function truthCode(truth: Truth): number {
  return truth === "true" ? TRUE : truth === "false" ? FALSE : UNKNOWN;
}

/** Whole numbers from 0 by hole, in the narrowest array that holds them. */
export type Numbering = Uint8Array | Uint16Array | Uint32Array;

/** Holes put into classes: the holes of a class are alike in everything that was looked at. */
export interface Classes {
  /** Class by hole, numbered in the order of first appearance. */
  readonly of: Numbering;
  /** One hole of each class: its first. */
  readonly first: readonly number[];
}

/** What a leaf comes to: for each hole a code, for each code an outcome. Holes of one outcome are alike. */
export interface Outcomes {
  readonly codes: Numbering;
  /** A truth code; above TRUE = unknown too, for want of another fact. */
  readonly byCode: Uint8Array;
  readonly kinds: number;
}

/**
 * What a leaf comes to at every hole, asking the library once per distinct value; for an ordering of many numbers
 * only at the few that halving looks at; where two facts are compared, once per pair of values.
 */
export function outcomesOf(leaf: Leaf, column: (fact: string) => Column): Outcomes {
  const own = column(leaf.fact);
  const name = otherFact(leaf.value);
  if (name === null) {
    return { codes: own.codes, byCode: truthsByCode(leaf, own), kinds: TRUTHS.length };
  }
  return { codes: comparedCodes(leaf, own, column(name)), byCode: Uint8Array.of(0, 1, 2, 3, 4), kinds: 5 };
}

/** Pairs of distinct values up to which the outcome of each pair is written down. */
const FEW_PAIRS = 4096;

/** The outcome of comparing two facts, by hole. */
function comparedCodes(leaf: Leaf, own: Column, other: Column): Uint8Array {
  const codes = new Uint8Array(own.codes.length);
  const width = other.values.length + 1;
  const pairs = (own.values.length + 1) * width;
  const known = pairs <= FEW_PAIRS ? new Int8Array(pairs).fill(-1) : null;
  for (let hole = 0; hole < codes.length; hole++) {
    const pair = (own.codes[hole] as number) * width + (other.codes[hole] as number);
    let code = known?.[pair] ?? -1;
    if (code < 0) {
      code = comparedCode(leaf, seenAt(own, hole), seenAt(other, hole));
      if (known) known[pair] = code;
    }
    codes[hole] = code;
  }
  return codes;
}

function comparedCode(leaf: Leaf, left: Seen, right: Seen): number {
  const truth = truthCode(leafTruth(leaf, left, right));
  if (truth !== UNKNOWN || right !== undefined) return truth;
  // Which of the two is not known belongs to the outcome: the holes' missing facts differ.
  return left !== undefined ? TRUE + 1 : TRUE + 2;
}

function truthsByCode(leaf: Leaf, column: Column): Uint8Array {
  const byCode = new Uint8Array(column.values.length + 1);
  const ascending = isOrdering(leaf.operator) ? ascendingCodes(column) : null;
  if (ascending === null) {
    for (let i = 0; i < column.values.length; i++) {
      byCode[i + 1] = truthCode(leafTruth(leaf, column.values[i], undefined));
    }
    return byCode;
  }
  // Orderings change once along ascending numbers: look for the place by halving.
  const at = (place: number) =>
    truthCode(leafTruth(leaf, column.values[(ascending[place] ?? 1) - 1], undefined));
  const first = at(0);
  let [low, high] = [0, ascending.length];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (at(middle) === first) low = middle;
    else high = middle;
  }
  const last = high < ascending.length ? at(high) : first;
  for (let place = 0; place < ascending.length; place++) {
    byCode[ascending[place] as number] = place < high ? first : last;
  }
  return byCode;
}

const MANY = 32;
const ascendingOf = new WeakMap<Column, Uint32Array>();

/** Codes of a column of numbers in ascending order of their values; null when they are few, or not all numbers. */
function ascendingCodes(column: Column): Uint32Array | null {
  const { values } = column;
  if (values.length < MANY || !values.every((value) => typeof value === "number")) return null;
  let codes = ascendingOf.get(column);
  if (!codes) {
    codes = Uint32Array.from(values, (_, i) => i + 1).sort(
      (a, b) => (values[a - 1] as number) - (values[b - 1] as number),
    );
    ascendingOf.set(column, codes);
  }
  return codes;
}

/**
 * Holes by the outcomes of all leaves of a condition tree.
 * @param refinement  of all holes; where the splitting is done
 */
export function classesOf(
  conditions: Condition,
  refinement: Refinement,
  outcomes: (leaf: Leaf) => Outcomes,
): Classes {
  refinement.start();
  for (const leaf of leavesOf(conditions)) {
    const { codes, byCode, kinds } = outcomes(leaf);
    refinement.split(codes, byCode, kinds);
  }
  return refinement.classes();
}

/** Classes that are split finer and finer, keeping their numbers small. Used over and over: start, split, classes. */
export class Refinement {
  readonly #of: Uint32Array;
  #renumbered = new Int32Array(1024);
  #count = 1;

  constructor(holes: number) {
    this.#of = new Uint32Array(holes);
  }

  /** All holes in one class again. */
  start(): this {
    this.#of.fill(0);
    this.#count = 1;
    return this;
  }

  /**
   * Splits every class by a property of its holes.
   * @param codes   by hole
   * @param byCode  the property by code, each from 0 to `kinds - 1`
   */
  split(codes: Numbering, byCode: Numbering, kinds: number): void {
    const of = this.#of;
    const most = this.#count * kinds;
    if (this.#renumbered.length < most) this.#renumbered = new Int32Array(most * 2);
    const renumbered = this.#renumbered.fill(-1, 0, most);
    let count = 0;
    for (let hole = 0; hole < of.length; hole++) {
      const key = (of[hole] as number) * kinds + (byCode[codes[hole] as number] as number);
      let number = renumbered[key] as number;
      if (number < 0) {
        number = count++;
        renumbered[key] = number;
      }
      of[hole] = number;
    }
    this.#count = Math.max(count, 1);
  }

  classes(): Classes {
    const first: number[] = [];
    const of = narrow(this.#of, this.#count);
    for (let hole = 0; hole < of.length && first.length < this.#count; hole++) {
      if (of[hole] === first.length) first.push(hole);
    }
    return { of, first };
  }
}

function narrow(numbers: Uint32Array, count: number): Numbering {
  if (count <= 0x100) return new Uint8Array(numbers);
  return count <= 0x10000 ? new Uint16Array(numbers) : new Uint32Array(numbers);
}
