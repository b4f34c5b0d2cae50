import type { Assembly, Hole, Kit, Part, Rivet, Row } from "../../server/kit/types.js";

/**
 * A hand-made baggage-door kit that shares no name with any other: reading must work from a kit's names alone.
 * Five frames counted from the left, an outer and an inner pan, two latch plates, a milestone and a notice. Invented.
 */
const RIVET: Rivet = {
  code: "DR-4",
  name: "4.0 domed pulled rivet",
  kind: "pulled",
  head: "protruding",
  diameterMm: 4,
  headHeightMm: 1.5,
  headDiameterMm: 8,
  sunkHeightMm: null,
  hole: { minMm: 4.1, maxMm: 4.2 },
  grip: { minMm: 1, maxMm: 5 },
  source: "invented",
};

function part(
  id: string,
  name: string,
  kind: string,
  nicknames: string[] = [],
  member: number | null = null,
): Part {
  const family = member === null ? null : kind === "frame" ? "FRAMES" : "LATCHES";
  return {
    id,
    name,
    nicknames,
    kind,
    family,
    member,
    material: "invented alloy",
    thicknessMm: 0.8,
    sheets: [],
    bodies: [],
    prep: ["deburr"],
  };
}

const PARTS: readonly Part[] = [
  part("OUTER-PAN", "outer pan", "pan", ["outside pan"]),
  part("INNER-PAN", "inner pan", "pan"),
  ...[1, 2, 3, 4, 5].map((n) => part(`FR-${n}`, `frame ${n}`, "frame", n === 3 ? ["lock frame"] : [], n)),
  part("LATCH-A", "upper latch plate", "plate", [], 1),
  part("LATCH-B", "lower latch plate", "plate", [], 2),
];

interface RowPlan {
  readonly part: string;
  readonly row: string;
  readonly name: string;
  readonly nicknames?: readonly string[];
  readonly numbered: string;
  readonly count: number;
  readonly under: string;
}

const FRAME_ROWS: readonly RowPlan[] = [1, 2, 3, 4, 5].flatMap((n): RowPlan[] => [
  {
    part: `FR-${n}`,
    row: "crest",
    name: "crest row",
    nicknames: ["outer flange"],
    numbered: "from the top",
    count: 6,
    under: "OUTER-PAN",
  },
  {
    part: `FR-${n}`,
    row: "heel",
    name: "heel row",
    nicknames: ["inner flange"],
    numbered: "from the top",
    count: 5,
    under: "INNER-PAN",
  },
]);

const ROW_PLANS: readonly RowPlan[] = [
  ...FRAME_ROWS,
  { part: "LATCH-A", row: "lug", name: "lug row", numbered: "from the left", count: 4, under: "FR-3" },
  { part: "LATCH-B", row: "lug", name: "lug row", numbered: "from the left", count: 4, under: "FR-3" },
];

function holesOf(plan: RowPlan, first: number): Hole[] {
  return Array.from({ length: plan.count }, (_, n): Hole => {
    const layer = { sheet: "web", material: "invented alloy", thicknessMm: 0.8, edgeMm: 8 };
    return {
      id: `${plan.part}.${plan.row}.${n + 1}`,
      index: first + n,
      part: plan.part,
      row: plan.row,
      rowId: `${plan.part}.${plan.row}`,
      number: n + 1,
      at: [first, n, 0],
      normal: [0, 0, 1],
      layers: [
        { part: plan.under, ...layer },
        { part: plan.part, ...layer },
      ],
      gripMm: 1.6,
      punchedMm: 4.1,
      rivet: RIVET,
      approaches: [],
      pitchMm: 1,
      nearestMm: 1,
      neighbour: null,
      coveredBy: null,
      given: {},
    };
  });
}

const HOLES: Hole[] = [];
const ROWS: readonly Row[] = ROW_PLANS.map((plan) => {
  const holes = holesOf(plan, HOLES.length);
  HOLES.push(...holes);
  return {
    id: `${plan.part}.${plan.row}`,
    part: plan.part,
    row: plan.row,
    name: plan.name,
    nicknames: plan.nicknames ?? [],
    numbered: plan.numbered,
    holes: holes.map(({ id }) => id),
  };
});

export const DOOR: Assembly = {
  id: "door",
  name: "baggage door",
  nicknames: ["door"],
  parts: PARTS,
  families: [
    {
      id: "FRAMES",
      name: "frames",
      nicknames: [],
      members: ["FR-1", "FR-2", "FR-3", "FR-4", "FR-5"],
      numbered: "from the left",
    },
    {
      id: "LATCHES",
      name: "latch plates",
      nicknames: ["latches"],
      members: ["LATCH-A", "LATCH-B"],
      numbered: "from the top",
    },
  ],
  rows: ROWS,
  holes: HOLES,
  steps: [],
  closings: ["INNER-PAN", "OUTER-PAN"],
  milestones: [{ id: "door-fitted", name: "the door is fitted to the opening", nicknames: ["door fit"] }],
  statedBlocks: [],
  views: [{ id: "front", name: "from the front", normal: [0, 0, 1], right: [1, 0, 0], up: [0, 1, 0] }],
};

export const DOOR_KIT: Kit = {
  id: "door-kit",
  name: "Door sample",
  revision: "A",
  dated: "2024-01-01",
  units: "mm",
  rivets: [RIVET],
  approaches: [],
  prepGates: [{ id: "deburr", name: "deburred" }],
  notices: [
    {
      id: "DN-4",
      title: "Heel row of frame 5 left open",
      dated: "2024-02-02",
      changes: "Invented.",
      overtakes: "Invented.",
    },
  ],
  assemblies: [DOOR],
};
