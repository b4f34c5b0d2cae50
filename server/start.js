// `npm start`.
import { run } from "./compiled.js";

await run("main");
