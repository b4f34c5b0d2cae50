import type { FindingWords } from "../../ruling/anomalies/words.js";
import type { ClaimValue } from "../../ruling/types.js";
import type { Sayer } from "./conditions.js";
import { attributeLabel, factLabel, sayValue, theFact } from "./measures.js";
import { sayCondition } from "./rule-words.js";
import { sayPrinciple, sayValueShort } from "./rulings.js";

/** One assembly's holes, with what names things there. */
export interface FindingPlace {
  readonly holes: readonly string[];
  readonly sayer: Sayer;
}

/** How findings name things to a builder. @param places  the kit's assemblies, at least one */
export function findingWords(places: readonly [FindingPlace, ...FindingPlace[]]): FindingWords {
  const [{ sayer }] = places;
  const placeOf = new Map(places.flatMap((place) => place.holes.map((hole) => [hole, place.sayer] as const)));
  const { dictionary, names, units } = sayer;
  const entryOf = (name: string) =>
    dictionary.facts.get(name) ?? dictionary.attributes.get(name) ?? { name, unit: null, valuesFrom: null };
  return {
    holes(ids) {
      const here = placeOf.get(ids[0] ?? "") ?? sayer;
      const own = ids.filter((id) => (placeOf.get(id) ?? sayer) === here);
      const elsewhere = ids.length - own.length;
      return `${here.names.where(own)}${elsewhere > 0 ? ` (and ${elsewhere} more in other assemblies)` : ""}`;
    },
    leaf: (leaf) => sayCondition(leaf, sayer),
    facts(facts) {
      const said = Object.entries(facts).map(([name, value]) => {
        if (Array.isArray(value) && value.length === 0) return `${factLabel(name)} none`;
        return `${factLabel(name)} ${sayValue(value, entryOf(name), names, units)}`;
      });
      return said.join(", ") || "any facts";
    },
    fact: theFact,
    value: (fact, value) => sayValue(value, entryOf(fact), names, units),
    attribute: attributeLabel,
    against: (attribute, own, theirs) =>
      `${attributeLabel(attribute)} ${short(attribute, own, sayer)} against ${short(attribute, theirs, sayer)}`,
    part: names.thePart,
    principle(principle, winner, loser, reason) {
      const said = sayPrinciple(principle, winner.basis, loser.basis, reason);
      return reason === null ? said : `${said} (${reason})`;
    },
  };
}

function short(attribute: string, value: unknown, { names, units }: Sayer): string {
  return sayValueShort(attribute, value as ClaimValue, names, units);
}
