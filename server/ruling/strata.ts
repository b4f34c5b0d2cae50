import type { Dictionary } from "../facts/types.js";
import type { Claim } from "./claims.js";
import { factsIn } from "./conditions.js";
import { findLoop } from "./loop.js";

/** Attributes in the order in which they are settled: each stratum rests on the ones before it. */
export type Strata = readonly (readonly string[])[];

/** Facts that are settled attributes. */
export function ruledFacts(dictionary: Dictionary): ReadonlySet<string> {
  return new Set(
    [...dictionary.facts.values()].filter(({ from }) => from === "ruling").map(({ name }) => name),
  );
}

/** For each claimed attribute, the attributes that the conditions of its claims look at. */
export function restsOn(
  claims: ReadonlyMap<string, readonly Claim[]>,
  ruled: ReadonlySet<string>,
): ReadonlyMap<string, ReadonlySet<string>> {
  return new Map(
    [...claims].map(([attribute, list]) => [
      attribute,
      new Set(list.flatMap(({ rule }) => factsIn(rule.conditions)).filter((fact) => ruled.has(fact))),
    ]),
  );
}

/** A loop of attributes that wait for one another; null when there is none. */
export function attributeLoop(edges: ReadonlyMap<string, ReadonlySet<string>>): readonly string[] | null {
  return findLoop(edges);
}

/**
 * Layers of attributes, lowest first; within a layer by name.
 * @param edges  free of loops
 */
export function strataOf(edges: ReadonlyMap<string, ReadonlySet<string>>): Strata {
  const height = new Map<string, number>();
  const heightOf = (attribute: string): number => {
    const known = height.get(attribute);
    if (known !== undefined) return known;
    const below = [...(edges.get(attribute) ?? [])].map(heightOf);
    const mine = below.length === 0 ? 0 : Math.max(...below) + 1;
    height.set(attribute, mine);
    return mine;
  };
  const strata: string[][] = [];
  for (const attribute of [...edges.keys()].sort()) {
    const mine = heightOf(attribute);
    for (let i = strata.length; i <= mine; i++) strata.push([]);
    strata[mine]?.push(attribute);
  }
  return strata;
}
