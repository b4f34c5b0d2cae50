import type { FactRecord } from "../facts/types.js";
import type { FactValue } from "../kit/types.js";
import { Problem } from "../problem.js";
import { type Domains, misfit } from "./domain.js";
import type { Seen, UNSETTLED } from "./engine.js";
import { sayValue } from "./json.js";

/**
 * One fact of every hole: each distinct value written down once, and for each hole the number of its value.
 * Conditions are then looked up once per value, not once per hole.
 */
export interface Column {
  readonly fact: string;
  /** By hole: 0 = not known, n = `values[n - 1]`. */
  readonly codes: Uint32Array;
  readonly values: readonly (FactValue | typeof UNSETTLED)[];
}

/** What a rule sees of the fact at one hole. */
export function seenAt(column: Column, hole: number): Seen {
  const code = column.codes[hole] ?? 0;
  return code === 0 ? undefined : column.values[code - 1];
}

/** Collects a column hole by hole. */
class Coder {
  readonly #codes: Uint32Array;
  readonly #values: (FactValue | typeof UNSETTLED)[] = [];
  readonly #known = new Map<unknown, number>();
  readonly #knownLists = new Map<string, number>();

  constructor(holes: number) {
    this.#codes = new Uint32Array(holes);
  }

  /**
   * Notes a hole's value.
   * @returns whether this value is new
   */
  put(hole: number, value: FactValue | typeof UNSETTLED): boolean {
    const isList = Array.isArray(value);
    const listKey = isList ? JSON.stringify(value) : "";
    let code = isList ? this.#knownLists.get(listKey) : this.#known.get(value);
    const isNew = code === undefined;
    if (code === undefined) {
      code = this.#values.push(value);
      if (isList) this.#knownLists.set(listKey, code);
      else this.#known.set(value, code);
    }
    this.#codes[hole] = code;
    return isNew;
  }

  column(fact: string): Column {
    return { fact, codes: this.#codes, values: this.#values };
  }
}

/**
 * The column of a fact that the records state.
 * @throws FACT_WRONG_TYPE when a record's value does not fit the dictionary
 */
export function statedColumn(fact: string, records: readonly FactRecord[], domains: Domains): Column {
  const domain = domains.get(fact);
  if (!domain) throw new Error(`fact ${fact} is not in the dictionary`);
  const coder = new Coder(records.length);
  for (let hole = 0; hole < records.length; hole++) {
    const record = records[hole];
    if (!record || !Object.hasOwn(record, fact)) continue;
    const value = record[fact];
    if (value === undefined) continue;
    if (coder.put(hole, value) && misfit(domain, value) !== null) {
      throw new Problem(
        "FACT_WRONG_TYPE",
        `${sayValue(value)} does not fit "${fact}": ${misfit(domain, value)}.`,
        {
          fix: "Leave the fact out where it is not known; else give a value of its type.",
        },
      );
    }
  }
  return coder.column(fact);
}

/**
 * The column of a settled attribute.
 * @param seen  what conditions see of it, by hole
 */
export function ruledColumn(attribute: string, seen: readonly Seen[]): Column {
  const coder = new Coder(seen.length);
  for (let hole = 0; hole < seen.length; hole++) {
    const value = seen[hole];
    if (value !== undefined) coder.put(hole, value);
  }
  return coder.column(attribute);
}

/** Whether two columns say the same of every hole. */
export function sameColumn(a: Column, b: Column): boolean {
  if (a === b) return true;
  if (a.codes.length !== b.codes.length || a.values.length !== b.values.length) return false;
  // Codes are given in the order of first appearance, so equal columns have equal codes and equal lists.
  return (
    a.values.every((value, i) => sameSeen(value, b.values[i])) &&
    a.codes.every((code, i) => code === b.codes[i])
  );
}

function sameSeen(a: Seen, b: Seen): boolean {
  if (!Array.isArray(a) || !Array.isArray(b)) return a === b;
  return a.length === b.length && a.every((element, i) => element === b[i]);
}
