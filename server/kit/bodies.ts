import type { Spot } from "./findings.js";
import { convexPieces } from "./pieces.js";
import { crossingEdges, flatten, isConvex, offPlane, planeOf } from "./polygon.js";
import type { BodyFile } from "./schema.js";
import { FLAT_WITHIN_MM, type FlatSheet } from "./sheets.js";
import { readVec } from "./sizes.js";
import type { Body, Vec } from "./types.js";
import type { Units } from "./units.js";
import { dot, lengthOf, minus, plus, times } from "./vec.js";

/** Thinner than this a body is nothing, mm. */
const LEAST_MM = 0.05;

/** Reads a body given as a box or a prism; null, with the reason noted, when it is no convex solid. */
export function readBody(file: BodyFile, units: Units, spot: Spot): Body | null {
  if ("box" in file) {
    return boxOf(readVec(file.box.min, units), readVec(file.box.max, units), spot.at("box"));
  }
  const base = file.prism.base.map((point) => readVec(point, units));
  return prismOf(base, readVec(file.prism.along, units), spot.at("prism"));
}

function boxOf(min: Vec, max: Vec, spot: Spot): Body | null {
  const size = minus(max, min);
  const axis = size.findIndex((side) => side < LEAST_MM);
  if (axis !== -1) {
    spot
      .at("max", axis)
      .add(
        "BODY_EMPTY",
        `The box has no room along ${"xyz"[axis]}: max must be more than min.`,
        "Swap min and max, or write the real corners.",
      );
    return null;
  }
  const corners: Vec[] = [];
  for (const x of [min[0], max[0]]) {
    for (const y of [min[1], max[1]]) for (const z of [min[2], max[2]]) corners.push([x, y, z]);
  }
  return { corners, sheet: null };
}

function prismOf(base: readonly Vec[], along: Vec, spot: Spot): Body | null {
  const plane = planeOf(base);
  if (!plane) {
    spot
      .at("base")
      .add(
        "BODY_EMPTY",
        "The prism's base encloses no area: it is a line, or crosses itself.",
        "Write the base's corners in order.",
      );
    return null;
  }
  const off = offPlane(base, FLAT_WITHIN_MM);
  if (off) {
    spot
      .at("base", off.at)
      .add(
        "BODY_NOT_FLAT",
        "The prism's base is not flat at this point.",
        "Mend the point, or use several prisms.",
      );
    return null;
  }
  const polygon = base.map((point) => flatten(plane, point));
  if (crossingEdges(polygon) || !isConvex(polygon)) {
    spot
      .at("base")
      .add(
        "BODY_NOT_CONVEX",
        "The prism's base is not convex: somewhere it turns inwards or crosses itself.",
        "Split the body into several convex prisms.",
      );
    return null;
  }
  if (Math.abs(dot(along, plane.normal)) < Math.max(LEAST_MM, lengthOf(along) * 0.01)) {
    spot
      .at("along")
      .add(
        "BODY_EMPTY",
        "The prism is swept within its own base, so it has no room.",
        "Sweep it out of its base.",
      );
    return null;
  }
  return { corners: [...base, ...base.map((point) => plus(point, along))], sheet: null };
}

/**
 * The solid of a flat sheet: half its thickness to each side of the outline's plane. An outline that is not
 * convex gives several bodies side by side, which together are the sheet.
 */
export function bodiesOf(flat: FlatSheet): readonly Body[] {
  const { outline, normal, thicknessMm, id } = flat.sheet;
  const half = times(normal, thicknessMm / 2);
  return convexPieces(flat.polygon).map((piece) => {
    const points = piece.map((corner) => outline[corner] as Vec);
    return {
      corners: [...points.map((point) => plus(point, half)), ...points.map((point) => minus(point, half))],
      sheet: id,
    };
  });
}
