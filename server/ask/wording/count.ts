import { counted, plural } from "./grammar.js";

/** One bin of the picking list. */
export function sayBin(
  { count, fetch }: { readonly count: number; readonly fetch: number },
  sparesPercent: number,
  where: string,
): string {
  const spares = sparesPercent > 0 ? `, fetch ${fetch} ${saySpares(sparesPercent)}` : "";
  return `${counted(count, "rivet")}${spares}: ${where}`;
}

export function saySpares(percent: number): string {
  return `with ${percent} % spares, rounded up for each bin`;
}

/** Rivets that are not to be set for now, counted apart. */
export function sayHeldBin(count: number, codes: string): string {
  return `${count} more ${plural(count, "stays", "stay")} open for now and ${plural(count, "is", "are")} not counted in: ${codes}`;
}

/** Rivets that are ruled and do not go in, counted apart. */
export function sayUnfitCount(count: number, codes: string): string {
  return `${count} more ${plural(count, "does", "do")} not go in as ruled and ${plural(count, "is", "are")} not counted in (${codes}): see the rows before you fetch any`;
}

/** Rivets that are counted, and of which nobody can tell whether they hold their stack. */
export function sayDoubtfulCount(count: number, codes: string): string {
  return `whether the rivet holds the stack is not known at ${counted(count, "hole")} (${codes}): see the rows before you fetch them`;
}

/** Holes for which nothing can be fetched yet. */
export function sayUnsettledCount(count: number): string {
  return `for ${counted(count, "more hole")} the rivet is not settled, so nothing is counted`;
}
