import file from "../../kb/lexicon.json" with { type: "json" };
import ordinaryFile from "../../kb/ordinary-words.json" with { type: "json" };

/** What a word can stand for. One word may stand for several things; the question decides. */
export interface Sense {
  readonly concept: string;
  /** Past form or participle: "dimpled", "driven"; statements of work done need it. */
  readonly past: boolean;
}

/** One thing that builders say in several ways. */
export interface Concept {
  readonly id: string;
  /** Slot values that it can fill: dimple → {treatment: "dimple", act: "dimple"}. */
  readonly slots: Readonly<Record<string, string>>;
  /** May stand in a question without changing it ("holes", "which"). */
  readonly light: boolean;
  readonly negation: boolean;
}

/** How far a word can be passed over: never, in a full question, or even in a clipped one ("and on rib 4?"). */
export type Weight = "content" | "light" | "quiet";

/** A run of words that stands for one concept or for nothing. */
export interface Phrase {
  readonly words: readonly string[];
  readonly concepts: readonly string[];
  readonly quiet: boolean;
}

interface Elsewhere {
  /** It may be spoken of beside a question: "the compressor is up", "a man at the airfield says …". */
  readonly mild: boolean;
  readonly who: string;
  /** Single words, and several that tell only together: "order more". */
  readonly sayings: readonly (readonly string[])[];
}

/** Words that do the same in a sentence; what each group says is told beside it in the lexicon. */
export type WordGroup = keyof typeof file.groups;

/** The builder's vocabulary, from `kb/lexicon.json`. */
export interface Lexicon {
  readonly concepts: ReadonlyMap<string, Concept>;
  senses(word: string): readonly Sense[];
  /** Only for words without a content sense: whether it can be passed over. */
  weight(word: string): Weight;
  /** Phrases that start with the first word and the second, longest first; those of one word last. */
  phrases(first: string, second: string): readonly Phrase[];
  contraction(word: string): readonly string[] | undefined;
  /** Words that a negation is hidden in: "undimpled" → "not dimpled". */
  negated(word: string): string | undefined;
  isPronoun(word: string): boolean;
  number(word: string): number | undefined;
  ordinal(word: string): number | undefined;
  /** "upper" → "top". */
  side(word: string): string | undefined;
  opposite(side: string): string | undefined;
  /**
   * Who can answer a question with such words, in this order, when this program cannot.
   * @param beside  the words stand beside the question
   */
  elsewhere(words: readonly string[], beside?: boolean): string | undefined;
  /** Whether the word is known at all, so that it is not taken for a misspelling. */
  knows(word: string): boolean;
  /** What a common slip of the thumb stands for: "wich" → "which". */
  slip(word: string): string | undefined;
  /** Says nothing where it stands in a clause of such words: "blimey", "right", "great"; or is such a clause: "hang on". */
  isChatter(saying: string): boolean;
  /** A name for the one who is asked: "boss", "mate", "folks". */
  isAddress(word: string): boolean;
  /** Somebody who may work, ask or report beside the builder: "mum", "mentor". */
  isPerson(word: string): boolean;
  /** Somebody who is named without "my" or "the": "mum", "grandpa". */
  isKin(word: string): boolean;
  /** Whether a word is of one of the groups, or of one that they take in. */
  isOf(word: string, ...groups: readonly WordGroup[]): boolean;
  /** The words of a group, and of those that it takes in; undefined where there is no such group. */
  group(name: string): ReadonlySet<string> | undefined;
  /** A common word that means nothing particular at the bench. */
  isOrdinary(word: string): boolean;
  /** Words that a misspelling may be corrected to. */
  readonly correctable: ReadonlySet<string>;
  /** Words that deny: "not", "no", "dont". Nothing is ever corrected into one, or away from one. */
  readonly negations: readonly string[];
}

interface ConceptFile {
  id: string;
  slots?: Record<string, string | undefined>;
  light?: boolean;
  negation?: boolean;
  negates?: string;
  verbs?: string[];
  past?: string[];
  words?: string[];
  phrases?: string[];
}

/** A phrase written out: "is|was it [still] ok" is four ways to say it ("|" between single words, "[]" round one). */
function waysToSay(phrase: string): readonly (readonly string[])[] {
  return phrase.split(" ").reduce<readonly (readonly string[])[]>(
    (ways, part) => {
      const words = part.replace(/^\[|\]$/g, "").split("|");
      const own = [...(part.startsWith("[") ? [[]] : []), ...words.map((word) => [word])];
      return ways.flatMap((way) => own.map((more) => [...way, ...more]));
    },
    [[]],
  );
}

interface GroupFile {
  readonly with?: readonly string[];
  readonly words: readonly string[];
}

let made: Lexicon | undefined;

/** The lexicon, made once. */
export function lexicon(): Lexicon {
  made ??= build();
  return made;
}

function build(): Lexicon {
  const concepts = new Map<string, Concept>();
  const senses = new Map<string, Sense[]>();
  const negated = new Map<string, string>();
  const addSense = (word: string, concept: string, past: boolean): void => {
    const list = senses.get(word) ?? [];
    const same = list.find((sense) => sense.concept === concept);
    if (!same) senses.set(word, [...list, { concept, past }]);
    else if (past && !same.past)
      senses.set(
        word,
        list.map((sense) => (sense === same ? { concept, past } : sense)),
      );
  };
  const contractions = readContractions();
  const sayings = new Map<string, Phrase>();
  const addPhrase = (saying: readonly string[], ids: readonly string[], quiet: boolean): void => {
    const words = saying.flatMap((word) => contractions.get(word) ?? [word]);
    const key = words.join(" ");
    const same = sayings.get(key);
    sayings.set(key, {
      words,
      concepts: [...(same?.concepts ?? []), ...ids],
      quiet: quiet || (same?.quiet ?? false),
    });
  };
  for (const concept of file.concepts as ConceptFile[]) {
    const { id, slots = {}, light = false, negation = false, negates } = concept;
    const filled = Object.entries(slots).filter((entry): entry is [string, string] => entry[1] !== undefined);
    concepts.set(id, { id, slots: Object.fromEntries(filled), light, negation });
    for (const verb of concept.verbs ?? []) {
      for (const { word, past } of inflections(verb)) addSense(word, id, past);
    }
    for (const word of concept.past ?? []) addSense(word, id, true);
    for (const word of concept.words ?? []) {
      addSense(word, id, concept.verbs !== undefined || Object.keys(slots).length > 0);
      if (negates) negated.set(word, negates);
    }
    for (const phrase of (concept.phrases ?? []).flatMap(waysToSay)) addPhrase(phrase, [id], false);
  }
  for (const phrase of file.quiet.phrases.flatMap(waysToSay)) addPhrase(phrase, [], true);
  const phrases = new Map<string, Phrase[]>();
  for (const phrase of sayings.values()) {
    const key = startOf(phrase.words);
    const list = phrases.get(key);
    if (list) list.push(phrase);
    else phrases.set(key, [phrase]);
  }
  for (const list of phrases.values()) list.sort((a, b) => b.words.length - a.words.length);
  const quiet = new Set(file.quiet.words);
  const light = new Set(file.light.words);
  const pronouns = new Set(file.pronouns);
  const numbers = new Map(Object.entries(file.numbers));
  const ordinals = new Map(Object.entries(file.ordinals));
  const sides = new Map(
    Object.entries(file.sides).flatMap(([side, words]) => words.map((word) => [word, side] as const)),
  );
  const opposites = new Map(file.opposites.flatMap(([a = "", b = ""]) => [[a, b] as const, [b, a] as const]));
  const elsewhere: Elsewhere[] = file.elsewhere.map(({ who, words, mild }) => ({
    mild: mild ?? false,
    who,
    sayings: words.map((saying) => saying.split(" ")),
  }));
  const slips = new Map(Object.entries(file.slips));
  const chatter = new Set(
    file.chatter
      .flatMap(waysToSay)
      .map((words) => words.flatMap((word) => contractions.get(word) ?? [word]).join(" ")),
  );
  const ordinary = new Set(file.ordinary);
  const { address, kin, others } = file.people;
  const people = new Set([...kin, ...others]);
  for (const word of address) chatter.add(word);
  const groups = readGroups();
  const inPhrases = [...phrases.values()].flat().flatMap((phrase) => phrase.words);
  const known = new Set([
    ...senses.keys(),
    ...inPhrases,
    ...quiet,
    ...light,
    ...pronouns,
    ...numbers.keys(),
    ...ordinals.keys(),
    ...sides.keys(),
    ...contractions.keys(),
    ...elsewhere.flatMap(({ sayings }) => sayings.flat()),
    ...[...chatter].flatMap((saying) => saying.split(" ")),
    ...people,
    ...ordinary,
    ...ordinaryFile.words.flatMap((line) => line.split(" ")),
  ]);
  const negations = new Set([...concepts.values()].filter(({ negation }) => negation).map(({ id }) => id));
  const correctable = new Set(
    [
      ...senses.keys(),
      ...inPhrases,
      ...sides.keys(),
      ...numbers.keys(),
      ...ordinals.keys(),
      ...quiet,
      ...light,
    ]
      .filter((word) => !(senses.get(word) ?? []).some(({ concept }) => negations.has(concept)))
      .filter((word) => /^[a-z]{3,}$/.test(word)),
  );
  const denies = (word: string): boolean =>
    (senses.get(word) ?? []).some(({ concept }) => negations.has(concept));
  const denying = [
    ...[...senses.keys()].filter(denies),
    ...[...contractions].flatMap(([word, full]) => (full.some(denies) ? [word.replace("'", "")] : [])),
  ];
  return Object.freeze({
    concepts,
    senses: (word: string) => senses.get(word) ?? [],
    weight: (word: string): Weight => (quiet.has(word) ? "quiet" : light.has(word) ? "light" : "content"),
    phrases: (first: string, second: string) => [
      ...(phrases.get(startOf([first, second])) ?? []),
      ...(phrases.get(startOf([first])) ?? []),
    ],
    contraction: (word: string) => contractions.get(word),
    negated: (word: string) => negated.get(word),
    isPronoun: (word: string) => pronouns.has(word),
    number: (word: string) => numbers.get(word),
    ordinal: (word: string) => ordinals.get(word) ?? numbered(word),
    side: (word: string) => sides.get(word),
    opposite: (side: string) => opposites.get(side),
    elsewhere: (words: readonly string[], beside = false) =>
      elsewhere.find(
        ({ sayings, mild }) => !(beside && mild) && sayings.some((saying) => holds(words, saying)),
      )?.who,
    knows: (word: string) => known.has(word),
    slip: (word: string) => slips.get(word),
    isChatter: (saying: string) => chatter.has(saying),
    isAddress: (word: string) => address.includes(word),
    isPerson: (word: string) => people.has(word),
    isKin: (word: string) => kin.includes(word),
    isOf: (word: string, ...names: readonly WordGroup[]) => names.some((name) => groups.get(name)?.has(word)),
    group: (name: string) => groups.get(name),
    isOrdinary: (word: string) => ordinary.has(word),
    correctable,
    negations: denying,
  });
}

/** How a phrase is looked up: by its first two words. */
function startOf([first = "", second = ""]: readonly string[]): string {
  return `${first} ${second}`;
}

/** "don't" → "do not", also typed without its apostrophe where that is no other word. */
function readContractions(): Map<string, readonly string[]> {
  const contractions = new Map(
    Object.entries(file.contractions).map(([word, full]) => [word, full.split(" ")] as const),
  );
  for (const plain of file.plain) {
    const full = [...contractions].find(([word]) => word.replace("'", "") === plain)?.[1];
    if (full) contractions.set(plain, full);
  }
  return contractions;
}

/** The groups of words, those that a group takes in before it. */
function readGroups(): ReadonlyMap<string, ReadonlySet<string>> {
  const groups = new Map<string, ReadonlySet<string>>();
  const ofAll: Readonly<Record<string, GroupFile>> = file.groups;
  for (const [name, { with: others = [], words }] of Object.entries(ofAll))
    groups.set(name, new Set([...others.flatMap((other) => [...(groups.get(other) ?? [])]), ...words]));
  return groups;
}

function holds(words: readonly string[], saying: readonly string[]): boolean {
  return words.some((_, at) => saying.every((word, n) => words[at + n] === word));
}

/** "22nd" → 22. */
function numbered(word: string): number | undefined {
  const digits = /^(\d{1,4})(?:st|nd|rd|th)$/.exec(word)?.[1];
  return digits === undefined ? undefined : Number(digits);
}

/** Regular forms of a verb, British and American spelling alike. */
export function inflections(verb: string): { readonly word: string; readonly past: boolean }[] {
  const stem = verb.replace(/e$/, "");
  const double = /[^aeiou][aeiou][bdgklmnprt]$/.test(verb) ? [`${verb}${verb.at(-1)}`] : [];
  const pasts = /[^aeiou]y$/.test(verb)
    ? [`${verb.slice(0, -1)}ied`]
    : [`${stem}ed`, ...double.map((doubled) => `${doubled}ed`)];
  const others = [
    verb,
    /(s|x|z|ch|sh)$/.test(verb)
      ? `${verb}es`
      : /[^aeiou]y$/.test(verb)
        ? `${verb.slice(0, -1)}ies`
        : `${verb}s`,
    ...(verb.endsWith("e") ? [`${stem}ing`] : [`${verb}ing`]),
    ...double.map((doubled) => `${doubled}ing`),
  ];
  // "set", "put", "shut": past and present are one word.
  const own = verb === "set" ? [{ word: verb, past: true }] : [];
  return [
    ...own,
    ...others.map((word) => ({ word, past: false })),
    ...pasts.map((word) => ({ word, past: true })),
  ];
}
