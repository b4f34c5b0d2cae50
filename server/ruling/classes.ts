import { type Column, seenAt } from "./columns.js";
import { leavesOf, otherFact } from "./conditions.js";
import { leafTruth } from "./engine.js";
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

/** What a leaf comes to: for each hole a code, for each code a truth. */
export interface Outcomes {
  readonly codes: Numbering;
  readonly byCode: Uint8Array;
}

/**
 * What a leaf comes to at every hole, asking the library once per distinct value (or, where two facts are
 * compared, once per hole).
 */
export function outcomesOf(leaf: Leaf, column: (fact: string) => Column): Outcomes {
  const own = column(leaf.fact);
  const name = otherFact(leaf.value);
  if (name === null) {
    const byCode = new Uint8Array(own.values.length + 1);
    own.values.forEach((value, i) => {
      byCode[i + 1] = truthCode(leafTruth(leaf, value, undefined));
    });
    return { codes: own.codes, byCode };
  }
  const other = column(name);
  const codes = new Uint8Array(own.codes.length);
  for (let hole = 0; hole < codes.length; hole++) {
    codes[hole] = truthCode(leafTruth(leaf, seenAt(own, hole), seenAt(other, hole)));
  }
  return { codes, byCode: Uint8Array.of(UNKNOWN, FALSE, TRUE) };
}

/** Holes by the outcomes of all leaves of a condition tree. */
export function classesOf(conditions: Condition, holes: number, outcomes: (leaf: Leaf) => Outcomes): Classes {
  const refinement = new Refinement(holes);
  for (const leaf of leavesOf(conditions)) {
    const { codes, byCode } = outcomes(leaf);
    refinement.split(codes, byCode, TRUTHS.length);
  }
  return refinement.classes();
}

/** Classes that are split finer and finer, keeping their numbers small. */
export class Refinement {
  readonly #of: Uint32Array;
  #count = 1;

  constructor(holes: number) {
    this.#of = new Uint32Array(holes);
  }

  /**
   * Splits every class by a property of its holes.
   * @param codes   by hole
   * @param byCode  the property by code, each from 0 to `kinds - 1`
   */
  split(codes: Numbering, byCode: Numbering, kinds: number): void {
    const of = this.#of;
    const renumbered = new Int32Array(this.#count * kinds).fill(-1);
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
  if (count <= 0x100) return Uint8Array.from(numbers);
  return count <= 0x10000 ? Uint16Array.from(numbers) : numbers;
}
