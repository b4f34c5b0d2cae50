import { Problem } from "../problem.js";

/** At most so many problems are shown; the last one says how many more there are. */
const SHOWN = 50;

/** Problems found in one pass over a kit's files, so that all of them can be mended at once. */
export class Findings {
  readonly #problems: Problem[] = [];
  #more = 0;

  /** Notes one problem. What was expected belongs in `what`, the way out in `fix`. */
  add(code: string, file: string, pointer: string, what: string, fix: string): void {
    this.keep(new Problem(code, what, { where: { file, pointer }, fix }));
  }

  keep(problem: Problem): void {
    if (this.#problems.length < SHOWN) this.#problems.push(problem);
    else this.#more++;
  }

  /** @throws the first problem, with the rest in `others`; nothing when there is none */
  throwAny(): void {
    const [first, ...others] = this.#problems;
    if (!first) return;
    if (this.#more > 0) {
      others.pop();
      others.push(
        new Problem("MORE_PROBLEMS", `${this.#more + 1} more problems are not shown.`, {
          fix: "Mend these first, then check again.",
        }),
      );
    }
    throw new Problem(first.code, first.message, { where: first.where, fix: first.fix, others });
  }
}

/** Findings of one file, with pointers grown step by step. */
export class Spot {
  constructor(
    readonly findings: Findings,
    readonly file: string,
    readonly pointer: string,
  ) {}

  /** The place one key or index further in. */
  at(...keys: readonly (string | number)[]): Spot {
    const more = keys.map((key) => `/${escapeKey(String(key))}`).join("");
    return new Spot(this.findings, this.file, this.pointer + more);
  }

  /** The place that a further pointer leads to. */
  under(pointer: string): Spot {
    return new Spot(this.findings, this.file, this.pointer + pointer);
  }

  add(code: string, what: string, fix: string): void {
    this.findings.add(code, this.file, this.pointer, what, fix);
  }

  /** Runs something that may throw a Problem without a place, and notes it here; null when it did. */
  attempt<T>(act: () => T): T | null {
    try {
      return act();
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      this.add(error.code, error.message, error.fix);
      return null;
    }
  }
}

/** One reference token of a JSON pointer (RFC 6901, section 3). */
export function escapeKey(key: string): string {
  return key.replaceAll("~", "~0").replaceAll("/", "~1");
}
