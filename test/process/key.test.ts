import { mkdirSync, writeFileSync } from "node:fs";
import { request } from "node:http";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { fits } from "../../server/keys/key.js";
import { KEY_RING, sqliteKeys } from "../../server/keys/sqlite.js";
import { PATIENCE_MS, run, startServer, tempFolder } from "./program.js";

async function key(data: string, ...args: string[]) {
  const program = run("key-cli", [...args, "--data", data]);
  return { code: await program.ended, out: program.out, err: program.err };
}

/** A GET under a Host header of our choice, which fetch does not allow. */
function statusFor(address: string, host: string): Promise<number | undefined> {
  const { port } = new URL(address);
  return new Promise((resolve, reject) => {
    request({ host: "127.0.0.1", port, path: "/api/kits", headers: { host } }, (reply) => {
      reply.resume();
      resolve(reply.statusCode);
    })
      .on("error", reject)
      .end();
  });
}

describe("the command for keys", { timeout: PATIENCE_MS }, () => {
  it("makes a key, shows it once, lists it without its secret, and revokes it", async () => {
    const data = tempFolder();
    const made = await key(data, "make", "Ida", "Berg", "--role", "mentor");
    expect(made).toMatchObject({ code: 0, err: expect.stringContaining("shown this once") });
    const shown = made.out.trim();

    const [stored] = sqliteKeys(join(data, KEY_RING)).list();
    expect(stored).toMatchObject({ name: "Ida Berg", role: "mentor", revokedAt: null });
    expect(await fits(shown, stored ?? null)).toBe(true);

    const listed = await key(data, "list");
    expect(listed.out).toContain(`${stored?.id}  mentor   Ida Berg`);
    expect(listed.out).not.toContain(shown.slice(11));

    expect((await key(data, "revoke", stored?.id ?? "")).code).toBe(0);
    expect((await key(data, "list")).out).toContain("revoked");
    expect(sqliteKeys(join(data, KEY_RING)).list()[0]?.revokedAt).not.toBeNull();
  });

  it.each([
    ["nothing to do", [], /^ARGUMENT_INVALID: There is nothing to do\. Fix: .*npm run key/],
    ["a key without a role", ["make", "Ida"], /^ARGUMENT_INVALID: --role must be mentor or builder\./],
    ["a role that is none", ["make", "Ida", "--role", "boss"], /^ARGUMENT_INVALID: --role/],
    ["a key for nobody", ["make", "--role", "mentor"], /^KEY_NAME_REFUSED: /],
    ["a key that was never made", ["revoke", "aaaaaaaaaa"], /^UNKNOWN_KEY: .*"aaaaaaaaaa"/],
    ["an act that it does not know", ["burn"], /^ARGUMENT_INVALID: "burn" is not known/],
  ])("refuses %s in one line", async (_what, args, message) => {
    const refused = await key(tempFolder(), ...args);
    expect(refused.code).toBe(1);
    expect(refused.err).toMatch(message);
    expect(refused.err.trim().split("\n")).toHaveLength(1);
    expect(refused.out).toBe("");
  });
});

describe("listening to other machines", { timeout: PATIENCE_MS }, () => {
  it("begins only once somebody has a key, and then every write needs one", async () => {
    const data = tempFolder();
    const refused = run("main", ["--port", "0", "--host", "0.0.0.0", "--data", data]);
    expect(await refused.ended).toBe(1);
    expect(refused.err).toMatch(/^HOST_NOT_LOOPBACK: .*nobody has a key.* Fix: .*npm run key/);

    const shown = (await key(data, "make", "Sam", "--role", "builder")).out.trim();
    const server = await startServer(["--host", "0.0.0.0", "--name", "bench.shop", "--data", data]);
    const address = server.address.replace("0.0.0.0", "127.0.0.1");
    await expect.poll(() => server.out).toContain("writing needs a key");
    expect(await statusFor(address, "bench.shop")).toBe(200);
    expect(await statusFor(address, "evil.example")).toBe(421);

    const write = (headers: Record<string, string>) =>
      fetch(`${address}api/marks`, {
        method: "POST",
        headers: {
          "content-type": "application/json",
          "idempotency-key": "k",
          "if-match": "*",
          ...headers,
        },
        body: "{}",
      });
    expect((await write({})).status).toBe(401);
    // Past the door, the empty body is what is wrong.
    expect((await write({ authorization: `Bearer ${shown}` })).status).toBe(400);

    // Revoked by the command, while the program runs.
    const [stored] = sqliteKeys(join(data, KEY_RING)).list();
    await key(data, "revoke", stored?.id ?? "");
    expect((await write({ authorization: `Bearer ${shown}` })).status).toBe(401);
  });

  it("does not begin on keys that were revoked, or that cannot be read", async () => {
    const data = tempFolder();
    await key(data, "make", "Sam", "--role", "builder");
    const keys = sqliteKeys(join(data, KEY_RING));
    keys.revoke(keys.list()[0]?.id ?? "", "2031-05-04T10:00:00.000Z");
    const revoked = run("main", ["--port", "0", "--host", "0.0.0.0", "--data", data]);
    expect(await revoked.ended).toBe(1);
    expect(revoked.err).toMatch(/^HOST_NOT_LOOPBACK: /);

    const broken = join(tempFolder(), "data");
    mkdirSync(broken);
    writeFileSync(join(broken, KEY_RING), "x".repeat(5000));
    const unread = run("main", ["--port", "0", "--host", "0.0.0.0", "--data", broken]);
    expect(await unread.ended).toBe(1);
    expect(unread.err).toMatch(/^KEYS_FAILED .*SQLITE_NOTADB/);
  });
});
