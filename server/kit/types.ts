/**
 * The aircraft as frozen plain data, as it is after loading: every length in millimetres, every row
 * expanded to holes, every id checked. Positions are in assembly axes (mm).
 */

export type Vec = readonly [x: number, y: number, z: number];
export type FactValue = number | string | boolean | readonly string[];
export type RivetKind = "pulled" | "solid";
export type HeadForm = "protruding" | "flush";
export type Side = "head" | "tail";

/** The trade's four treatments of a hole. */
export const TREATMENTS = ["as punched", "enlarge", "dimple", "countersink"] as const;
export type Treatment = (typeof TREATMENTS)[number];

export interface Rivet {
  /** The kit's code for it on the bag, such as `PR-32-8`. */
  readonly code: string;
  readonly name: string;
  readonly kind: RivetKind;
  readonly head: HeadForm;
  readonly diameterMm: number;
  /** Greatest height of the manufactured head above the sheet; 0 for a flush head. */
  readonly headHeightMm: number;
  readonly headDiameterMm: number | null;
  /** How deep a flush head lies in the sheet; null for a protruding one, and where the kit does not state it. */
  readonly sunkHeightMm: number | null;
  /** Limits of the finished hole. */
  readonly hole: { readonly minMm: number; readonly maxMm: number };
  readonly grip: { readonly minMm: number; readonly maxMm: number } | null;
  readonly source: string;
}

/** Room that a tool, a tail or a bar needs: a cylinder along the hole's axis, away from the sheet. */
export interface Room {
  readonly side: Side;
  /** What needs it, in the shop's words: "puller nose", "tail", "bucking bar". */
  readonly what: string;
  readonly radiusMm: number;
  /** Distance from the sheet's surface where the cylinder starts; 0 unless stated. */
  readonly fromMm: number;
  readonly lengthMm: number;
}

/** One way to get at a hole. */
export interface Approach {
  readonly id: string;
  readonly name: string;
  readonly kind: RivetKind;
  readonly rooms: readonly Room[];
  /** Room that a drill needs at the rivet's head to take it out again, on one side; empty when the kit draws none. */
  readonly drill: readonly Room[];
  /** Added to every radius: how close is too close, mm. */
  readonly clearanceMm: number;
}

/** A convex solid, as its corner points (mm). A box has 8, a prism twice its base's. */
export interface Body {
  readonly corners: readonly Vec[];
  /** The sheet that this body was thickened from, when it was. */
  readonly sheet: string | null;
}

/** A flat face of a part: its outline on the sheet's middle plane. */
export interface Sheet {
  readonly id: string;
  readonly name: string;
  readonly outline: readonly Vec[];
  readonly normal: Vec;
  readonly thicknessMm: number;
}

export interface Part {
  readonly id: string;
  readonly name: string;
  readonly nicknames: readonly string[];
  /** What sort of part, in the trade's words: "rib", "spar", "skin", "bracket", "mount". */
  readonly kind: string;
  readonly family: string | null;
  /** Place in its family's order, 1-based, when it has a family. */
  readonly member: number | null;
  readonly material: string;
  readonly thicknessMm: number;
  readonly sheets: readonly Sheet[];
  readonly bodies: readonly Body[];
  /** Gates that must be done before the part comes on, in order. */
  readonly prep: readonly string[];
}

/** One layer of a hole's stack. */
export interface Layer {
  readonly part: string;
  readonly sheet: string;
  readonly material: string;
  readonly thicknessMm: number;
  /** Hole centre to the nearest edge of this sheet, mm. */
  readonly edgeMm: number;
}

/** A surface that comes near the head side of a hole once the aircraft is together. */
export interface Neighbour {
  readonly id: string;
  readonly name: string;
  /** Least nominal gap between the sheet's surface and that neighbour, over all stated positions; null = not known yet. */
  readonly gapMm: number | null;
  /** The gap may be smaller by this much; 0 = the gap is the least there can be; null = the kit states none. */
  readonly toleranceMm: number | null;
  /** Room that must stay free above a head; null = the kit states none. */
  readonly headMarginMm: number | null;
  /** Travel of a moving surface; empty when it does not move or its positions are not given. */
  readonly positions: readonly GapPosition[];
}

/** The gap at one place of a moving surface's travel. */
export interface GapPosition {
  /** As in "elevator full up". */
  readonly name: string;
  /** Nominal; null = not known. */
  readonly gapMm: number | null;
}

export interface Hole {
  /** `PART.ROW.N`. */
  readonly id: string;
  /** Position in `Assembly.holes`. */
  readonly index: number;
  readonly part: string;
  /** Row name within its part. */
  readonly row: string;
  /** `PART.ROW`. */
  readonly rowId: string;
  readonly number: number;
  /** On the head-side surface of the stack. */
  readonly at: Vec;
  /** Unit vector out of the head side. */
  readonly normal: Vec;
  /** Head side first. */
  readonly layers: readonly Layer[];
  readonly gripMm: number;
  readonly punchedMm: number;
  /** The rivet that the manual's drawing calls for, before any rule. */
  readonly rivet: Rivet;
  /** Approaches to try, by id. */
  readonly approaches: readonly string[];
  /** Distance to the nearest other hole of the row, mm; null in a row of one. */
  readonly pitchMm: number | null;
  /** Distance to the nearest other hole of any row through one of its sheets, mm; null where it is alone in all. */
  readonly nearestMm: number | null;
  /** Null = nothing comes near it; a neighbour with `gapMm: null` = something does, how near is not known. */
  readonly neighbour: Neighbour | null;
  /** Part whose sheet will lie over this hole's head without being in its stack; null = none. */
  readonly coveredBy: string | null;
  /** Facts that the kit states for this hole (dictionary entries with `from: "kit"`). */
  readonly given: Readonly<Record<string, FactValue>>;
}

export interface Row {
  readonly id: string;
  readonly part: string;
  readonly row: string;
  readonly name: string;
  readonly nicknames: readonly string[];
  /** How the numbers run: "from the front", "from the root". */
  readonly numbered: string;
  readonly holes: readonly string[];
}

export interface Family {
  readonly id: string;
  readonly name: string;
  readonly nicknames: readonly string[];
  /** Part ids in order. */
  readonly members: readonly string[];
  readonly numbered: string;
}

export interface Milestone {
  readonly id: string;
  /** As in "until …": "the root fairing is matched". */
  readonly name: string;
  readonly nicknames: readonly string[];
}

export interface PrepGate {
  readonly id: string;
  readonly name: string;
  /** The kit does not name it: it is there for treatments that call for it, and its place in the order is common practice. */
  readonly assumed?: true;
}

export interface Notice {
  readonly id: string;
  readonly title: string;
  readonly dated: string;
  /** What it changed, in one or two sentences. */
  readonly changes: string;
  /** Manual place that it overtakes. */
  readonly overtakes: string;
}

export interface Step {
  readonly id: string;
  readonly title: string;
  readonly text: string;
  /** Parts that come on in this step. */
  readonly parts: readonly string[];
  /** Rows set in this step. */
  readonly rows: readonly string[];
}

/** A blocking fact that the kit states by hand. */
export interface StatedBlock {
  readonly hole: string;
  readonly approach: string;
  readonly by: string;
  readonly why: string;
}

/** A way to look at the assembly flat on paper. */
export interface View {
  readonly id: string;
  readonly name: string;
  /** Out of the paper, to the right, and up; unit vectors. */
  readonly normal: Vec;
  readonly right: Vec;
  readonly up: Vec;
}

export interface Assembly {
  readonly id: string;
  readonly name: string;
  readonly nicknames: readonly string[];
  readonly parts: readonly Part[];
  readonly families: readonly Family[];
  readonly rows: readonly Row[];
  readonly holes: readonly Hole[];
  readonly steps: readonly Step[];
  /** Part ids in the order in which the manual closes them. */
  readonly closings: readonly string[];
  readonly milestones: readonly Milestone[];
  readonly statedBlocks: readonly StatedBlock[];
  readonly views: readonly View[];
}

export interface Kit {
  readonly id: string;
  readonly name: string;
  readonly revision: string;
  readonly dated: string;
  /** Units that the kit's own paper uses: how sizes are shown first. */
  readonly units: "mm" | "inch";
  readonly rivets: readonly Rivet[];
  readonly approaches: readonly Approach[];
  readonly prepGates: readonly PrepGate[];
  readonly notices: readonly Notice[];
  readonly assemblies: readonly Assembly[];
}
