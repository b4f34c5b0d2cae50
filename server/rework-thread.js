// A thread starts as plain JavaScript; from here on it reads TypeScript as the rest of the program does.
import { register } from "tsx/esm/api";

register();
await import("./rework-worker.ts");
