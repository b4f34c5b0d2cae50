import type { Length, StillGapFile } from "../../server/kit/schema.js";
import type { SmallKit } from "./small-kit.js";

const inch = (mm: number): number => mm / 25.4;

function length(value: Length): number {
  if (typeof value !== "number") throw new Error("the kit to convert has its lengths as numbers");
  return inch(value);
}

function optional(value: Length | undefined): number | undefined {
  return value === undefined ? undefined : length(value);
}

function vec([x, y, z]: readonly [number, number, number]): [number, number, number] {
  return [inch(x), inch(y), inch(z)];
}

/** The same kit, written in inches: every length and place divided by 25.4, directions left alone. */
export function inInches({ kit, assembly }: SmallKit): SmallKit {
  return {
    kit: {
      ...kit,
      units: "inch",
      rivets: kit.rivets.map((rivet) => ({
        ...rivet,
        diameter: length(rivet.diameter),
        headHeight: length(rivet.headHeight),
        headDiameter: optional(rivet.headDiameter),
        hole: { min: length(rivet.hole.min), max: length(rivet.hole.max) },
        grip: rivet.grip && { min: length(rivet.grip.min), max: length(rivet.grip.max) },
      })),
      approaches: kit.approaches.map((approach) => ({
        ...approach,
        clearance: optional(approach.clearance),
        rooms: approach.rooms.map(roomInInches),
        drill: approach.drill?.map(roomInInches),
      })),
    },
    assembly: {
      ...assembly,
      units: "inch",
      parts: assembly.parts.map((part) => ({
        ...part,
        thickness: length(part.thickness),
        sheets: part.sheets.map((sheet) => ({
          ...sheet,
          outline: sheet.outline.map(vec),
          thickness: optional(sheet.thickness),
        })),
        bodies: part.bodies?.map((body) =>
          "box" in body
            ? { box: { min: vec(body.box.min), max: vec(body.box.max) } }
            : { prism: { base: body.prism.base.map(vec), along: vec(body.prism.along) } },
        ),
      })),
      rows: assembly.rows.map((row) => ({
        ...row,
        holes:
          "at" in row.holes
            ? { at: row.holes.at.map(vec) }
            : { ...row.holes, from: vec(row.holes.from), to: vec(row.holes.to) },
        punched: length(row.punched),
        except: row.except?.map((exception) => ({ ...exception, punched: optional(exception.punched) })),
      })),
      neighbours: assembly.neighbours.map((neighbour) => ({
        ...neighbour,
        tolerance: optional(neighbour.tolerance),
        headMargin: optional(neighbour.headMargin),
        gaps: neighbour.gaps.map(({ gap, ...rest }) => ({
          ...rest,
          gap:
            gap !== null && typeof gap === "object" && "positions" in gap
              ? { positions: gap.positions.map((one) => ({ ...one, gap: stillGap(one.gap) })) }
              : stillGap(gap),
        })),
      })),
    },
  };
}

function stillGap(gap: StillGapFile): StillGapFile {
  if (gap === null) return null;
  return typeof gap === "object" ? { first: length(gap.first), last: length(gap.last) } : length(gap);
}

function roomInInches(room: SmallKit["kit"]["approaches"][number]["rooms"][number]): typeof room {
  return { ...room, radius: length(room.radius), from: optional(room.from), length: length(room.length) };
}
