// A thread starts as plain JavaScript.
import { workerData } from "node:worker_threads";
import { run } from "./compiled.js";

await run(workerData.entry);
