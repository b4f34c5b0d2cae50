import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { beforeClosing, walledInNow } from "../../server/order/closing.js";
import type { BeforeClosing, HoleBefore } from "../../server/order/types.js";
import { type BenchInWords, type HoleInWords, standing } from "../support/in-words.js";

/** A doubler is riveted to a spar; a mount that comes over it later stands in the way of both sides. */
const DOUBLER: HoleInWords = {
  through: ["doubler", "spar"],
  approaches: { outside: ["mount"], inside: ["mount", "skin"] },
};
const MOUNT: HoleInWords = { through: ["mount", "spar"], approaches: { outside: [] } };

function closing(bench: BenchInWords, part: string): BeforeClosing {
  const { assembly, reach, work, rulings } = standing(bench);
  return beforeClosing(assembly, reach, work, part, rulings);
}

const ids = (holes: readonly HoleBefore[]): string[] => holes.map(({ hole }) => hole);

describe("before closing a part", () => {
  test("rivets under a mount are set before the mount, since it closes both sides", () => {
    const answer = closing({ holes: { "doubler.a.1": DOUBLER, "mount.a.1": MOUNT } }, "mount");
    expect(answer.status).toBe("open");
    expect(answer.mustBefore).toMatchObject([
      {
        hole: "doubler.a.1",
        because: ["walled in"],
        walledIn: "every way",
        throughPart: false,
        wallingWays: ["mount.a.1"],
        freeWays: [],
      },
    ]);
  });

  test("it is said for each approach which part will close it", () => {
    const [doubler] = closing({ holes: { "doubler.a.1": DOUBLER, "mount.a.1": MOUNT } }, "mount").mustBefore;
    expect(
      doubler?.approaches.map(({ approach, free, closes }) => [
        approach,
        free,
        closes.map(({ part }) => part),
      ]),
    ).toEqual([
      ["outside", true, ["mount"]],
      ["inside", true, ["mount"]],
    ]);
  });

  test("a part that is closed already has taken its share: only what is still free can be lost", () => {
    const bench = {
      holes: {
        "doubler.a.1": { ...DOUBLER, approaches: { outside: ["mount"], inside: ["skin"] } },
        "mount.a.1": { ...MOUNT, state: "set" },
        "skin.a.1": { through: ["skin", "spar"], approaches: { outside: [] } },
      },
    } satisfies BenchInWords;
    const [doubler] = closing(bench, "skin").mustBefore;
    expect(
      doubler?.approaches.map(({ free, blockedNow }) => [free, blockedNow.map(({ part }) => part)]),
    ).toEqual([
      [false, ["mount"]],
      [true, []],
    ]);
  });

  test("a rivet that keeps a side is not a must, and is named as losing one", () => {
    const bench = {
      holes: {
        "doubler.a.1": { ...DOUBLER, approaches: { outside: ["mount"], inside: [] } },
        "mount.a.1": MOUNT,
      },
    };
    const answer = closing(bench, "mount");
    expect(answer.mustBefore).toEqual([]);
    expect(ids(answer.alsoOneSided)).toEqual(["doubler.a.1"]);
  });

  test("a rivet that is set needs nothing any more", () => {
    const bench = {
      holes: { "doubler.a.1": { ...DOUBLER, state: "set" }, "mount.a.1": MOUNT },
    } satisfies BenchInWords;
    expect(closing(bench, "mount").mustBefore).toEqual([]);
  });

  test("a pinned rivet is not set: it is named like an open one", () => {
    const bench = {
      holes: { "doubler.a.1": { ...DOUBLER, state: "pinned" }, "mount.a.1": MOUNT },
    } satisfies BenchInWords;
    expect(ids(closing(bench, "mount").mustBefore)).toEqual(["doubler.a.1"]);
    expect(closing(bench, "mount").mustBefore[0]?.stack).toEqual([
      { part: "doubler", state: "pinned" },
      { part: "spar", state: "pinned" },
    ]);
  });

  test("a part that comes along with the closing may be what walls a rivet in", () => {
    const bench = {
      holes: {
        "rib.a.1": { through: ["rib", "web"], approaches: { outside: ["cover"] } },
        "skin.a.1": { through: ["skin", "cover"], approaches: { outside: [] } },
      },
    };
    const answer = closing(bench, "skin");
    expect(ids(answer.mustBefore)).toEqual(["rib.a.1"]);
    expect(answer.ways).toEqual([
      { holes: ["skin.a.1"], closes: ["cover", "skin"], wallsIn: ["rib.a.1"], shutsTogether: [] },
    ]);
  });

  test("where every way of closing brings some undecided layers together, though not the same ones, all are to be found out", () => {
    const open = { open: { treatment: "undecided" as const } };
    const bench = {
      holes: {
        "skin.a.1": { through: ["skin", "rib"], approaches: { outside: [] } },
        "skin.b.1": { through: ["skin", "spar"], approaches: { outside: [] } },
        "skin.a.2": { through: ["skin", "rib"], approaches: { outside: [] }, ruling: open },
        "skin.b.2": { through: ["skin", "spar"], approaches: { outside: [] }, ruling: open },
      },
    };
    expect(closing(bench, "skin").keepApart).toEqual(["skin.a.2", "skin.b.2"]);
  });

  test("where one way of closing walls a rivet in and another does not, it hangs on the way", () => {
    const bench = {
      holes: {
        "rib.a.1": { through: ["rib", "web"], approaches: { outside: ["cover"] } },
        "skin.a.1": { through: ["skin", "cover"], approaches: { outside: [] } },
        "skin.b.1": { through: ["skin", "spar"], approaches: { outside: [] } },
      },
    };
    const answer = closing(bench, "skin");
    expect(answer.mustBefore).toEqual([]);
    expect(answer.dependsOnWay).toMatchObject([
      { hole: "rib.a.1", walledIn: "some ways", wallingWays: ["skin.a.1"], freeWays: ["skin.b.1"] },
    ]);
  });

  test("a rivet through the part itself is the first to set when every other way walls it in", () => {
    const bench = {
      holes: {
        "skin.a.1": { through: ["skin", "rib"], approaches: { outside: ["cover"] } },
        "skin.b.1": { through: ["skin", "cover"], approaches: { outside: [] } },
      },
    };
    expect(closing(bench, "skin").mustBefore).toMatchObject([{ hole: "skin.a.1", throughPart: true }]);
  });

  test("the only rivet that closes a part need not be set before that part closes", () => {
    const bench = {
      holes: { "skin.a.1": { through: ["skin", "cover"], approaches: { outside: ["other"] } } },
    };
    expect(closing(bench, "skin")).toMatchObject({ status: "open", mustBefore: [], dependsOnWay: [] });
  });

  test("a part whose rivets are all out of reach cannot be closed", () => {
    const bench = {
      holes: {
        "skin.a.1": { through: ["skin"], approaches: { outside: ["cover"] } },
        "cover.a.1": { through: ["cover"], approaches: { outside: [] }, state: "set" },
      },
    } satisfies BenchInWords;
    expect(closing(bench, "skin")).toMatchObject({ status: "cannot close", ways: [] });
  });

  test("a closed part is said to be closed, with what was left behind it", () => {
    const bench = {
      holes: { "doubler.a.1": DOUBLER, "mount.a.1": { ...MOUNT, state: "set" } },
    } satisfies BenchInWords;
    const answer = closing(bench, "mount");
    expect(answer).toMatchObject({ status: "closed", ways: [], mustBefore: [] });
    expect(ids(answer.late)).toEqual(["doubler.a.1"]);
  });

  test("a rivet that no tool ever gets at was not left behind by what came over it", () => {
    const never: HoleInWords = { through: ["rib", "spar"], approaches: { outside: ["rib", "mount"] } };
    const bench = {
      holes: {
        "rib.a.1": never,
        "rib.a.2": { ...DOUBLER, through: ["rib", "spar"] },
        "mount.a.1": { ...MOUNT, state: "set" },
      },
    } satisfies BenchInWords;
    expect(ids(closing(bench, "mount").late)).toEqual(["rib.a.2"]);
  });

  test("a part that the assembly doesn't have is refused", () => {
    expect(() => closing({ holes: { "mount.a.1": MOUNT } }, "wing")).toThrow(
      expect.objectContaining({ code: "UNKNOWN_ID" }),
    );
  });
});

describe("order rules and holds before a closing", () => {
  const skin: HoleInWords = { through: ["skin", "spar"], approaches: { outside: [] } };
  const free: HoleInWords = { through: ["bracket", "spar"], approaches: { outside: [] } };

  test("a must rule names a rivet that geometry would leave free", () => {
    const ruled = { ...free, ruling: { orders: [{ before: "skin", strength: "must" as const }] } };
    const [bracket] = closing({ holes: { "bracket.a.1": ruled, "skin.a.1": skin } }, "skin").mustBefore;
    expect(bracket).toMatchObject({ hole: "bracket.a.1", because: ["order rule"], walledIn: "no way" });
    expect(bracket?.orderRules).toMatchObject([{ rule: "rule-order", relation: "before", verdict: "true" }]);
  });

  test("a must rule that hangs on an unknown fact is undecided, neither a must nor nothing", () => {
    const ruled = {
      ...free,
      ruling: { orders: [{ before: "skin", strength: "must" as const, verdict: "unknown" as const }] },
    };
    const answer = closing({ holes: { "bracket.a.1": ruled, "skin.a.1": skin } }, "skin");
    expect(answer.mustBefore).toEqual([]);
    expect(ids(answer.undecided)).toEqual(["bracket.a.1"]);
  });

  test("a preference is told apart from a must", () => {
    const ruled = { ...free, ruling: { orders: [{ before: "skin", strength: "prefer" as const }] } };
    const answer = closing({ holes: { "bracket.a.1": ruled, "skin.a.1": skin } }, "skin");
    expect(answer.mustBefore).toEqual([]);
    expect(ids(answer.preferBefore)).toEqual(["bracket.a.1"]);
  });

  test("a hold on a rivet that is about to be walled in is a contradiction", () => {
    const held = { ...DOUBLER, ruling: { settled: { hold: "twist-checked" } } };
    const bench = { holes: { "doubler.a.1": held, "mount.a.1": MOUNT } };
    expect(closing(bench, "mount").contradictions).toMatchObject([
      { hole: "doubler.a.1", walledIn: "every way", hold: { status: "settled", until: "twist-checked" } },
    ]);
  });

  test("once its milestone is reached, or a notice lifts it, the hold contradicts nothing", () => {
    const held = { ...DOUBLER, ruling: { settled: { hold: "twist-checked" } } };
    const lifted = { ...DOUBLER, ruling: { settled: { hold: "none" } } };
    const reached = [{ kind: "milestone", milestone: "twist-checked", reached: true }] as const;
    expect(
      closing({ holes: { "doubler.a.1": held, "mount.a.1": MOUNT }, marks: reached }, "mount").contradictions,
    ).toEqual([]);
    expect(closing({ holes: { "doubler.a.1": lifted, "mount.a.1": MOUNT } }, "mount").contradictions).toEqual(
      [],
    );
  });

  test("a hold of which the rules don't decide counts as one", () => {
    const maybe = { ...DOUBLER, ruling: { open: { hold: "undecided" as const } } };
    expect(
      closing({ holes: { "doubler.a.1": maybe, "mount.a.1": MOUNT } }, "mount").contradictions,
    ).toMatchObject([{ hole: "doubler.a.1", hold: { status: "undecided", until: null } }]);
  });

  test("without rulings only reach counts", () => {
    const ruled = { ...free, ruling: { orders: [{ before: "skin", strength: "must" as const }] } };
    const { assembly, reach, work } = standing({ holes: { "bracket.a.1": ruled, "skin.a.1": skin } });
    expect(beforeClosing(assembly, reach, work, "skin").mustBefore).toEqual([]);
  });
});

describe("walled in now", () => {
  test("rivets behind closed parts are named with what closed each side", () => {
    const { assembly, reach, work } = standing({
      holes: { "doubler.a.1": DOUBLER, "mount.a.1": { ...MOUNT, state: "set" } },
    });
    expect(walledInNow(assembly, reach, work)).toMatchObject([
      {
        hole: "doubler.a.1",
        never: false,
        approaches: [{ blockedNow: [{ part: "mount" }] }, { blockedNow: [{ part: "mount" }] }],
      },
    ]);
  });

  test("a rivet that its own part keeps from ever being set is told apart", () => {
    const own = { through: ["rib", "web"], approaches: { outside: ["rib"] } };
    const { assembly, reach, work } = standing({ holes: { "rib.a.1": own } });
    expect(walledInNow(assembly, reach, work)).toMatchObject([{ hole: "rib.a.1", never: true }]);
  });
});

describe("laws of closing", () => {
  const parts = ["A", "B", "C", "D"];
  const someHole = fc.record({
    through: fc.subarray(parts, { minLength: 1, maxLength: 2 }),
    approaches: fc.record({ outside: fc.subarray(parts), inside: fc.subarray(parts) }),
    state: fc.constantFrom("unset", "pinned", "set") as fc.Arbitrary<"unset" | "pinned" | "set">,
  });
  const bench = fc
    .array(someHole, { minLength: 1, maxLength: 6 })
    .map((holes) =>
      Object.fromEntries(holes.map((hole, i) => [`${hole.through[0]}.r.${i + 1}`, hole] as const)),
    );

  test("setting one more rivet never frees one that was walled in", () => {
    fc.assert(
      fc.property(bench, fc.nat(), (holes, which) => {
        const walled = (drawn: typeof holes): string[] => {
          const { assembly, reach, work } = standing({ holes: drawn });
          return walledInNow(assembly, reach, work).map(({ hole }) => hole);
        };
        const names = Object.keys(holes);
        const next = names[which % names.length] ?? "";
        const drawn = holes[next];
        if (!drawn) throw new Error("no such hole");
        const after = walled({ ...holes, [next]: { ...drawn, state: "set" } });
        expect(after).toEqual(expect.arrayContaining(walled(holes).filter((hole) => hole !== next)));
      }),
    );
  });

  test("a hole is in one list at most, and pins change none of them", () => {
    fc.assert(
      fc.property(bench, fc.constantFrom(...parts), (holes, part) => {
        fc.pre(Object.values(holes).some(({ through }) => through.includes(part)));
        const answer = closing({ holes }, part);
        const lists = [
          answer.mustBefore,
          answer.dependsOnWay,
          answer.undecided,
          answer.preferBefore,
          answer.alsoOneSided,
        ];
        const all = lists.flatMap(ids);
        expect(all).toHaveLength(new Set(all).size);
        const unpinned = Object.fromEntries(
          Object.entries(holes).map(([id, hole]) => [
            id,
            hole.state === "pinned" ? { ...hole, state: "unset" as const } : hole,
          ]),
        );
        const again = closing({ holes: unpinned }, part);
        expect([again.mustBefore, again.dependsOnWay, again.alsoOneSided].map(ids)).toEqual(
          [answer.mustBefore, answer.dependsOnWay, answer.alsoOneSided].map(ids),
        );
      }),
    );
  });
});
