import { finder } from "../kit/find.js";
import type { Assembly, FactValue, Hole } from "../kit/types.js";
import { stateOf, type Work } from "../kit/work.js";
import { type FactFigure, headroomOf, servingOf, worstHeadroomOf } from "./figures.js";
import { type Overlap, overlapsOf } from "./overlap.js";
import type { FactRecord } from "./types.js";

/**
 * What rules can see of each hole of an assembly, by the hole's position. The names are those of
 * `rules/facts.json`; a fact that is not known, or has no meaning at the hole, is absent.
 * Facts with `from: "ruling"` are added later, as they are settled.
 */
export function factsOf(assembly: Assembly, work: Work): FactRecord[] {
  const overlaps = overlapsOf(assembly);
  const reached = [...work.milestones].sort();
  return assembly.holes.map((hole, i) => {
    const overlap = overlaps[i] ?? { here: "none", inRow: "none", holesAway: null };
    return recordOf(assembly, hole, overlap, {
      state: stateOf(work, hole.id),
      milestonesReached: reached,
    });
  });
}

function recordOf(
  assembly: Assembly,
  hole: Hole,
  overlap: Overlap,
  done: Readonly<Record<"state" | "milestonesReached", FactValue>>,
): FactRecord {
  const find = finder(assembly);
  const part = find.part(hole.part);
  const head = hole.layers[0];
  const tail = hole.layers[hole.layers.length - 1];
  if (!head || !tail) throw new Error(`hole ${hole.id} has no layers`);
  const rowLength = find.row(hole.rowId).holes.length;
  const thicknesses = hole.layers.map((layer) => layer.thicknessMm);
  const edgeMm = Math.min(...hole.layers.map((layer) => layer.edgeMm));
  const { rivet } = hole;
  return known({
    zone: "none",
    ...hole.given,
    part: hole.part,
    row: hole.row,
    rowId: hole.rowId,
    number: hole.number,
    fromEnd: rowLength - hole.number + 1,
    rowLength,
    kind: part.kind,
    family: part.family ?? "none",
    member: part.member,
    through: hole.layers.map((layer) => layer.part),
    headPart: head.part,
    tailPart: tail.part,
    headKind: find.part(head.part).kind,
    layers: hole.layers.length,
    headMaterial: head.material,
    headThicknessMm: head.thicknessMm,
    thinnestMm: Math.min(...thicknesses),
    thickestMm: Math.max(...thicknesses),
    gripMm: hole.gripMm,
    rivetKind: rivet.kind,
    drawnRivet: rivet.code,
    drawnHead: rivet.head,
    rivetMm: rivet.diameterMm,
    punchedMm: hole.punchedMm,
    neighbour: hole.neighbour?.id ?? "none",
    gapMm: hole.neighbour?.gapMm ?? null,
    headroomMm: mmOf(headroomOf(hole)),
    worstHeadroomMm: mmOf(worstHeadroomOf(hole)),
    edgeMm: thousandths(edgeMm),
    edgeRatio: thousandths(edgeMm / rivet.diameterMm),
    pitchMm: hole.pitchMm === null ? null : thousandths(hole.pitchMm),
    pitchRatio: hole.pitchMm === null ? null : thousandths(hole.pitchMm / rivet.diameterMm),
    nearestMm: hole.nearestMm === null ? null : thousandths(hole.nearestMm),
    nearestRatio: hole.nearestMm === null ? null : thousandths(hole.nearestMm / rivet.diameterMm),
    ...servingOf(hole),
    overlap: overlap.here,
    rowOverlap: overlap.inRow,
    holesFromOverlap: overlap.holesAway,
    ...done,
  });
}

/** Without the entries that are null: what is not known is absent. */
function known(facts: Readonly<Record<string, FactValue | null>>): FactRecord {
  const record: Record<string, FactValue> = {};
  for (const [name, value] of Object.entries(facts)) if (value !== null) record[name] = value;
  return Object.freeze(record);
}

function mmOf(figure: FactFigure | null): number | null {
  return figure && thousandths(figure.figure.value);
}

/** Rounded to 0.001, so that 1.9 − 0.9 meets a limit of 1.0 as it does on paper. */
function thousandths(value: number): number {
  return Math.round(value * 1000) / 1000;
}
