import type { Kit } from "../kit/types.js";
import { Problem } from "../problem.js";
import { parseJson, type SourceFile } from "../source.js";
import { allowedValues, type KitLists, kitLists } from "./dictionary.js";
import type { Dictionary, FactEntry, FactRange } from "./types.js";

/** What of a kit's assembly file states facts; its shape has been checked when the kit was loaded. */
interface Stating {
  readonly given?: Readonly<Record<string, unknown>>;
}
interface StatingRow extends Stating {
  readonly except?: readonly Stating[];
}

/**
 * What is wrong with the facts that a kit states (`given`): a name that the dictionary does not have or that is no
 * kit's to state, a value of another type, none of those allowed or outside the range. Nobody would read them, and a rule on them would find nothing.
 * @param files  the kit's files, of which the kit has been loaded
 */
export function givenProblems(
  files: readonly SourceFile[],
  kit: Kit,
  dictionary: Dictionary,
): readonly Problem[] {
  const known: Known = { dictionary, lists: kitLists(kit) };
  return files.flatMap((file) => {
    const { rows } = parseJson(file) as { readonly rows?: readonly StatingRow[] };
    return (rows ?? []).flatMap((row, i) => [
      ...problemsIn(row, `/rows/${i}`, file, known),
      ...(row.except ?? []).flatMap((one, j) => problemsIn(one, `/rows/${i}/except/${j}`, file, known)),
    ]);
  });
}

interface Known {
  readonly dictionary: Dictionary;
  readonly lists: KitLists;
}

function problemsIn({ given }: Stating, at: string, file: SourceFile, known: Known): Problem[] {
  return Object.entries(given ?? {}).flatMap(([name, value]) => {
    const wrong = wrongWith(name, value, known);
    const where = { file: file.path, pointer: `${at}/given/${name}` };
    return wrong ? [new Problem(wrong.code, wrong.what, { where, fix: wrong.fix })] : [];
  });
}

interface Wrong {
  readonly code: string;
  readonly what: string;
  readonly fix: string;
}

const TYPES = { number: "number", text: "string", flag: "boolean", list: "object" } as const;
const NEEDED = { number: "a number", text: "a text", flag: "true or false", list: "a list" } as const;

function wrongWith(name: string, value: unknown, { dictionary: { facts }, lists }: Known): Wrong | null {
  const entry = facts.get(name);
  if (entry?.from !== "kit") {
    const stated = [...facts.values()].filter(({ from }) => from === "kit").map((one) => one.name);
    const fix = `A kit may state: ${stated.join(", ") || "nothing"}. Take it out, or add it to the dictionary.`;
    return entry
      ? { code: "GIVEN_NOT_STATED", what: `${name} is ${ORIGINS[entry.from]}: a kit cannot state it.`, fix }
      : { code: "GIVEN_UNKNOWN", what: `The dictionary has no fact "${name}".`, fix };
  }
  if (typeof value !== TYPES[entry.type]) {
    return {
      code: "GIVEN_TYPE",
      what: `${name} is ${JSON.stringify(value)}, but it has to be ${NEEDED[entry.type]}.`,
      fix: `Write ${NEEDED[entry.type]}: ${entry.meaning}.`,
    };
  }
  if (typeof value === "number" && !isInRange(value, entry.range)) {
    return {
      code: "GIVEN_RANGE",
      what: `${name} is ${value}, and it can only be ${sayRange(entry.range)}.`,
      fix: "Write the number from the drawing, in the dictionary's unit.",
    };
  }
  const allowed = isClosed(entry) ? allowedValues(entry, lists) : null;
  if (allowed === null || allowed.includes(String(value))) return null;
  return {
    code: "GIVEN_VALUE",
    what: `${name} is "${String(value)}", which the dictionary does not allow.`,
    fix: `Write one of: ${allowed.join(", ")}.`,
  };
}

function isInRange(value: number, { min, above, max }: FactRange): boolean {
  return !(
    (min !== null && value < min) ||
    (above !== null && value <= above) ||
    (max !== null && value > max)
  );
}

function sayRange({ min, above, max }: FactRange): string {
  const ends = [
    ...(min === null ? [] : [`${min} or more`]),
    ...(above === null ? [] : [`more than ${above}`]),
    ...(max === null ? [] : [`at most ${max}`]),
  ];
  return ends.join(" and ");
}

/** "none" alone only says what a kit without such a thing has: every other text is the kit's own. */
function isClosed({ values, valuesFrom }: FactEntry): boolean {
  return valuesFrom !== null || (values ?? []).some((one) => one !== "none");
}

const ORIGINS: Readonly<Record<FactEntry["from"], string>> = {
  derived: "worked out from the drawing",
  work: "what the marks say",
  ruling: "settled by rules",
  kit: "stated by the kit",
};
