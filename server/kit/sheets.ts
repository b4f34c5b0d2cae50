import type { Spot } from "./findings.js";
import { crossingEdges, flatten, offPlane, type Plane, type Point, planeOf } from "./polygon.js";
import type { PartFile } from "./schema.js";
import { readSize, readVec } from "./sizes.js";
import type { Sheet } from "./types.js";
import { sayLength, type Units } from "./units.js";
import { distance } from "./vec.js";

/** How far an outline's points may lie off their common plane, mm: drawing accuracy, not a bend. */
export const FLAT_WITHIN_MM = 0.1;

/** A sheet with its outline laid flat, ready to be measured against. */
export interface FlatSheet {
  readonly sheet: Sheet;
  readonly part: string;
  readonly material: string;
  readonly plane: Plane;
  readonly polygon: readonly Point[];
  /** Whether the sheet by itself stands in a tool's way. */
  readonly solid: boolean;
}

/** Reads one sheet of a part; null, with the reason noted, when its outline is no flat, simple polygon. */
export function readSheet(
  part: PartFile,
  i: number,
  thicknessMm: number,
  units: Units,
  spot: Spot,
): FlatSheet | null {
  const file = part.sheets[i] as PartFile["sheets"][number];
  const outlineSpot = spot.at("outline");
  const outline = file.outline.map((point) => readVec(point, units));
  const ownMm =
    file.thickness === undefined
      ? thicknessMm
      : readSize(file.thickness, "thickness", units, spot.at("thickness"));
  const repeated = outline.findIndex(
    (point, k) => distance(point, outline[(k + 1) % outline.length] ?? point) < 1e-6,
  );
  if (repeated !== -1) {
    outlineSpot
      .at((repeated + 1) % outline.length)
      .add(
        "OUTLINE_REPEATS",
        "This point is the same as the one before it.",
        "Write each corner once; the outline closes by itself.",
      );
    return null;
  }
  const plane = planeOf(outline);
  if (!plane) {
    outlineSpot.add(
      "OUTLINE_EMPTY",
      "The outline encloses no area: it is a line, or crosses itself so that its halves cancel out.",
      "Write the corners in their order around the sheet.",
    );
    return null;
  }
  const off = offPlane(outline, FLAT_WITHIN_MM);
  if (off) {
    outlineSpot
      .at(off.at)
      .add(
        "OUTLINE_NOT_FLAT",
        `A sheet is flat; this point lies ${sayLength(off.heightMm, units)} off the plane of the others.`,
        "Mend the point, or give the bent part one sheet for each flat face.",
      );
    return null;
  }
  const polygon = outline.map((point) => flatten(plane, point));
  const crossing = crossingEdges(polygon);
  if (crossing) {
    const [one, other] = crossing;
    outlineSpot.add(
      "OUTLINE_CROSSES",
      `The edges after points ${one + 1} and ${other + 1} of the outline meet each other.`,
      "Write the corners in their order around the sheet.",
    );
    return null;
  }
  return {
    sheet: {
      id: file.id,
      name: file.name ?? file.id,
      outline,
      normal: plane.normal,
      thicknessMm: ownMm,
    },
    part: part.id,
    material: part.material,
    plane,
    polygon,
    solid: file.body !== false,
  };
}
