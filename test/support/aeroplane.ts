import type { FactRecord } from "../../server/facts/types.js";
import { seeded } from "./random.js";

/** A rule file's rule, as it is written. */
export type WrittenRule = Readonly<Record<string, unknown>> & {
  readonly id: string;
  readonly conditions: object;
};

const KINDS = ["rib", "spar", "skin", "bracket", "mount", "longeron", "frame"];
const ZONES = ["none", "root", "tip", "hinge", "trim", "nose", "walkway"];
const NEIGHBOURS = ["none", "seal", "fairing", "cable"];
const PARTS = 400;

/**
 * Fact records of a whole aeroplane, invented from a seed: 40 holes a part or more, continuous gaps, grips,
 * edge distances and pitches, some of them not known.
 */
export function aeroplane(holes: number, seed = 17): readonly FactRecord[] {
  const random = seeded(seed);
  return Array.from({ length: holes }, (_, i) => holeRecord(random, i, Math.ceil(holes / PARTS)));
}

function holeRecord(random: () => number, i: number, perPart: number): FactRecord {
  const pick = picker(random);
  const part = Math.floor(i / perPart);
  const near = random() < 0.3;
  const gapMm = near && random() < 0.9 ? thousandths(random() * 6) : null;
  const record: Record<string, FactRecord[string]> = {
    part: `P-${part}`,
    row: ["top", "bottom", "web"][i % 3] ?? "top",
    number: 1 + (i % perPart),
    fromEnd: perPart - (i % perPart),
    rowLength: perPart,
    kind: KINDS[part % KINDS.length] ?? "rib",
    family: part % 3 ? "ribs" : "none",
    through: [`P-${part}`, pick(["SKIN-L", "SKIN-R", "SPAR"])],
    headKind: pick(KINDS),
    layers: 2 + Math.floor(random() * 2),
    headMaterial: pick(["2024-T3", "6061-T6"]),
    headThicknessMm: pick([0.4, 0.5, 0.6, 0.8, 1.0, 1.6]),
    thinnestMm: pick([0.4, 0.5, 0.6]),
    thickestMm: pick([0.8, 1.0, 1.6, 2.5]),
    gripMm: thousandths(1 + random() * 4),
    rivetKind: random() < 0.8 ? "pulled" : "solid",
    drawnHead: random() < 0.3 ? "flush" : "protruding",
    rivetMm: pick([3.2, 4.0]),
    punchedMm: pick([2.5, 3.2]),
    neighbour: near ? pick(NEIGHBOURS.slice(1)) : "none",
    edgeMm: thousandths(5 + random() * 10),
    edgeRatio: thousandths(1.4 + random() * 3),
    overlap: random() < 0.1 ? "SKIN-L" : "none",
    zone: ZONES[Math.floor(part / 7) % ZONES.length] ?? "none",
    state: pick(["unset", "pinned", "set"]),
    milestonesReached: part % 2 ? ["aligned"] : [],
  };
  if (gapMm !== null) {
    record.gapMm = gapMm;
    record.headroomMm = thousandths(gapMm - 1.3);
  }
  if (random() < 0.95) record.pitchMm = thousandths(12 + random() * 20);
  return Object.freeze(record);
}

/**
 * Rules for such an aeroplane: a general rule for each attribute, then ones that hold in a zone, for a kind of
 * part or for some parts, with two to five further conditions, some of them joined by any and not.
 */
export function aeroplaneRules(count: number, seed = 18): readonly WrittenRule[] {
  const random = seeded(seed);
  return Array.from({ length: count }, (_, i) => writtenRule(random, i));
}

const RANKS = ["handbook", "manual", "manual", "shop", "notice"];

function writtenRule(random: () => number, i: number): WrittenRule {
  const pick = picker(random);
  const general = GENERAL[i];
  const [family, params] = general ? general.event : claim(i, pick);
  return {
    id: `rule-${i}`,
    title: `Rule ${i}`,
    family,
    basis: {
      rank: general ? "handbook" : pick(RANKS),
      document: "generated",
      place: `page ${i}`,
      dated: `20${10 + (i % 15)}-06-01`,
    },
    why: "made up to be measured",
    conditions: general ? general.conditions : conditions(random, pick, i),
    event: { type: family, params },
    examples: [
      { facts: {}, fires: true },
      { facts: {}, fires: false },
    ],
  };
}

const GENERAL: readonly { conditions: object; event: readonly [string, object] }[] = [
  {
    conditions: { all: [{ fact: "drawnHead", operator: "equal", value: "protruding" }] },
    event: ["treatment", { head: "protruding" }],
  },
  {
    conditions: { all: [{ fact: "drawnHead", operator: "equal", value: "flush" }] },
    event: ["treatment", { head: "flush" }],
  },
  {
    conditions: { all: [{ fact: "head", operator: "equal", value: "protruding" }] },
    event: ["treatment", { treatment: "as punched" }],
  },
  {
    conditions: { all: [{ fact: "head", operator: "equal", value: "flush" }] },
    event: ["treatment", { treatment: "dimple" }],
  },
  {
    conditions: { all: [{ fact: "layers", operator: "greaterThan", value: 1 }] },
    event: ["treatment", { finalDiameterMm: 3.3, rivet: "PR-32" }],
  },
];

function claim(i: number, pick: Pick): readonly [string, object] {
  switch (i % 10) {
    case 0:
    case 1:
    case 2:
      return ["treatment", { head: pick(["protruding", "flush"]) }];
    case 3:
    case 4:
      return ["treatment", { treatment: pick(["as punched", "enlarge", "dimple", "countersink"]) }];
    case 5:
      return ["treatment", { finalDiameterMm: pick([3.3, 4.1]), rivet: pick(["PR-32", "PR-40"]) }];
    case 6:
      return ["hold", { hold: pick(["aligned", "fairing-matched", "none"]) }];
    case 7:
      return ["order", { before: `P-${i}`, strength: pick(["must", "prefer"]) }];
    case 8:
      return ["limit", { fact: "edgeRatio", min: 2 }];
    default:
      return ["caution", { text: `Caution ${i}`, acts: ["drill"] }];
  }
}

type Pick = <T>(list: readonly T[]) => T;

function conditions(random: () => number, pick: Pick, i: number): object {
  const place = [
    () => ({ fact: "zone", operator: "equal", value: pick(ZONES) }),
    () => ({ fact: "kind", operator: "equal", value: pick(KINDS) }),
    () => ({ fact: "part", operator: "in", value: [`P-${(i * 3) % PARTS}`, `P-${(i * 3 + 1) % PARTS}`] }),
  ];
  const leaf = (): object => pick(LEAVES)(random, pick);
  const joined = random() < 0.3 ? [{ any: [leaf(), leaf()] }] : random() < 0.3 ? [{ not: leaf() }] : [];
  return {
    all: [pick(place)(), ...Array.from({ length: 2 + Math.floor(random() * 3) }, leaf), ...joined],
  };
}

const LEAVES: readonly ((random: () => number, pick: Pick) => object)[] = [
  (_, pick) => ({ fact: "headKind", operator: "equal", value: pick(KINDS) }),
  (_, pick) => ({ fact: "zone", operator: pick(["in", "notIn"]), value: [pick(ZONES), pick(ZONES)] }),
  (random, pick) => ({
    fact: "gapMm",
    operator: pick(["lessThan", "greaterThanInclusive"]),
    value: thousandths(random() * 6),
  }),
  (random) => ({ fact: "edgeRatio", operator: "lessThan", value: thousandths(1.5 + random() * 2.5) }),
  (random) => ({ fact: "gripMm", operator: "greaterThan", value: thousandths(1 + random() * 4) }),
  (random) => ({ fact: "number", operator: "lessThanInclusive", value: 1 + Math.floor(random() * 40) }),
  (_, pick) => ({ fact: "through", operator: "contains", value: pick(["SKIN-L", "SKIN-R", "SPAR"]) }),
  (_, pick) => ({ fact: "neighbour", operator: pick(["equal", "notEqual"]), value: pick(NEIGHBOURS) }),
  () => ({ fact: "thinnestMm", operator: "lessThan", value: { fact: "headThicknessMm" } }),
];

function picker(random: () => number): Pick {
  return (list) => list[Math.floor(random() * list.length)] as (typeof list)[number];
}

function thousandths(value: number): number {
  return Math.round(value * 1000) / 1000;
}
