import { parentPort } from "node:worker_threads";
import clingo from "clingo-wasm";

/**
 * The thread in which programs are solved: one at a time, each to its end. Every better answer is told at once,
 * so that whoever stops the thread keeps the best one so far.
 */

/** A better answer than the one before: the shown atoms. */
export interface ModelFound {
  readonly kind: "model";
  readonly atoms: readonly string[];
}

/** The solver's last word. */
export interface SearchEnded {
  readonly kind: "ended";
  readonly result: "OPTIMUM FOUND" | "SATISFIABLE" | "UNSATISFIABLE" | "UNKNOWN" | "ERROR";
}

export type FromWorker = ModelFound | SearchEnded;

if (!parentPort) throw new Error("This file is the inside of a worker thread.");
const port = parentPort;

// The package announces itself on the terminal; here that is nobody's business.
console.info = () => undefined;

// The solver prints JSON line by line while it searches.
let lines: string[] = [];
let solver = newSolver();

port.on("message", (program: string) => {
  void answer(program);
});

async function answer(program: string): Promise<void> {
  let result = await solve(program);
  if (result === "ERROR") {
    // What it keeps of earlier programs may leave no room for this one: a new one has all of it.
    solver = newSolver();
    result = await solve(program);
  }
  port.postMessage({ kind: "ended", result } satisfies SearchEnded);
}

async function newSolver(): Promise<InstanceType<typeof clingo.Runner>> {
  const runner = new clingo.Runner({
    print: (line: string) => {
      lines.push(line);
      const model = modelEndingAt(lines);
      if (model) port.postMessage({ kind: "model", atoms: model } satisfies ModelFound);
    },
    printErr: () => undefined,
  });
  await runner.init();
  return runner;
}

async function solve(program: string): Promise<SearchEnded["result"]> {
  const runner = await solver;
  lines = [];
  // What it returns is empty when lines are taken as they come: the last word is read from them.
  runner.run(program, 0, ["--opt-mode=opt"]);
  return (/"Result": "([A-Z ]+)"/.exec(lines.join("\n"))?.[1] ?? "ERROR") as SearchEnded["result"];
}

/** The shown atoms of the answer whose cost has just been printed; null while none is complete. */
function modelEndingAt(printed: readonly string[]): string[] | null {
  const costs = printed.at(-2)?.includes('"Costs": [');
  if (!costs) return null;
  const from = printed.findLastIndex((line) => line.includes('"Value": ['));
  const shown = printed.slice(from, -2).join(" ");
  return [...shown.matchAll(/"([a-z_]+\([^"]*\))"/g)].map(([, atom = ""]) => atom);
}
