import { mkdirSync, writeFileSync } from "node:fs";
import { dirname } from "node:path";
import { fileURLToPath } from "node:url";
import { publishedSchemas } from "./schemas.js";

/** Writes the published JSON Schemas: `npm run schemas`. */
for (const { path, text } of publishedSchemas()) {
  const target = fileURLToPath(new URL(`../${path}`, import.meta.url));
  mkdirSync(dirname(target), { recursive: true });
  writeFileSync(target, text);
  console.log(path);
}
