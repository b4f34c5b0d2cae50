/** Fewer letters than this are short for too much. */
const LEAST = 3;

/**
 * The one name's word that an unknown word is short for, vowels left out as on a label: "brkt" → "bracket", "dblr" →
 * "doubler", "stfnrs" → "stiffeners". Undefined when there is none or more than one.
 * @param word   lower case letters, not known
 * @param names  words that the kit's names are made of
 */
export function shortFor(word: string, names: ReadonlySet<string>): string | undefined {
  if (word.length < LEAST || !/^[a-z][^aeiou\W\d]+$/.test(word)) return undefined;
  const found = [...names].flatMap((name) => (isShort(word, name) ? [name] : []));
  const plurals = word.endsWith("s")
    ? [...names].flatMap((name) =>
        !name.endsWith("s") && isShort(word.slice(0, -1), name) ? [`${name}s`] : [],
      )
    : [];
  const [only, ...more] = found.length > 0 ? found : plurals;
  return more.length === 0 ? only : undefined;
}

/** Same first and last letter, the others in the same order, and at least two letters left out. */
function isShort(word: string, name: string): boolean {
  if (name.length < word.length + 2 || name[0] !== word[0] || name.at(-1) !== word.at(-1)) return false;
  let at = 0;
  for (const letter of name) if (letter === word[at]) at++;
  return at === word.length;
}
