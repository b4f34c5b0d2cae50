import { Findings } from "../kit/findings.js";
import type { Problem } from "../problem.js";

/** Findings that remember where they were made, so that a schema does not say the same again, worse. */
export class Tellings extends Findings {
  readonly #pointers: string[] = [];
  readonly #into: Findings | null;
  /** Whether something is nested so deep that no schema should look at it. */
  tooDeep = false;

  /** @param into  where the problems go as well; null = nowhere else */
  constructor(into: Findings | null = null) {
    super();
    this.#into = into;
  }

  override keep(problem: Problem): void {
    this.#pointers.push(problem.where.pointer ?? "");
    if (problem.code === "CONDITION_TOO_DEEP") this.tooDeep = true;
    super.keep(problem);
    this.#into?.keep(problem);
  }

  get none(): boolean {
    return this.#pointers.length === 0;
  }

  /** Whether something was told in the same section (conditions, event, examples …) of the same rule. */
  covers(pointer: string): boolean {
    const section = /^\/rules\/\d+\/[^/]+/.exec(pointer)?.[0];
    return (
      section !== undefined &&
      this.#pointers.some((told) => told === section || told.startsWith(`${section}/`))
    );
  }
}
