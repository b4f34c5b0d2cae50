/** Shorter halves would be found in too many words. */
const LEAST = 3;

/**
 * The two words that were typed without a space between them, "topskin", "nextrib": one of a name, the other of a name
 * or of the bench. Undefined where there are none, or more than one way to part them.
 * @param word   lower case letters, not known
 * @param names  words that the kit's names are made of
 * @param bench  words of the bench
 */
export function apartOf(
  word: string,
  names: ReadonlySet<string>,
  bench: ReadonlySet<string>,
): readonly [string, string] | undefined {
  const ways: [string, string][] = [];
  for (let at = LEAST; at <= word.length - LEAST; at++) {
    const [one, other] = [word.slice(0, at), word.slice(at)];
    const named = [one, other].filter((half) => names.has(half)).length;
    if (named > 0 && [one, other].every((half) => names.has(half) || bench.has(half)))
      ways.push([one, other]);
  }
  return ways.length === 1 ? ways[0] : undefined;
}
