import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { Problem } from "../../server/problem.js";
import { firstBreak } from "../../server/store/chain.js";
import type { Entry, ShopBook } from "../../server/store/contract.js";
import { VersionStale } from "../../server/store/decide.js";
import { revision, shopRule, step } from "../shop/rules.js";
import { KINDS } from "./books.js";
import { setting } from "./statement.js";

/** The code of the problem that the act throws. */
function codeOf(act: () => unknown): string {
  try {
    act();
  } catch (error) {
    if (error instanceof Problem) return error.code;
    throw error;
  }
  throw new Error("It did not throw.");
}

describe.each(KINDS)("a shop book $name", ({ open }) => {
  it("starts empty at version 0", () => {
    expect(open().snapshot()).toEqual({ version: 0, entries: [] });
  });

  it("keeps what was recorded, with who, when and in which order", () => {
    const book = open();
    const receipt = book.append([setting("A.top.1"), setting("A.top.2")], { key: "k1", expected: 0 });

    expect(receipt.version).toBe(2);
    expect(receipt.repeated).toBe(false);
    expect(book.version()).toBe(2);
    expect(book.snapshot().entries).toEqual(receipt.entries);
    expect(book.since(1)).toEqual([
      {
        ...setting("A.top.2"),
        seq: 2,
        at: "2031-05-04T10:00:00.000Z",
        key: "k1",
        prevHash: receipt.entries[0]?.hash,
        hash: expect.stringMatching(/^[0-9a-f]{64}$/),
      },
    ]);
    expect(book.since(2)).toEqual([]);
  });

  it("gives the first receipt again when the same act is sent again, even after other entries", () => {
    const book = open();
    const first = book.append([setting("A.top.1")], { key: "k1", expected: 0 });
    book.append([setting("A.top.2")], { key: "k2", expected: 1 });

    const again = book.append([setting("A.top.1")], { key: "k1", expected: 0 });

    expect(again).toEqual({ ...first, repeated: true });
    expect(book.version()).toBe(2);
  });

  it("refuses a key that was used for another act", () => {
    const book = open();
    book.append([setting("A.top.1")], { key: "k1", expected: "any" });

    expect(codeOf(() => book.append([setting("A.top.2")], { key: "k1", expected: "any" }))).toBe(
      "IDEMPOTENCY_REUSED",
    );
    expect(
      codeOf(() => book.append([setting("A.top.1"), setting("A.top.2")], { key: "k1", expected: "any" })),
    ).toBe("IDEMPOTENCY_REUSED");
    expect(book.version()).toBe(1);
  });

  it("never lets a second phone overwrite the first without seeing it", () => {
    const book = open();
    book.append([setting("A.top.1")], { key: "k1", expected: 0 });

    let stale: unknown;
    try {
      book.append([setting("A.top.2")], { key: "k2", expected: 0 });
    } catch (error) {
      stale = error;
    }
    expect(stale).toBeInstanceOf(VersionStale);
    expect(stale).toMatchObject({ code: "VERSION_STALE", version: 1 });
    expect(book.version()).toBe(1);
    // A refused key is not used up: the same act goes through with the right version.
    expect(book.append([setting("A.top.2")], { key: "k2", expected: 1 }).version).toBe(2);
  });

  it("lets two people work on two assemblies, on the rules and on notes without getting in each other's way", () => {
    const book = open();
    const rule = shopRule("a");
    const elsewhere = { ...setting("B.top.1"), assembly: "tail" };
    const note = {
      kind: "note",
      by: "builder",
      kit: "kit",
      assembly: "wing",
      body: { text: "sharp" },
    } as const;
    book.append([setting("A.top.1")], { key: "k1", expected: 0 });

    expect(book.append([elsewhere], { key: "k2", expected: 0 }).version).toBe(2);
    expect(book.append([revision(rule, 1)], { key: "k3", expected: 0 }).version).toBe(3);
    expect(book.append([note], { key: "k4", expected: 0 }).version).toBe(4);
    expect(book.append([setting("A.top.2")], { key: "k5", expected: 1 }).version).toBe(5);

    const stale = (act: () => unknown) => expect(codeOf(act)).toBe("VERSION_STALE");
    stale(() => book.append([setting("A.top.3")], { key: "k6", expected: 4 }));
    stale(() => book.append([elsewhere], { key: "k7", expected: 1 }));
    stale(() => book.append([revision(shopRule("b"), 1)], { key: "k8", expected: 2 }));
    stale(() => book.append([step(rule, 1, "propose")], { key: "k9", expected: 0 }));
    stale(() => book.append([elsewhere, setting("A.top.3")], { key: "k10", expected: 2 }));
    expect(book.append([revision(rule, 1, "builder", "other")], { key: "k11", expected: 0 }).version).toBe(6);
    expect(book.version()).toBe(6);
  });

  it("counts marks sent again as the same act, whatever was ruled meanwhile", () => {
    const book = open();
    const ruled = (verdict: "settled" | "undecided") => ({
      ...setting("A.top.1"),
      body: {
        ...setting("A.top.1").body,
        ruled: [{ holes: ["A.top.1"], verdict, settled: {}, open: [], rules: [] }],
      },
    });
    const first = book.append([ruled("undecided")], { key: "k1", expected: 0 });
    expect(book.append([ruled("settled")], { key: "k1", expected: 0 })).toEqual({ ...first, repeated: true });
  });

  it("takes over another copy of itself, entry by entry as it is, and goes on from there", () => {
    const book = open();
    const other = open();
    other.append([setting("A.top.1"), setting("A.top.2")], { key: "k1", expected: 0 });
    other.append([revision(shopRule("a"), 1)], { key: "k2", expected: 2 });

    expect(book.adopt(other.since(0))).toBe(3);
    expect(book.snapshot()).toEqual(other.snapshot());
    expect(book.adopt(other.since(0))).toBe(0);
    other.append([setting("A.top.3")], { key: "k3", expected: "any" });
    expect(book.adopt(other.since(0))).toBe(1);
    expect(book.append([setting("A.top.1")], { key: "k1b", expected: "any" }).version).toBe(5);
    expect(firstBreak(book.since(0))).toBeNull();
  });

  it("takes over nothing of a copy that goes on differently or is not whole", () => {
    const book = open();
    const other = open();
    book.append([setting("A.top.1")], { key: "k1", expected: 0 });
    other.append([setting("A.top.2")], { key: "k1", expected: 0 });
    other.append([setting("A.top.3")], { key: "k2", expected: 1 });
    const before = book.snapshot();
    expect(codeOf(() => book.adopt(other.since(0)))).toBe("IMPORT_DIVERGES");
    expect(codeOf(() => book.adopt(other.since(1)))).toBe("IMPORT_BROKEN");
    const [a, b] = other.since(0) as [Entry, Entry];
    expect(codeOf(() => open().adopt([a, { ...b, by: "nobody" }]))).toBe("IMPORT_BROKEN");
    expect(book.snapshot()).toEqual(before);
  });

  it("refuses a version from the future", () => {
    const book = open();
    expect(codeOf(() => book.append([setting("A.top.1")], { key: "k1", expected: 7 }))).toBe("VERSION_STALE");
  });

  it("records nothing for an empty list", () => {
    const book = open();
    expect(codeOf(() => book.append([], { key: "k1", expected: 0 }))).toBe("NOTHING_TO_RECORD");
    expect(book.version()).toBe(0);
  });

  it("records all of an act or none of it", () => {
    const book = open();
    const unprintable = { ...setting("A.top.2"), by: "\ud800" };
    expect(() => book.append([setting("A.top.1"), unprintable], { key: "k1", expected: 0 })).toThrow();
    expect(book.snapshot()).toEqual({ version: 0, entries: [] });
  });

  it("is not changed by what the caller does to its own objects", () => {
    const book = open();
    const statement = setting("A.top.1");
    book.append([statement], { key: "k1", expected: 0 });
    (statement as { by: string }).by = "somebody else";
    (book.since(0)[0] as { by: string }).by = "somebody else";
    expect(book.since(0)[0]?.by).toBe("builder");
  });

  it("keeps text exactly as it was given, markup and quotes included", () => {
    const book = open();
    const by = `<img src=x onerror="alert(1)">'; DROP TABLE entries; -- ß 🔩`;
    book.append([{ ...setting("A.top.1"), by }], { key: "k1", expected: 0 });
    expect(book.since(0)[0]?.by).toBe(by);
  });

  it("answers nothing once it is closed", () => {
    const book = open();
    book.close();
    book.close();
    expect(codeOf(() => book.version())).toBe("SHOPBOOK_CLOSED");
    expect(codeOf(() => book.since(0))).toBe("SHOPBOOK_CLOSED");
    expect(codeOf(() => book.append([setting("A.top.1")], { key: "k", expected: 0 }))).toBe(
      "SHOPBOOK_CLOSED",
    );
  });

  it("for any run of acts: each accepted act is there once, in order, and the chain is whole", () => {
    const act = fc.record({
      key: fc.constantFrom("a", "b", "c", "d", "e"),
      holes: fc.array(fc.constantFrom("A.top.1", "A.top.2", "B.web.1"), { minLength: 1, maxLength: 3 }),
      behind: fc.constantFrom(0, 0, 0, 1),
    });
    fc.assert(
      fc.property(fc.array(act, { maxLength: 12 }), (acts) => {
        const book = open();
        const accepted = new Map<string, readonly string[]>();
        for (const { key, holes, behind } of acts) attempt(book, key, holes, behind, accepted);
        const { entries } = book.snapshot();
        expect(entries.map((entry) => entry.key)).toEqual([...accepted.keys()]);
        expect(entries.map((entry) => entry.body)).toEqual(
          [...accepted.values()].map((holes) => setting(...holes).body),
        );
        expect(firstBreak(entries)).toBeNull();
        book.close();
      }),
      { numRuns: 60 },
    );
  });
});

function attempt(
  book: ShopBook,
  key: string,
  holes: readonly string[],
  behind: number,
  accepted: Map<string, readonly string[]>,
): void {
  try {
    const receipt = book.append([setting(...holes)], { key, expected: book.version() - behind });
    if (!receipt.repeated) accepted.set(key, holes);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    expect(["VERSION_STALE", "IDEMPOTENCY_REUSED"]).toContain(error.code);
  }
}
