import { spawn } from "node:child_process";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { buildSync } from "esbuild";
import { tempFolder } from "./books.js";

const PROJECT = fileURLToPath(new URL("../..", import.meta.url));
const WRITER = fileURLToPath(new URL("./writer.ts", import.meta.url));

/** What came of a child process. */
export interface Outcome {
  readonly lines: readonly string[];
  readonly signal: NodeJS.Signals | null;
  readonly errors: string;
}

/** The writer as one plain script, which starts several times as fast; gone when the test is over. */
export function bundledWriter(): string {
  const outfile = join(tempFolder(), "writer.cjs");
  buildSync({
    entryPoints: [WRITER],
    outfile,
    bundle: true,
    platform: "node",
    format: "cjs",
    external: ["better-sqlite3"],
  });
  return outfile;
}

/**
 * Runs `writer.ts` beside this file in a process of its own.
 * @param args         its arguments
 * @param killAfterMs  after its first line at which it is killed with SIGKILL; left out = it runs to its end
 * @param script       what `bundledWriter` made, for many runs; left out = as it stands
 * @param maxFileKiB   no file that it writes may grow beyond this (`ulimit -f`); left out = no limit
 */
export function runWriter(
  args: readonly string[],
  { killAfterMs, maxFileKiB, script }: { killAfterMs?: number; maxFileKiB?: number; script?: string } = {},
): Promise<Outcome> {
  return new Promise((resolve, reject) => {
    const node = [
      process.execPath,
      ...(script === undefined ? ["--import", "tsx", WRITER] : [script]),
      ...args,
    ];
    const limited = ["bash", "-c", `ulimit -f ${maxFileKiB}; exec "$@"`, "bash", ...node];
    const [command = "", ...rest] = maxFileKiB === undefined ? node : limited;
    const child = spawn(command, rest, {
      stdio: ["ignore", "pipe", "pipe"],
      cwd: PROJECT,
      env: { ...process.env, NODE_PATH: join(PROJECT, "node_modules") },
    });
    let output = "";
    let errors = "";
    child.stdout.setEncoding("utf8").on("data", (text: string) => {
      if (output === "" && killAfterMs !== undefined) setTimeout(() => child.kill("SIGKILL"), killAfterMs);
      output += text;
    });
    child.stderr.setEncoding("utf8").on("data", (text: string) => {
      errors += text;
    });
    child.on("error", reject);
    child.on("close", (_code, signal) => {
      // A line without its end was cut off by the kill: the writer never finished saying it.
      resolve({ lines: output.split("\n").slice(0, -1), signal, errors });
    });
  });
}
