import { readdirSync } from "node:fs";

/** A benchmark measures, checks that the answer is still right, and returns the lines to print. */
interface Bench {
  bench(): Promise<readonly string[]>;
}

const here = new URL("./", import.meta.url);
/** `npm run bench -- rulings` runs that one alone. */
const wanted = process.argv.slice(2);

for (const name of readdirSync(here).sort()) {
  const id = name.replace(/\.ts$/, "");
  if (!name.endsWith(".ts") || name === "run.ts" || (wanted.length > 0 && !wanted.includes(id))) continue;
  const { bench } = (await import(new URL(name, here).href)) as Bench;
  for (const line of await bench()) console.log(line);
}
