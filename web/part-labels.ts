import type { MapView } from "../server/kit/map.js";
import type { Point } from "../server/kit/polygon.js";
import { svg } from "./dom.js";
import type { Names } from "./names.js";
import type { Box } from "./zoom.js";

interface RowInView {
  readonly part: string;
  readonly holes: readonly Point[];
}

/** Where a label stands or may stand: its middle, to the right and up (mm). */
export interface Label {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** Mean width of a letter, as a share of its height. */
export const LETTER = 0.56;
/** A label is at least this part of the drawing's width high, so that it can be read when all is in view. */
const LEAST_SHARE = 75;
/** Shares of a face's width and height at which a label is tried, the middle first. */
const SHARES = [0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82, 0.1, 0.9];
/** Places tried along a row. */
const MOST_TRIED = 12;

/**
 * Names of the parts of a view, each where it covers nothing: beside the part's first row, or on its face.
 * @param taken  what else stands on the paper
 */
export function partLabels(
  view: MapView,
  rows: readonly RowInView[],
  names: Names,
  spacing: number,
  paper: Box,
  taken: readonly Label[],
): SVGGElement {
  const holes = view.holes.map(({ at }) => at);
  const placed: Label[] = [...taken];
  const size = Math.max(spacing * 0.6, paper.width / LEAST_SHARE);
  const texts = [...new Set([...rows, ...view.outlines].map(({ part }) => part))].map((part) => {
    const name = names.part(part);
    const width = name.length * size * LETTER;
    const row = rows.find((one) => one.part === part);
    const spots = [...(row ? besideRow(row.holes, spacing, width) : []), ...onFace(part, view.outlines)];
    const label = firstClear(
      spots.map(([x, y]) => ({ x, y, width, height: size })).filter((label) => isOn(paper, label)),
      holes,
      placed,
      spacing,
    );
    if (!label) return null;
    placed.push(label);
    return svg("text", { x: label.x, y: -label.y, "font-size": size }, name);
  });
  return svg("g", { class: "part-labels", "aria-hidden": "true" }, ...texts);
}

/** Whether a row runs up and down the paper rather than across. */
export function isUpright(points: readonly Point[]): boolean {
  const [first, last] = [points[0], points.at(-1)];
  return (
    first !== undefined && last !== undefined && Math.abs(first[1] - last[1]) > Math.abs(first[0] - last[0])
  );
}

function besideRow(holes: readonly Point[], spacing: number, width: number): readonly Point[] {
  // Above and below the holes of a row stand their numbers in the answer.
  const aside = isUpright(holes) ? [spacing * 0.6 + width / 2, 0] : [0, spacing * 1.6];
  const [right = 0, up = 0] = aside;
  const beside = holes.slice(0, MOST_TRIED).flatMap(([x, y], at): Point[] => {
    const next = holes[at + 1] ?? [x, y];
    const [midX, midY] = [(x + next[0]) / 2, (y + next[1]) / 2];
    return [
      [midX + right, midY + up],
      [midX - right, midY - up],
    ];
  });
  return [...beside, ...beyondEnds(holes, spacing, width)];
}

/** In line with the row, before its first and after its last hole. */
function beyondEnds(holes: readonly Point[], spacing: number, width: number): readonly Point[] {
  const [first, last] = [holes[0], holes.at(-1)];
  if (!first || !last) return [];
  const upright = isUpright(holes);
  const away = upright ? spacing * 0.95 : spacing * 0.6 + width / 2;
  const out = Math.sign(upright ? last[1] - first[1] : last[0] - first[0]) || 1;
  const shifted = ([x, y]: Point, by: number): Point => (upright ? [x, y + by] : [x + by, y]);
  return [shifted(first, -out * away), shifted(last, out * away)];
}

/** Places on a part's faces where nothing nearer to the eye lies over them; nearer outlines come later. */
function onFace(part: string, outlines: MapView["outlines"]): readonly Point[] {
  return outlines.flatMap((face, at) => {
    if (face.part !== part) return [];
    const nearer = outlines.slice(at + 1).filter((other) => other.part !== part);
    const [xs, ys] = [face.points.map(([x]) => x), face.points.map(([, y]) => y)];
    const [left, right, bottom, top] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    return SHARES.flatMap((up) =>
      SHARES.map((along): Point => [left + along * (right - left), bottom + up * (top - bottom)]),
    ).filter(
      (point) => isInside(point, face.points) && !nearer.some((other) => isInside(point, other.points)),
    );
  });
}

/** Whether a label is not cut off by the paper's edge; the paper counts down the page. */
function isOn(paper: Box, { x, y, width, height }: Label): boolean {
  return (
    x - width / 2 >= paper.x &&
    x + width / 2 <= paper.x + paper.width &&
    -y - height / 2 >= paper.y &&
    -y + height / 2 <= paper.y + paper.height
  );
}

/** The first label with room around it; null when each would cover something. */
function firstClear(
  labels: readonly Label[],
  holes: readonly Point[],
  placed: readonly Label[],
  spacing: number,
): Label | null {
  const side = spacing * 0.7;
  const isClear = (label: Label): boolean =>
    holes.every(([x, y]) => apart(label, { x, y, width: side, height: side }) > spacing * 0.1) &&
    placed.every((other) => apart(label, other) > spacing * 0.1);
  return labels.find(isClear) ?? null;
}

/** Free distance between two boxes; 0 when they touch. */
function apart(one: Label, other: Label): number {
  const right = Math.abs(one.x - other.x) - (one.width + other.width) / 2;
  const up = Math.abs(one.y - other.y) - (one.height + other.height) / 2;
  return Math.max(0, Math.max(right, up));
}

/** Whether a point lies inside a polygon: how often a ray to the right crosses its edges. */
function isInside([x, y]: Point, polygon: readonly Point[]): boolean {
  let inside = false;
  polygon.forEach(([x1, y1], at) => {
    const [x2, y2] = polygon[(at + 1) % polygon.length] ?? [x1, y1];
    if (y1 > y !== y2 > y && x < ((x2 - x1) * (y - y1)) / (y2 - y1) + x1) inside = !inside;
  });
  return inside;
}
