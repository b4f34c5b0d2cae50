import { sign, verify } from "node:crypto";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { checkingKey, fits, makeKey, readKey, signingKey } from "../../server/keys/key.js";
import { isSameName } from "../../server/same-name.js";

const AT = "2031-05-04T10:00:00.000Z";
const ida = await makeKey("Ida", "mentor", AT);
const sam = await makeKey("Sam", "builder", AT);

describe("a key", () => {
  it("fits what was kept of it and nothing else", async () => {
    expect(await fits(ida.shown, ida.stored)).toBe(true);
    expect(await fits(ida.shown, sam.stored)).toBe(false);
    expect(await fits(ida.shown, null)).toBe(false);
    expect(await fits("", null)).toBe(false);
    for (const at of [11, 30, ida.shown.length - 1]) {
      const other = ida.shown[at] === "A" ? "B" : "A";
      const changed = ida.shown.slice(0, at) + other + ida.shown.slice(at + 1);
      expect(await fits(changed, ida.stored)).toBe(false);
    }
  });

  it("is made with a public id, its holder's name, and its own salt", () => {
    expect(ida.stored).toMatchObject({ name: "Ida", role: "mentor", madeAt: AT, revokedAt: null });
    expect(ida.shown.startsWith(`${ida.stored.id}.`)).toBe(true);
    expect(ida.stored.scrypt.salt).not.toBe(sam.stored.scrypt.salt);
    expect(JSON.stringify(ida.stored)).not.toContain(ida.shown.slice(11));
  });

  it("is read only in the form in which it was shown", () => {
    expect(readKey(ida.shown)?.id).toBe(ida.stored.id);
    fc.assert(
      fc.property(fc.string(), (text) => {
        expect(readKey(text)).toBeNull();
      }),
    );
    for (const text of [`${ida.shown} `, ida.shown.toUpperCase(), ida.shown.slice(0, -1), `${ida.shown}A`]) {
      expect(readKey(text)).toBeNull();
    }
  });

  it("signs what its public key alone can check", () => {
    const { seed } = readKey(ida.shown) ?? { seed: new Uint8Array() };
    const signature = sign(null, Buffer.from("accepted"), signingKey(seed));
    expect(verify(null, Buffer.from("accepted"), checkingKey(ida.stored.publicKey), signature)).toBe(true);
    expect(verify(null, Buffer.from("accepted!"), checkingKey(ida.stored.publicKey), signature)).toBe(false);
    expect(verify(null, Buffer.from("accepted"), checkingKey(sam.stored.publicKey), signature)).toBe(false);
  });

  // RFC 8032, section 7.1, TEST 1: secret key, public key and signature of the empty message.
  it("signs as RFC 8032 has it", () => {
    const seed = Buffer.from("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60", "hex");
    const publicKey = Buffer.from("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "hex");
    const signature = sign(null, Buffer.alloc(0), signingKey(seed));
    expect(signature.toString("hex")).toBe(
      "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
    );
    expect(verify(null, Buffer.alloc(0), checkingKey(publicKey.toString("base64url")), signature)).toBe(true);
  });

  it.each(["", "   ", "two\nlines", "x".repeat(81), "a\u0000b", "tur\u202ened", "a\u2028b"])(
    "is not made for the name %j",
    async (name) => {
      await expect(makeKey(name, "builder", AT)).rejects.toMatchObject({ code: "KEY_NAME_REFUSED" });
    },
  );
});

describe("names", () => {
  it.each([
    ["Ida", "ida", true],
    ["Søren  Holm", " søren holm", true],
    ["Zoë", "Zoe\u0308", true],
    ["Ida", "Ira", false],
    ["Ida", "Ida B", false],
  ])("%j and %j: the same is %s", (a, b, same) => {
    expect(isSameName(a, b)).toBe(same);
  });
});
