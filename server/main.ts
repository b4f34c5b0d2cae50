import type { AddressInfo } from "node:net";
import { join } from "node:path";
import { parseArgs } from "node:util";
import type { FastifyInstance } from "fastify";
import { buildApp } from "./app.js";
import { PROJECT } from "./files.js";
import { loadLibrary } from "./library.js";
import { Problem } from "./problem.js";
import { loadPage } from "./routes/page.js";
import { SHOP_BOOK, sqliteBook } from "./store/sqlite.js";
import { openWorkshop } from "./workshop.js";

/** Owns the process: arguments, start, signals, exit. */
const USAGE = "npm start -- [--port N] [--host H] [--data DIR]";
/** After this long, whoever still waits for an answer is left without. */
const PATIENCE_MS = 5_000;
/** A second signal within this time is the same one again. */
const SAME_SIGNAL_MS = 500;

interface Settings {
  readonly port: number;
  readonly host: string;
  /** Folder of the shop book. */
  readonly data: string;
}

async function start({ port, host, data }: Settings): Promise<void> {
  const library = loadLibrary();
  for (const problem of library.notes.problems) console.error(String(problem));
  const page = await loadPage(join(PROJECT, "web"));
  const file = join(data, SHOP_BOOK);
  const book = sqliteBook(file);
  const app = buildApp({ workshop: openWorkshop(library, book), page });

  try {
    await app.listen({ port, host });
  } catch (error) {
    await app.close();
    throw cannotListen(error, port, host);
  }
  stopOnSignal(app);
  const address = app.server.address() as AddressInfo;
  const shownHost = host.includes(":") ? `[${host}]` : host;
  console.log(`Tailroom is ready at http://${shownHost}:${address.port}/`);
  console.log(`Shop book: ${file}${book.writable ? "" : " (can be read but not written)"}`);
}

/** Closes the app at the first signal; whoever is out of patience may send another. */
function stopOnSignal(app: FastifyInstance): void {
  let since: number | undefined;
  const stop = (): void => {
    if (since !== undefined) {
      // One Ctrl-C comes twice: from the terminal to all of its programs, and passed on by npm.
      if (performance.now() - since > SAME_SIGNAL_MS) process.exit(1);
      return;
    }
    since = performance.now();
    setTimeout(() => process.exit(1), PATIENCE_MS).unref();
    app.close().catch((error: unknown) => {
      console.error(error);
      process.exitCode = 1;
    });
  };
  process.on("SIGINT", stop);
  process.on("SIGTERM", stop);
}

/** @throws ARGUMENT_INVALID, HOST_NOT_LOOPBACK */
function settings(args: readonly string[]): Settings {
  const fix = `Start it with: ${USAGE}`;
  let values: { port: string; host: string; data: string };
  try {
    ({ values } = parseArgs({
      args: [...args],
      options: {
        port: { type: "string", default: "4180" },
        host: { type: "string", default: "127.0.0.1" },
        data: { type: "string", default: "data" },
      },
    }));
  } catch (error) {
    throw new Problem("ARGUMENT_INVALID", (error as Error).message, { fix });
  }
  const { port, host, data } = values;
  if (!/^\d{1,5}$/.test(port) || Number(port) > 65_535) {
    throw new Problem("ARGUMENT_INVALID", `"${port}" is not a port.`, {
      fix: "Use a number from 0 to 65535.",
    });
  }
  if (data === "") throw new Problem("ARGUMENT_INVALID", "--data names no folder.", { fix });
  if (!/^(localhost|127(\.\d{1,3}){3}|::1)$/.test(host)) {
    throw new Problem("HOST_NOT_LOOPBACK", `${host} can be reached from other machines.`, {
      fix: "Leave --host out, or use 127.0.0.1, ::1 or localhost: so far anybody who reaches the program can write in the shop book.",
    });
  }
  return { port: Number(port), host, data };
}

function cannotListen(error: unknown, port: number, host: string): unknown {
  const { code } = error as NodeJS.ErrnoException;
  if (code === "EADDRINUSE") {
    return new Problem("PORT_IN_USE", `Port ${port} is in use already.`, {
      fix: `Stop the program that uses it, or take another port: npm start -- --port ${port + 1}`,
    });
  }
  if (code === "EACCES" || code === "EADDRNOTAVAIL") {
    return new Problem("CANNOT_LISTEN", `${host}:${port} cannot be listened on (${code}).`, {
      fix: "Take a port above 1023 and the host 127.0.0.1.",
    });
  }
  return error;
}

try {
  await start(settings(process.argv.slice(2)));
} catch (error) {
  if (!(error instanceof Problem)) throw error;
  for (const problem of [error, ...error.others]) console.error(String(problem));
  process.exitCode = 1;
}
