import { Worker } from "node:worker_threads";

/**
 * Starts a file of server/ in a thread of its own, from where this one was started: a source that has changed since
 * would not understand it. @param entry  its name, without ending
 */
export function startThread(entry: "rework-worker" | "rework-desk-worker"): Worker {
  const from = import.meta.dirname;
  return new Worker(new URL("./thread-start.js", import.meta.url), { workerData: { entry, from } });
}
