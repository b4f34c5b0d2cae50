import { allowedValues, kitLists } from "../facts/dictionary.js";
import type { Dictionary, FactEntry, FactRange } from "../facts/types.js";
import type { Kit } from "../kit/types.js";
import type { Interval } from "./value-set.js";

export interface NumberDomain {
  readonly type: "number";
  readonly unit: string | null;
  /** True for counts: 2 and 3 have nothing between them. */
  readonly whole: boolean;
  /** What it can be in any kit; any number when left out. */
  readonly range?: Interval;
  readonly ruled: boolean;
}

/** The values that one fact can take. */
export type FactDomain =
  | NumberDomain
  | {
      readonly type: "text" | "list";
      /** Every text that it (or an element of it) can be; null = any text. */
      readonly texts: readonly string[] | null;
      /** True when the texts come from the kit: a rule for any kit may name texts that this kit lacks. */
      readonly kitTexts: boolean;
      readonly ruled: boolean;
    }
  | { readonly type: "flag"; readonly ruled: boolean };

/** Domain of every fact of the dictionary, by name. */
export type Domains = ReadonlyMap<string, FactDomain>;

/**
 * What values each fact can take with this kit.
 * @param kit  null = no kit is at hand: texts that only a kit knows are then not limited
 */
export function domainsOf(dictionary: Dictionary, kit: Kit | null): Domains {
  const lists = kit && kitLists(kit);
  const domains = new Map<string, FactDomain>();
  for (const entry of dictionary.facts.values()) {
    const ruled = entry.from === "ruling";
    if (entry.type === "number") {
      const { name, unit, range } = entry;
      domains.set(name, { type: "number", unit, whole: unit === "count", ruled, ...rangeOf(range) });
    } else if (entry.type === "flag") {
      domains.set(entry.name, { type: "flag", ruled });
    } else {
      const texts =
        entry.from === "kit" ? statedTexts(entry, kit) : sortedOrNull(allowedValues(entry, lists ?? null));
      domains.set(entry.name, {
        type: entry.type,
        texts,
        kitTexts: entry.from === "kit" || entry.valuesFrom !== null,
        ruled,
      });
    }
  }
  return domains;
}

/** No property where any number goes. */
function rangeOf({ min, above, max }: FactRange): Pick<NumberDomain, "range"> {
  if (min === null && above === null && max === null) return {};
  const isOpen = above !== null && above >= (min ?? Number.NEGATIVE_INFINITY);
  const from = isOpen ? above : (min ?? Number.NEGATIVE_INFINITY);
  return {
    range: {
      from: { at: from, closed: !isOpen && min !== null },
      to: { at: max ?? Number.POSITIVE_INFINITY, closed: max !== null },
    },
  };
}

/** Texts of a fact that the kit states: those of the dictionary and those its holes carry. */
function statedTexts(entry: FactEntry, kit: Kit | null): readonly string[] | null {
  if (kit === null) return null;
  const texts = new Set(allowedValues(entry, kitLists(kit)) ?? []);
  for (const assembly of kit.assemblies) {
    for (const hole of assembly.holes) {
      const value = Object.hasOwn(hole.given, entry.name) ? hole.given[entry.name] : undefined;
      for (const text of Array.isArray(value) ? value : [value])
        if (typeof text === "string") texts.add(text);
    }
  }
  return [...texts].sort();
}

function sortedOrNull(texts: readonly string[] | null): readonly string[] | null {
  return texts && [...new Set(texts)].sort();
}

/**
 * What is wrong with a value for a fact of this domain, in words; null when nothing is.
 * Texts are checked for their type only: whether a text is allowed depends on who says it.
 */
export function misfit(domain: FactDomain, value: unknown): string | null {
  switch (domain.type) {
    case "number":
      if (typeof value !== "number") return "a number is needed";
      if (!Number.isFinite(value)) return "a finite number is needed";
      return null;
    case "text":
      return typeof value === "string" ? null : "a text is needed";
    case "flag":
      return typeof value === "boolean" ? null : "true or false is needed";
    case "list":
      return Array.isArray(value) && value.every((element) => typeof element === "string")
        ? null
        : "a list of texts is needed";
  }
}
