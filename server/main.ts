import type { AddressInfo } from "node:net";
import { networkInterfaces } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import type { FastifyInstance } from "fastify";
import { buildApp } from "./app.js";
import { PROJECT } from "./files.js";
import { hostNames, isLoopback } from "./host-names.js";
import type { KeyRing } from "./keys/contract.js";
import { KEY_RING, sqliteKeys } from "./keys/sqlite.js";
import { loadLibrary } from "./library.js";
import { Problem } from "./problem.js";
import { loadPage } from "./routes/page.js";
import { SHOP_BOOK, sqliteBook } from "./store/sqlite.js";
import { readTls, type Tls } from "./tls.js";
import { openWorkshop } from "./workshop.js";

/** Owns the process: arguments, start, signals, exit. */
const USAGE = "npm start -- [--port N] [--host H] [--name N] [--tls-cert FILE --tls-key FILE] [--data DIR]";
/** After this long, whoever still waits for an answer is left without. */
const PATIENCE_MS = 5_000;
/** A second signal within this time is the same one again. */
const SAME_SIGNAL_MS = 500;

interface Settings {
  readonly port: number;
  readonly host: string;
  /** Names under which other machines call this one. */
  readonly names: readonly string[];
  /** Folder of the shop book. */
  readonly data: string;
  /** For HTTPS; null = plain HTTP. */
  readonly tls: Tls | null;
}

async function start({ port, host, names, data, tls }: Settings): Promise<void> {
  const keys = sqliteKeys(join(data, KEY_RING));
  const keyNeeded = !isLoopback(host);
  if (keyNeeded) refuseKeyless(host, keys);
  // Its script is bundled by a process of its own, meanwhile.
  const pageToCome = loadPage(join(PROJECT, "web"));
  pageToCome.catch(() => undefined);
  const library = loadLibrary();
  for (const problem of library.notes.problems) console.error(String(problem));
  const page = await pageToCome;
  const file = join(data, SHOP_BOOK);
  const book = sqliteBook(file);
  const hosts = hostNames(host, names, networkInterfaces());
  const workshop = openWorkshop(library, book);
  const app = buildApp({ workshop, page, hosts, keys, keyNeeded, tls });

  try {
    await app.listen({ port, host });
  } catch (error) {
    await app.close();
    throw cannotListen(error, port, host);
  }
  stopOnSignal(app);
  const address = app.server.address() as AddressInfo;
  const shownHost = host.includes(":") ? `[${host}]` : host;
  console.log(`Tailroom is ready at ${tls ? "https" : "http"}://${shownHost}:${address.port}/`);
  console.log(`Shop book: ${file}${book.writable ? "" : " (can be read but not written)"}`);
  if (book.trouble) console.error(String(book.trouble));
  for (const kit of library.kits.keys()) {
    for (const problem of workshop.shopProblems(kit)) console.error(String(problem));
  }
  if (keyNeeded) {
    console.log(
      `Other machines call it: ${hosts.join(", ")}. Whoever reaches it can read; writing needs a key.`,
    );
    console.log(
      tls
        ? "What is sent on the way is encrypted. The browser shows whose certificate it is: look at it once."
        : "Nothing is encrypted on the way, keys included: keep to a network of your own, or give --tls-cert and --tls-key.",
    );
  }
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

/** @throws HOST_NOT_LOOPBACK when nobody has a key yet */
function refuseKeyless(host: string, keys: KeyRing): void {
  if (keys.list().some(({ revokedAt }) => revokedAt === null)) return;
  throw new Problem(
    "HOST_NOT_LOOPBACK",
    `${host} can be reached from other machines, and nobody has a key yet.`,
    {
      fix: "Make a key first: npm run key -- make NAME --role builder. Or leave --host out.",
    },
  );
}

/** @throws ARGUMENT_INVALID */
function settings(args: readonly string[]): Settings {
  const fix = `Start it with: ${USAGE}`;
  let values: {
    port: string;
    host: string;
    name: string[];
    data: string;
    "tls-cert"?: string;
    "tls-key"?: string;
  };
  try {
    ({ values } = parseArgs({
      args: [...args],
      options: {
        port: { type: "string", default: "4180" },
        host: { type: "string", default: "127.0.0.1" },
        name: { type: "string", multiple: true, default: [] },
        data: { type: "string", default: "data" },
        "tls-cert": { type: "string" },
        "tls-key": { type: "string" },
      },
    }));
  } catch (error) {
    throw new Problem("ARGUMENT_INVALID", (error as Error).message, { fix });
  }
  const { port, host, name: names, data } = values;
  if (!/^\d{1,5}$/.test(port) || Number(port) > 65_535) {
    throw new Problem("ARGUMENT_INVALID", `"${port}" is not a port.`, {
      fix: "Use a number from 0 to 65535.",
    });
  }
  if (data === "") throw new Problem("ARGUMENT_INVALID", "--data names no folder.", { fix });
  if (host === "") throw new Problem("ARGUMENT_INVALID", "--host names no host.", { fix });
  const odd = names.find((name) => !/^[a-z0-9-]+(\.[a-z0-9-]+)*$/i.test(name));
  if (odd !== undefined) {
    throw new Problem("ARGUMENT_INVALID", `"${odd}" is not a host name.`, {
      fix: "Give the name as it stands in the address, without port: --name bench.local",
    });
  }
  const { "tls-cert": cert, "tls-key": key } = values;
  if ((cert === undefined) !== (key === undefined)) {
    throw new Problem("ARGUMENT_INVALID", "--tls-cert and --tls-key go together.", { fix });
  }
  const tls = cert === undefined || key === undefined ? null : readTls(cert, key);
  return { port: Number(port), host, names, data, tls };
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
