import { createHash } from "node:crypto";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { canonicalJson } from "../../server/canonical.js";
import { firstBreak, hashOf, seal } from "../../server/store/chain.js";
import type { Entry } from "../../server/store/contract.js";
import { setting } from "./statement.js";

const START = { version: 0, hash: null };

describe("canonical JSON", () => {
  it("sorts keys by code unit, as in the example of RFC 8785, section 3.2.3", () => {
    const value = {
      "\u20ac": "Euro Sign",
      "\r": "Carriage Return",
      "\ufb33": "Hebrew Letter Dalet With Dagesh",
      "1": "One",
      "\ud83d\ude00": "Emoji: Grinning Face",
      "\u0080": "Control",
      "\u00f6": "Latin Small Letter O With Diaeresis",
    };
    const names = ["\\r", "1", "\u0080", "\u00f6", "\u20ac", "\ud83d\ude00", "\ufb33"];
    const order = names.map((name) => canonicalJson(value).indexOf(`"${name}":`));
    expect(order).not.toContain(-1);
    expect(order).toEqual([...order].sort((a, b) => a - b));
  });

  it("prints numbers and texts as in the example of RFC 8785, section 3.2.2", () => {
    expect(
      canonicalJson(
        JSON.parse(String.raw`{
          "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
          "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
          "literals": [null, true, false]
        }`),
      ),
    ).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
  });

  it("refuses what JSON cannot hold", () => {
    for (const value of [
      undefined,
      Number.NaN,
      Number.POSITIVE_INFINITY,
      () => 0,
      { a: undefined },
      "\udc00",
    ]) {
      expect(() => canonicalJson(value)).toThrow(TypeError);
    }
  });

  it("for any value: reads back as the value, and does not depend on the order of keys", () => {
    fc.assert(
      fc.property(fc.jsonValue(), (value) => {
        const plain = JSON.parse(JSON.stringify(value));
        expect(JSON.parse(canonicalJson(plain))).toEqual(plain);
        expect(canonicalJson(turned(plain))).toBe(canonicalJson(plain));
      }),
    );
  });
});

/** The same value with the keys of every object in the opposite order. */
function turned(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(turned);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .reverse()
      .map(([key, field]) => [key, turned(field)]),
  );
}

describe("the hash chain", () => {
  const entries = seal(
    START,
    [setting("A.top.1"), setting("A.top.2"), setting("A.top.3")],
    "k",
    "2031-05-04",
  );

  it("hashes the canonical JSON of every field but the hash", () => {
    const first = entries[0] as Entry;
    const text =
      '{"assembly":"wing","at":"2031-05-04","body":{"marks":[{"hole":"A.top.1","kind":"hole","state":"set"}]},' +
      '"by":"builder","key":"k","kind":"marks","kit":"kit","prevHash":null,"seq":1}';
    expect(first.hash).toBe(createHash("sha256").update(text).digest("hex"));
    expect(hashOf(first)).toBe(first.hash);
  });

  it("is whole as it was sealed, and from any entry on", () => {
    expect(firstBreak(entries)).toBeNull();
    expect(firstBreak(entries.slice(1), { version: 1, hash: entries[0]?.hash ?? "" })).toBeNull();
  });

  it("shows a changed word, a missing entry and entries that changed places", () => {
    const [a, b, c] = entries as [Entry, Entry, Entry];
    expect(firstBreak([a, { ...b, by: "nobody" }, c])).toEqual({
      index: 1,
      what: "entry 2 was changed after it was written",
    });
    expect(firstBreak([a, c])).toEqual({ index: 1, what: "entry 2 is missing" });
    expect(firstBreak([b, a, c])?.index).toBe(0);
    const rehashed = { ...b, by: "nobody" };
    const forged = { ...rehashed, hash: hashOf(rehashed) };
    expect(firstBreak([a, forged, c])).toEqual({
      index: 2,
      what: "entry 3 does not follow the one before it",
    });
  });
});
