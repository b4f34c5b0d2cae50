import { beforeAll, describe, expect, it } from "vitest";
import { factsOf } from "../../server/facts/derive.js";
import { loadDictionary } from "../../server/facts/dictionary.js";
import { finder } from "../../server/kit/find.js";
import type { Hole } from "../../server/kit/types.js";
import { NO_WORK } from "../../server/kit/work.js";
import { reachOf } from "../../server/reach/reach.js";
import { freeApproaches, isWalledIn } from "../../server/reach/walled-in.js";
import { checkExamples } from "../../server/ruling/examples.js";
import { ruleOn } from "../../server/ruling/rule.js";
import { loadRulebook } from "../../server/ruling/rulebook.js";
import type { Rulings } from "../../server/ruling/types.js";
import { filesIn, kitFromDisk, ruleFiles } from "../support/job.js";

/** The invented demo kit, read from disk as the program does. */
const kit = kitFromDisk("sedge-two");
const [tailplane] = kit.assemblies;
if (!tailplane) throw new Error("the kit has no assembly");
const find = finder(tailplane);
const ids = tailplane.holes.map((hole) => hole.id);
const facts = factsOf(tailplane, NO_WORK);
const reach = reachOf(kit, tailplane);
const [dictionaryFile] = filesIn("rules", "facts.json");
if (!dictionaryFile) throw new Error("there is no fact dictionary");
const rulebook = loadRulebook(ruleFiles(), loadDictionary(dictionaryFile), kit);
let rulings: Rulings;
beforeAll(async () => {
  rulings = await ruleOn(rulebook, ids, facts);
});

/** Gap less its tolerance and the dome of a 3.2 mm rivet, 1.3 mm (`blind-head-height`), must leave 1.0 mm. */
const DOME_MM = 1.3;
const TOLERANCE_MM = 0.1;
const MARGIN_MM = 1.0;
/** Holes under the seal's outer end piece, which is measured on the aircraft: the kit can't know. */
const NOT_MEASURED = ["REAR-SPAR.top.28", "REAR-SPAR.top.29", "RIB-7.top.7", "RIB-7.top.8"];
const RIBS = ["RIB-1", "RIB-2", "RIB-3", "RIB-4", "RIB-5", "RIB-6", "RIB-7"];

function value(hole: string, attribute: string): unknown {
  const ruling = rulings.of(hole).attributes[attribute];
  return ruling?.status === "settled" ? ruling.value : null;
}
function holesWhere(test: (hole: Hole) => boolean): string[] {
  return tailplane?.holes.filter(test).map((hole) => hole.id) ?? [];
}
function holesWith(attribute: string, wanted: unknown): string[] {
  return ids.filter((id) => value(id, attribute) === wanted);
}
function run(row: string, first: number, last: number): string[] {
  return Array.from({ length: last - first + 1 }, (_, i) => `${row}.${first + i}`);
}
function reachOfHole(id: string) {
  const found = reach.holes[find.hole(id).index];
  if (!found) throw new Error(`no reach for ${id}`);
  return found;
}
/** Rooms in which a part stands, as "approach: room". */
function roomsBlockedBy(part: string, hole: string): string[] {
  return reachOfHole(hole).approaches.flatMap(({ approach, blockedBy }) =>
    blockedBy
      .filter((blocker) => blocker.part === part && blocker.kind === "geometry")
      .map((blocker) => `${approach}: ${blocker.room}`),
  );
}
/** The claim of a value whose conditions hold at the hole, although another value was settled. */
function losing(hole: string, attribute: string, claimed: unknown) {
  return rulings
    .trace(hole, attribute)
    .claims.find((claim) => claim.value === claimed && claim.verdict === "true");
}
const closed = (...parts: string[]): ReadonlySet<string> => new Set(parts);

describe("the drawing of the tailplane", () => {
  it("has at least 180 holes in at least fifteen parts, and at least five parts close in order", () => {
    expect(ids).toHaveLength(374);
    expect(tailplane.parts).toHaveLength(20);
    expect(tailplane.closings).toEqual([
      "WEB-DOUBLER",
      "SPAR-DOUBLER",
      "SERVO-MOUNT",
      "BOTTOM-SKIN",
      "SERVO-TRAY",
      "TOP-SKIN",
      "HINGE-1",
      "HINGE-2",
      "HINGE-3",
      "NOSE-SKIN",
      "ROOT-SKIN",
    ]);
  });

  it("has a family of seven ribs from root to tip, and three hinge brackets", () => {
    const members = new Map(tailplane.families.map((family) => [family.id, family.members]));
    expect(members.get("RIBS")).toEqual(RIBS);
    expect(members.get("HINGES")).toEqual(["HINGE-1", "HINGE-2", "HINGE-3"]);
    const stations = RIBS.map((rib) => find.part(rib).sheets[0]?.outline[0]?.[0] ?? Number.NaN);
    expect(stations).toEqual([...stations].sort((a, b) => a - b));
  });

  it("sets every hole in exactly one step, and brings every part on in exactly one", () => {
    expect(tailplane.steps.flatMap((step) => step.rows).sort()).toEqual(
      tailplane.rows.map((row) => row.id).sort(),
    );
    expect(tailplane.steps.flatMap((step) => step.parts).sort()).toEqual(
      tailplane.parts.map((part) => part.id).sort(),
    );
  });

  it("shows every hole square-on in exactly one view", () => {
    const facing = tailplane.holes.map(
      (hole) =>
        tailplane.views.filter((view) =>
          view.normal.every((n, i) => Math.abs(n - (hole.normal[i] ?? 0)) < 1e-9),
        ).length,
    );
    expect(new Set(facing)).toEqual(new Set([1]));
  });

  it("spaces rivets three to ten diameters apart, and at least two from any edge", () => {
    // AC 43.13-1B par. 4-57c(1) for the least; US Army AL0992, Rivet Spacing and Edge Distance, for the greatest pitch.
    for (const hole of tailplane.holes) {
      const edgeMm = Math.min(...hole.layers.map((layer) => layer.edgeMm));
      expect.soft(edgeMm / hole.rivet.diameterMm, hole.id).toBeGreaterThanOrEqual(2);
      const pitchMm = hole.pitchMm ?? Number.NaN;
      expect.soft(pitchMm / hole.rivet.diameterMm, hole.id).toBeGreaterThanOrEqual(3);
      expect.soft(pitchMm / hole.rivet.diameterMm, hole.id).toBeLessThanOrEqual(10);
    }
  });

  it("draws no rivet whose grip range the stack does not fit", () => {
    for (const { id, rivet, gripMm } of tailplane.holes) {
      if (!rivet.grip) continue;
      expect.soft(gripMm, id).toBeGreaterThanOrEqual(rivet.grip.minMm - 1e-9);
      expect.soft(gripMm, id).toBeLessThanOrEqual(rivet.grip.maxMm + 1e-9);
    }
    expect(kit.rivets.filter((rivet) => rivet.grip).map((rivet) => rivet.code)).toEqual([
      "PR-32-5",
      "PR-32-6",
      "PR-40-8",
    ]);
  });

  it("leaves every hole at least one approach that its own stack allows", () => {
    expect(reach.holes.filter((hole) => isWalledIn(hole, closed())).map((hole) => hole.hole)).toEqual([]);
  });
});

describe("rules of the tailplane", () => {
  it("keep their own examples", async () => {
    const records = new Map(ids.map((id, i) => [id, facts[i] ?? {}]));
    expect((await checkExamples(rulebook, records)).map(String)).toEqual([]);
    for (const rule of rulebook.rules) {
      expect
        .soft(new Set(rule.examples.map((example) => example.fires)), rule.id)
        .toEqual(new Set([true, false]));
    }
  });

  it("settle every hole but the four whose gap has not been measured", () => {
    expect(ids.filter((id) => rulings.of(id).verdict !== "settled")).toEqual(NOT_MEASURED);
  });

  it("leave a hole undecided while its gap is not known, and name the missing fact", () => {
    for (const id of NOT_MEASURED) {
      expect(find.hole(id).neighbour).toMatchObject({ id: "ELEVATOR-SEAL", gapMm: null });
      const head = rulings.of(id).attributes.head;
      expect(head).toMatchObject({ status: "undecided", value: null, missing: ["worstHeadroomMm"] });
      for (const attribute of ["treatment", "finalDiameterMm", "rivet"]) {
        expect(rulings.of(id).attributes[attribute]?.status, `${id} ${attribute}`).toBe("undecided");
      }
    }
  });

  it("settle a hole whose gap is not known when a notice decides it anyway", () => {
    for (const id of ["RIB-7.bottom.8", "REAR-SPAR.bottom.28", "REAR-SPAR.bottom.29"]) {
      expect(find.hole(id).neighbour?.gapMm).toBeNull();
      expect(value(id, "head")).toBe("protruding");
    }
  });
});

describe("heads under the elevator's gap seal", () => {
  const exempt = (hole: Hole): boolean =>
    hole.part === "RIB-4" ||
    hole.layers[0]?.part === "ROOT-SKIN" ||
    hole.rowId === "RIB-7.bottom" ||
    (hole.rowId === "REAR-SPAR.bottom" && hole.number >= 25);

  it("are flush where the least gap less a dome leaves under a millimetre in the worst case, and protruding where it leaves more", () => {
    for (const hole of tailplane.holes.filter((hole) => hole.neighbour && !exempt(hole))) {
      const { gapMm } = hole.neighbour ?? { gapMm: null };
      if (gapMm === null) continue;
      const roomMm = gapMm - TOLERANCE_MM - DOME_MM;
      expect
        .soft(value(hole.id, "head"), `${hole.id}: ${roomMm} mm`)
        .toBe(roomMm < MARGIN_MM ? "flush" : "protruding");
    }
  });

  it("have a gap for each place of the elevator's travel, least at one end of it", () => {
    const near = tailplane.holes.filter((hole) => (hole.neighbour?.gapMm ?? null) !== null);
    expect(near.length).toBeGreaterThan(80);
    for (const { id, neighbour } of near) {
      const gaps = new Map(neighbour?.positions.map(({ name, gapMm }) => [name, gapMm]));
      expect([...gaps.keys()], id).toEqual(["elevator neutral", "elevator full up", "elevator full down"]);
      const nearest = id.includes(".top.") ? "elevator full up" : "elevator full down";
      expect(gaps.get(nearest), id).toBe(neighbour?.gapMm);
      expect(Math.min(...[...gaps.values()].map(Number)), id).toBe(neighbour?.gapMm);
      expect(neighbour, id).toMatchObject({ toleranceMm: TOLERANCE_MM, headMarginMm: MARGIN_MM });
    }
  });

  it("are flush for the rear spar's rows and the rear ends of the ribs only", () => {
    const ordinary = ["RIB-2", "RIB-3", "RIB-5", "RIB-6"];
    expect(holesWith("head", "flush").sort()).toEqual(
      [
        ...run("REAR-SPAR.top", 3, 27),
        ...run("REAR-SPAR.bottom", 1, 24),
        ...ordinary.flatMap((rib) => run(`${rib}.top`, 7, 8)),
        ...["RIB-1", ...ordinary].map((rib) => `${rib}.bottom.8`),
        ...run("HINGE-2.outer", 1, 3),
      ].sort(),
    );
  });

  it("stay protruding on rib 4 alone: its flange is too thick to dimple and too thin to countersink", () => {
    // 0.040 in to dimple (AC 65-15A chapter 5); 0.064 in to countersink for 5/32 (US Army TM 9-2320-363-34-2 table 4).
    const flange = find.part("RIB-4").thicknessMm;
    expect(flange).toBeGreaterThan(0.04 * 25.4);
    expect(flange).toBeLessThan(0.064 * 25.4);
    for (const id of ["RIB-4.top.7", "RIB-4.top.8", "RIB-4.bottom.8"]) {
      expect((find.hole(id).neighbour?.gapMm ?? Number.NaN) - DOME_MM).toBeLessThan(MARGIN_MM);
      expect(value(id, "head")).toBe("protruding");
      expect(value(id, "treatment")).toBe("as punched");
      const flush = losing(id, "head", "flush");
      expect(flush?.lostTo).toMatchObject([
        { rule: "sedge-two-rib-4-protruding", principle: "narrower rule" },
      ]);
    }
  });
});

describe("holes that become flush", () => {
  it("are punched for 3.2 mm rivets and enlarged for 4.0 mm countersunk ones, in the skin and the part under it alike", () => {
    // Common practice, no source. Hole limits 4.1 to 4.2 mm: ISO 15978:2002 application data.
    const dimpled = holesWith("treatment", "dimple");
    expect(dimpled).toHaveLength(25 + 24 + 8 + 5);
    for (const id of dimpled) {
      const hole = find.hole(id);
      expect(hole.rivet.diameterMm).toBe(3.2);
      expect(hole.punchedMm).toBe(3.3);
      expect(value(id, "finalDiameterMm")).toBe(4.1);
      expect(value(id, "rivet")).toBe("CR-40-6");
      for (const layer of hole.layers) {
        expect.soft(layer.edgeMm, `${id} in ${layer.part}`).toBeGreaterThanOrEqual(2.5 * 4);
        expect
          .soft(find.part(layer.part).prep, layer.part)
          .toEqual(expect.arrayContaining(["unwrap", "enlarge", "deburr", "dimple", "clean", "prime"]));
      }
    }
  });

  it("are countersunk, not dimpled, where the plate on the head side is thick", () => {
    expect(holesWith("treatment", "countersink")).toEqual(run("HINGE-2.outer", 1, 3));
    expect(find.part("HINGE-2").thicknessMm).toBeGreaterThan(0.064 * 25.4);
  });

  it("are enlarged before they are dimpled, on every part", () => {
    for (const { id, prep } of tailplane.parts) {
      if (prep.includes("dimple")) expect(prep.indexOf("enlarge"), id).toBeLessThan(prep.indexOf("dimple"));
    }
    expect(tailplane.parts.some((part) => part.prep.includes("dimple"))).toBe(true);
  });
});

describe("pilot holes of the hinges", () => {
  it("are enlarged, so that bracket and spar are drilled together", () => {
    expect(holesWith("treatment", "enlarge")).toEqual(
      holesWhere((hole) => hole.part.startsWith("HINGE-") && hole.rowId !== "HINGE-2.outer"),
    );
    for (const id of holesWith("treatment", "enlarge")) expect(value(id, "finalDiameterMm")).toBe(4.1);
  });
});

describe("holes under the root skin", () => {
  const under = [...run("FRONT-SPAR.top", 1, 2), ...run("REAR-SPAR.top", 1, 2), ...run("RIB-1.top", 1, 8)];

  it("are never dimpled, even where the seal would ask for flush heads", () => {
    expect(ids.filter((_, i) => facts[i]?.overlap !== "none").sort()).toEqual([...under].sort());
    for (const id of under) expect(value(id, "treatment")).toBe("as punched");
    const tight = under.filter((id) => (find.hole(id).neighbour?.gapMm ?? 99) - DOME_MM < MARGIN_MM);
    expect(tight).toEqual([...run("REAR-SPAR.top", 1, 2), ...run("RIB-1.top", 7, 8)]);
  });

  it("stay open until the root fairing is matched", () => {
    expect(holesWith("hold", "root-fairing-matched").sort()).toEqual([...under].sort());
  });

  it("have a few neighbours that stay open until the twist is checked; how many is not critical", () => {
    const beside = [...run("FRONT-SPAR.top", 3, 4), ...run("REAR-SPAR.top", 3, 4)];
    expect(holesWith("hold", "twist-checked").sort()).toEqual(
      [...beside, ...run("RIB-1.bottom", 1, 8)].sort(),
    );
    expect(rulebook.byId.get("sedge-two-hold-beside-root-skin")?.why).toContain("not critical");
  });
});

describe("a change notice", () => {
  it("beats the manual: the root rib's bottom row waits for the twist check", () => {
    const trace = rulings.trace("RIB-1.bottom.4", "hold");
    expect(trace).toMatchObject({ status: "settled", value: "twist-checked" });
    expect(losing("RIB-1.bottom.4", "hold", "none")).toMatchObject({
      basis: { rank: "manual" },
      lostTo: [{ rule: "sedge-two-sn-1-root-rib-bottom", principle: "higher basis" }],
    });
  });

  it("keeps heads protruding that the manual wanted flush, outboard of rib 6 on the bottom", () => {
    for (const id of run("REAR-SPAR.bottom", 25, 27)) {
      const flush = losing(id, "head", "flush");
      expect(flush?.lostTo).toMatchObject([
        { rule: "sedge-two-sn-2-no-lower-lip", principle: "higher basis" },
      ]);
      expect(value(id, "head")).toBe("protruding");
    }
  });

  it("is listed by the kit, later than the manual that it overtakes", () => {
    const cited = rulebook.rules.filter((rule) => rule.basis.rank === "notice");
    expect(cited.map((rule) => rule.basis.dated)).toEqual(kit.notices.map((notice) => notice.dated));
    for (const [i, notice] of kit.notices.entries()) {
      expect(cited[i]?.basis.document).toContain(notice.id);
      expect(notice.dated > kit.dated).toBe(true);
    }
  });
});

describe("the servo mount", () => {
  const doubler = [...run("WEB-DOUBLER.lower", 1, 6), ...run("WEB-DOUBLER.upper", 1, 6)];
  const afterMount = (id: string): string[] => freeApproaches(reachOfHole(id), closed("SERVO-MOUNT"));

  it("closes four rivets of rib 3's web doubler from both sides: it stops the puller and the tail", () => {
    const walledIn = doubler.filter((id) => afterMount(id).length === 0);
    expect(walledIn).toEqual([...run("WEB-DOUBLER.lower", 5, 6), ...run("WEB-DOUBLER.upper", 5, 6)]);
    for (const id of walledIn) {
      expect(roomsBlockedBy("SERVO-MOUNT", id)).toEqual(
        expect.arrayContaining(["straight: puller body", "straight: tail", "short-behind: puller nose"]),
      );
    }
  });

  it("closes four more from one side only: the puller still comes from the other", () => {
    const oneSided = doubler.filter((id) => afterMount(id).join() === "short-behind");
    expect(oneSided).toEqual([...run("WEB-DOUBLER.lower", 3, 4), ...run("WEB-DOUBLER.upper", 3, 4)]);
  });

  it("stops the tail of one rivet between rib 3 and the rear spar, whose head stays free", () => {
    const rear = run("RIB-3.rear", 1, 3);
    expect(rear.filter((id) => isWalledIn(reachOfHole(id), closed("SERVO-MOUNT")))).toEqual(["RIB-3.rear.2"]);
    expect(roomsBlockedBy("SERVO-MOUNT", "RIB-3.rear.2")).toEqual(["straight: tail"]);
  });

  it("goes on after the rivets under it: the manual says so as well", () => {
    const must = ids.filter((id) =>
      rulings
        .of(id)
        .orders.some(
          (order) => order.before === "SERVO-MOUNT" && order.strength === "must" && order.verdict === "true",
        ),
    );
    const walledIn = ids.filter((id) => isWalledIn(reachOfHole(id), closed("SERVO-MOUNT")));
    expect(walledIn.length).toBeGreaterThan(0);
    expect(must).toEqual(expect.arrayContaining(walledIn));
  });
});

describe("a bracket that sticks out of a skin", () => {
  it("goes on late as a preference, not as a must", () => {
    for (const id of holesWhere((hole) => hole.part.startsWith("HINGE-"))) {
      expect(
        rulings.of(id).orders.map(({ after, strength, verdict }) => ({ after, strength, verdict })),
      ).toEqual(
        expect.arrayContaining([
          { after: "TOP-SKIN", strength: "prefer", verdict: "true" },
          { after: "BOTTOM-SKIN", strength: "prefer", verdict: "true" },
        ]),
      );
      expect(rulings.of(id).orders.filter((order) => order.strength === "must")).toEqual([]);
    }
  });

  it("covers rivets that must be set before it: the rib's heads beside its lug, the skin's tails over its gusset", () => {
    for (const [hinge, rib, others] of [
      ["HINGE-1", "RIB-2", [6, 7]],
      ["HINGE-2", "RIB-4", [16, 17]],
      ["HINGE-3", "RIB-6", [25, 26]],
    ] as const) {
      expect(ids.filter((id) => isWalledIn(reachOfHole(id), closed(hinge)))).toEqual(
        ids.filter((id) =>
          [
            ...run(`${rib}.rear`, 1, 3),
            ...others.flatMap((n) => [`REAR-SPAR.top.${n}`, `REAR-SPAR.bottom.${n}`]),
          ].includes(id),
        ),
      );
      expect(roomsBlockedBy(hinge, `${rib}.rear.2`)).toEqual(["straight: puller body"]);
      expect(roomsBlockedBy(hinge, `REAR-SPAR.top.${others[1]}`)).toContain("straight: tail");
    }
  });
});

describe("closing the skins", () => {
  it("the top skin walls in the servo tray's rivets, which are pulled from above", () => {
    expect(roomsBlockedBy("TOP-SKIN", "SERVO-TRAY.ledge.1")).toContain("straight: puller nose");
  });

  it("the top skin keeps hands out of the bay beside rib 3: stated by the kit, since no drawing shows a hand", () => {
    for (const id of [...run("WEB-DOUBLER.upper", 1, 6), ...run("WEB-DOUBLER.lower", 1, 6)]) {
      const stated = reachOfHole(id).approaches.map(({ blockedBy }) =>
        blockedBy.filter(({ kind }) => kind === "stated"),
      );
      for (const blockers of stated)
        expect(blockers).toMatchObject([{ part: "TOP-SKIN", why: expect.stringContaining("hand") }]);
      expect(isWalledIn(reachOfHole(id), closed("TOP-SKIN"))).toBe(true);
    }
  });

  it("the nose skin walls in the rivets between the ribs and the front spar", () => {
    expect(ids.filter((id) => isWalledIn(reachOfHole(id), closed("NOSE-SKIN")))).toEqual(
      ids.filter((id) => /^RIB-\d\.front\./.test(id)),
    );
  });

  it("in the manual's order, every rivet can be reached when its step comes, held ones at the end", () => {
    const done = new Set<string>();
    const late: string[] = [];
    const set = (id: string): void => {
      expect.soft(freeApproaches(reachOfHole(id), done), id).not.toEqual([]);
      for (const layer of find.hole(id).layers) done.add(layer.part);
    };
    for (const step of tailplane.steps) {
      const holes = step.rows.flatMap((row) => find.row(row).holes);
      const isHeld = (id: string): boolean =>
        ["twist-checked", "root-fairing-matched"].includes(String(value(id, "hold")));
      late.push(...holes.filter(isHeld));
      const now = holes.filter((id) => !isHeld(id));
      for (const id of now) set(id);
    }
    for (const id of late) set(id);
    expect(done).toEqual(new Set(tailplane.parts.map((part) => part.id)));
  });

  it("closes parts in the order in which the steps bring them on", () => {
    const stepOf = tailplane.closings.map((part) =>
      tailplane.steps.findIndex((step) => step.parts.includes(part)),
    );
    expect(stepOf).toEqual([...stepOf].sort((a, b) => a - b));
  });
});

describe("limits and cautions", () => {
  it("are kept by every hole, the larger flush rivets included", () => {
    for (const id of ids) {
      const broken = rulings.of(id).limits.filter((limit) => limit.verdict === "false");
      expect.soft(broken, id).toEqual([]);
    }
    const flush = rulings.of("RIB-3.top.8").limits.map((limit) => limit.rule);
    expect(flush).toEqual(expect.arrayContaining(["sedge-two-flush-edge", "sedge-two-flush-pitch"]));
  });

  it("name eyes, chips, dies, solvent and primer for a hole that is enlarged, dimpled and riveted", () => {
    const acts = new Set(
      rulings
        .of("RIB-3.top.8")
        .cautions.filter((caution) => caution.verdict === "true")
        .flatMap((caution) => caution.acts),
    );
    expect([...acts].sort()).toEqual(["clean", "countersink", "dimple", "drill", "prime", "rivet"]);
  });

  it("say where each handbook rule comes from, or that it has no source", () => {
    for (const rule of rulebook.rules.filter((rule) => rule.basis.rank === "handbook")) {
      expect(rule.basis.document, rule.id).toMatch(
        /FAA|Army|ISO|NAVEDTRA|Wartime|Training article|^common practice, no source$/,
      );
    }
  });
});
