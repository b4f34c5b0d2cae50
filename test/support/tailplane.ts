import { readFileSync } from "node:fs";
import { loadKit } from "../../server/kit/load.js";

/** The demo kit's tailplane, read from disk as the program reads it. */
const read = (path: string) => ({
  path,
  text: readFileSync(new URL(`../../${path}`, import.meta.url), "utf8"),
});

export const kit = loadKit(
  ["kit.json", "assemblies/tailplane.json"].map((name) => read(`kb/kits/sedge-two/${name}`)),
);

const found = kit.assemblies.find(({ id }) => id === "tailplane");
if (!found) throw new Error("the demo kit has no tailplane");
export const assembly = found;
