import { parentPort } from "node:worker_threads";
import type { Kit } from "./kit/types.js";
import type { Work } from "./kit/work.js";
import {
  type ReworkAsked,
  type ReworkFound,
  type ReworkTask,
  reworkFound,
  reworkTask,
} from "./order/rework-asked.js";
import type { ReworkSolution } from "./order/rework-types.js";
import type { Standing } from "./order/types.js";
import type { Reach } from "./reach/types.js";
import type { HoleRuling } from "./ruling/types.js";

/** The thread in which ways back are worked out, all but the solving. A question is about the latest drawing and state. */

export type ToDesk =
  /** The kit with the one assembly that is asked about. */
  | { readonly kind: "drawing"; readonly kit: Kit; readonly reach: Reach }
  /** Rulings in the order of the assembly's holes. */
  | { readonly kind: "state"; readonly work: Work; readonly rulings: readonly HoleRuling[] }
  | { readonly kind: "ask"; readonly id: number; readonly asked: ReworkAsked }
  | { readonly kind: "solution"; readonly id: number; readonly solution: ReworkSolution }
  /** Nobody waits for it any more. */
  | { readonly kind: "forget"; readonly id: number };

export type FromDesk =
  | { readonly kind: "solve"; readonly id: number; readonly program: string }
  | { readonly kind: "found"; readonly id: number; readonly found: ReworkFound }
  | { readonly kind: "failed"; readonly id: number; readonly error: unknown };

if (!parentPort) throw new Error("This file is the inside of a worker thread.");
const port = parentPort;

let drawing: Pick<Standing, "kit" | "assembly" | "reach"> | null = null;
let standing: Standing | null = null;
const tasks = new Map<number, ReworkTask>();

port.on("message", (message: ToDesk) => {
  switch (message.kind) {
    case "drawing": {
      const [assembly] = message.kit.assemblies;
      if (!assembly) throw new Error("a drawing came without its assembly");
      drawing = { kit: message.kit, assembly, reach: message.reach };
      standing = null;
      return;
    }
    case "state": {
      if (!drawing) throw new Error("a state came before its drawing");
      standing = { ...drawing, work: message.work, rulings: rulingsOf(drawing, message.rulings) };
      return;
    }
    case "ask":
      return answering(message.id, () => begin(message.id, message.asked));
    case "solution":
      return answering(message.id, () => finish(message.id, message.solution));
    case "forget":
      tasks.delete(message.id);
  }
});

function rulingsOf(
  { assembly }: Pick<Standing, "assembly">,
  rulings: readonly HoleRuling[],
): Standing["rulings"] {
  const byHole = new Map(assembly.holes.map(({ id }, i) => [id, rulings[i]]));
  return {
    of: (hole) => {
      const ruling = byHole.get(hole);
      if (!ruling) throw new Error(`no ruling came for hole ${hole}`);
      return ruling;
    },
  };
}

function answering(id: number, answer: () => FromDesk): void {
  try {
    port.postMessage(answer());
  } catch (error) {
    tasks.delete(id);
    port.postMessage({ kind: "failed", id, error } satisfies FromDesk);
  }
}

function begin(id: number, asked: ReworkAsked): FromDesk {
  if (!standing) throw new Error("a question came before its standing");
  const task = reworkTask(standing, asked);
  const program = task.question?.program ?? null;
  if (program === null) return { kind: "found", id, found: reworkFound(task, null) };
  tasks.set(id, task);
  return { kind: "solve", id, program: program.text };
}

function finish(id: number, solution: ReworkSolution): FromDesk {
  const task = tasks.get(id);
  if (!task) throw new Error("a solution came for a question that nobody asked");
  tasks.delete(id);
  return { kind: "found", id, found: reworkFound(task, solution) };
}
