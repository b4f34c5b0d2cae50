import { describe, expect, test } from "vitest";
import { mayClose } from "../../server/order/may-close.js";
import { mayPin } from "../../server/order/may-pin.js";
import { maySet, maySetTogether } from "../../server/order/may-set.js";
import { mayTreat } from "../../server/order/may-treat.js";
import type { May } from "../../server/order/types.js";
import { type BenchInWords, type HoleInWords, type RulingInWords, standing } from "../support/in-words.js";

/** Verdict, and the reasons as `weight code`. */
function said({ verdict, reasons }: May): readonly [string, string[]] {
  return [verdict, reasons.map(({ weight, code }) => `${weight} ${code}`)];
}

const plain = (through: readonly string[], more: Partial<HoleInWords> = {}): HoleInWords => ({
  through,
  approaches: { outside: [] },
  ...more,
});

/** One hole through a skin and a rib that are pinned together by a second one. */
function pinnedHole(more: Partial<HoleInWords> = {}, bench: Omit<BenchInWords, "holes"> = {}) {
  return standing({
    holes: {
      "skin.a.1": plain(["skin", "rib"], more),
      "skin.b.1": plain(["skin", "rib"], { state: "pinned" }),
    },
    ...bench,
  });
}

const ruled = (ruling: RulingInWords): Partial<HoleInWords> => ({ ruling });

describe("may this rivet be set", () => {
  test("yes, when nothing speaks against it", () => {
    expect(said(maySet(pinnedHole(), "skin.a.1"))).toEqual(["yes", []]);
  });

  test("not a second time", () => {
    expect(said(maySet(pinnedHole({ state: "set" }), "skin.a.1"))).toEqual(["no", ["no already-set"]]);
  });

  test("not while it is held, and the milestone is named", () => {
    const answer = maySet(pinnedHole(ruled({ settled: { hold: "fairing-matched" } })), "skin.a.1");
    expect(said(answer)).toEqual(["no", ["no held"]]);
    expect(answer.reasons[0]).toMatchObject({ hold: { until: "fairing-matched", ruleIds: ["rule-hold"] } });
  });

  test("unknown is never yes: an undecided treatment leaves it undecided, opposing rules are a conflict", () => {
    expect(maySet(pinnedHole(ruled({ open: { treatment: "undecided" } })), "skin.a.1").verdict).toBe(
      "undecided",
    );
    expect(maySet(pinnedHole(ruled({ open: { hold: "undecided" } })), "skin.a.1").verdict).toBe("undecided");
    expect(maySet(pinnedHole(ruled({ open: { rivet: "unclaimed" } })), "skin.a.1").verdict).toBe("undecided");
    expect(maySet(pinnedHole(ruled({ open: { head: "conflict" } })), "skin.a.1").verdict).toBe("conflict");
  });

  test("a broken limit is a no, a limit on an unknown number leaves it undecided", () => {
    expect(said(maySet(pinnedHole(ruled({ limit: "false" })), "skin.a.1"))).toEqual(["no", ["no limit"]]);
    expect(said(maySet(pinnedHole(ruled({ limit: "unknown" })), "skin.a.1"))[0]).toBe("undecided");
    expect(said(maySet(pinnedHole(ruled({ limit: "true" })), "skin.a.1"))[0]).toBe("yes");
  });

  test("not while a part of its stack has an open gate", () => {
    const prep = { rib: ["deburr"] };
    expect(said(maySet(pinnedHole({}, { prep }), "skin.a.1"))).toEqual(["no", ["no prep-open"]]);
    const marks = [{ kind: "prep", part: "rib", gate: "deburr", done: true }] as const;
    expect(said(maySet(pinnedHole({}, { prep, marks }), "skin.a.1"))).toEqual(["yes", []]);
  });

  test("a neighbour in the same skin whose treatment is open leaves it undecided: once closed, no layer is dimpled any more", () => {
    const here = standing({
      holes: {
        "skin.a.1": plain(["skin", "rib"], { state: "pinned" }),
        "skin.a.2": plain(["skin", "rib"], ruled({ open: { treatment: "undecided" } })),
      },
    });
    expect(said(maySet(here, "skin.a.1"))).toEqual([
      "undecided",
      ["undecided prep-unknown", "undecided prep-unknown", "undecided keep-apart"],
    ]);
  });

  test("dimples that are done elsewhere in the skin don't tell of a hole that is not settled: its layers are kept apart", () => {
    const dimple = { settled: { treatment: "dimple", finalDiameterMm: 3.2 } };
    const bench = (state: "set" | "unset") => ({
      holes: {
        "skin.a.1": plain(["skin", "rib"], { state: "pinned", ...ruled(dimple) }),
        "skin.a.2": plain(["skin", "rib"], ruled({ open: { treatment: "undecided" } })),
        "rib.b.1": plain(["rib", "spar"]),
        "skin.b.1": plain(["skin", "rib"], { state }),
      } satisfies BenchInWords["holes"],
      marks: ["skin", "rib"].map((part) => ({ kind: "prep", part, gate: "dimple", done: true }) as const),
    });
    const here = standing(bench("unset"));
    expect(said(maySet(here, "skin.a.1"))).toEqual([
      "undecided",
      ["note grip-unknown", "undecided keep-apart"],
    ]);
    expect(mayClose(here, "skin").verdict).toBe("undecided");
    expect(said(maySet(here, "rib.b.1"))[0]).toBe("yes");
    // Once they are together there is nothing left to keep apart.
    expect(said(maySet(standing(bench("set")), "skin.a.1"))[0]).toBe("yes");
  });

  test("not into a dead end: nothing is walled in at once, and yet two others can never both be set", () => {
    const here = standing({
      holes: {
        // Behind the cover and the lid; either may be hung before it as long as the other is not.
        "rib.a.1": plain(["rib"], { approaches: { left: ["cover"], right: ["lid"] } }),
        "lid.a.1": plain(["lid"], { approaches: { straight: ["rib"], behind: ["cover"] } }),
        "cover.a.1": plain(["cover"]),
      },
    });
    const walled = maySet(here, "cover.a.1").reasons.filter(({ code }) => code === "would-wall-in");
    expect(walled).toEqual([]);
    const dead = maySet(here, "cover.a.1").reasons.find(({ code }) => code === "dead-end");
    expect(dead).toMatchObject({ weight: "no", holes: ["rib.a.1", "lid.a.1"] });
    expect(mayClose(here, "cover").verdict).toBe("no");
    expect(maySet(here, "rib.a.1").verdict).toBe("yes");
  });

  test("a held hole is walled in like any other, though it is asked about together with what walls it in", () => {
    const here = standing({
      holes: {
        "hinge.a.1": plain(["hinge"], {
          approaches: { straight: ["skin"] },
          ...ruled({ settled: { hold: "aligned" } }),
        }),
        "skin.a.1": plain(["skin"]),
      },
    });
    const { each, together } = maySetTogether(here, ["hinge.a.1", "skin.a.1"]);
    expect(each.map(({ verdict }) => verdict)).toEqual(["no", "no"]);
    expect(together.filter(({ code }) => code === "in-this-order")).toEqual([]);
  });

  test("the kit's gates are past on a part that is closed already; this hole's own dimple is not", () => {
    const holes = {
      "skin.a.1": plain(["skin", "rib"]),
      "skin.b.1": plain(["skin", "rib"], { state: "set" }),
    } satisfies BenchInWords["holes"];
    expect(maySet(standing({ holes, prep: { skin: ["deburr"] } }), "skin.a.1").verdict).toBe("yes");
    const dimpled = {
      ...holes,
      "skin.a.1": plain(["skin", "rib"], ruled({ settled: { treatment: "dimple" } })),
    };
    expect(maySet(standing({ holes: dimpled }), "skin.a.1").verdict).toBe("no");
  });

  test("not when it would wall another in, and that one is named", () => {
    const here = standing({
      holes: {
        "mount.a.1": plain(["mount", "spar"]),
        "doubler.a.1": { through: ["doubler", "spar"], approaches: { outside: ["mount"] } },
      },
    });
    const answer = maySet(here, "mount.a.1");
    expect(answer.verdict).toBe("no");
    expect(answer.reasons.find(({ code }) => code === "would-wall-in")).toMatchObject({
      holes: [{ hole: "doubler.a.1", wallingWays: ["mount.a.1"] }],
    });
  });

  test("a held rivet that it would wall in is a contradiction, told as such", () => {
    const here = standing({
      holes: {
        "mount.a.1": plain(["mount", "spar"], { state: "pinned" }),
        "doubler.a.1": {
          through: ["doubler", "spar"],
          approaches: { outside: ["mount"] },
          ruling: { settled: { hold: "twist-checked" } },
        },
      },
    });
    expect(said(maySet(here, "mount.a.1"))[1]).toEqual(["no would-wall-in", "conflict walls-in-held"]);
  });

  test("not when walled in, whatever else is well", () => {
    const here = standing({
      holes: {
        "mount.a.1": plain(["mount", "spar"], { state: "set" }),
        "doubler.a.1": { through: ["doubler", "spar"], approaches: { outside: ["mount"] }, state: "pinned" },
      },
    });
    expect(said(maySet(here, "doubler.a.1"))).toEqual(["no", ["no walled-in"]]);
  });

  test("a pinned part in the way comes off again: that is a note, not a no", () => {
    const here = standing({
      holes: {
        "cover.a.1": plain(["cover", "spar"], { state: "pinned" }),
        "doubler.a.1": { through: ["doubler", "spar"], approaches: { outside: ["cover"] }, state: "pinned" },
      },
    });
    const answer = maySet(here, "doubler.a.1");
    expect(said(answer)).toEqual(["yes", ["note pinned-in-the-way"]]);
    expect(answer.reasons[0]).toMatchObject({ parts: ["cover"] });
  });
});

describe("order rules at a rivet", () => {
  const claim = (order: NonNullable<RulingInWords["orders"]>[number], cover: HoleInWords["state"]) =>
    standing({
      holes: {
        "skin.a.1": plain(["skin", "rib"], { ruling: { orders: [order] }, state: "pinned" }),
        "cover.a.1": plain(["cover"], { state: cover ?? "unset" }),
      },
    });

  test("a rivet to be set before a part: free while that part is off, wait for it to come off while it is pinned", () => {
    expect(maySet(claim({ before: "cover", strength: "must" }, "unset"), "skin.a.1").verdict).toBe("yes");
    expect(maySet(claim({ before: "cover", strength: "must" }, "pinned"), "skin.a.1").verdict).toBe("no");
  });

  test("a must that came too late is a conflict: nothing is picked", () => {
    expect(maySet(claim({ before: "cover", strength: "must" }, "set"), "skin.a.1").verdict).toBe("conflict");
  });

  test("a rivet to be set after a part waits until that part is on", () => {
    expect(maySet(claim({ after: "cover", strength: "must" }, "unset"), "skin.a.1").verdict).toBe("no");
    expect(maySet(claim({ after: "cover", strength: "must" }, "pinned"), "skin.a.1").verdict).toBe("yes");
  });

  test("a preference never forbids, and a must that may hold leaves it undecided", () => {
    expect(said(maySet(claim({ after: "cover", strength: "prefer" }, "unset"), "skin.a.1"))).toEqual([
      "yes",
      ["note order-rule"],
    ]);
    const unknown = { after: "cover", strength: "must", verdict: "unknown" } as const;
    expect(maySet(claim(unknown, "unset"), "skin.a.1").verdict).toBe("undecided");
  });

  test("closing a part by this rivet is refused while a rule wants another rivet first", () => {
    const here = claim({ before: "cover", strength: "must" }, "unset");
    expect(said(maySet(here, "cover.a.1"))).toEqual(["no", ["note stack-part-loose", "no order-rule"]]);
  });
});

describe("may these rivets be set in one go", () => {
  test("rivets that only look like a trap one by one may be set in the right order, which is given", () => {
    const here = standing({
      holes: {
        "mount.a.1": plain(["mount", "spar"]),
        "doubler.a.1": { through: ["doubler", "spar"], approaches: { outside: ["mount"] } },
      },
    });
    expect(maySet(here, "mount.a.1").verdict).toBe("no");
    const answer = maySetTogether(here, ["mount.a.1", "doubler.a.1"]);
    expect(answer.verdict).toBe("yes");
    expect(answer.together).toEqual([
      { weight: "note", code: "in-this-order", holes: ["doubler.a.1", "mount.a.1"] },
    ]);
  });

  test("rivets that wall each other in whatever the order are refused", () => {
    const here = standing({
      holes: {
        "left.a.1": { through: ["left", "spar"], approaches: { outside: ["right"] } },
        "right.a.1": { through: ["right", "spar"], approaches: { outside: ["left"] } },
      },
    });
    const answer = maySetTogether(here, ["left.a.1", "right.a.1"]);
    expect(answer.verdict).toBe("no");
    expect(answer.together).toEqual([
      { weight: "no", code: "wall-each-other-in", holes: ["left.a.1", "right.a.1"] },
    ]);
  });

  test("two rivets may each leave a third its last side, and both of them not", () => {
    const here = standing({
      holes: {
        "left.a.1": plain(["left"]),
        "right.a.1": plain(["right"]),
        "rib.a.1": { through: ["rib"], approaches: { outside: ["left"], inside: ["right"] } },
      },
    });
    expect(maySet(here, "left.a.1").verdict).toBe("yes");
    expect(maySet(here, "right.a.1").verdict).toBe("yes");
    const answer = maySetTogether(here, ["left.a.1", "right.a.1"]);
    expect(answer.verdict).toBe("no");
    expect(answer.each.map(({ verdict }) => verdict)).toEqual(["yes", "yes"]);
    expect(answer.together).toMatchObject([{ code: "would-wall-in", holes: [{ hole: "rib.a.1" }] }]);
  });

  test("those set already are passed over; when all are, there is nothing to set", () => {
    const here = pinnedHole({ state: "set" });
    expect(maySetTogether(here, ["skin.a.1", "skin.b.1"]).verdict).toBe("yes");
    expect(maySetTogether(here, ["skin.a.1"]).verdict).toBe("no");
  });
});

describe("may this part be closed", () => {
  const skin = plain(["skin", "rib"], { state: "pinned" });

  test("yes, when some rivet through it may be set and walls nothing in", () => {
    expect(said(mayClose(standing({ holes: { "skin.a.1": skin } }), "skin"))).toEqual(["yes", []]);
  });

  test("not while a rivet would be walled in whichever way it is closed", () => {
    const holes = { "skin.a.1": skin, "spar.a.1": { through: ["spar"], approaches: { inside: ["skin"] } } };
    expect(said(mayClose(standing({ holes }), "skin"))).toEqual(["no", ["no would-wall-in"]]);
  });

  test("not when each way walls in something, though never the same", () => {
    const holes = {
      "skin.a.1": plain(["skin", "left"]),
      "skin.b.1": plain(["skin", "right"]),
      "p.a.1": { through: ["p"], approaches: { inside: ["left"] } },
      "q.a.1": { through: ["q"], approaches: { inside: ["right"] } },
    };
    expect(said(mayClose(standing({ holes }), "skin"))).toEqual(["no", ["no every-way-walls-in"]]);
  });

  test("yes by the rivet that harms nothing, and the one to leave is named", () => {
    const holes = {
      "skin.a.1": plain(["skin", "left"]),
      "skin.b.1": plain(["skin", "right"]),
      "p.a.1": { through: ["p"], approaches: { inside: ["left"] } },
    };
    const answer = mayClose(standing({ holes }), "skin");
    expect(said(answer)).toEqual(["yes", ["note choose-way"]]);
    expect(answer.reasons[0]).toMatchObject({ use: ["skin.b.1"], avoid: ["skin.a.1"] });
  });

  test("not while its own gates are open, nor when all its rivets are held", () => {
    const holes = { "skin.a.1": skin };
    expect(mayClose(standing({ holes, prep: { skin: ["deburr"] } }), "skin").verdict).toBe("no");
    const held = { "skin.a.1": { ...skin, ruling: { settled: { hold: "twist-checked" } } } };
    expect(said(mayClose(standing({ holes: held }), "skin"))).toEqual(["no", ["no no-way-may-be-set"]]);
  });

  test("undecided while the treatment of a hole through it is open", () => {
    const open = { ...skin, ruling: { open: { treatment: "undecided" as const } } };
    expect(mayClose(standing({ holes: { "skin.a.1": open } }), "skin").verdict).toBe("undecided");
  });

  test("a part that is closed, or that nothing can close, is said to be so", () => {
    expect(said(mayClose(standing({ holes: { "skin.a.1": { ...skin, state: "set" } } }), "skin"))).toEqual([
      "no",
      ["no already-closed"],
    ]);
    const stuck = { "skin.a.1": { through: ["skin"], approaches: { outside: ["skin"] } } };
    expect(said(mayClose(standing({ holes: stuck }), "skin"))[1]).toContain("no nothing-closes-it");
  });
});

describe("may this hole be pinned", () => {
  test("a held hole may, that is what pins are for; a set one may not", () => {
    const held = pinnedHole(ruled({ settled: { hold: "twist-checked" } }));
    expect(said(mayPin(held, "skin.a.1"))).toEqual(["yes", ["note held"]]);
    expect(mayPin(pinnedHole({ state: "set" }), "skin.a.1").verdict).toBe("no");
  });

  test("parts may be pinned together before they are primed, and that is noted", () => {
    expect(said(mayPin(pinnedHole({}, { prep: { skin: ["prime"] } }), "skin.a.1"))).toEqual([
      "yes",
      ["note prep-open"],
    ]);
  });
});

describe("may this hole be treated", () => {
  const dimple = ruled({ settled: { treatment: "dimple", finalDiameterMm: 4, head: "flush" } });
  const loose = (more: Partial<HoleInWords>, bench: Omit<BenchInWords, "holes"> = {}) =>
    standing({ holes: { "skin.a.1": plain(["skin", "rib"], more) }, ...bench });

  test("a hole ruled dimple may be dimpled once it is enlarged", () => {
    expect(said(mayTreat(loose(dimple), "skin.a.1", "dimple"))).toEqual([
      "no",
      ["note as-ruled", "no enlarge-first"],
    ]);
    const marks = ["skin", "rib"].map(
      (part) => ({ kind: "prep", part, gate: "enlarge", done: true }) as const,
    );
    expect(said(mayTreat(loose(dimple, { marks }), "skin.a.1", "dimple"))).toEqual([
      "yes",
      ["note as-ruled"],
    ]);
  });

  test("a hole ruled otherwise may not, and what was ruled is named", () => {
    const answer = mayTreat(loose({}), "skin.a.1", "dimple");
    expect(said(answer)).toEqual(["no", ["no ruled-otherwise"]]);
    expect(answer.reasons[0]).toMatchObject({ ruled: "as punched", ruleIds: ["rule-treatment"] });
  });

  test("an unsettled treatment is undecided or a conflict, never yes", () => {
    expect(mayTreat(loose(ruled({ open: { treatment: "undecided" } })), "skin.a.1", "dimple").verdict).toBe(
      "undecided",
    );
    expect(
      mayTreat(loose(ruled({ open: { treatment: "conflict" } })), "skin.a.1", "countersink").verdict,
    ).toBe("conflict");
    expect(
      mayTreat(loose(ruled({ open: { finalDiameterMm: "undecided" } })), "skin.a.1", "enlarge").verdict,
    ).toBe("undecided");
  });

  test("enlarging goes by the finished size: nothing to enlarge where the punched hole is it", () => {
    expect(mayTreat(loose(dimple), "skin.a.1", "enlarge").verdict).toBe("yes");
    expect(said(mayTreat(loose({}), "skin.a.1", "enlarge"))).toEqual(["no", ["no nothing-to-enlarge"]]);
  });

  test("layers that are riveted together can't be dimpled: each has to be pressed by itself", () => {
    const here = standing({
      holes: {
        "skin.a.1": plain(["skin", "rib"], dimple),
        "skin.b.1": plain(["skin", "rib"], { state: "set" }),
      },
    });
    const answer = mayTreat(here, "skin.a.1", "dimple");
    expect(answer.verdict).toBe("no");
    expect(answer.reasons.find(({ code }) => code === "layers-together")).toMatchObject({
      parts: ["skin", "rib"],
    });
  });

  test("pinned layers come apart again: the pins come out first", () => {
    expect(said(mayTreat(pinnedHole(dimple), "skin.a.1", "dimple"))).toEqual([
      "no",
      ["note as-ruled", "note part-the-layers", "no enlarge-first"],
    ]);
  });

  test("of a hole that is ruled otherwise nothing is to be done first", () => {
    const sunk = ruled({ settled: { treatment: "countersink", finalDiameterMm: 4, head: "flush" } });
    expect(said(mayTreat(loose(sunk), "skin.a.1", "dimple"))).toEqual(["no", ["no ruled-otherwise"]]);
  });

  test("a riveted hole is past all treatment", () => {
    expect(said(mayTreat(pinnedHole({ ...dimple, state: "set" }), "skin.a.1", "dimple"))).toEqual([
      "no",
      ["no already-set"],
    ]);
  });
});
