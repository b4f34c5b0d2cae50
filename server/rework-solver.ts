import type { Worker } from "node:worker_threads";
import type { ReworkSolution } from "./order/rework-types.js";
import { Problem } from "./problem.js";
import type { FromWorker } from "./rework-worker.js";
import { startThread } from "./thread.js";

/** Solves the programs of rework beside the server, which stays free to answer meanwhile. */
export interface ReworkSolver {
  /** What an equal program came to before; null when it was not asked yet. */
  known(program: string): ReworkSolution | null;
  /** @throws SOLVER_BUSY when too many programs wait already, SOLVER_CLOSED */
  solve(program: string): Promise<ReworkSolution>;
  close(): Promise<void>;
}

export interface SolverOptions {
  /** After this long the best answer so far is given, as not proved. */
  readonly timeLimitMs?: number;
  /** Programs solved at the same time. */
  readonly threads?: number;
  /** Programs that may wait for a thread. */
  readonly mostWaiting?: number;
  /** Answers kept for equal programs. */
  readonly mostRemembered?: number;
}

interface Task {
  readonly program: string;
  readonly done: (solution: ReworkSolution) => void;
}

export function reworkSolver({
  timeLimitMs = 10_000,
  threads = 1,
  mostWaiting = 8,
  mostRemembered = 200,
}: SolverOptions = {}): ReworkSolver {
  const remembered = new Map<string, ReworkSolution>();
  const underway = new Map<string, Promise<ReworkSolution>>();
  const waiting: Task[] = [];
  const idle: Worker[] = [];
  const all = new Set<Worker>();
  let busy = 0;
  let isClosed = false;

  const remember = (program: string, solution: ReworkSolution): void => {
    remembered.set(program, solution);
    const [oldest] = remembered.keys();
    if (remembered.size > mostRemembered && oldest !== undefined) remembered.delete(oldest);
  };

  const startNext = (): void => {
    if (isClosed || busy >= threads) return;
    const task = waiting.shift();
    if (!task) return;
    busy += 1;
    const worker = idle.pop() ?? startThread("rework-worker");
    all.add(worker);
    worker.ref();
    search(worker, task.program, timeLimitMs, (solution, isWell) => {
      busy -= 1;
      if (isWell && !isClosed) {
        worker.unref();
        idle.push(worker);
      } else {
        all.delete(worker);
        void worker.terminate();
      }
      task.done(solution);
      startNext();
    });
  };

  return {
    known: (program) => remembered.get(program) ?? null,
    solve(program) {
      const known = remembered.get(program);
      if (known) return Promise.resolve(known);
      const same = underway.get(program);
      if (same) return same;
      if (isClosed) return Promise.reject(closedProblem());
      if (waiting.length >= mostWaiting) return Promise.reject(busyProblem(waiting.length));
      const solution = new Promise<ReworkSolution>((done) => waiting.push({ program, done })).then(
        (found) => {
          underway.delete(program);
          // The best so far is no last word: asked again, it is looked for again.
          if (found.proved) remember(program, found);
          return found;
        },
      );
      underway.set(program, solution);
      startNext();
      return solution;
    },
    async close() {
      isClosed = true;
      for (const task of waiting.splice(0)) task.done({ open: null, proved: false });
      await Promise.all([...all].map((worker) => worker.terminate()));
    },
  };
}

/** One search in a worker, to its end or the time limit. `isWell`: the worker can take the next one. */
function search(
  worker: Worker,
  program: string,
  timeLimitMs: number,
  end: (solution: ReworkSolution, isWell: boolean) => void,
): void {
  let best: readonly number[] | null = null;
  const finish = (proved: boolean, isWell: boolean): void => {
    clearTimeout(timer);
    worker.removeAllListeners("message").removeAllListeners("error").removeAllListeners("exit");
    end({ open: best, proved }, isWell);
  };
  const timer = setTimeout(() => finish(false, false), timeLimitMs);
  worker.on("message", (message: FromWorker) => {
    if (message.kind === "model") best = message.atoms.map(partOf);
    else finish(message.result === "OPTIMUM FOUND" || message.result === "UNSATISFIABLE", true);
  });
  // Out of memory or a fault of the solver: what it has told so far still holds.
  worker.on("error", () => finish(false, false));
  worker.on("exit", () => finish(false, false));
  worker.postMessage(program);
}

/** `open(12)` → 12. */
function partOf(atom: string): number {
  return Number(/^open\((\d+)\)$/.exec(atom)?.[1]);
}

function busyProblem(waiting: number): Problem {
  return new Problem("SOLVER_BUSY", `${waiting} questions of rework wait already.`, {
    fix: "Ask again in a few seconds.",
  });
}

function closedProblem(): Problem {
  return new Problem("SOLVER_CLOSED", "The program is shutting down.", { fix: "Start it and ask again." });
}
