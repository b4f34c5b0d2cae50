import { neighboursOf } from "../../kit/neighbours.js";
import type { Assembly, Family, Kit, Row, Step } from "../../kit/types.js";
import { lexicon } from "../lexicon.js";

/** What a name stands for. */
export type Target =
  | { readonly kind: "part"; readonly id: string }
  | { readonly kind: "family"; readonly id: string }
  | { readonly kind: "milestone"; readonly id: string }
  | { readonly kind: "notice"; readonly id: string }
  | { readonly kind: "assembly"; readonly id: string };

/** A name as words (`nameWords`), and everything of the assembly that is called so; more than one is not decided here. */
export interface Alias {
  readonly words: readonly string[];
  readonly targets: readonly Target[];
}

/** A row with the ways to say which one it is: sets of words, sides brought to one word each. */
export interface RowNames {
  readonly row: Row;
  readonly sayings: readonly ReadonlySet<string>[];
  readonly words: ReadonlySet<string>;
}

/** A step of the manual: the pieces of its id, and its title. */
export interface StepNames {
  readonly step: Step;
  readonly pieces: readonly string[];
  readonly title: readonly string[];
  /** Stems of the title's words. */
  readonly stems: ReadonlySet<string>;
}

/** A noun that is followed by a number: "rib 3". */
export interface Numbered {
  readonly noun: readonly string[];
  readonly byNumber: ReadonlyMap<number, string>;
}

/** All names of a kit's assembly, ready to be recognised. Nothing here knows any kit. */
export interface NameIndex {
  readonly kit: Kit;
  readonly assembly: Assembly;
  /** Exact names by their first word, longest first. */
  aliases(first: string): readonly Alias[];
  /** Nouns that take a number, by first word (singular or plural), longest first. */
  numbered(first: string): readonly Numbered[];
  /** Families by any noun for their members, singular: "rib", "hinge bracket". */
  familyNoun(noun: string): Family | undefined;
  /** Parts of a kind, by its singular noun: "skin". */
  partsOfKind(kind: string): readonly string[];
  /** Parts by single words of their names; for "the mount". */
  partsWithWord(word: string): ReadonlySet<string>;
  /** Whether a name ends in the word: "mount" does, "servo" does not. */
  isHeadWord(word: string): boolean;
  readonly rows: readonly RowNames[];
  readonly steps: readonly StepNames[];
  /** Surfaces that come near, by the words of their names. */
  readonly neighbours: readonly { readonly id: string; readonly words: readonly string[] }[];
  isRowWord(word: string): boolean;
  /** Exact ids, lower case: rows and holes too. */
  id(text: string): Id | undefined;
  isPartId(text: string): boolean;
  /** Words that names are made of. */
  knows(word: string): boolean;
  readonly words: ReadonlySet<string>;
}

/** What an id written out stands for: anything with a name, a row, a hole, or a rivet's code. */
export type Id =
  | Target
  | { readonly kind: "row"; readonly id: string }
  | { readonly kind: "hole"; readonly id: string }
  /** A rivet by the kit's code for it. */
  | { readonly kind: "rivet"; readonly id: string };

const indexes = new WeakMap<Assembly, NameIndex>();

/** The names of a kit's assembly, made once for each assembly object. */
export function nameIndex(kit: Kit, assembly: Assembly): NameIndex {
  const made = indexes.get(assembly) ?? build(kit, assembly);
  indexes.set(assembly, made);
  return made;
}

/** A name's words: lower case, joints opened, articles and linking words left out, sides brought to one word. */
export function nameWords(name: string): string[] {
  return name
    .toLowerCase()
    .replace(/'s\b/g, "")
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== "" && lexicon().weight(word) === "content")
    .map(sideWord);
}

/** "upper" → "top"; any other word stays. */
export function sideWord(word: string): string {
  return lexicon().side(word) ?? word;
}

/** "ribs" → "rib"; a word that is no plural stays. */
export function singular(word: string): string {
  if (/(ches|shes|xes|sses)$/.test(word)) return word.slice(0, -2);
  return /[^s]s$/.test(word) ? word.slice(0, -1) : word;
}

function build(kit: Kit, assembly: Assembly): NameIndex {
  const aliases = new Map<string, { words: readonly string[]; targets: Target[] }>();
  const add = (words: readonly string[], target: Target): void => {
    if (words.length === 0) return;
    const key = words.join(" ");
    const alias = aliases.get(key) ?? { words, targets: [] };
    if (!alias.targets.some(({ kind, id }) => kind === target.kind && id === target.id))
      alias.targets.push(target);
    aliases.set(key, alias);
  };
  const ids = new Map<string, Id>();
  const numbered = new Map<string, Map<number, string>>();
  const addNumbered = (noun: readonly string[], number: number, part: string): void => {
    const key = noun.join(" ");
    const byNumber = numbered.get(key) ?? new Map<number, string>();
    if (!byNumber.has(number)) byNumber.set(number, part);
    numbered.set(key, byNumber);
  };
  const withWord = new Map<string, Set<string>>();
  const headWords = new Set<string>();
  const ofKind = new Map<string, string[]>();

  for (const { id, name, nicknames, kind } of assembly.parts) {
    ids.set(id.toLowerCase(), { kind: "part", id });
    for (const text of [id, name, ...nicknames]) {
      const words = nameWords(text);
      add(words, { kind: "part", id });
      headWords.add(kind.toLowerCase()).add(words.at(-1) ?? "");
      const number = Number(words.at(-1));
      if (words.length > 1 && Number.isInteger(number)) addNumbered(words.slice(0, -1), number, id);
      else for (const word of words) withWord.set(word, (withWord.get(word) ?? new Set()).add(id));
    }
    ofKind.set(kind.toLowerCase(), [...(ofKind.get(kind.toLowerCase()) ?? []), id]);
  }

  const nouns = new Map<string, Family>();
  for (const family of assembly.families) {
    ids.set(family.id.toLowerCase(), { kind: "family", id: family.id });
    for (const text of [family.id, family.name, ...family.nicknames]) {
      const words = nameWords(text);
      add(words, { kind: "family", id: family.id });
      const last = words.at(-1);
      if (last !== undefined && last !== "family")
        nouns.set([...words.slice(0, -1), singular(last)].join(" "), family);
    }
    for (const [noun, byNumber] of numbered) {
      if ([...byNumber.values()].every((part) => family.members.includes(part))) nouns.set(noun, family);
    }
  }
  for (const [noun, family] of nouns) {
    const own = numbered.get(noun);
    if (own) continue;
    const sister = [...numbered].find(([other]) => nouns.get(other) === family)?.[1];
    numbered.set(noun, sister ?? new Map(family.members.map((member, at) => [at + 1, member])));
  }

  for (const [letter, byNumber] of initials(numbered, nouns)) numbered.set(letter, byNumber);

  const rows = assembly.rows.map((row): RowNames => {
    ids.set(row.id.toLowerCase(), { kind: "row", id: row.id });
    const owner = assembly.parts.find(({ id }) => id === row.part);
    const ownerWords = new Set([row.part, owner?.name ?? ""].flatMap(nameWords));
    const sayings = [row.row, row.name, ...row.nicknames].map(
      (text) => new Set(nameWords(text).filter((word) => !GENERIC.has(word))),
    );
    const own = sayings.map(
      (words) => new Set([...words].filter((word) => !ownerWords.has(word) || words.size === 1)),
    );
    return { row, sayings: [...sayings, ...own], words: new Set(sayings.flatMap((words) => [...words])) };
  });
  const rowWords = new Set(rows.flatMap(({ words }) => [...words]));

  for (const { id } of assembly.holes) ids.set(id.toLowerCase(), { kind: "hole", id });
  for (const { id, name, nicknames } of assembly.milestones) {
    ids.set(id.toLowerCase(), { kind: "milestone", id });
    for (const text of [id, name, ...nicknames]) add(nameWords(text), { kind: "milestone", id });
  }
  for (const { id, title } of kit.notices) {
    ids.set(id.toLowerCase(), { kind: "notice", id });
    add(nameWords(title), { kind: "notice", id });
  }
  for (const text of [assembly.id, assembly.name, ...assembly.nicknames, kit.name])
    add(nameWords(text), { kind: "assembly", id: assembly.id });

  for (const { code } of kit.rivets)
    if (!ids.has(code.toLowerCase())) ids.set(code.toLowerCase(), { kind: "rivet", id: code });

  const byFirst = new Map<string, Alias[]>();
  for (const alias of aliases.values()) {
    const [first = ""] = alias.words;
    byFirst.set(first, [...(byFirst.get(first) ?? []), alias]);
  }
  for (const list of byFirst.values()) list.sort((a, b) => b.words.length - a.words.length);
  const numberedByFirst = new Map<string, Numbered[]>();
  for (const [noun, byNumber] of numbered) {
    const words = noun.split(" ");
    const [first = ""] = words;
    numberedByFirst.set(first, [...(numberedByFirst.get(first) ?? []), { noun: words, byNumber }]);
  }
  for (const list of numberedByFirst.values()) list.sort((a, b) => b.noun.length - a.noun.length);

  const steps = assembly.steps.map((step): StepNames => {
    const title = nameWords(step.title);
    return {
      step,
      pieces: idPieces(step.id),
      title,
      stems: new Set(title.map((word) => stemOf(singular(word)))),
    };
  });

  const neighbours = neighboursOf(assembly).map(({ id, name }) => ({ id, words: nameWords(name) }));

  const words = new Set<string>(rowWords);
  for (const one of neighbours) for (const word of one.words) words.add(word);
  for (const { title } of steps) for (const word of title) words.add(word);
  for (const alias of aliases.values()) for (const word of alias.words) words.add(word);
  for (const noun of [...numbered.keys(), ...nouns.keys(), ...ofKind.keys()])
    for (const word of noun.split(" ")) words.add(word);
  return Object.freeze({
    kit,
    assembly,
    aliases: (first: string) => byFirst.get(first) ?? [],
    numbered: (first: string) => numberedByFirst.get(first) ?? [],
    familyNoun: (noun: string) => nouns.get(noun),
    partsOfKind: (kind: string) => ofKind.get(kind) ?? [],
    partsWithWord: (word: string) => withWord.get(word) ?? new Set<string>(),
    isHeadWord: (word: string) => headWords.has(word),
    rows,
    steps,
    neighbours,
    isRowWord: (word: string) => rowWords.has(word),
    id: (text: string) => ids.get(text),
    isPartId: (text: string) => ids.get(text)?.kind === "part",
    knows: (word: string) => words.has(word) || words.has(singular(word)) || words.has(sideWord(word)),
    words,
  });
}

/** "R3", "r 3": a family by the first letter of its noun, where no other noun of one word that takes a number starts with it. */
function initials(
  numbered: ReadonlyMap<string, Map<number, string>>,
  nouns: ReadonlyMap<string, Family>,
): readonly (readonly [string, Map<number, string>])[] {
  const families = new Map<string, Set<Family | undefined>>();
  const simple = [...numbered].filter(([noun]) => !noun.includes(" "));
  for (const [noun] of simple) {
    const [letter = ""] = noun;
    families.set(letter, (families.get(letter) ?? new Set()).add(nouns.get(noun)));
  }
  return simple.flatMap(([noun, byNumber]) => {
    const [letter = ""] = noun;
    const own = families.get(letter) ?? new Set();
    return own.size === 1 && nouns.has(noun) && !numbered.has(letter) && /^[b-z]$/.test(letter)
      ? [[letter, byNumber] as const]
      : [];
  });
}

/** "6-5" → 6, 5: whatever stands between the pieces of an id. */
export function idPieces(id: string): string[] {
  return id
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter((piece) => piece !== "");
}

/** Words that every row may be called by. */
export const GENERIC: ReadonlySet<string> = new Set(["row", "column", "line", "hole", "rivet"]);

/** One word for all forms of a verb or noun: "matched", "matching" → "match". Only ever compared with itself. */
export function stemOf(word: string): string {
  const bare = word.length > 4 ? word.replace(/(ing|ed|es|s)$/, "") : word;
  return bare.replace(/([^aeiouls])\1$/, "$1").replace(/e$/, "");
}
