import { type AskRequest, ask } from "./ask/ask.js";
import type { FormSpec } from "./ask/form.js";
import type { Answer, Job } from "./ask/types.js";
import { Unsolved } from "./ask/unsolved.js";
import type { ReworkFound } from "./order/rework-asked.js";
import type { ReworkDesk } from "./rework-desk.js";

/** An answer hangs on a way back or two; more would be a fault. */
const MOST_WAYS = 8;

/**
 * The answer to a request. Where it hangs on a way back, that is worked out beside the server first, and the same
 * request answered again with what came of it.
 * @throws what `ask` throws; SOLVER_BUSY, SOLVER_CLOSED
 */
export async function askAndSolve(
  job: Job,
  request: AskRequest,
  forms: readonly FormSpec[],
  desk: Pick<ReworkDesk, "known" | "workOut">,
): Promise<Answer> {
  // The same request asks for the same ways back in the same order.
  const found: ReworkFound[] = [];
  for (;;) {
    let asked = 0;
    const reworked: Job["reworked"] = (standing, what) => {
      const way = found[asked] ?? desk.known(standing, what);
      if (way) found[asked] = way;
      asked += 1;
      return way;
    };
    try {
      return ask({ ...job, reworked }, request, forms);
    } catch (error) {
      if (!(error instanceof Unsolved) || found.length >= MOST_WAYS) throw error;
      found.push(await desk.workOut(error.standing, error.asked));
    }
  }
}
