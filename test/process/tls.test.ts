import { writeFileSync } from "node:fs";
import { request as plainRequest } from "node:http";
import { request } from "node:https";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { selfSigned } from "../support/self-signed.js";
import { PATIENCE_MS, run, startServer, tempFolder } from "./program.js";

interface Reply {
  readonly status: number;
  readonly text: string;
}

/** One request over HTTPS; only this certificate is trusted. */
function send(
  url: string,
  ca: string,
  {
    body,
    headers = {},
  }: { readonly body?: object; readonly headers?: Readonly<Record<string, string>> } = {},
): Promise<Reply> {
  return new Promise((resolve, reject) => {
    const sent = request(
      url,
      {
        ca,
        method: body ? "POST" : "GET",
        headers: { ...(body && { "content-type": "application/json" }), ...headers },
      },
      (reply) => {
        let text = "";
        reply.setEncoding("utf8").on("data", (more: string) => {
          text += more;
        });
        reply.on("end", () => resolve({ status: reply.statusCode ?? 0, text }));
      },
    );
    sent.on("error", reject);
    sent.end(body && JSON.stringify(body));
  });
}

/** The files of one certificate. */
function filesIn(folder: string, { cert, key }: ReturnType<typeof selfSigned>): readonly string[] {
  const [certFile, keyFile] = [join(folder, "cert.pem"), join(folder, "key.pem")];
  writeFileSync(certFile, cert);
  writeFileSync(keyFile, key);
  return ["--tls-cert", certFile, "--tls-key", keyFile];
}

describe("with a certificate", { timeout: PATIENCE_MS }, () => {
  it("the program answers over HTTPS, and plain HTTP gets nothing from it", async () => {
    const data = tempFolder();
    const own = selfSigned();
    const { address, ...program } = await startServer(["--data", data, ...filesIn(data, own)]);
    expect(address).toMatch(/^https:\/\/127\.0\.0\.1:\d+\/$/);
    const page = await send(address, own.cert);
    expect(page).toMatchObject({ status: 200, text: expect.stringContaining("<title>Tailroom</title>") });
    await expect(send(address, selfSigned().cert)).rejects.toThrow(/certificate/);

    const plain = new Promise((resolve, reject) => {
      plainRequest(address.replace("https", "http"), resolve).on("error", reject).end();
    });
    await expect(plain).rejects.toThrow(/hang up|ECONNRESET/);
    expect(program.err).toBe("");
  });

  it("what the page served over HTTPS sends is let in, and what a page over HTTP sends is not", async () => {
    const data = tempFolder();
    const own = selfSigned();
    const { address } = await startServer(["--data", data, ...filesIn(data, own)]);
    const ask = (origin: string): Promise<Reply> =>
      send(`${address}api/ask`, own.cert, {
        body: { kit: "sedge-two", assembly: "tailplane", question: "Which holes stay open?" },
        headers: { origin },
      });
    const origin = address.slice(0, -1);
    expect((await ask(origin)).status).toBe(200);
    const refused = await ask(origin.replace("https", "http"));
    expect(refused).toMatchObject({ status: 403, text: expect.stringContaining("ORIGIN_REFUSED") });
  });

  it("a key made for another certificate, a file that is not there, and one without the other are refused", async () => {
    const data = tempFolder();
    const own = filesIn(data, { cert: selfSigned().cert, key: selfSigned().key });
    const refusals: readonly (readonly [args: readonly string[], said: RegExp])[] = [
      [own, /^TLS_REFUSED \S+cert\.pem: .* Fix: /],
      [
        ["--tls-cert", join(data, "none.pem"), "--tls-key", join(data, "key.pem")],
        /^TLS_UNREADABLE \S+none\.pem: /,
      ],
      [own.slice(0, 2), /^ARGUMENT_INVALID: --tls-cert and --tls-key go together\./],
    ];
    for (const [args, said] of refusals) {
      const program = run("main", ["--port", "0", "--data", data, ...args]);
      expect(await program.ended).toBe(1);
      expect(program.err).toMatch(said);
      expect(program.out).toBe("");
    }
  });

  it("a host that others reach says whether keys are encrypted on their way", async () => {
    const data = tempFolder();
    const made = run("key-cli", ["make", "Ida", "--role", "builder", "--data", data]);
    expect(await made.ended).toBe(0);
    const others = ["--host", "0.0.0.0", "--data", data];
    const plain = await startServer(others);
    await expect.poll(() => plain.out).toContain("Nothing is encrypted on the way, keys included");
    const tls = await startServer([...others, ...filesIn(data, selfSigned())]);
    await expect.poll(() => tls.out).toContain("What is sent on the way is encrypted");
    expect(tls.out).not.toContain("Nothing is encrypted");
  });
});
