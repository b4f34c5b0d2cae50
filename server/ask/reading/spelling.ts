import { lexicon } from "../lexicon.js";

/**
 * The one ordinary word that a misspelling stands for; undefined when there is none or more than one. A word of
 * three letters or fewer is left alone, a short one may be one slip away, a long one two. Nothing is ever corrected
 * into or out of a negation.
 * @param word   lower case letters, not known
 * @param names  words that the kit's names are made of
 * @param extra  words that the questions' phrasings use
 */
export function correct(
  word: string,
  names: ReadonlySet<string>,
  extra: ReadonlySet<string>,
): string | undefined {
  if (word.length < 4 || word.length > 24) return undefined;
  const allowed = word.length >= 8 ? 2 : 1;
  let best: string | undefined;
  let bestSlips = allowed + 1;
  let tied = false;
  for (const list of [lexicon().correctable, names, extra]) {
    for (const target of list) {
      if (Math.abs(target.length - word.length) > allowed || target.length < 3 || target === best) continue;
      if (/\d/.test(target) || isNegative(target) !== isNegative(word)) continue;
      const slips = slipsBetween(word, target, allowed);
      if (slips > allowed || slips > bestSlips) continue;
      tied = slips === bestSlips;
      best = target;
      bestSlips = slips;
    }
  }
  return tied ? undefined : best;
}

function isNegative(word: string): boolean {
  return /^(un|non|dis|no)/.test(word);
}

/**
 * Damerau's distance (optimal string alignment): letters added, lost, changed, or two neighbours swapped.
 * Stops counting above `most`. @source F. J. Damerau, Communications of the ACM 7(3), 1964
 */
export function slipsBetween(a: string, b: string, most: number): number {
  let older: number[] = [];
  let old = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1];
      let slips = Math.min((old[j] ?? 0) + 1, (row[j - 1] ?? 0) + 1, (old[j - 1] ?? 0) + (same ? 0 : 1));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        slips = Math.min(slips, (older[j - 2] ?? 0) + 1);
      row.push(slips);
    }
    if (Math.min(...row) > most) return most + 1;
    older = old;
    old = row;
  }
  return old[b.length] ?? most + 1;
}
