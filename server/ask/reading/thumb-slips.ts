import { lexicon } from "../lexicon.js";
import type { Mends } from "./tokens.js";

/**
 * All ordinary words that a thumb may have meant: a letter missing ("wil"), typed twice ("rrib") or beside the right
 * one ("roq"), two swapped ("crakced"), one vowel for another ("clearence"). Which of them is meant, the question
 * tells. None where a negation is as near: "nto" is no slip for anything else. A number is never meant.
 * @param word   three lower case letters or more, not known
 * @param lists  words that may be meant
 */
export function thumbSlips(word: string, lists: readonly ReadonlySet<string>[]): readonly string[] {
  if (!/^[a-z]{3,24}$/.test(word)) return [];
  if (lexicon().negations.some((negation) => isThumbSlip(word, negation))) return [];
  const meant = new Set<string>();
  for (const list of lists) for (const target of list) if (isThumbSlip(word, target)) meant.add(target);
  if ([...meant].some(isNumber)) return [];
  return [...meant].filter((target) => target.length >= LEAST && /^[a-z]+$/.test(target)).sort();
}

/** Shorter words are near too many others. */
const LEAST = 3;

/** Whether typing `meant` with one slip of the thumb gives `typed`. */
export function isThumbSlip(typed: string, meant: string): boolean {
  if (typed === meant || Math.abs(typed.length - meant.length) > 1) return false;
  let at = 0;
  while (at < typed.length && typed[at] === meant[at]) at++;
  const [one = "", other = ""] = [typed[at], meant[at]];
  if (meant.length > typed.length) return typed.slice(at) === meant.slice(at + 1);
  if (typed.length > meant.length) {
    if (typed.slice(at + 1) !== meant.slice(at)) return false;
    const beside = [typed[at - 1], typed[at + 1]].filter((near) => near !== undefined);
    return beside.some((near) => near === one || areNeighbours(one, near));
  }
  if (typed.slice(at + 1) === meant.slice(at + 1))
    return areNeighbours(one, other) || (VOWELS.has(one) && VOWELS.has(other));
  return one === meant[at + 1] && other === typed[at + 1] && typed.slice(at + 2) === meant.slice(at + 2);
}

const VOWELS: ReadonlySet<string> = new Set("aeiou");

const ROWS_OF_KEYS = ["qwertyuiop", "asdfghjkl", "zxcvbnm"];

/** Keys that touch on an English keyboard: beside each other, or one row apart. */
function areNeighbours(a: string, b: string): boolean {
  const [one, other] = [a, b].map((letter) => {
    const row = ROWS_OF_KEYS.findIndex((keys) => keys.includes(letter));
    return { row, at: ROWS_OF_KEYS[row]?.indexOf(letter) ?? -1 };
  });
  if (!one || !other || one.row < 0 || other.row < 0 || a === b) return false;
  const [upper, lower] = one.row <= other.row ? [one, other] : [other, one];
  if (upper.row === lower.row) return Math.abs(upper.at - lower.at) === 1;
  // Each row is half a key further right than the one above it.
  return lower.row - upper.row === 1 && (lower.at === upper.at || lower.at === upper.at - 1);
}

function isNumber(word: string): boolean {
  return lexicon().number(word) !== undefined || lexicon().ordinal(word) !== undefined;
}

/**
 * Every way to put the misspelt ones of some words right, each word in one of its ways; none where they are too many
 * to be tried. After "the" or "my" a thing is named, and no small word is meant; three letters say no place.
 * @param typed   the words of the text, in order
 * @param unread  those that it could not be read with
 * @param names   words that the kit's names are made of
 * @param others  words that the questions' phrasings use
 */
export function waysToMend(
  typed: readonly string[],
  unread: ReadonlySet<string>,
  names: ReadonlySet<string>,
  others: ReadonlySet<string>,
): readonly Mends[] {
  const lists = [lexicon().correctable, names, others];
  const isKnown = (word: string): boolean => lexicon().knows(word) || lists.some((list) => list.has(word));
  const isPlace = (word: string): boolean => names.has(word) || lexicon().side(word) !== undefined;
  const isThing = (word: string): boolean => names.has(word) || lexicon().senses(word).length > 0;
  const slips = [...new Set(typed)]
    .filter((word) => unread.has(word) && !isKnown(word))
    .map((word) => {
      const named = typed.some((one, at) => one === word && NAMES_NEXT.test(typed[at - 1] ?? ""));
      const meant = thumbSlips(word, lists).filter((target) =>
        word.length > LEAST ? !named || isThing(target) : !named && !isPlace(target),
      );
      return { word, meant };
    })
    .filter(({ meant }) => meant.length > 0);
  const ways = slips.reduce((product, { meant }) => product * meant.length, 1);
  if (slips.length === 0 || ways > MOST_WAYS) return [];
  return slips.reduce<readonly Mends[]>(
    (made, { word, meant }) =>
      made.flatMap((way) => meant.map((target) => new Map([...way, [word, target]]))),
    [new Map()],
  );
}

/** A noun follows. */
const NAMES_NEXT = /^(the|a|an|my|our|this|that|these|those|its|any|which|what|each|every)$/;

/** Each is read anew. */
const MOST_WAYS = 12;
