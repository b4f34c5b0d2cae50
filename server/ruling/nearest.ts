/**
 * The known name that a mistyped one most likely meant.
 * @returns null when none is near: more than a third of the letters (at least two) would have to change
 */
export function nearest(name: string, known: Iterable<string>): string | null {
  const limit = Math.max(2, Math.floor(name.length / 3));
  let best: string | null = null;
  let least = limit + 1;
  for (const candidate of known) {
    if (Math.abs(candidate.length - name.length) >= least) continue;
    const edits = distance(name.toLowerCase(), candidate.toLowerCase());
    if (edits < least || (edits === least && best !== null && candidate < best)) {
      best = candidate;
      least = edits;
    }
  }
  return best;
}

/** Levenshtein distance: letters added, dropped or changed. */
function distance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, i) => i);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const changed = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(changed, (row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1));
    }
    row = next;
  }
  return row[b.length] ?? 0;
}
