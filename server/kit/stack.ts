import type { Spot } from "./findings.js";
import { lookUp } from "./ids.js";
import type { FlatPart } from "./parts.js";
import { edgeDistance, flatten, isInside } from "./polygon.js";
import type { StackFile } from "./schema.js";
import type { FlatSheet } from "./sheets.js";
import type { Layer, Vec } from "./types.js";
import { sayLength, type Units } from "./units.js";
import { dot, minus, plus, times } from "./vec.js";

/** How far a sheet may lie from where the thicknesses put it, mm. */
const SPACING_WITHIN_MM = 0.1;
/** A hole goes square through a sheet, to within three degrees. */
const SQUARE_COSINE = Math.cos((3 * Math.PI) / 180);

/** The layers of a stack, head side first; an entry is null where the drawing names nothing usable. */
export type FlatStack = readonly (FlatSheet | null)[];

/** Looks up the sheets of a stack and notes those that are not there, or there twice. */
export function readStack(file: StackFile, parts: ReadonlyMap<string, FlatPart>, spot: Spot): FlatStack {
  const seen = new Set<string>();
  return file.map((layer, i) => {
    const part = lookUp(parts, "part", layer.part, spot.at(i, "part"));
    if (!part) return null;
    const key = `${layer.part} ${layer.sheet}`;
    if (seen.has(key)) {
      spot
        .at(i)
        .add(
          "STACK_REPEATS",
          `Sheet ${layer.sheet} of ${layer.part} is in this stack twice.`,
          "Name each layer once.",
        );
      return null;
    }
    seen.add(key);
    return lookUp(part.sheets, "sheet", layer.sheet, spot.at(i, "sheet")) ?? null;
  });
}

/** Notes layers through which the holes would go at a slant. */
export function noteTilted(stack: FlatStack, normal: Vec, spot: Spot): void {
  stack.forEach((layer, i) => {
    if (!layer || isSquare(layer, normal)) return;
    const degrees = Math.round((Math.acos(Math.abs(dot(layer.plane.normal, normal))) * 180) / Math.PI);
    spot
      .at(i)
      .add(
        "STACK_TILTED",
        `Sheet ${layer.sheet.id} of ${layer.part} leans ${degrees} degrees from square to the row's normal.`,
        "Mend the normal or the outline, or name the sheet that the holes go through.",
      );
  });
}

function isSquare(layer: FlatSheet, normal: Vec): boolean {
  return Math.abs(dot(layer.plane.normal, normal)) >= SQUARE_COSINE;
}

/** What a hole meets in one layer. */
export interface Crossing {
  readonly flat: FlatSheet;
  /** Depth of the sheet's middle plane under the hole's point, along its axis, mm. */
  readonly depthMm: number;
  /** Where the axis meets the middle plane, in the sheet's own axes. */
  readonly point: readonly [number, number];
  readonly layer: Layer;
  readonly inside: boolean;
}

/** Where a hole's axis goes through its layers. Layers that are not known or lean are left out. */
export function crossingsOf(stack: FlatStack, at: Vec, normal: Vec): readonly (Crossing | null)[] {
  return stack.map((flat) => {
    if (!flat || !isSquare(flat, normal)) return null;
    const depthMm = dot(minus(at, flat.plane.origin), flat.plane.normal) / dot(normal, flat.plane.normal);
    const point = flatten(flat.plane, plus(at, times(normal, -depthMm)));
    return {
      flat,
      depthMm,
      point,
      inside: isInside(flat.polygon, point),
      layer: {
        part: flat.part,
        sheet: flat.sheet.id,
        material: flat.material,
        thicknessMm: flat.sheet.thicknessMm,
        edgeMm: edgeDistance(flat.polygon, point),
      },
    };
  });
}

/** Something wrong with one hole in one layer. */
export interface HoleFault {
  readonly code: string;
  readonly layer: number;
  readonly what: string;
  readonly fix: string;
}

/**
 * Whether the layers lie as the stack says: head side first, each on the one before, the first under the
 * hole's point; and whether each has material around the hole.
 */
export function faultsOf(
  crossings: readonly (Crossing | null)[],
  punchedMm: number,
  units: Units,
): readonly HoleFault[] {
  return crossings.flatMap((crossing, i) => {
    if (!crossing) return [];
    return [
      spacingFault(crossing, i === 0 ? "surface" : (crossings[i - 1] ?? null), i, units),
      edgeFault(crossing, punchedMm, i, units),
    ].filter((fault) => fault !== null);
  });
}

function spacingFault(
  crossing: Crossing,
  above: Crossing | "surface" | null,
  layer: number,
  units: Units,
): HoleFault | null {
  if (above === null) return null;
  const name = nameOf(crossing);
  const halfMm = crossing.layer.thicknessMm / 2;
  if (above === "surface") {
    if (!(Math.abs(crossing.depthMm - halfMm) > SPACING_WITHIN_MM)) return null;
    return {
      code: "STACK_GAP",
      layer,
      what: `The hole's point must lie on the head-side surface of ${name}: its middle plane half its thickness (${sayLength(halfMm, units)}) below; it is ${placed(crossing.depthMm, units)}.`,
      fix: "Put the holes on the surface, mend the outline's plane, or turn the normal to the head side.",
    };
  }
  const step = crossing.depthMm - above.depthMm;
  if (step <= 0) {
    return {
      code: "STACK_ORDER",
      layer,
      what: `The stack is written head side first, but ${name} lies on the head side of ${nameOf(above)}.`,
      fix: "Write the layers in the order in which the normal leaves them, or turn the normal round.",
    };
  }
  const expected = halfMm + above.layer.thicknessMm / 2;
  if (!(Math.abs(step - expected) > SPACING_WITHIN_MM)) return null;
  return {
    code: "STACK_GAP",
    layer,
    what: `The middle planes of ${nameOf(above)} and ${name} must be ${sayLength(expected, units)} apart, half of both thicknesses; they are ${sayLength(step, units)} apart.`,
    fix: "Mend an outline's plane or a thickness, or name the layer between them.",
  };
}

function placed(depthMm: number, units: Units): string {
  return `${sayLength(Math.abs(depthMm), units)} ${depthMm < 0 ? "above" : "below"} the point`;
}

function edgeFault(crossing: Crossing, punchedMm: number, layer: number, units: Units): HoleFault | null {
  const { edgeMm } = crossing.layer;
  if (!crossing.inside) {
    return {
      code: "HOLE_OFF_PART",
      layer,
      what: `The hole lies outside the outline of ${nameOf(crossing)}, ${sayLength(edgeMm, units)} from its edge.`,
      fix: "Mend the hole's place or the outline, or take the layer out of this hole's stack.",
    };
  }
  if (!(edgeMm < punchedMm / 2)) return null;
  return {
    code: "HOLE_BREAKS_EDGE",
    layer,
    what: `The hole breaks the edge of ${nameOf(crossing)}: its centre is ${sayLength(edgeMm, units)} from the edge, half its diameter is ${sayLength(punchedMm / 2, units)}.`,
    fix: "Mend the hole's place, its diameter or the outline.",
  };
}

function nameOf(crossing: Crossing): string {
  return `sheet ${crossing.layer.sheet} of ${crossing.layer.part}`;
}
