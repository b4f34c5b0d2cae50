/** Fewer letters than this are short for too much. */
const LEAST = 3;

/** Short for a small word as well. */
const OTHER_WORDS: ReadonlySet<string> = new Set(["frm", "thn", "whn", "wth", "bfr", "aftr"]);

/**
 * The one name's word that an unknown word is short for, vowels left out as on a label: "brkt" → "bracket", "dblr" →
 * "doubler", "stfnrs" → "stiffeners". Undefined when there is none or more than one.
 * @param word   lower case letters, not known
 * @param names  words that the kit's names are made of
 */
export function shortFor(word: string, names: ReadonlySet<string>): string | undefined {
  if (word.length < LEAST || OTHER_WORDS.has(word) || !/^[a-z][^aeiou\W\d]+$/.test(word)) return undefined;
  const found = [...names].flatMap((name) => (isShort(word, name) ? [name] : []));
  const plurals = word.endsWith("s")
    ? [...names].flatMap((name) =>
        !name.endsWith("s") && isShort(word.slice(0, -1), name) ? [`${name}s`] : [],
      )
    : [];
  const [only, ...more] = found.length > 0 ? found : plurals;
  return more.length === 0 ? only : undefined;
}

/** Same first and last letter ("drv" for "drive" too), the others in the same order: vowels left out, or at least two letters. */
function isShort(word: string, full: string): boolean {
  const name = full.at(-1) === "e" ? full.slice(0, -1) : full;
  if (name[0] !== word[0] || name.at(-1) !== word.at(-1)) return false;
  if (full.length < word.length + 2 && name.replace(/(?<!^)[aeiou]/g, "") !== word) return false;
  let at = 0;
  for (const letter of name) if (letter === word[at]) at++;
  return at === word.length;
}
