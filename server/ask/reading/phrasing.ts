import { Problem } from "../../problem.js";
import type { FormSpec } from "../form.js";
import { lexicon } from "../lexicon.js";

/** What one place in a phrasing accepts. */
export type Atom =
  | { readonly kind: "concept"; readonly concept: string }
  | { readonly kind: "literal"; readonly word: string }
  /**
   * `via` "pair": two parts named together, filling `part` and `other`; "known": only words that the notes know;
   * "thing": such words, naming a thing; "any":
   * in any tense; "holes": a part is named by its holes; "told": a milestone with its verb ("twist checked", not "twist"); "not": one that is said
   * not to be so yet; "named": a drill by its number or letter, not by its size. `keep` false: must be there, fills nothing.
   */
  | { readonly kind: "slot"; readonly slot: string; readonly via: string | null; readonly keep: boolean };

/** One place in a phrasing: any of its atoms fills it. */
export type Element = readonly Atom[];

/** One way to say a form, without options: elements in order, and slots that saying it so fills. */
export interface Variant {
  readonly form: FormSpec;
  readonly elements: readonly Element[];
  readonly fixed: Readonly<Record<string, string>>;
  /** Only a text with a question mark is read so. */
  readonly asks: boolean;
  /** Of each list, one word or concept must be in the text: a quick look before matching (see `keyOf`). */
  readonly needs: readonly (readonly string[])[];
}

/** Phrasings compiled: all their variants, and the words that they use beside the lexicon's. */
export interface Grammar {
  readonly forms: readonly FormSpec[];
  readonly variants: readonly Variant[];
  /** Variants that need one of these words or concepts (see `keyOf`), or none; all others cannot be said with them. */
  within(keys: ReadonlySet<string>): readonly Variant[];
  readonly words: ReadonlySet<string>;
  /** Concepts and words that may stand in a question of the form without changing it. */
  also(form: string): ReadonlySet<string>;
}

const grammars = new WeakMap<readonly FormSpec[], Grammar>();

/** The grammar of a set of forms, made once. @throws PHRASING_MALFORMED naming form and phrasing */
export function grammarOf(forms: readonly FormSpec[]): Grammar {
  const made = grammars.get(forms) ?? compile(forms);
  grammars.set(forms, made);
  return made;
}

function compile(forms: readonly FormSpec[]): Grammar {
  const words = new Set<string>();
  const variants = forms.flatMap((form) =>
    form.phrasings.flatMap((phrasing) =>
      withEach(phrasing).flatMap((text) => variantsOf(form, phrasing, text, words)),
    ),
  );
  const also = new Map(forms.map(({ id, also: list = [] }) => [id, new Set(list)]));
  const none: ReadonlySet<string> = new Set();
  return { forms, variants, words, within: lookup(variants), also: (form) => also.get(form) ?? none };
}

/** Each variant is looked up by the rarest of what it needs, so that few have to be tried on a text. */
function lookup(variants: readonly Variant[]): Grammar["within"] {
  const often = new Map<string, number>();
  for (const { needs } of variants)
    for (const key of new Set(needs.flat())) often.set(key, (often.get(key) ?? 0) + 1);
  const count = (keys: readonly string[]): number =>
    keys.reduce((sum, key) => sum + (often.get(key) ?? 0), 0);
  const byKey = new Map<string, number[]>();
  const always: number[] = [];
  for (const [at, { needs }] of variants.entries()) {
    const [first, ...others] = needs;
    if (!first) {
      always.push(at);
      continue;
    }
    const rarest = others.reduce((best, keys) => (count(keys) < count(best) ? keys : best), first);
    for (const key of new Set(rarest)) {
      const list = byKey.get(key);
      if (list) list.push(at);
      else byKey.set(key, [at]);
    }
  }
  // Marks in place of a set: this runs several times a text, over thousands of variants.
  const marked = new Uint8Array(variants.length);
  return (keys) => {
    marked.fill(0);
    for (const at of always) marked[at] = 1;
    for (const key of keys) for (const at of byKey.get(key) ?? []) marked[at] = 1;
    const found: Variant[] = [];
    for (let at = 0; at < variants.length; at++) {
      const variant = marked[at] === 1 ? variants[at] : undefined;
      if (variant) found.push(variant);
    }
    return found;
  };
}

type Node =
  | { readonly kind: "element"; readonly element: Element }
  | { readonly kind: "fixed"; readonly slot: string; readonly value: string };

const TOO_MANY = 600;

/**
 * "must {gate=clean|prime}" is two phrasings, "must clean {gate=clean}" and "must prime {gate=prime}": of a slot with several
 * values each is said by its own word.
 */
function withEach(phrasing: string): readonly string[] {
  const [all, slot, values] = /\{([a-zA-Z]+)=([^}|]+(?:\|[^}|]+)+)\}/.exec(phrasing) ?? [];
  if (all === undefined || values === undefined) return [phrasing];
  return values.split("|").map((value) => phrasing.replace(all, `${value} {${slot}=${value}}`));
}

function variantsOf(form: FormSpec, phrasing: string, text: string, words: Set<string>): Variant[] {
  const asks = text.trimEnd().endsWith("?");
  const chunks = splitTop(text, ",").map((chunk) => expand(parse(form, phrasing, chunk), words));
  const orders = permutations(chunks);
  const seen = new Set<string>();
  const variants = orders.flatMap((order) =>
    product(order).flatMap((nodes): Variant[] => {
      const flat = nodes.flat();
      const elements = flat.flatMap((node) => (node.kind === "element" ? [node.element] : []));
      const fixed = Object.fromEntries(
        flat.flatMap((node) => (node.kind === "fixed" ? [[node.slot, node.value] as const] : [])),
      );
      const key = JSON.stringify([elements, fixed]);
      if (elements.length === 0 || seen.has(key)) return [];
      seen.add(key);
      return [{ form, elements, fixed, asks, needs: needsOf(elements) }];
    }),
  );
  if (variants.length === 0 || variants.length > TOO_MANY)
    throw malformed(form, phrasing, `It stands for ${variants.length} ways to say it.`);
  return variants;
}

/** How a word or a concept is looked up among those of a text. */
export function keyOf(kind: "concept" | "literal", word: string): string {
  return kind === "concept" ? `c:${word}` : `w:${word}`;
}

function needsOf(elements: readonly Element[]): readonly (readonly string[])[] {
  return elements
    .filter((element) => element.every(({ kind }) => kind !== "slot"))
    .map((element) =>
      element.map((atom) =>
        atom.kind === "concept"
          ? keyOf("concept", atom.concept)
          : keyOf("literal", atom.kind === "literal" ? atom.word : ""),
      ),
    );
}

interface Syntax {
  readonly kind: "seq" | "maybe" | "word";
  readonly text: string;
  readonly of: readonly Syntax[];
}

function parse(form: FormSpec, phrasing: string, chunk: string): readonly Syntax[] {
  const out: Syntax[] = [];
  let at = 0;
  while (at < chunk.length) {
    const char = chunk[at];
    if (char === " " || char === "?") at++;
    else if (char === "[") {
      const end = closing(chunk, at);
      if (end < 0) throw malformed(form, phrasing, "A [ is never closed.");
      out.push({ kind: "maybe", text: "", of: parse(form, phrasing, chunk.slice(at + 1, end)) });
      at = end + 1;
    } else {
      let end = at;
      while (end < chunk.length && chunk[end] !== " " && chunk[end] !== "[" && chunk[end] !== "?") end++;
      out.push({ kind: "word", text: chunk.slice(at, end), of: [] });
      at = end;
    }
  }
  return out;
}

function closing(text: string, open: number): number {
  let depth = 0;
  for (let at = open; at < text.length; at++) {
    if (text[at] === "[") depth++;
    if (text[at] === "]" && --depth === 0) return at;
  }
  return -1;
}

function splitTop(text: string, mark: string): string[] {
  const parts: string[] = [];
  let depth = 0;
  let start = 0;
  for (let at = 0; at < text.length; at++) {
    if (text[at] === "[") depth++;
    if (text[at] === "]") depth--;
    if (text[at] === mark && depth === 0) {
      parts.push(text.slice(start, at));
      start = at + 1;
    }
  }
  return [...parts, text.slice(start)];
}

/** Every way through the options, as flat lists. */
function expand(syntax: readonly Syntax[], words: Set<string>): readonly (readonly Node[])[] {
  return syntax.reduce<readonly (readonly Node[])[]>(
    (ways, part) => {
      const own: readonly (readonly Node[])[] =
        part.kind === "maybe" ? [[], ...expand(part.of, words)] : [nodesOf(part.text, words)];
      return ways.flatMap((way) => own.map((more) => [...way, ...more]));
    },
    [[]],
  );
}

function nodesOf(text: string, words: Set<string>): readonly Node[] {
  const fixed = /^\{([a-zA-Z]+)=([^}]+)\}$/.exec(text);
  if (fixed) return [{ kind: "fixed", slot: fixed[1] ?? "", value: (fixed[2] ?? "").replaceAll("_", " ") }];
  const element = text.split("|").flatMap((one) => atomsOf(one, words));
  return element.length > 0 ? [{ kind: "element", element }] : [];
}

function atomsOf(text: string, words: Set<string>): Atom[] {
  const slot = /^\{(~?)([a-zA-Z]+)(?::([a-z]+))?\}$/.exec(text);
  if (slot) return [{ kind: "slot", slot: slot[2] ?? "", via: slot[3] ?? null, keep: slot[1] !== "~" }];
  if (text.startsWith("=")) {
    words.add(text.slice(1).toLowerCase());
    return [{ kind: "literal", word: text.slice(1).toLowerCase() }];
  }
  const word = text.toLowerCase();
  if (lexicon().concepts.has(word)) return [{ kind: "concept", concept: word }];
  const senses = lexicon().senses(word);
  if (senses.length > 0) return senses.map(({ concept }) => ({ kind: "concept", concept }));
  if (lexicon().weight(word) !== "content") return [];
  words.add(word);
  return [{ kind: "literal", word }];
}

function permutations<T>(list: readonly T[]): readonly (readonly T[])[] {
  if (list.length <= 1) return [list];
  return list.flatMap((one, at) =>
    permutations([...list.slice(0, at), ...list.slice(at + 1)]).map((rest) => [one, ...rest]),
  );
}

function product<T>(lists: readonly (readonly T[])[]): readonly (readonly T[])[] {
  return lists.reduce<readonly (readonly T[])[]>(
    (ways, list) => ways.flatMap((way) => list.map((one) => [...way, one])),
    [[]],
  );
}

function malformed(form: FormSpec, phrasing: string, what: string): Problem {
  return new Problem(
    "PHRASING_MALFORMED",
    `Form ${form.id} has a phrasing that cannot be read: "${phrasing}". ${what}`,
    {
      where: {
        file: `kb/questions/${form.id}.json`,
        pointer: `/phrasings/${form.phrasings.indexOf(phrasing)}`,
      },
      fix: "Use words, {slot}, [words that may be left out], one|other, and at most three parts between commas.",
    },
  );
}
