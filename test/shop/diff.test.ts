import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { canonicalJson } from "../../server/canonical.js";
import { diffRules } from "../../server/shop/diff.js";
import { shopRule } from "./rules.js";

const leaf = (fact: string, value: unknown, operator = "equal") => ({ fact, operator, value });

describe("what changed between two revisions", () => {
  it("nothing, when both say the same in another order of keys", () => {
    const { id, ...rest } = shopRule("a");
    expect(diffRules(shopRule("a"), { ...rest, id })).toEqual([]);
  });

  it("names a changed text, an added departure and a removed example by their places", () => {
    const [first, second] = shopRule("a").examples;
    const third = { facts: { rivetMm: 5 }, fires: false };
    const before = shopRule("a", { examples: [first, second, third] as never });
    const departure = { from: ["manual-1"], reference: "letter of 3 May" };
    const after = shopRule("a", { why: "Because.", departure });
    expect(diffRules(before, after)).toEqual([
      { pointer: "/why", what: "changed", before: before.why, after: "Because." },
      { pointer: "/examples/2", what: "removed", before: third, after: null },
      { pointer: "/departure", what: "added", before: null, after: departure },
    ]);
  });

  it("a condition put in front does not make the others look changed", () => {
    const thick = leaf("thickestMm", 1, "lessThan");
    const before = shopRule("a", {
      conditions: { all: [leaf("rivetMm", 3.2), leaf("head", "flush")] } as never,
    });
    const after = shopRule("a", {
      conditions: { all: [thick, leaf("rivetMm", 4), leaf("head", "flush")] } as never,
    });
    expect(diffRules(before, after)).toEqual([
      {
        pointer: "/conditions/all/0",
        what: "changed",
        before: leaf("rivetMm", 3.2),
        after: thick,
      },
      { pointer: "/conditions/all/1", what: "added", before: null, after: leaf("rivetMm", 4) },
    ]);
    const inFront = shopRule("a", {
      conditions: { all: [thick, leaf("rivetMm", 3.2), leaf("head", "flush")] } as never,
    });
    expect(diffRules(before, inFront)).toEqual([
      { pointer: "/conditions/all/0", what: "added", before: null, after: thick },
    ]);
  });

  it("the value of a condition is one change, at the value", () => {
    const before = shopRule("a");
    const after = shopRule("a", { conditions: { all: [leaf("rivetMm", 4)] } as never });
    expect(diffRules(before, after)).toEqual([
      { pointer: "/conditions/all/0/value", what: "changed", before: 3.2, after: 4 },
    ]);
  });

  it("an all that became an any is another condition", () => {
    const of = [leaf("rivetMm", 3.2)];
    const before = shopRule("a", { conditions: { all: of } as never });
    const after = shopRule("a", { conditions: { any: of } as never });
    expect(diffRules(before, after)).toEqual([
      { pointer: "/conditions", what: "changed", before: { all: of }, after: { any: of } },
    ]);
  });

  it("for any two values: no change exactly when they are equal, and every place holds what is said of it", () => {
    const value = fc.object({ maxDepth: 4, maxKeys: 4, values: [fc.integer(), fc.string(), fc.boolean()] });
    fc.assert(
      fc.property(value, value, (one, two) => {
        const [a, b] = [JSON.parse(JSON.stringify(one)), JSON.parse(JSON.stringify(two))];
        const changes = diffRules(a, b);
        expect(changes.length === 0).toBe(canonicalJson(a) === canonicalJson(b));
        for (const { pointer, what, before, after } of changes) {
          if (what === "removed") expect(at(a, pointer)).toEqual(before);
          else expect(at(b, pointer)).toEqual(after);
        }
      }),
    );
  });
});

/** @source RFC 6901, section 4 */
function at(value: unknown, pointer: string): unknown {
  return pointer
    .split("/")
    .slice(1)
    .map((key) => key.replaceAll("~1", "/").replaceAll("~0", "~"))
    .reduce((inside, key) => (inside as Record<string, unknown>)[key], value);
}
