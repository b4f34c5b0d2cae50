import { type Figure, sumOf, type Term } from "../fastener/figure.js";
import { type GapAt, leastRoom } from "../fastener/headroom.js";
import { holeFit } from "../fastener/hole.js";
import { layoutMinimum } from "../fastener/layout.js";
import type { Citation } from "../fastener/table.js";
import type { Hole, Layer } from "../kit/types.js";

/** What a number has to be. */
export interface Wanted {
  /** "margin", "grip range", "2 diameters". */
  readonly what: string;
  readonly minMm: number | null;
  readonly maxMm: number | null;
}

/** The sum or measure behind a fact of one hole, so that a trace can show it. */
export interface FactFigure {
  readonly fact: string;
  /** In mm. */
  readonly figure: Figure;
  /** What the figure is divided by where the fact is a ratio. */
  readonly per: Term | null;
  /** Where on a moving neighbour's travel the figure holds; null elsewhere. */
  readonly position: string | null;
  /** What it is held against where the fact is a yes or no. */
  readonly wanted: Wanted | null;
}

/** Facts that compare, as yes or no; null = not known. */
export interface Serving {
  readonly clears: boolean | null;
  readonly gripFits: boolean | null;
  readonly holeFits: boolean;
  readonly edgeServes: boolean;
  readonly pitchServes: boolean;
}

/** Numbers here are sums of printed sizes: equal to a micrometre is equal. */
const SLACK_MM = 1e-6;

/**
 * Whether the drawn rivet serves at a hole as drawn.
 * `clears` is true where nothing comes near. It is false as soon as one known position does not clear, and true
 * only when every position, the tolerance and the margin are known.
 * `gripFits` leaves open whether a flush rivet's layers are dimpled, which is settled later: then the sunk head
 * adds to the grip, so only "too thick" is certain.
 */
export function servingOf(hole: Hole): Serving {
  return {
    clears: clearsAt(hole),
    gripFits: gripFitsAt(hole),
    holeFits: holeFit(hole.punchedMm, hole.rivet.hole) === "fits",
    edgeServes: nearestEdge(hole).edgeMm >= minimumOf(hole).edgeMm - SLACK_MM,
    pitchServes: hole.nearestMm === null || hole.nearestMm >= minimumOf(hole).pitchMm - SLACK_MM,
  };
}

/** Gap less head: nominal, over all positions. Null while a gap is not known, or where nothing comes near. */
export function headroomOf(hole: Hole): FactFigure | null {
  return roomAbove(hole, "headroomMm", 0);
}

/** Gap less tolerance less head, over all positions. Null while one of them is not known. */
export function worstHeadroomOf(hole: Hole): FactFigure | null {
  const toleranceMm = hole.neighbour?.toleranceMm ?? null;
  return toleranceMm === null ? null : roomAbove(hole, "worstHeadroomMm", toleranceMm);
}

/**
 * The sum or measure behind a fact, worked out again from the drawing.
 * @param fact  a name of the dictionary
 * @returns null for a fact that is no sum, and for one that is not known at this hole
 */
export function figureOf(hole: Hole, fact: string): FactFigure | null {
  switch (fact) {
    case "headroomMm":
      return headroomOf(hole);
    case "worstHeadroomMm":
      return worstHeadroomOf(hole);
    case "clears":
      return clearsFigure(hole);
    case "gripMm":
      return measured(fact, layerTerms(hole));
    case "gripFits":
      return gripFitsAt(hole) === null ? null : gripFigure(hole);
    case "holeFits":
      return measured(fact, [{ what: "punched hole", sign: 1, value: hole.punchedMm }], {
        what: "hole limits",
        ...hole.rivet.hole,
      });
    case "edgeMm":
      return measured(fact, [edgeTerm(hole)]);
    case "edgeRatio":
      return { ...measured(fact, [edgeTerm(hole)]), per: rivetTerm(hole) };
    case "edgeServes": {
      const { edgeMm, edgeDiameters, sources } = minimumOf(hole);
      return measured(fact, [edgeTerm(hole)], diameters(edgeDiameters, edgeMm), sources);
    }
    case "nearestRatio":
      return hole.nearestMm === null
        ? null
        : { ...measured(fact, [nearestTerm(hole.nearestMm)]), per: rivetTerm(hole) };
    case "pitchRatio":
      return hole.pitchMm === null
        ? null
        : {
            ...measured(fact, [{ what: "pitch", sign: 1, value: hole.pitchMm }]),
            per: rivetTerm(hole),
          };
    case "pitchServes": {
      if (hole.nearestMm === null) return null;
      const { pitchMm, pitchDiameters, sources } = minimumOf(hole);
      return measured(fact, [nearestTerm(hole.nearestMm)], diameters(pitchDiameters, pitchMm), sources);
    }
    default:
      return null;
  }
}

function measured(
  fact: string,
  terms: readonly Term[],
  wanted: Wanted | null = null,
  sources: readonly Citation[] = [],
): FactFigure {
  return { fact, figure: sumOf("mm", terms, sources), per: null, position: null, wanted };
}

/** The stated gaps: one for each position, or the one gap of a surface that does not move. */
function gapsOf({ neighbour }: Hole): readonly { position: string | null; gapMm: number | null }[] {
  if (!neighbour) return [];
  return neighbour.positions.length === 0
    ? [{ position: null, gapMm: neighbour.gapMm }]
    : neighbour.positions.map(({ name, gapMm }) => ({ position: name, gapMm }));
}

function knownGapsOf(hole: Hole, toleranceMm: number): readonly GapAt[] {
  return gapsOf(hole).flatMap(({ position, gapMm }) =>
    gapMm === null ? [] : [{ position, gapMm, toleranceMm }],
  );
}

function roomAbove(hole: Hole, fact: string, toleranceMm: number): FactFigure | null {
  if ((hole.neighbour?.gapMm ?? null) === null) return null;
  return leastKnownRoom(hole, fact, toleranceMm);
}

/** Least room over the positions that are known; null when none is. */
function leastKnownRoom(hole: Hole, fact: string, toleranceMm: number): FactFigure | null {
  const gaps = knownGapsOf(hole, toleranceMm);
  if (gaps.length === 0) return null;
  const { leaves, at } = leastRoom(gaps, hole.rivet.headHeightMm);
  return { fact, figure: leaves, per: null, position: at.position, wanted: null };
}

function clearsAt(hole: Hole): boolean | null {
  if (!hole.neighbour) return true;
  const { gapMm, toleranceMm, headMarginMm } = hole.neighbour;
  if (headMarginMm === null) return null;
  const least = leastKnownRoom(hole, "clears", toleranceMm ?? 0);
  if (least && least.figure.value < headMarginMm - SLACK_MM) return false;
  return gapMm === null || toleranceMm === null ? null : true;
}

function clearsFigure(hole: Hole): FactFigure | null {
  if (!hole.neighbour || clearsAt(hole) === null) return null;
  const { toleranceMm, headMarginMm } = hole.neighbour;
  const least = leastKnownRoom(hole, "clears", toleranceMm ?? 0);
  return least && { ...least, wanted: { what: "margin", minMm: headMarginMm, maxMm: null } };
}

function layerTerms({ layers }: Hole): readonly Term[] {
  return layers.map(({ part, thicknessMm }) => ({ what: "layer", part, sign: 1, value: thicknessMm }));
}

function gripFigure(hole: Hole): FactFigure {
  const { grip } = hole.rivet;
  return measured(
    "gripFits",
    layerTerms(hole),
    grip && { what: "grip range", minMm: grip.minMm, maxMm: grip.maxMm },
  );
}

function gripFitsAt({ rivet, gripMm }: Hole): boolean | null {
  if (rivet.grip === null) return null;
  if (gripMm > rivet.grip.maxMm + SLACK_MM) return false;
  if (rivet.head === "flush") return null;
  return gripMm >= rivet.grip.minMm - SLACK_MM;
}

function minimumOf({ rivet }: Hole) {
  return layoutMinimum(rivet.diameterMm, rivet.head);
}

/** The layer in which the hole lies nearest to an edge; of several the one nearest to the head. */
function nearestEdge({ layers, id }: Hole): Layer {
  const [first, ...others] = layers;
  if (!first) throw new Error(`hole ${id} has no layers`);
  return others.reduce((least, layer) => (layer.edgeMm < least.edgeMm ? layer : least), first);
}

function edgeTerm(hole: Hole): Term {
  const { part, edgeMm } = nearestEdge(hole);
  return { what: "edge distance", part, sign: 1, value: edgeMm };
}

function nearestTerm(nearestMm: number): Term {
  return { what: "nearest hole", sign: 1, value: nearestMm };
}

function rivetTerm({ rivet }: Hole): Term {
  return { what: "rivet diameter", sign: 1, value: rivet.diameterMm };
}

function diameters(count: number, mm: number): Wanted {
  return { what: `${count} rivet diameters`, minMm: mm, maxMm: null };
}
