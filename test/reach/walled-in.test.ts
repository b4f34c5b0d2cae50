import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { HoleReach } from "../../server/reach/types.js";
import { freeApproaches, isWalledIn } from "../../server/reach/walled-in.js";

const blocker = (part: string) =>
  ({ part, kind: "geometry", room: "puller nose", side: "head", why: null }) as const;

/** @param approaches  by name, the parts in the way; those after "own" are of the hole's own stack */
function holeReach(
  approaches: Readonly<Record<string, { by?: readonly string[]; own?: readonly string[] }>>,
): HoleReach {
  return {
    hole: "rib.a.1",
    approaches: Object.entries(approaches).map(([approach, { by = [], own = [] }]) => ({
      approach,
      blockedBy: by.map(blocker),
      ownStack: own.map(blocker),
    })),
  };
}

describe("free approaches", () => {
  const rivet = holeReach({ outside: { by: ["mount"] }, inside: { by: ["skin", "spar"] } });

  test("a part that is not closed takes no approach away: it comes off again", () => {
    expect(freeApproaches(rivet, new Set())).toEqual(["outside", "inside"]);
    expect(freeApproaches(rivet, new Set(["rib"]))).toEqual(["outside", "inside"]);
  });

  test("a rivet with one approach left is not walled in", () => {
    expect(freeApproaches(rivet, new Set(["mount"]))).toEqual(["inside"]);
    expect(isWalledIn(rivet, new Set(["mount"]))).toBe(false);
  });

  test("a rivet is walled in once closed parts take every approach", () => {
    expect(isWalledIn(rivet, new Set(["mount", "spar"]))).toBe(true);
  });

  test("what the hole's own stack blocks is never free, closed or not", () => {
    const own = holeReach({ outside: { own: ["rib"] } });
    expect(freeApproaches(own, new Set())).toEqual([]);
    expect(isWalledIn(own, new Set())).toBe(true);
  });
});

test("closing more parts never frees an approach", () => {
  const parts = fc.subarray(["a", "b", "c", "d", "e"]);
  const approaches = fc.dictionary(
    fc.constantFrom("outside", "inside", "end"),
    fc.record({ by: parts, own: fc.constantFrom([], ["a"]) }),
  );
  fc.assert(
    fc.property(approaches, parts, parts, (drawn, closed, more) => {
      const before = freeApproaches(holeReach(drawn), new Set(closed));
      const after = freeApproaches(holeReach(drawn), new Set([...closed, ...more]));
      expect(before).toEqual(expect.arrayContaining(after));
    }),
  );
});
