import { allowedValues, kitLists } from "../facts/dictionary.js";
import type { AttributeEntry, FactEntry, Family } from "../facts/types.js";
import { OPERATORS_FOR, type Operator } from "../ruling/operators.js";
import { ACTS } from "../ruling/schema.js";
import type { Rank } from "../ruling/types.js";
import type { Job } from "./types.js";
import { attributeLabel, factLabel, sayValue } from "./wording/measures.js";
import { namesOf } from "./wording/names.js";
import { FAMILY_WORDS, OPERATOR_WORDS, ORIGIN_WORDS } from "./wording/rule-writing.js";

/** A value that a fact or an attribute can take, in words, with the holes of the assembly that have it. */
export interface ValueOffered {
  readonly value: string | number | boolean;
  readonly said: string;
  readonly holes: number;
}

/** A fact as a rule may ask for it. */
export interface FactOffered {
  readonly name: string;
  readonly label: string;
  readonly meaning: string;
  readonly type: FactEntry["type"];
  readonly unit: string | null;
  /** Where it comes from, in words. */
  readonly from: string;
  readonly operators: readonly { readonly operator: Operator; readonly said: string }[];
  /** What it can be or is found to be, the kit's own order; null = too many to list. */
  readonly values: readonly ValueOffered[] | null;
  /** Holes at which it is known. */
  readonly known: number;
}

/** Something that a rule may claim. */
export interface AttributeOffered {
  readonly name: string;
  readonly label: string;
  readonly meaning: string;
  readonly family: Family;
  readonly type: AttributeEntry["type"];
  readonly unit: string | null;
  readonly values: readonly Omit<ValueOffered, "holes">[] | null;
}

/** All that somebody needs who writes a rule for an assembly. */
export interface RuleVocabulary {
  readonly holes: number;
  readonly families: readonly { readonly family: Family; readonly said: string }[];
  readonly facts: readonly FactOffered[];
  readonly attributes: readonly AttributeOffered[];
  readonly parts: readonly { readonly id: string; readonly name: string }[];
  readonly acts: readonly string[];
  /** Rules in force that a rule may go before. */
  readonly rules: readonly { readonly id: string; readonly title: string; readonly rank: Rank }[];
}

/** More values than these are not listed; a number's range then says more. */
const MOST_VALUES = 400;

/** The words of a rule: the dictionary's facts and attributes with the values that this kit gives them. */
export function ruleVocabulary(job: Job): RuleVocabulary {
  const { rulebook, assembly, kit } = job;
  const { facts, attributes } = rulebook.dictionary;
  const names = namesOf(job);
  const lists = kitLists(kit);
  return {
    holes: assembly.holes.length,
    families: (Object.keys(FAMILY_WORDS) as Family[]).map((family) => ({
      family,
      said: FAMILY_WORDS[family],
    })),
    facts: labelsToldApart([...facts.values()].map((entry) => factOffered(entry, job))),
    attributes: [...attributes.values()].map((entry) => {
      const { name, meaning, family, type, unit } = entry;
      const allowed = type === "flag" ? [true, false] : allowedValues(entry, lists);
      return {
        name,
        label: attributeLabel(name),
        meaning,
        family,
        type,
        unit,
        values:
          allowed && toldApart(allowed.map((value) => ({ value, said: sayAllowed(value, entry, job) }))),
      };
    }),
    parts: assembly.parts.map(({ id }) => ({ id, name: names.part(id) })),
    acts: ACTS,
    rules: rulebook.rules.map(({ id, title, basis }) => ({ id, title, rank: basis.rank })),
  };
}

function factOffered(entry: FactEntry, job: Job): FactOffered {
  const { name, meaning, type, unit, from } = entry;
  const counts = countsOf(entry, job);
  const texts = type === "flag" ? [true, false] : (allowedValues(entry, kitLists(job.kit)) ?? []);
  const found = [...counts.byValue.keys()];
  const values = [...new Set([...texts, ...(type === "number" ? found.sort(byNumber) : found)])];
  return {
    name,
    label: factLabel(name),
    meaning,
    type,
    unit,
    from: ORIGIN_WORDS[from],
    operators: OPERATORS_FOR[type].map((operator) => ({ operator, said: OPERATOR_WORDS[operator] })),
    values:
      values.length > MOST_VALUES
        ? null
        : toldApart(
            values.map((value) => ({
              value,
              said: sayAllowed(value, entry, job),
              holes: counts.byValue.get(value) ?? 0,
            })),
          ),
    known: counts.known,
  };
}

type Value = string | number | boolean;

/** How many holes have each value; of a list, each element counts. */
function countsOf(
  { name, from }: FactEntry,
  { facts, rulings }: Job,
): { readonly byValue: ReadonlyMap<Value, number>; readonly known: number } {
  const byValue = new Map<Value, number>();
  let known = 0;
  facts.forEach((record, i) => {
    const value =
      from === "ruling"
        ? rulings.attribute(rulings.ids[i] ?? "", name)?.value
        : Object.hasOwn(record, name)
          ? record[name]
          : undefined;
    if (value === undefined || value === null) return;
    known++;
    for (const one of typeof value === "object" ? value : [value])
      byValue.set(one, (byValue.get(one) ?? 0) + 1);
  });
  return { byValue, known };
}

function sayAllowed(value: Value, entry: FactEntry | AttributeEntry, job: Job): string {
  if (entry.valuesFrom === "rivets" && value !== "none") return namesOf(job).rivet(String(value));
  return sayValue(value, entry, namesOf(job), job.kit.units);
}

/** Values that are called the same have their id beside them. */
function toldApart<T extends { readonly value: Value; readonly said: string }>(
  values: readonly T[],
): readonly T[] {
  return values.map((one) =>
    values.some(({ value, said }) => said === one.said && value !== one.value)
      ? { ...one, said: `${one.said} (${one.value})` }
      : one,
  );
}

/** Facts that are called the same have the dictionary's name beside them. */
function labelsToldApart(offered: readonly FactOffered[]): readonly FactOffered[] {
  return offered.map((one) =>
    offered.some(({ name, label }) => label === one.label && name !== one.name)
      ? { ...one, label: `${one.label} (${one.name})` }
      : one,
  );
}

function byNumber(a: Value, b: Value): number {
  return Number(a) - Number(b);
}
