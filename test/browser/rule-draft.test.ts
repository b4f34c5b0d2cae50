import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  blankRule,
  idFrom,
  isBlank,
  joined,
  kindOf,
  type Path,
  partAt,
  pathOf,
  pointerOf,
  readJson,
  readNumber,
  withPart,
  writeJson,
} from "../../web/rule-draft.js";

const leaf = fc.record({
  fact: fc.constantFrom("part", "layers", "head"),
  operator: fc.constantFrom("equal", "in"),
  value: fc.oneof(fc.integer(), fc.string({ maxLength: 8 })),
});
const conditions = fc.letrec<{ node: object }>((tie) => ({
  node: fc.oneof(
    { depthSize: "small" },
    leaf,
    fc.array(tie("node"), { minLength: 1, maxLength: 3 }).map((all) => ({ all })),
    fc.array(tie("node"), { minLength: 1, maxLength: 3 }).map((any) => ({ any })),
    tie("node").map((not) => ({ not })),
  ),
})).node;
const leavesOf = (node: unknown): readonly unknown[] => {
  const kind = kindOf(node);
  if (kind === "leaf" || kind === null) return [node];
  const below = (node as Readonly<Record<string, unknown>>)[kind];
  return Array.isArray(below) ? below.flatMap(leavesOf) : leavesOf(below);
};
const path: fc.Arbitrary<Path> = fc.array(fc.oneof(fc.string({ maxLength: 5 }), fc.nat(3)), {
  minLength: 1,
  maxLength: 4,
});

describe("a rule that is being written", () => {
  it("has at a place what was written there, and everything else as it was", () => {
    const rule = blankRule();
    fc.assert(
      fc.property(path, fc.jsonValue(), (where, part) => {
        const next = withPart(rule, where, part);
        expect(partAt(next, where)).toEqual(part);
        for (const key of Object.keys(rule)) if (key !== String(where[0])) expect(next[key]).toBe(rule[key]);
      }),
    );
    expect(rule).toEqual(blankRule());
  });

  it("closes up where something is taken out of a list, and has no such key where it is taken out of an object", () => {
    const rule = { list: [1, 2, 3], why: "so" };
    expect(withPart(rule, ["list", 1], undefined)).toEqual({ list: [1, 3], why: "so" });
    expect(withPart(rule, ["why"], undefined)).toEqual({ list: [1, 2, 3] });
  });

  it("is found by the pointers of its problems (RFC 6901, section 3)", () => {
    expect(pointerOf(["conditions", "all", 0, "a/b~c"])).toBe("/conditions/all/0/a~1b~0c");
    fc.assert(
      fc.property(path, (where) => {
        expect(pathOf(pointerOf(where))).toEqual(where.map(String));
      }),
    );
    expect(isBlank(blankRule(), "/why")).toBe(true);
    expect(isBlank(blankRule(), "/examples")).toBe(true);
    expect(isBlank(blankRule(), "/family")).toBe(false);
  });

  it("keeps every condition when a group is joined otherwise", () => {
    fc.assert(
      fc.property(conditions, fc.constantFrom("all", "any", "not"), (node, join) => {
        const next = joined(node, join);
        expect(kindOf(next)).toBe(join);
        expect(leavesOf(next)).toEqual(leavesOf(node));
      }),
    );
  });

  it("says the same as JSON and read back", () => {
    fc.assert(
      fc.property(fc.dictionary(fc.string(), fc.jsonValue(), { noNullPrototype: true }), (rule) => {
        if (Array.isArray(rule.rules)) return;
        const read = readJson(writeJson(rule));
        expect(read).toEqual({ rules: [JSON.parse(JSON.stringify(rule))] });
      }),
    );
  });

  it("that is no JSON is placed by line and column, never past the text", () => {
    expect(readJson('{\n  "title": "x"\n  "why"\n}')).toMatchObject({ line: 3, column: 3 });
    fc.assert(
      fc.property(fc.string(), (text) => {
        const read = readJson(text);
        if (!("wrong" in read)) return;
        expect(read.line).toBeGreaterThanOrEqual(1);
        expect(read.line).toBeLessThanOrEqual(text.split("\n").length);
        expect(read.column).toBeGreaterThanOrEqual(1);
      }),
    );
    expect(readJson("[1, 2]")).toHaveProperty("wrong");
    expect(readJson("null")).toHaveProperty("wrong");
  });

  it("gets its short name from its title", () => {
    expect(idFrom("Rib 3's heads – flush, über all")).toBe("rib-3s-heads-flush-uber-all");
    fc.assert(
      fc.property(fc.string({ maxLength: 200 }), (title) => {
        const id = idFrom(title);
        expect(id === "" || /^[A-Za-z0-9][A-Za-z0-9-]{0,59}$/.test(id)).toBe(true);
      }),
    );
  });
});

describe("a number as it is typed", () => {
  it.each([
    ["3.2", "mm", 3.2],
    ["3,2", "mm", 3.2],
    ["3.2 mm", "mm", 3.2],
    ["0.125 in", "mm", 3.175],
    ['1/8"', "mm", 3.175],
    ["-0.5", "mm", -0.5],
    ["2", "count", 2],
    ["2.5", "diameters", 2.5],
  ])("%s (%s) is %d", (typed, unit, value) => {
    expect(readNumber(typed, unit)).toBeCloseTo(value, 9);
  });

  it.each([
    ["1/8", "mm"],
    ["1/0 in", "mm"],
    ["3.2 mm", "count"],
    ["1,234.5", "mm"],
    ["1e3", "mm"],
    ["", "mm"],
    ["three", "mm"],
    ["Infinity", null],
  ])("%s (%s) is not guessed at", (typed, unit) => {
    expect(readNumber(typed, unit)).toBeNull();
  });

  it("comes back as it was written out, up to a millionth", () => {
    fc.assert(
      fc.property(fc.integer({ min: -1_000_000, max: 1_000_000 }), (thousandths) => {
        expect(readNumber(String(thousandths / 1000), "mm")).toBe(thousandths / 1000);
      }),
    );
  });
});
