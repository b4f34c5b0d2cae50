import { Problem } from "../problem.js";
import { firstBreak } from "./chain.js";
import type { Entry } from "./contract.js";

/**
 * What a book lacks of another copy of it.
 * @param own     entries of the book, from the first on
 * @param others  entries of the copy, from the first on
 * @throws IMPORT_BROKEN when the copy's chain is not whole, IMPORT_DIVERGES when the book is not a beginning of it
 */
export function additions(own: readonly Entry[], others: readonly Entry[]): readonly Entry[] {
  const broken = firstBreak(others);
  if (broken) {
    throw new Problem("IMPORT_BROKEN", `What is to be taken over cannot be trusted: ${broken.what}.`, {
      where: { pointer: `/${broken.index}` },
      fix: "Use a copy that nobody has changed.",
    });
  }
  const other = own.findIndex((entry, i) => i < others.length && entry.hash !== others[i]?.hash);
  if (other >= 0) {
    throw new Problem(
      "IMPORT_DIVERGES",
      `This shop book and the one to be taken over differ from entry ${other + 1} on; nothing was recorded.`,
      {
        where: { pointer: `/${other}` },
        fix: "Take it over into an empty folder: name one with --data DIR.",
      },
    );
  }
  return others.slice(own.length);
}
