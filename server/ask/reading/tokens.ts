import { lexicon } from "../lexicon.js";
import { shortFor } from "./abbreviation.js";
import { apartOf } from "./joined-words.js";
import { wordMeans } from "./meaning.js";
import { type Measure, measureAt } from "./measures.js";
import { type Id, type NameIndex, nameWords, sideWord } from "./names.js";
import { withRivetNouns } from "./rivet-nouns.js";
import { correct } from "./spelling.js";
import type { Word } from "./text.js";

/** One word to read, with what it was in the text. */
export interface Token {
  readonly word: string;
  /** As typed; several tokens may come from one typed word. */
  readonly text: string;
  /** Punctuation that follows. */
  readonly after: string;
  /** The id that was typed exactly, apart from case. */
  readonly id?: Id;
  /** A size ("3.2 mm", "#30", "1/8"): never a count, never a hole number. */
  readonly size?: boolean;
  /** That size, drill or percentage, where it can be read without doubt. */
  readonly measure?: Measure;
  /** Shaped like an id or a code, and nothing of that name exists. */
  readonly unknownId?: boolean;
}

/** A word that was taken for another, as it is told to whoever asked. */
export interface Correction {
  readonly from: string;
  readonly to: string;
}

/** More slips than this are no slips: the text is in other words altogether. */
const MOST_SLIPS = 6;

/** Misspelt words with what each is taken for. */
export type Mends = ReadonlyMap<string, string>;

export const NO_MENDS: Mends = new Map();

/**
 * The words as tokens, misspelt ordinary words put right. Codes, sizes and anything with a digit stay as typed.
 * @param mends  what misspelt words are taken for, before anything else is tried
 */
export function tokensOf(
  words: readonly Word[],
  names: NameIndex,
  extraWords: ReadonlySet<string>,
  mends: Mends = NO_MENDS,
): { readonly tokens: readonly Token[]; readonly corrected: readonly Correction[] } {
  const corrected: Correction[] = [];
  const tokens = splitAll(words, names);
  const known = (word: string): boolean =>
    lexicon().knows(word) ||
    names.knows(word) ||
    extraWords.has(word) ||
    lexicon().ordinal(word) !== undefined;
  const isSlip = ({ word, id, size, unknownId }: Token): boolean =>
    !id && !size && !unknownId && !known(word) && /^[a-z]+$/.test(word);
  const isMended = tokens.filter(isSlip).length <= MOST_SLIPS;
  const spelt = tokens.flatMap((token, at): readonly Token[] => {
    const isShort = /^[a-z]$/.test(token.word) && !token.id && lexicon().slip(token.word) !== undefined;
    if (!isMended || !(isSlip(token) || isShort) || isInitial(tokens, at)) return [token];
    const { word } = token;
    const pair =
      lexicon().slip(word) === undefined ? apartOf(word, names.words, lexicon().correctable) : undefined;
    if (pair) {
      corrected.push({ from: token.text, to: pair.join(" ") });
      return spread(token, pair);
    }
    const better =
      mends.get(word) ??
      lexicon().slip(word) ??
      unstretched(word, known) ??
      shortFor(word, names.words) ??
      correct(word, names.words, extraWords);
    if (better === undefined) return [token];
    corrected.push({ from: token.text, to: better });
    return [{ ...token, word: better }];
  });
  const whole = spelt.flatMap((token): Token[] => {
    const full = lexicon().contraction(token.word);
    return full && token.id === undefined ? spread(token, full) : [token];
  });
  return { tokens: withRivetNouns(whole.flatMap(unNegated)), corrected };
}

/** "whyyy" → "why", "pleeease" → "please": three of a letter are one or two drawn out. */
function unstretched(word: string, known: (word: string) => boolean): string | undefined {
  if (!/([a-z])\1\1/.test(word)) return undefined;
  return [word.replace(/([a-z])\1\1+/g, "$1$1"), word.replace(/([a-z])\1\1+/g, "$1")].find(known);
}

/** "r 4" is a part called by its initial, "y/n" an answer: neither is short for a word. */
function isInitial(tokens: readonly Token[], at: number): boolean {
  const [before, token, next] = [tokens[at - 1], tokens[at], tokens[at + 1]];
  if (token?.word.length !== 1) return false;
  return /\//.test(`${before?.after}${token.after}`) || /^\d/.test(next?.word ?? "");
}

/** Measures first, the longest run of words of each; then word by word. */
function splitAll(words: readonly Word[], names: NameIndex): Token[] {
  const tokens: Token[] = [];
  for (let at = 0; at < words.length; ) {
    const word = words[at] as Word;
    const found = names.id(word.word) ? null : measureAt(words, at);
    if (found) {
      const run = words.slice(at, at + found.words);
      const text = run.map((one) => one.text).join(" ");
      const after = (run.at(-1)?.after ?? "").replace("%", "");
      tokens.push({ word: text.toLowerCase(), text, after, size: true, measure: found.measure });
    } else tokens.push(...split(word, words[at + 1], names));
    at += found?.words ?? 1;
  }
  return tokens;
}

const UNIT = /^(mm|cm|in|inch|inches|"|thou|deg|degrees)$/;

function split(word: Word, next: Word | undefined, names: NameIndex): Token[] {
  const { text, word: plain, after } = word;
  const id = names.id(plain) ?? codeOfSeveral(plain, names);
  if (id && !isCutShort(word, next, names)) return [{ word: plain, text, after, id }];
  if (/^\d+$/.test(plain)) {
    const isSize = next !== undefined && UNIT.test(next.word) && !isInThere(next) && after === "";
    return [{ word: String(Number(plain)), text, after, ...(isSize ? { size: true } : {}) }];
  }
  if (UNIT.test(plain) && plain !== "in") return [{ word: plain, text, after, size: true }];
  if (/^\d+-\d+$/.test(plain)) {
    const [from = "", to = ""] = plain.split("-");
    return [
      { word: from, text, after: "-" },
      { word: to, text, after },
    ];
  }
  if (/^\d+(,\d+)+$/.test(plain)) {
    if (next !== undefined && UNIT.test(next.word) && !isInThere(next))
      return [{ word: plain, text, after, size: true }];
    const parts = plain.split(",");
    return parts.map((part, at) => ({ word: part, text, after: at < parts.length - 1 ? "," : after }));
  }
  if (/^#?\d+([.,/-]\d+)*("|mm|in)?$/.test(plain) || /^\d+(\.\d+)?(x\d+(\.\d+)?)+$/.test(plain)) {
    const hash = /^#(\d{1,3})$/.exec(plain)?.[1];
    return [
      {
        word: hash ?? plain,
        text,
        after,
        ...(hash ? {} : { size: true }),
        ...(hash ? { after: `${after}#` } : {}),
      },
    ];
  }
  const range = /^(.+\.)(\d+)-(\d+)$/.exec(plain);
  if (range) {
    const [, stem = "", from = "", to = ""] = range;
    const first = names.id(`${stem}${from}`);
    if (first) {
      return [
        { word: `${stem}${from}`, text, after: "-", id: first },
        { word: String(Number(to)), text, after },
      ];
    }
  }
  if (plain.includes(".")) return splitDotted(word, names);
  if (plain.includes("-")) return splitHyphens(word, names);
  const joined = /^([a-z]+)(\d+)$/.exec(plain);
  if (joined) {
    const [, noun = "", number = ""] = joined;
    if (isNoun(noun, names))
      return [
        { word: noun, text, after: "" },
        { word: String(Number(number)), text, after },
      ];
  }
  if (
    /\d/.test(plain) &&
    lexicon().ordinal(plain) === undefined &&
    lexicon().contraction(plain) === undefined
  )
    return [{ word: plain, text, after, unknownId: true }];
  return [{ word: plain, text, after }];
}

/** "Rear-spar doubler": typed like the id of the spar, and the start of a longer name. */
function isCutShort({ word, after }: Word, next: Word | undefined, names: NameIndex): boolean {
  if (!next || after !== "" || !/^[a-z]+(-[a-z]+)+$/.test(word)) return false;
  const said = nameWords(word);
  return names
    .aliases(said[0] ?? "")
    .some(
      ({ words }) =>
        words.length > said.length && [...said, sideWord(next.word)].every((one, at) => one === words[at]),
    );
}

/** "SC-5-6s": several rivets by their code. */
function codeOfSeveral(plain: string, names: NameIndex): Id | undefined {
  const id = /\ds$/.test(plain) ? names.id(plain.slice(0, -1)) : undefined;
  return id?.kind === "rivet" ? id : undefined;
}

/** "in" is an inch only right after a number and before nothing else; "3 in the top row" is no size. */
function isInThere(next: Word): boolean {
  return next.word === "in";
}

function isNoun(noun: string, names: NameIndex): boolean {
  return names.knows(noun) || wordMeans(noun, "hole", "row");
}

/** `FR-12.crest.3` that does not exist stays whole, so that it is named; "rib3.top.4" is three words. */
function splitDotted(word: Word, names: NameIndex): Token[] {
  const { text, word: plain, after } = word;
  const pieces = plain.split(".");
  const [first = ""] = pieces;
  const looksLikeId = names.isPartId(first) || /^[a-z]+(-[a-z0-9]+)+$/.test(first);
  if (looksLikeId && /\d/.test(plain)) return [{ word: plain, text, after, unknownId: true }];
  return pieces.flatMap((piece, at) =>
    split({ text: piece, word: piece, after: at < pieces.length - 1 ? "." : after }, undefined, names),
  );
}

function splitHyphens(word: Word, names: NameIndex): Token[] {
  const { text, word: plain, after } = word;
  const pieces = plain.split("-");
  const [first = ""] = pieces;
  if (/\d/.test(plain) && !isNoun(first, names) && lexicon().ordinal(first) === undefined)
    return [{ word: plain, text, after, unknownId: true }];
  return pieces.flatMap((piece, at) =>
    split({ text: piece, word: piece, after: at < pieces.length - 1 ? "" : after }, undefined, names),
  );
}

function spread(token: Token, words: readonly string[]): Token[] {
  return words.map((word, at) => ({ ...token, word, after: at < words.length - 1 ? "" : token.after }));
}

/** "undimpled" → "not", "dimpled". */
function unNegated(token: Token): Token[] {
  const concept = lexicon().negated(token.word);
  if (concept === undefined || concept === "set") return [token];
  return spread(token, ["not", token.word.replace(/^un/, "")]);
}
