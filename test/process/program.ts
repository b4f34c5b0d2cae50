import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { onTestFinished } from "vitest";
import { PROJECT } from "../../server/files.js";

/** Long enough to start on a machine that is busy with other tests. */
export const PATIENCE_MS = 120_000;

/** A program of ours in a process of its own, with what it has printed so far. */
export interface Program {
  readonly child: ChildProcess;
  out: string;
  err: string;
  /** Exit code, once it has ended. */
  readonly ended: Promise<number | null>;
}

/** Starts `server/NAME.ts`, or `server/NAME` if that is plain JavaScript; it is stopped when the test is over. */
export function run(name: string, args: readonly string[] = [], cwd = PROJECT): Program {
  const how = name.endsWith(".js")
    ? [join(PROJECT, "server", name)]
    : ["--import", "tsx", join(PROJECT, "server", `${name}.ts`)];
  const child = spawn(process.execPath, [...how, ...args], {
    cwd,
    stdio: ["ignore", "pipe", "pipe"],
    env: { ...process.env, NO_COLOR: "1" },
  });
  const ended = new Promise<number | null>((resolve, reject) => {
    child.on("error", reject);
    child.on("close", resolve);
  });
  const program: Program = { child, out: "", err: "", ended };
  child.stdout.setEncoding("utf8").on("data", (text: string) => {
    program.out += text;
  });
  child.stderr.setEncoding("utf8").on("data", (text: string) => {
    program.err += text;
  });
  onTestFinished(() => void child.kill("SIGKILL"));
  return program;
}

/** The server on a free port, once it says that it is ready. */
export async function startServer(
  args: readonly string[],
  name = "main",
): Promise<Program & { readonly address: string }> {
  const program = run(name, ["--port", "0", ...args]);
  const deadline = Date.now() + PATIENCE_MS;
  for (;;) {
    const address = /https?:\/\/\S+/.exec(program.out)?.[0];
    if (address) return Object.assign(program, { address });
    if (program.child.exitCode !== null || Date.now() > deadline) {
      throw new Error(`The server did not start: ${program.err}`);
    }
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}

/** A folder of its own, gone when the test is over. */
export function tempFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "tailroom-test-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}
