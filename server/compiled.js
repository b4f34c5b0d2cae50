import { createHash, randomUUID } from "node:crypto";
import { readdirSync, readFileSync, renameSync, rmSync, statSync, utimesSync, writeFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { basename, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

/*
 * The program's sources made into a few files of plain JavaScript: Node reads those much faster than the many small
 * ones. They lie in node_modules/.cache under a fingerprint of all that went into them, so that nothing is ever
 * started from sources that have changed since. What compiles cannot be compiled first: this file is plain
 * JavaScript itself, with its types in compiled.d.ts.
 */

/** Files of server/ that are started by themselves; what they share is compiled once. */
const ENTRIES = ["main", "rework-worker", "rework-desk-worker"];
/** Hundreds of small files, so it goes in with the sources; other packages are read from where they are. */
const PACKAGE_WITHIN = "typebox";
/** Copies of earlier sources are worth keeping while one goes back and forth between them. */
const MOST_KEPT = 8;
/** In a copy: its files and how long each is. A power cut or a cleaner of caches may leave fewer, or empty ones. */
const CONTENTS = "contents.json";

const project = fileURLToPath(new URL("..", import.meta.url));

export async function run(entry) {
  const folder = await compiledCopy().catch(() => null);
  if (folder === null) {
    const { register } = await import("tsx/esm/api");
    register();
  }
  await import(folder === null ? `./${entry}.ts` : pathToFileURL(join(folder, `${entry}.mjs`)).href);
}

export async function compiledCopy() {
  const cache = join(project, "node_modules", ".cache", "tailroom");
  const name = fingerprint();
  const folder = join(cache, name);
  if (!isWhole(folder)) {
    rmSync(folder, { recursive: true, force: true });
    await compile(cache, name);
    tryTo(() => clearAway(cache));
  } else tryTo(() => utimesSync(folder, new Date(), new Date()));
  return folder;
}

/** Keeps the cache in order where that can be done: a copy that is there is good where nothing may be written, too. */
function tryTo(tidy) {
  try {
    tidy();
  } catch {}
}

function isWhole(folder) {
  try {
    const contents = Object.entries(JSON.parse(readFileSync(join(folder, CONTENTS), "utf8")));
    return contents.every(([name, bytes]) => statSync(join(folder, name)).size === bytes);
  } catch {
    return false;
  }
}

/** Changes with every source and with every package that is installed. */
function fingerprint() {
  const sources = readdirSync(join(project, "server"), { recursive: true, encoding: "utf8" })
    .filter((name) => /\.[jt]s$/.test(name))
    .map((name) => join("server", name))
    .sort();
  const hash = createHash("sha256").update(project);
  for (const name of ["package.json", join("node_modules", ".package-lock.json"), ...sources]) {
    const text = readFileSync(join(project, name));
    hash.update(`\n${name} ${text.length}\n`).update(text);
  }
  return hash.digest("hex").slice(0, 32);
}

/** Makes the folder whole or not at all, whoever else is at it. */
async function compile(cache, name) {
  const folder = join(cache, name);
  const { build } = await import("esbuild");
  const { dependencies } = JSON.parse(readFileSync(join(project, "package.json"), "utf8"));
  const unfinished = `${folder}.${randomUUID()}`;
  try {
    const { metafile } = await build({
      absWorkingDir: project,
      entryPoints: ENTRIES.map((entry) => `server/${entry}.ts`),
      outdir: unfinished,
      outExtension: { ".js": ".mjs" },
      bundle: true,
      splitting: true,
      format: "esm",
      platform: "node",
      target: "node20",
      external: Object.keys(dependencies).filter((name) => name !== PACKAGE_WITHIN),
      tsconfigRaw: {},
      // For `node --enable-source-maps`; nothing reads them otherwise.
      sourcemap: "linked",
      sourcesContent: false,
      metafile: true,
      logLevel: "silent",
      plugins: [asIfFromSource()],
    });
    const unseen = Object.keys(metafile.inputs).find((path) => !isSeen(path));
    if (unseen !== undefined) throw new Error(`${unseen} went in, and no fingerprint shows when it changes.`);
    if (fingerprint() !== name) throw new Error("A source changed while it was compiled.");
    const contents = Object.entries(metafile.outputs).map(([path, { bytes }]) => [basename(path), bytes]);
    writeFileSync(join(unfinished, CONTENTS), JSON.stringify(Object.fromEntries(contents)));
    renameSync(unfinished, folder);
  } catch (error) {
    rmSync(unfinished, { recursive: true, force: true });
    // Another start may have been quicker.
    if (!isWhole(folder)) throw error;
  }
}

function isSeen(path) {
  const within = `node_modules/${PACKAGE_WITHIN}/`;
  return (
    /^server\/.+\.[jt]s$/.test(path) ||
    path.endsWith(".json") ||
    path.startsWith(within) ||
    path.includes(`/${within}`)
  );
}

/** Sources find what lies beside them where they are themselves, and data is read at the start, not compiled in. */
function asIfFromSource() {
  const root = new RegExp(`^${join(project, "/").replace(/[^\w]/g, "\\$&")}(?!node_modules)`);
  return {
    name: "as if from source",
    setup({ onLoad }) {
      onLoad({ filter: /\.ts$/ }, async ({ path }) => {
        if (!root.test(path)) return undefined;
        const text = await readFile(path, "utf8");
        const address = JSON.stringify(pathToFileURL(path).href);
        return { loader: "ts", contents: text.replaceAll("import.meta.url", address) };
      });
      onLoad({ filter: /\.json$/ }, ({ path }) => ({
        loader: "js",
        contents: `import { readFileSync } from "node:fs";
export default JSON.parse(readFileSync(${JSON.stringify(path)}, "utf8"));`,
      }));
    },
  };
}

/** Clears away the copies that nothing has been started from for longest; those that were broken off count like any. */
function clearAway(cache) {
  const used = (name) => statSync(join(cache, name), { throwIfNoEntry: false })?.mtimeMs ?? 0;
  const latestFirst = readdirSync(cache)
    .map((name) => ({ name, at: used(name) }))
    .sort((one, other) => other.at - one.at);
  for (const { name } of latestFirst.slice(MOST_KEPT)) {
    rmSync(join(cache, name), { recursive: true, force: true });
  }
}
