// A thread starts as plain JavaScript.
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { workerData } from "node:worker_threads";
import { run } from "./compiled.js";

const { entry, from } = workerData;
if (from === import.meta.dirname) await run(entry);
else await import(pathToFileURL(join(from, `${entry}.mjs`)).href);
