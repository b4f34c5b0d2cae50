import type {
  Approach,
  Assembly,
  Body,
  Hole,
  Kit,
  Layer,
  Part,
  Rivet,
  Room,
  Vec,
} from "../../server/kit/types.js";

/** A few parts and holes by hand, with everything that a test doesn't care about filled in. */

export const RIVET: Rivet = {
  code: "P-32",
  name: "pulled rivet 3.2",
  kind: "pulled",
  head: "protruding",
  diameterMm: 3.2,
  headHeightMm: 1,
  headDiameterMm: 6,
  sunkHeightMm: null,
  hole: { minMm: 3.2, maxMm: 3.4 },
  grip: { minMm: 0.2, maxMm: 20 },
  source: "made up for a test",
};

/** The same with a flush head, for holes of whatever size. */
export const FLUSH_RIVET: Rivet = {
  ...RIVET,
  code: "F-32",
  name: "flush pulled rivet 3.2",
  head: "flush",
  headHeightMm: 0,
  hole: { minMm: 3.2, maxMm: 4.2 },
};

export function room(side: Room["side"], radiusMm: number, lengthMm: number, more: Partial<Room> = {}): Room {
  return { side, what: side === "head" ? "puller nose" : "tail", radiusMm, fromMm: 0, lengthMm, ...more };
}

export function approach(
  id: string,
  rooms: readonly Room[],
  clearanceMm = 0,
  drill: readonly Room[] = [],
): Approach {
  return { id, name: id, kind: "pulled", rooms, clearanceMm, drill };
}

/** A box along the assembly's axes. */
export function box(min: Vec, max: Vec, sheet: string | null = null): Body {
  const corners = [0, 1].flatMap((i) =>
    [0, 1].flatMap((j) =>
      [0, 1].map((k): Vec => [i ? max[0] : min[0], j ? max[1] : min[1], k ? max[2] : min[2]]),
    ),
  );
  return { corners, sheet };
}

export function part(id: string, bodies: readonly Body[] = [], more: Partial<Part> = {}): Part {
  return {
    id,
    name: id,
    nicknames: [],
    kind: "sheet",
    family: null,
    member: null,
    material: "aluminium",
    thicknessMm: 0.5,
    sheets: [],
    bodies,
    prep: [],
    ...more,
  };
}

/**
 * A hole through parts, head side first.
 * @param id     PART.ROW.N
 * @param stack  part ids, or part and sheet as `part/sheet`; 0.5 mm each unless `more` says otherwise
 */
export function hole(id: string, stack: readonly string[], more: Partial<Hole> = {}): Hole {
  const [owner = "", row = "", number = "1"] = id.split(".");
  const layers = stack.map((name): Layer => {
    const [of = "", sheet = "flat"] = name.split("/");
    return { part: of, sheet, material: "aluminium", thicknessMm: 0.5, edgeMm: 10 };
  });
  return {
    id,
    index: 0,
    part: owner,
    row,
    rowId: `${owner}.${row}`,
    number: Number(number),
    at: [0, 0, 0],
    normal: [0, 0, 1],
    layers,
    gripMm: 0.5 * layers.length,
    punchedMm: 3.2,
    rivet: RIVET,
    approaches: [],
    pitchMm: null,
    nearestMm: null,
    neighbour: null,
    coveredBy: null,
    given: {},
    ...more,
  };
}

export function assembly(
  parts: readonly Part[],
  holes: readonly Hole[],
  more: Partial<Assembly> = {},
): Assembly {
  const rowIds = [...new Set(holes.map(({ rowId }) => rowId))];
  return {
    id: "bench",
    name: "Bench",
    nicknames: [],
    parts,
    families: [],
    rows: rowIds.map((id) => ({
      id,
      part: id.split(".")[0] ?? "",
      row: id.split(".")[1] ?? "",
      name: id,
      nicknames: [],
      numbered: "from the front",
      holes: holes.filter(({ rowId }) => rowId === id).map((one) => one.id),
    })),
    holes: holes.map((one, index) => ({ ...one, index })),
    steps: [],
    closings: [],
    milestones: [],
    statedBlocks: [],
    views: [],
    ...more,
  };
}

export function kit(
  approaches: readonly Approach[],
  assemblies: readonly Assembly[],
  more: Partial<Kit> = {},
): Kit {
  return {
    id: "small",
    name: "Small kit",
    revision: "1",
    dated: "2024-01-01",
    units: "mm",
    rivets: [RIVET, FLUSH_RIVET],
    approaches,
    prepGates: [],
    notices: [],
    assemblies,
    ...more,
  };
}
