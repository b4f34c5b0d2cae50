import type { Catalogue } from "./catalogue.js";
import { coversOf } from "./cover.js";
import type { Spot } from "./findings.js";
import { readNeighbours } from "./gaps.js";
import { lookUp, noteDuplicates, noteRepeats } from "./ids.js";
import { noteOverlaps } from "./overlap.js";
import { type FlatPart, readFamilies, readParts } from "./parts.js";
import { type DrawnHole, type DrawnRow, readRows } from "./rows.js";
import type { AssemblyFile } from "./schema.js";
import { nearestHolesOf } from "./spacing.js";
import type { Assembly, Hole, Neighbour, Rivet, Row, StatedBlock, Step } from "./types.js";
import { readViews } from "./views.js";

/**
 * Builds an assembly from its file, noting everything that is wrong. With anything noted the result is not
 * to be used: what could not be read is left out or NaN.
 */
export function readAssembly(file: AssemblyFile, catalogue: Catalogue, spot: Spot): Assembly {
  const families = readFamilies(file, spot);
  const parts = readParts(file, families, catalogue.prepGates, spot);
  const drawn = readRows(file, catalogue, parts, spot);
  noteOverlaps(drawn, file.units, spot);
  const neighbours = readNeighbours(
    file,
    new Map(drawn.map((row) => [row.id, row.holes.map((hole) => hole.at)])),
    spot,
  );
  const covers = coversOf(drawn, flatSheets(parts));
  const rows = new Map(drawn.map((row) => [row.id, rowOf(row)]));
  noteDuplicates(
    file.milestones.map((milestone) => milestone.id),
    "milestone",
    (i) => spot.at("milestones", i, "id"),
  );
  return {
    id: file.id,
    name: file.name,
    nicknames: file.nicknames ?? [],
    parts: [...parts.values()].map((part) => part.part),
    families,
    rows: [...rows.values()],
    holes: holesOf(drawn, neighbours, covers, nearestHolesOf(drawn)),
    steps: readSteps(file, parts, rows, spot),
    closings: readClosings(file, parts, spot),
    milestones: file.milestones.map(({ id, name, nicknames }) => ({ id, name, nicknames: nicknames ?? [] })),
    statedBlocks: readBlocks(file, catalogue, parts, drawn, spot),
    views: readViews(file, spot),
  };
}

function flatSheets(parts: ReadonlyMap<string, FlatPart>) {
  return [...parts.values()].flatMap((part) => [...part.sheets.values()].filter((sheet) => sheet !== null));
}

function rowOf({ file, id, holes }: DrawnRow): Row {
  return {
    id,
    part: file.part,
    row: file.row,
    name: file.name,
    nicknames: file.nicknames ?? [],
    numbered: file.numbered,
    holes: holes.map((hole) => hole.id),
  };
}

function holesOf(
  rows: readonly DrawnRow[],
  neighbours: ReadonlyMap<string, Neighbour>,
  covers: ReadonlyMap<string, string>,
  nearest: ReadonlyMap<string, number>,
): readonly Hole[] {
  const holes: Hole[] = [];
  for (const row of rows) {
    for (const drawn of row.holes) {
      const { callout, crossings } = drawn;
      const layers = crossings.flatMap((crossing) => crossing?.layer ?? []);
      holes.push({
        id: drawn.id,
        index: holes.length,
        part: row.file.part,
        row: row.file.row,
        rowId: row.id,
        number: drawn.number,
        at: drawn.at,
        normal: row.normal,
        layers,
        gripMm: layers.reduce((sum, layer) => sum + layer.thicknessMm, 0),
        punchedMm: callout.punchedMm,
        // A rivet that is not there has been noted, and the kit is refused.
        rivet: callout.rivet as Rivet,
        approaches: callout.approaches,
        pitchMm: drawn.pitchMm,
        nearestMm: nearest.get(drawn.id) ?? null,
        neighbour: neighbours.get(drawn.id) ?? null,
        coveredBy: covers.get(drawn.id) ?? null,
        given: callout.given,
      });
    }
  }
  return holes;
}

function readSteps(
  file: AssemblyFile,
  parts: ReadonlyMap<string, FlatPart>,
  rows: ReadonlyMap<string, Row>,
  spot: Spot,
): readonly Step[] {
  noteDuplicates(
    file.steps.map((step) => step.id),
    "step",
    (i) => spot.at("steps", i, "id"),
  );
  return file.steps.map((step, i) => {
    const at = spot.at("steps", i);
    const [partIds, rowIds] = [step.parts ?? [], step.rows ?? []];
    partIds.forEach((part, j) => {
      lookUp(parts, "part", part, at.at("parts", j));
    });
    rowIds.forEach((row, j) => {
      lookUp(rows, "row", row, at.at("rows", j));
    });
    noteRepeats(partIds, "Part", at.at("parts"));
    noteRepeats(rowIds, "Row", at.at("rows"));
    return { id: step.id, title: step.title, text: step.text, parts: partIds, rows: rowIds };
  });
}

function readClosings(
  file: AssemblyFile,
  parts: ReadonlyMap<string, FlatPart>,
  spot: Spot,
): readonly string[] {
  file.closings.forEach((part, i) => {
    lookUp(parts, "part", part, spot.at("closings", i));
  });
  noteRepeats(file.closings, "Part", spot.at("closings"));
  return file.closings;
}

function readBlocks(
  file: AssemblyFile,
  catalogue: Catalogue,
  parts: ReadonlyMap<string, FlatPart>,
  rows: readonly DrawnRow[],
  spot: Spot,
): readonly StatedBlock[] {
  if (!file.blocks) return [];
  const holes = new Map<string, DrawnHole>(rows.flatMap((row) => row.holes.map((hole) => [hole.id, hole])));
  return file.blocks.flatMap((block, i) => {
    const at = spot.at("blocks", i);
    const approach = lookUp(catalogue.approaches, "approach", block.approach, at.at("approach"));
    lookUp(parts, "part", block.by, at.at("by"));
    noteRepeats(block.holes, "Hole", at.at("holes"));
    return block.holes.map((id, j) => {
      const hole = lookUp(holes, "hole", id, at.at("holes", j));
      if (hole && approach && !hole.callout.approaches.includes(block.approach)) {
        at.at("holes", j).add(
          "BLOCK_WITHOUT_APPROACH",
          `Hole ${id} is not got at by approach ${block.approach}, so nothing can block it.`,
          `Use one of its own approaches: ${hole.callout.approaches.join(", ")}.`,
        );
      }
      return { hole: id, approach: block.approach, by: block.by, why: block.why };
    });
  });
}
