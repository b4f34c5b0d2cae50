// A thread starts as plain JavaScript.
import { run } from "./compiled.js";

await run("rework-worker");
