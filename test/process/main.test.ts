import { connect } from "node:net";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { SHOP_BOOK, sqliteBook } from "../../server/store/sqlite.js";
import { PATIENCE_MS, run, startServer, tempFolder } from "./program.js";

interface KitsReply {
  readonly kits: readonly { readonly id: string; readonly assemblies: readonly { readonly id: string }[] }[];
}
interface MapReply {
  readonly rows: readonly { readonly holes: readonly string[] }[];
}

async function get<T>(url: string): Promise<T> {
  const reply = await fetch(url);
  expect(reply.status).toBe(200);
  return (await reply.json()) as T;
}

/** One real mark: the first hole of the first assembly. */
async function firstHole(address: string): Promise<{ kit: string; assembly: string; hole: string }> {
  const { kits } = await get<KitsReply>(`${address}api/kits`);
  const [kit] = kits;
  const assembly = kit?.assemblies[0]?.id ?? "";
  const { rows } = await get<MapReply>(`${address}api/kits/${kit?.id}/assemblies/${assembly}`);
  return { kit: kit?.id ?? "", assembly, hole: rows[0]?.holes[0] ?? "" };
}

describe("the program", { timeout: PATIENCE_MS }, () => {
  it("starts, serves the page, records a mark on the disk, and stops when asked", async () => {
    const data = tempFolder();
    const { address, child, ended, ...program } = await startServer(["--data", data]);
    expect(address).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/$/);

    const page = await fetch(address);
    expect(page.headers.get("content-type")).toBe("text/html; charset=utf-8");
    const script = await fetch(`${address}main.js`);
    expect(script.headers.get("content-type")).toBe("text/javascript; charset=utf-8");

    const { hole, ...where } = await firstHole(address);
    const reply = await fetch(`${address}api/marks`, {
      method: "POST",
      headers: { "content-type": "application/json", "idempotency-key": "k1", "if-match": '"0"' },
      body: JSON.stringify({ ...where, marks: [{ kind: "hole", hole, state: "set" }] }),
    });
    expect(reply.status).toBe(200);

    const watching = await fetch(`${address}api/marks/events`);
    expect(watching.headers.get("content-type")).toContain("text/event-stream");
    child.kill("SIGTERM");
    expect(await watching.text()).toContain('data: {"version":1}');
    expect(await ended).toBe(0);
    expect(program.err).toBe("");

    const book = sqliteBook(join(data, SHOP_BOOK));
    expect(book.snapshot().entries).toMatchObject([
      {
        by: "builder",
        body: { marks: [{ kind: "hole", hole, state: "set" }], ruled: [{ holes: [hole] }] },
      },
    ]);
    book.close();
  });

  it.each(["SIGINT", "SIGTERM"] as const)(
    "stops cleanly on %s as soon as it says that it is ready, also when the signal comes twice",
    async (signal) => {
      const { child, ended } = await startServer(["--data", tempFolder()]);
      child.kill(signal);
      child.kill(signal);
      expect(await ended).toBe(0);
    },
  );

  it("says when the port is in use, and which to take", async () => {
    const first = await startServer(["--data", tempFolder()]);
    const port = new URL(first.address).port;
    const second = run("main", ["--port", port, "--data", tempFolder()]);
    expect(await second.ended).toBe(1);
    expect(second.err).toMatch(/^PORT_IN_USE: Port \d+ is in use already\. Fix: .*--port \d+\n$/);
  });

  it.each([
    ["a host that others can reach", ["--host", "0.0.0.0"], /^HOST_NOT_LOOPBACK: 0\.0\.0\.0 .* Fix: /],
    ["a word for a port", ["--port", "many"], /^ARGUMENT_INVALID: "many" is not a port\. Fix: /],
    ["a port that is too high", ["--port", "65536"], /^ARGUMENT_INVALID: /],
    ["an option that it does not have", ["--prot", "1"], /^ARGUMENT_INVALID: .*--prot.* Fix: .*npm start/],
  ])("refuses %s in one line and exits with 1", async (_what, args, message) => {
    const program = run("main", args);
    expect(await program.ended).toBe(1);
    expect(program.err).toMatch(message);
    expect(program.err.trim().split("\n")).toHaveLength(1);
    expect(program.out).toBe("");
  });

  it("answers what is not HTTP with a problem, and goes on", async () => {
    const { address } = await startServer(["--data", tempFolder()]);
    const { port } = new URL(address);
    const reply = await new Promise<string>((resolve, reject) => {
      let text = "";
      const socket = connect(Number(port), "127.0.0.1", () => socket.write("HELLO\r\n\r\n"));
      socket.setEncoding("utf8").on("data", (more: string) => {
        text += more;
      });
      socket.on("end", () => resolve(text));
      socket.on("error", reject);
    });
    expect(reply).toContain("400 Bad Request");
    expect(reply).toContain("application/problem+json");
    expect(JSON.parse(reply.split("\r\n\r\n")[1] ?? "")).toMatchObject({
      code: "REQUEST_INVALID",
      status: 400,
    });
    expect((await fetch(`${address}health`)).status).toBe(200);
  });
});
