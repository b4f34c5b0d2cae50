import type { Slots } from "../server/ask/types.js";
import type { AssemblyShown, NamedThing } from "./wire.js";
import { sayNumbers, spaced } from "./words.js";

/** How a question is put. */
const SENSES: Readonly<Record<string, string>> = {
  against: "the other way round",
  open: "not as a yes or no",
  must: "as a must",
};

interface HolePlace {
  readonly row: string;
  readonly number: number;
}

/** What a builder calls the things that answers name by id. An id without a name is shown as it is. */
export class Names {
  readonly #parts: ReadonlyMap<string, string>;
  readonly #things: ReadonlyMap<string, string>;
  /** Those of the things that a fact's text can be the id of. */
  readonly #inFacts: ReadonlyMap<string, string>;
  readonly #rows = new Map<string, string>();
  readonly #holes = new Map<string, HolePlace>();

  readonly #steps: ReadonlyMap<string, string>;
  /** Where it all belongs, by id. */
  readonly place: { readonly kit: string; readonly assembly: string };
  readonly #inInches: boolean;
  readonly #words: AssemblyShown["words"];

  constructor({
    id: assembly,
    kit,
    steps,
    neighbours,
    parts,
    rows,
    families,
    milestones,
    prepGates,
    approaches,
    words,
  }: AssemblyShown) {
    this.#words = words;
    this.#steps = new Map(steps.map(({ id, title }) => [id, `${id}, ${title}`]));
    this.place = { kit: kit.id, assembly };
    this.#inInches = kit.units === "inch";
    this.#parts = named(parts);
    this.#inFacts = named([...families, ...milestones, ...neighbours]);
    this.#things = new Map([...this.#inFacts, ...named([...prepGates, ...approaches])]);
    for (const row of rows) {
      const part = this.part(row.part);
      const name = row.name.toLowerCase().includes(part.toLowerCase()) ? row.name : `${part}, ${row.name}`;
      this.#rows.set(row.id, name);
      for (const hole of row.holes)
        this.#holes.set(hole, { row: row.id, number: Number(hole.split(".").at(-1)) });
    }
  }

  part(id: string): string {
    return this.#parts.get(id) ?? id;
  }

  /** "rib 3, top row". */
  row(id: string): string {
    return this.#rows.get(id) ?? id;
  }

  /** "rib 3, top row, hole 4". */
  hole(id: string): string {
    return this.holes([id]);
  }

  /** "rib 3, top row, holes 4–6; rib 4, top row, hole 1". */
  holes(ids: readonly string[]): string {
    return this.holesByRow(ids).join("; ");
  }

  /** The same, a text for each row. */
  holesByRow(ids: readonly string[]): readonly string[] {
    const byRow = new Map<string, number[]>();
    for (const id of ids) {
      const place = this.#holes.get(id);
      const numbers = byRow.get(place?.row ?? id) ?? [];
      if (place) numbers.push(place.number);
      byRow.set(place?.row ?? id, numbers);
    }
    return [...byRow].map(([row, numbers]) => {
      if (numbers.length === 0) return row;
      return `${this.row(row)}, ${numbers.length === 1 ? "hole" : "holes"} ${sayNumbers(numbers)}`;
    });
  }

  /** A milestone, gate, family or approach. */
  thing(id: string): string {
    return this.#things.get(id) ?? id;
  }

  /**
   * A text of a fact: the part, row, family, milestone or neighbour that it is the id of, else the text itself. Not a
   * gate: "dimple" is a treatment too.
   */
  called(text: string): string {
    return this.#parts.get(text) ?? this.#rows.get(text) ?? this.#inFacts.get(text) ?? text;
  }

  /** A fact or an attribute: "headroom (mm)". */
  fact(name: string): string {
    return this.#words.facts[name] ?? spaced(name);
  }

  /** "is less than" for `lessThan`. */
  operator(name: string): string {
    return (this.#words.operators as Readonly<Record<string, string>>)[name] ?? spaced(name);
  }

  /** A length in the kit's own units first: "3.3 mm", "0.129 in (3.28 mm)". */
  length(mm: number): string {
    const metric = `${Number(mm.toFixed(2))} mm`;
    return this.#inInches ? `${(mm / 25.4).toFixed(3)} in (${metric})` : metric;
  }

  /** All holes in the rows of these holes, in order. */
  sameRows(holes: readonly string[]): readonly string[] {
    const rows = new Set(holes.map((hole) => this.#holes.get(hole)?.row));
    return [...this.#holes].filter(([, { row }]) => rows.has(row)).map(([hole]) => hole);
  }

  /** Holes by row, or only how many they are where that would be long: the answer names them. */
  #fewWords(holes: readonly string[]): string {
    const rows = this.holesByRow(holes);
    return rows.length > 2 ? `${holes.length} holes in ${rows.length} rows` : rows.join("; ");
  }

  /** A slot's value as it is shown on its chip. */
  slot(name: string, value: NonNullable<Slots[string]>): string {
    if (typeof value !== "string") return this.#fewWords(value);
    if (name === "hole" || name === "holes") return this.hole(value);
    if (name === "row") return this.row(value);
    if (name === "part") return this.part(value);
    if (name === "family" || name === "milestone" || name === "gate" || name === "neighbour")
      return this.thing(value);
    if (name === "step") return this.#steps.get(value) ?? value;
    if (name === "sense") return SENSES[value] ?? value;
    return spaced(value);
  }
}

function named(things: readonly NamedThing[]): ReadonlyMap<string, string> {
  return new Map(things.map(({ id, name }) => [id, name]));
}
