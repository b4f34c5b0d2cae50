/** One place in the data that an error points at. */
export interface Place {
  /** File as the builder knows it, relative to the project: `kb/kits/ID/kit.json`. */
  readonly file?: string;
  /** JSON pointer (RFC 6901) into that file or into a request body; `""` is the whole document. */
  readonly pointer?: string;
}

/**
 * An error with a code, what is wrong, where, and a way out. The core throws these and nothing else;
 * only the edge knows HTTP statuses.
 */
export class Problem extends Error {
  readonly code: string;
  readonly where: Place;
  readonly fix: string;
  /** Further problems found in the same pass (loading reports all of them, not the first). */
  readonly others: readonly Problem[];

  constructor(
    code: string,
    what: string,
    { where = {}, fix, others = [] }: { where?: Place; fix: string; others?: readonly Problem[] },
  ) {
    super(what);
    this.name = "Problem";
    this.code = code;
    this.where = where;
    this.fix = fix;
    this.others = others;
  }

  /** `CODE file#/pointer: what. Fix: …`, one line, for terminals and logs. */
  override toString(): string {
    const place = `${this.where.file ?? ""}${this.where.pointer === undefined ? "" : `#${this.where.pointer}`}`;
    return `${this.code}${place ? ` ${place}` : ""}: ${this.message} Fix: ${this.fix}`;
  }
}

/**
 * Runs loading steps one after the other and keeps what goes wrong in the list, so that all of it is told at once.
 * @returns a step's result, undefined when it threw a Problem; other errors pass
 */
export function gathering(problems: Problem[]): <T>(load: () => T) => T | undefined {
  return (load) => {
    try {
      return load();
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      problems.push(error, ...error.others);
      return undefined;
    }
  };
}
