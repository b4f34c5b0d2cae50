import type { Spot } from "./findings.js";
import { noteDuplicates } from "./ids.js";
import type { AssemblyFile } from "./schema.js";
import type { Vec, View } from "./types.js";
import { cross, dot, unit } from "./vec.js";

/** Directions count as perpendicular to within about half a degree. */
const SQUARE_SINE = 0.01;

export function readViews(file: AssemblyFile, spot: Spot): readonly View[] {
  noteDuplicates(
    file.views.map((view) => view.id),
    "view",
    (i) => spot.at("views", i, "id"),
  );
  return file.views.map((view, i) => {
    const at = spot.at("views", i);
    const normal = direction(view.normal, at.at("normal"));
    const right = direction(view.right, at.at("right"));
    const up = direction(view.up, at.at("up"));
    if (normal && right && up) noteAxes(normal, right, up, at);
    return { id: view.id, name: view.name, normal: normal ?? ZERO, right: right ?? ZERO, up: up ?? ZERO };
  });
}

const ZERO: Vec = [0, 0, 0];

function direction(vector: Vec, spot: Spot): Vec | null {
  const found = unit(vector);
  if (!found) {
    spot.add(
      "DIRECTION_ZERO",
      "A direction cannot be 0, 0, 0, or next to it.",
      "Write a vector that points somewhere.",
    );
  }
  return found;
}

function noteAxes(normal: Vec, right: Vec, up: Vec, spot: Spot): void {
  const slant = Math.max(Math.abs(dot(normal, right)), Math.abs(dot(right, up)), Math.abs(dot(up, normal)));
  if (slant > SQUARE_SINE) {
    spot.add(
      "VIEW_NOT_SQUARE",
      "A view's normal, right and up must be square to each other.",
      "Mend one of the three directions.",
    );
  } else if (dot(cross(right, up), normal) < 0) {
    spot.add(
      "VIEW_MIRRORED",
      "Looked at against its normal, this view has left and right exchanged.",
      "Turn right (or the normal) round: right × up must be the normal.",
    );
  }
}
