import type { Kit } from "../kit/types.js";
import { Problem } from "../problem.js";
import { shapeChecker } from "../shape-checker.js";
import { parseJson, type SourceFile } from "../source.js";
import { type FactsFile, FactsFileSchema } from "./schema.js";
import type { AttributeEntry, Dictionary, FactEntry, FactRange, KitList } from "./types.js";

export type KitLists = Readonly<Record<KitList, readonly string[]>>;

const validate = shapeChecker({ allErrors: true, strict: true })<FactsFile>(FactsFileSchema);

/**
 * The fact dictionary: every name that a rule may use, and every attribute that it may claim.
 * @throws FACTS_INVALID (shape), FACT_DUPLICATE, FACT_RANGE (no number lies in it), FACT_NOT_AN_ATTRIBUTE (a
 *         `ruling` fact nobody claims)
 */
export function loadDictionary(file: SourceFile): Dictionary {
  const json = parseJson(file);
  if (!validate(json)) {
    const problems = (validate.errors ?? []).map(
      (error) =>
        new Problem("FACTS_INVALID", `The fact dictionary ${error.message ?? "has a wrong shape"}.`, {
          where: { file: file.path, pointer: error.instancePath },
          fix: "Write the entry as the schema in rules/schemas/facts.schema.json says.",
        }),
    );
    throw firstOf(problems);
  }
  const facts = new Map<string, FactEntry>();
  const attributes = new Map<string, AttributeEntry>();
  const problems: Problem[] = [];
  json.facts.forEach((entry, i) => {
    if (facts.has(entry.name)) problems.push(duplicate(file, `/facts/${i}/name`, entry.name));
    const { min = null, above = null, max = null, ...rest } = entry;
    const range = { min, above, max };
    if (!isRangeOf(entry.type, range)) problems.push(rangeProblem(file, `/facts/${i}`, entry.name));
    facts.set(entry.name, {
      ...rest,
      range,
      unit: entry.unit ?? null,
      values: entry.values ?? null,
      valuesFrom: entry.valuesFrom ?? null,
    });
  });
  json.attributes.forEach((entry, i) => {
    if (attributes.has(entry.name)) problems.push(duplicate(file, `/attributes/${i}/name`, entry.name));
    attributes.set(entry.name, {
      ...entry,
      unit: entry.unit ?? null,
      values: entry.values ?? null,
      valuesFrom: entry.valuesFrom ?? null,
    });
  });
  json.facts.forEach((entry, i) => {
    if (entry.from === "ruling" && attributes.get(entry.name)?.type !== entry.type) {
      problems.push(
        new Problem(
          "FACT_NOT_AN_ATTRIBUTE",
          `No attribute "${entry.name}" of type ${entry.type} is settled.`,
          {
            where: { file: file.path, pointer: `/facts/${i}` },
            fix: "Add the attribute, or take another origin for the fact.",
          },
        ),
      );
    }
  });
  if (problems.length > 0) throw firstOf(problems);
  return { facts, attributes };
}

/** The texts that only the kit knows, sorted and each once; what `valuesFrom` stands for. */
export function kitLists(kit: Kit): KitLists {
  const parts = kit.assemblies.flatMap((assembly) => assembly.parts);
  const holes = kit.assemblies.flatMap((assembly) => assembly.holes);
  const once = (values: readonly string[]): string[] => [...new Set(values)].sort();
  return {
    parts: once(parts.map((part) => part.id)),
    rows: once(kit.assemblies.flatMap((assembly) => assembly.rows.map((row) => row.id))),
    families: once(kit.assemblies.flatMap((assembly) => assembly.families.map((family) => family.id))),
    kinds: once(parts.map((part) => part.kind)),
    materials: once(parts.map((part) => part.material)),
    rivets: once(kit.rivets.map((rivet) => rivet.code)),
    milestones: once(
      kit.assemblies.flatMap((assembly) => assembly.milestones.map((milestone) => milestone.id)),
    ),
    neighbours: once(holes.flatMap((hole) => (hole.neighbour ? [hole.neighbour.id] : []))),
  };
}

/**
 * Texts that an entry allows: its own and the kit's.
 * @returns null when any text goes (no list is given, or no kit is at hand to say)
 */
export function allowedValues(
  entry: Pick<FactEntry, "values" | "valuesFrom">,
  lists: KitLists | null,
): readonly string[] | null {
  if (entry.valuesFrom === null) return entry.values;
  if (lists === null) return null;
  return [...(entry.values ?? []), ...lists[entry.valuesFrom]];
}

function duplicate(file: SourceFile, pointer: string, name: string): Problem {
  return new Problem("FACT_DUPLICATE", `"${name}" is in the dictionary twice.`, {
    where: { file: file.path, pointer },
    fix: "Keep one of the two entries.",
  });
}

/** Whether some number lies in the range; what is no number has none. */
function isRangeOf(type: FactEntry["type"], { min, above, max }: FactRange): boolean {
  if (min === null && above === null && max === null) return true;
  if (type !== "number") return false;
  return (min ?? -Infinity) <= (max ?? Infinity) && (above ?? -Infinity) < (max ?? Infinity);
}

function rangeProblem(file: SourceFile, pointer: string, name: string): Problem {
  return new Problem("FACT_RANGE", `No number lies in the range of "${name}".`, {
    where: { file: file.path, pointer },
    fix: "Only a number has a range; let it run from min (or above) to a larger max.",
  });
}

function firstOf(problems: readonly Problem[]): Problem {
  const [first, ...others] = problems;
  if (!first) throw new Error("no problem to report");
  return new Problem(first.code, first.message, { where: first.where, fix: first.fix, others });
}
