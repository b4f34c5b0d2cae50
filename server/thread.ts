import { Worker } from "node:worker_threads";

/** Starts a file of server/ in a thread of its own. @param entry  its name, without ending */
export function startThread(entry: "rework-worker" | "rework-desk-worker"): Worker {
  return new Worker(new URL("./thread-start.js", import.meta.url), { workerData: { entry } });
}
