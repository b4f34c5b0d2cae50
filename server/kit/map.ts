import type { Point } from "./polygon.js";
import type { Assembly, Hole, Sheet, Vec, View } from "./types.js";
import { centre, dot, minus } from "./vec.js";

/** The assembly flat on paper, one drawing for each view. Coordinates in mm: x to the right, y up the paper. */
export interface HoleMap {
  readonly views: readonly MapView[];
  /** Holes that no view looks at closely enough; they are on no drawing. */
  readonly unseen: readonly string[];
}

export interface MapView {
  readonly id: string;
  readonly name: string;
  /** Sheets, those furthest from the eye first. */
  readonly outlines: readonly MapOutline[];
  readonly holes: readonly MapHole[];
  /** Around everything drawn; null for an empty view. */
  readonly box: Box | null;
}

export interface MapOutline {
  readonly part: string;
  readonly sheet: string;
  readonly points: readonly Point[];
}

export interface MapHole {
  readonly id: string;
  readonly at: Point;
}

export interface Box {
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

/** Cosine of the angle (about 45 degrees) up to which a view shows what it looks at. */
const FACING_COSINE = 0.7;

/**
 * Flat drawings of an assembly. Each hole is on one drawing: of the views that look at its head, the one that
 * does so most squarely (the first of equals). A sheet is on every drawing that shows one of its holes; a sheet
 * without holes on the one that looks at its face most squarely, from the side of the assembly it is on.
 */
export function drawMap(assembly: Assembly): HoleMap {
  const { views } = assembly;
  const holes = views.map((): Hole[] => []);
  const unseen: string[] = [];
  const pierced = views.map(() => new Set<string>());
  for (const hole of assembly.holes) {
    const view = bestView(views, (normal) => [dot(normal, hole.normal), 0]);
    if (view === null) unseen.push(hole.id);
    else {
      holes[view]?.push(hole);
      for (const layer of hole.layers) pierced[view]?.add(keyOf(layer.part, layer.sheet));
    }
  }
  const sheets = assembly.parts.flatMap((part) =>
    part.sheets.map((sheet) => ({ part: part.id, sheet, key: keyOf(part.id, sheet.id) })),
  );
  const middle = centre(sheets.flatMap(({ sheet }) => sheet.outline));
  const drawn = views.map((): { part: string; sheet: Sheet }[] => []);
  for (const { part, sheet, key } of sheets) {
    const showing = views.flatMap((_, i) => (pierced[i]?.has(key) ? [i] : []));
    const out = minus(centre(sheet.outline), middle);
    const facing = bestView(views, (normal) => [Math.abs(dot(normal, sheet.normal)), dot(out, normal)]);
    const on = showing.length > 0 || facing === null ? showing : [facing];
    for (const view of on) drawn[view]?.push({ part, sheet });
  }
  return {
    views: views.map((view, i) => drawView(view, drawn[i] ?? [], holes[i] ?? [])),
    unseen,
  };
}

function keyOf(part: string, sheet: string): string {
  return `${part} ${sheet}`;
}

/** The view of the greatest cosine, if that is enough to face it; of equals the one of the greater second number. */
function bestView(
  views: readonly View[],
  rankOf: (normal: Vec) => readonly [cosine: number, second: number],
): number | null {
  let best: number | null = null;
  let [bestCosine, bestSecond] = [FACING_COSINE, Number.POSITIVE_INFINITY];
  views.forEach((view, i) => {
    const [cosine, second] = rankOf(view.normal);
    // A hair around equal, so that rounding does not choose between equal views.
    const isEqual = Math.abs(cosine - bestCosine) <= 1e-9;
    if (isEqual ? second > bestSecond + 1e-9 : cosine > bestCosine) {
      best = i;
      [bestCosine, bestSecond] = [cosine, second];
    }
  });
  return best;
}

function drawView(
  view: View,
  sheets: readonly { part: string; sheet: Sheet }[],
  holes: readonly Hole[],
): MapView {
  const outlines = sheets
    .map(({ part, sheet }, i) => ({
      i,
      // The nearest corner decides what covers what.
      nearness: Math.max(...sheet.outline.map((corner) => dot(corner, view.normal))),
      outline: { part, sheet: sheet.id, points: sheet.outline.map((corner) => onPaper(view, corner)) },
    }))
    .sort((one, other) => one.nearness - other.nearness || one.i - other.i)
    .map(({ outline }) => outline);
  const marks = holes.map((hole) => ({ id: hole.id, at: onPaper(view, hole.at) }));
  return {
    id: view.id,
    name: view.name,
    outlines,
    holes: marks,
    box: boxOf([...outlines.flatMap((outline) => outline.points), ...marks.map((mark) => mark.at)]),
  };
}

function onPaper(view: View, point: Vec): Point {
  return [hundredths(dot(point, view.right)), hundredths(dot(point, view.up))];
}

/** Rounded to 0.01 mm, finer than any line on paper; never "-0". */
function hundredths(value: number): number {
  return Math.round(value * 100) / 100 || 0;
}

function boxOf(points: readonly Point[]): Box | null {
  if (points.length === 0) return null;
  const box = {
    minX: Number.POSITIVE_INFINITY,
    minY: Number.POSITIVE_INFINITY,
    maxX: Number.NEGATIVE_INFINITY,
    maxY: Number.NEGATIVE_INFINITY,
  };
  for (const [x, y] of points) {
    box.minX = Math.min(box.minX, x);
    box.minY = Math.min(box.minY, y);
    box.maxX = Math.max(box.maxX, x);
    box.maxY = Math.max(box.maxY, y);
  }
  return box;
}
