import type { Worker } from "node:worker_threads";
import { ByStanding } from "./order/by-standing.js";
import type { ReworkAsked, ReworkFound } from "./order/rework-asked.js";
import type { HoleRulings, Standing } from "./order/types.js";
import { Problem } from "./problem.js";
import type { FromDesk, ToDesk } from "./rework-desk-worker.js";
import { type ReworkSolver, reworkSolver } from "./rework-solver.js";
import { startThread } from "./thread.js";

/**
 * Works out ways back beside the server, which stays free to answer meanwhile: what the question is, and what a
 * solution of it means, in one thread; the solution itself in the solver's.
 */
export interface ReworkDesk {
  /** What was found for the same before, if it is certain; null = it has to be worked out. */
  known(standing: Standing, asked: ReworkAsked): ReworkFound | null;
  /** @throws SOLVER_BUSY when too much waits already, SOLVER_CLOSED */
  workOut(standing: Standing, asked: ReworkAsked): Promise<ReworkFound>;
  close(): Promise<void>;
}

export interface DeskOptions {
  readonly solver?: ReworkSolver;
  /** Questions that may be worked on or wait. */
  readonly mostWaiting?: number;
}

interface Waiting {
  readonly done: (found: ReworkFound) => void;
  readonly fail: (error: unknown) => void;
}

export function reworkDesk({ solver = reworkSolver(), mostWaiting = 9 }: DeskOptions = {}): ReworkDesk {
  const certain = new ByAsked<ReworkFound>();
  const bestSoFar = new ByAsked<ReworkFound>();
  const underway = new ByAsked<Promise<ReworkFound>>();
  const waiting = new Map<number, Waiting>();
  let thread: Thread | null = null;
  let last = 0;
  let isClosed = false;

  const failAll = (error: unknown): void => {
    for (const { fail } of waiting.values()) fail(error);
    waiting.clear();
  };
  const lose = (from: Thread, error: unknown): void => {
    if (thread !== from) return;
    thread = null;
    failAll(error);
  };
  const hear = (from: Thread, message: FromDesk): void => {
    const asker = waiting.get(message.id);
    if (!asker) return;
    if (message.kind === "solve") {
      solver.solve(message.program).then(
        (solution) => from.post({ kind: "solution", id: message.id, solution }),
        (error: unknown) => {
          from.post({ kind: "forget", id: message.id });
          end(message.id)?.fail(error);
        },
      );
    } else if (message.kind === "found") end(message.id)?.done(message.found);
    else end(message.id)?.fail(message.error);
  };
  const end = (id: number): Waiting | undefined => {
    const asker = waiting.get(id);
    waiting.delete(id);
    if (waiting.size === 0) thread?.worker.unref();
    return asker;
  };

  const ask = (standing: Standing, asked: ReworkAsked): Promise<ReworkFound> =>
    new Promise((done, fail) => {
      last += 1;
      waiting.set(last, { done, fail });
      try {
        thread ??= new Thread(hear, lose);
        thread.worker.ref();
        thread.ask(last, standing, asked);
      } catch (error) {
        end(last)?.fail(error);
      }
    });

  return {
    known: (standing, asked) => certain.get(standing, asked) ?? null,
    workOut(standing, asked) {
      const known = certain.get(standing, asked);
      if (known) return Promise.resolve(known);
      const same = underway.get(standing, asked);
      if (same) return same;
      if (isClosed) return Promise.reject(closedProblem());
      if (waiting.size >= mostWaiting) return Promise.reject(busyProblem(waiting.size));
      const found = ask(standing, asked).then((way) => {
        if (way.back?.proved ?? true) {
          certain.set(standing, asked, way);
          return way;
        }
        // Asked again, it is looked for again; what was found before is told as long as nothing lighter is.
        const best = lighter(bestSoFar.get(standing, asked), way);
        bestSoFar.set(standing, asked, best);
        return best;
      });
      const over = (): void => underway.delete(standing, asked);
      found.then(over, over);
      underway.set(standing, asked, found);
      return found;
    },
    async close() {
      isClosed = true;
      const worker = thread?.worker;
      thread = null;
      failAll(closedProblem());
      await Promise.all([worker?.terminate(), solver.close()]);
    },
  };
}

/** The thread, and what it has been told already: a drawing is large, and it is sent once. */
class Thread {
  readonly worker: Worker;
  #drawing: Pick<Standing, "kit" | "assembly" | "reach"> | null = null;
  #state: Pick<Standing, "work" | "rulings"> | null = null;

  constructor(
    hear: (from: Thread, message: FromDesk) => void,
    failed: (from: Thread, error: unknown) => void,
  ) {
    this.worker = startThread("rework-desk-worker");
    this.worker.on("message", (message: FromDesk) => hear(this, message));
    this.worker.on("error", (error) => failed(this, error));
    this.worker.on("exit", (code) => failed(this, new Error(`the thread of rework ended with ${code}`)));
  }

  post(message: ToDesk): void {
    this.worker.postMessage(message);
  }

  ask(id: number, standing: Standing, asked: ReworkAsked): void {
    const { kit, assembly, reach, work, rulings } = standing;
    const sent = this.#drawing;
    if (sent?.kit !== kit || sent.assembly !== assembly || sent.reach !== reach) {
      // The kit's other assemblies are nothing to this one.
      this.post({ kind: "drawing", kit: { ...kit, assemblies: [assembly] }, reach });
      this.#drawing = { kit, assembly, reach };
      this.#state = null;
    }
    if (this.#state?.work !== work || this.#state.rulings !== rulings) {
      this.post({ kind: "state", work, rulings: assembly.holes.map((hole) => rulingFor(rulings, hole.id)) });
      this.#state = { work, rulings };
    }
    this.post({ kind: "ask", id, asked });
  }
}

/** A hole's ruling without what order never looks at. */
function rulingFor(rulings: HoleRulings, hole: string): ReturnType<HoleRulings["of"]> {
  const ruling = rulings.of(hole);
  // Left as it is where it can be: holes that share a ruling have it sent once.
  return ruling.cautions.length === 0 ? ruling : { ...ruling, cautions: [] };
}

function lighter(before: ReworkFound | undefined, now: ReworkFound): ReworkFound {
  if (before?.back?.status !== "found") return now;
  return now.back?.status === "found" && now.back.weight < before.back.weight ? now : before;
}

/** Values by what is asked of a standing; gone when the standing is. */
class ByAsked<T> {
  readonly #known = new ByStanding<Map<string, T>>();

  get(standing: Standing, asked: ReworkAsked): T | undefined {
    return this.#known.get(standing)?.get(keyOf(asked));
  }

  set(standing: Standing, asked: ReworkAsked, value: T): void {
    const byAsked = this.#known.get(standing) ?? new Map<string, T>();
    byAsked.set(keyOf(asked), value);
    this.#known.set(standing, byAsked);
  }

  delete(standing: Standing, asked: ReworkAsked): void {
    this.#known.get(standing)?.delete(keyOf(asked));
  }
}

function keyOf({ only, skipped }: ReworkAsked): string {
  return JSON.stringify([skipped, only && [...only].sort()]);
}

function busyProblem(waiting: number): Problem {
  return new Problem("SOLVER_BUSY", `${waiting} questions of rework wait already.`, {
    fix: "Ask again in a few seconds.",
  });
}

function closedProblem(): Problem {
  return new Problem("SOLVER_CLOSED", "The program is shutting down.", { fix: "Start it and ask again." });
}
