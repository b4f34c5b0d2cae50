import { type AskRequest, ask } from "./ask/ask.js";
import type { FormSpec } from "./ask/form.js";
import type { Answer, Job } from "./ask/types.js";
import { Unsolved } from "./ask/unsolved.js";
import type { ReworkSolution } from "./order/rework-types.js";
import type { ReworkSolver } from "./rework-solver.js";

/** An answer hangs on a program or two; more would be a fault. */
const MOST_PROGRAMS = 8;

/**
 * The answer to a request. Where it hangs on a program, that is solved beside the server first, and the same
 * request answered again with what came of it.
 * @throws what `ask` throws; SOLVER_BUSY, SOLVER_CLOSED
 */
export async function askAndSolve(
  job: Job,
  request: AskRequest,
  forms: readonly FormSpec[],
  solver: Pick<ReworkSolver, "known" | "solve">,
): Promise<Answer> {
  const found = new Map<string, ReworkSolution>();
  const solved = (program: string): ReworkSolution | null => found.get(program) ?? solver.known(program);
  for (;;) {
    try {
      return ask({ ...job, solved }, request, forms);
    } catch (error) {
      if (!(error instanceof Unsolved) || found.size >= MOST_PROGRAMS) throw error;
      found.set(error.program, await solver.solve(error.program));
    }
  }
}
