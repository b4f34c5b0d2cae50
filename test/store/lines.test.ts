import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { canonicalJson } from "../../server/canonical.js";
import { Problem } from "../../server/problem.js";
import { hashOf } from "../../server/store/chain.js";
import type { Entry, Statement } from "../../server/store/contract.js";
import { entriesIn, linesOf } from "../../server/store/lines.js";
import { memoryBook } from "../../server/store/memory.js";
import { revision, shopRule, step } from "../shop/rules.js";
import { now } from "./books.js";
import { setting } from "./statement.js";

const rule = shopRule("a", {
  conditions: { not: { any: [{ fact: "rivetMm", operator: "in", value: [3.2, 4] }] } } as never,
});
const STATEMENTS: readonly Statement[] = [
  setting("A.top.1", "A.top.2"),
  { ...setting("A.top.3"), by: 'Søren "<b>" \u2028 🔩' },
  {
    ...setting("A.top.4"),
    body: {
      ...setting("A.top.4").body,
      ruled: [
        {
          holes: ["A.top.4"],
          verdict: "undecided",
          settled: { treatment: "dimple", finalDiameterMm: 4.1 },
          open: ["head"],
          rules: [{ rule: "manual-1", revision: null }],
        },
      ],
    },
  },
  revision(rule, 1),
  step(rule, 1, "propose"),
  step(rule, 1, "accept", { comments: [{ at: "/why", text: "Good." }], reference: "letter" }),
  { kind: "note", by: "builder", kit: "kit", assembly: "wing", body: { hole: "A.top.1", text: "sharp" } },
];

function bookOf(statements: readonly Statement[]): readonly Entry[] {
  const book = memoryBook({ now });
  for (const [i, statement] of statements.entries())
    book.append([statement], { key: `k${i}`, expected: "any" });
  return book.since(0);
}

const ENTRIES = bookOf(STATEMENTS);
const TEXT = [...linesOf(ENTRIES)].join("");

function problemIn(text: string): Problem {
  try {
    entriesIn(text, "book.jsonl");
  } catch (error) {
    if (error instanceof Problem) return error;
    throw error;
  }
  throw new Error("It did not throw.");
}

/** The text with one entry changed and its own hash made to fit, as somebody would who knows the format. */
function forged(index: number, change: (entry: Entry) => object): string {
  const entries = ENTRIES.map((entry, i) => {
    if (i !== index) return entry;
    const other = change(entry) as Entry;
    return { ...other, hash: hashOf(other) };
  });
  return [...linesOf(entries)].join("");
}

describe("the shop book as lines", () => {
  it("begins with what it is, how many entries follow and where the chain ends", () => {
    const [header, first] = TEXT.split("\n");
    expect(JSON.parse(header ?? "")).toEqual({
      format: "tailroom shop book 1",
      entries: STATEMENTS.length,
      head: ENTRIES.at(-1)?.hash,
    });
    expect(JSON.parse(first ?? "")).toEqual(ENTRIES[0]);
  });

  it("gives back every kind of entry as it was", () => {
    expect(entriesIn(TEXT, "book.jsonl")).toEqual(ENTRIES);
    expect(entriesIn([...linesOf([])].join(""), "book.jsonl")).toEqual([]);
  });

  it("for any book: gives back the same entries, and the same text for the same entries", () => {
    const word = fc.string({ minLength: 1, maxLength: 12, unit: "grapheme" });
    const statement: fc.Arbitrary<Statement> = fc.oneof(
      fc
        .record({ holes: fc.array(word, { minLength: 1, maxLength: 3 }), by: word })
        .map(({ holes, by }): Statement => ({ ...setting(...holes), by })),
      fc
        .record({ text: word, by: word })
        .map(
          ({ text, by }): Statement => ({ kind: "note", by, kit: "kit", assembly: "wing", body: { text } }),
        ),
      fc
        .record({ why: word, by: word })
        .map(({ why, by }): Statement => revision(shopRule("a", { why }), 1, by)),
    );
    fc.assert(
      fc.property(fc.array(statement, { maxLength: 8 }), (statements) => {
        const entries = bookOf(statements);
        const text = [...linesOf(entries)].join("");
        expect(entriesIn(text, "x")).toEqual(entries);
        expect([...linesOf(entriesIn(text, "x"))].join("")).toBe(text);
      }),
    );
  });

  it.each([
    ["a changed word", TEXT.replace('"sharp"', '"blunt"'), 8],
    ["a changed word with a hash that fits it", forged(2, (entry) => ({ ...entry, by: "nobody" })), 5],
    ["an entry taken out", TEXT.split("\n").toSpliced(3, 1).join("\n"), 4],
    ["the last entry cut off", TEXT.split("\n").slice(0, -2).join("\n"), 7],
    ["everything cut off", `${TEXT.split("\n")[0]}\n`, 1],
    [
      "two entries that changed places",
      TEXT.split("\n")
        .toSpliced(2, 2, TEXT.split("\n")[3] ?? "", TEXT.split("\n")[2] ?? "")
        .join("\n"),
      3,
    ],
    ["a line that is not JSON", TEXT.replace('{"assembly"', "{"), 2],
    ["a line in between", TEXT.replace("\n", "\n\n"), 2],
    ["a key twice", TEXT.replace('"seq":2', '"seq":2,"seq":2'), 3],
    ["a number written another way", TEXT.replace('"seq":3', '"seq":3.0'), 4],
    ["a key that no entry has", forged(0, (entry) => ({ ...entry, more: 1 })), 2],
    ["a key that reaches into prototypes", TEXT.replace('"settled":{', '"settled":{"__proto__":{"x":1},'), 4],
    ["a rule for one assembly", forged(3, (entry) => ({ ...entry, assembly: "wing" })), 5],
    ["marks for no assembly", forged(0, (entry) => ({ ...entry, assembly: null })), 2],
    ["a mark of another kind", TEXT.replace('"state":"set"', '"state":"done"'), 2],
    [
      "a rule that is none",
      forged(3, (entry) => ({ ...entry, body: { rule: { id: "a" }, revision: 1 } })),
      5,
    ],
    ["brackets without end", TEXT.replace('"A.top.1"', "[".repeat(100_000)), 2],
    ["half a letter", TEXT.replace("sharp", "\\ud800"), 8],
  ])("shows %s, and names the line", (_what, text, line) => {
    const problem = problemIn(text);
    expect(problem.code).toBe("IMPORT_BROKEN");
    expect(problem.message).toMatch(new RegExp(`^Line ${line} `));
    expect(problem.where.file).toBe("book.jsonl");
  });

  it.each([
    ["an empty file", ""],
    ["another format", TEXT.replace("shop book 1", "shop book 2")],
    ["something else", "PK\u0003\u0004"],
  ])("refuses %s", (_what, text) => {
    expect(problemIn(text).code).toBe("IMPORT_NOT_OURS");
  });

  it("for any single letter changed anywhere in it: is refused", () => {
    fc.assert(
      fc.property(fc.nat(TEXT.length - 2), fc.constantFrom("0", "x", '"', "}", ","), (at, letter) => {
        fc.pre(TEXT[at] !== letter);
        expect(problemIn(TEXT.slice(0, at) + letter + TEXT.slice(at + 1)).code).toMatch(/^IMPORT_/);
      }),
      { numRuns: 500 },
    );
  });
});

describe("canonical lines", () => {
  it("hold what was hashed, byte for byte", () => {
    const { hash, ...rest } = ENTRIES[0] as Entry;
    expect(TEXT.split("\n")[1]).toBe(canonicalJson({ ...rest, hash }));
  });
});
