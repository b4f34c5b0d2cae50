import type { Spot } from "./findings.js";
import { noteDuplicates } from "./ids.js";
import type { KitFile } from "./schema.js";
import { readSize } from "./sizes.js";
import type { Approach, Notice, PrepGate, Rivet, Room } from "./types.js";

/** What all assemblies of a kit draw on. */
export interface Catalogue {
  readonly rivets: ReadonlyMap<string, Rivet>;
  readonly approaches: ReadonlyMap<string, Approach>;
  readonly prepGates: ReadonlyMap<string, PrepGate>;
  readonly notices: readonly Notice[];
}

/** Reads the kit file's lists, noting what is wrong with them. */
export function readCatalogue(file: KitFile, spot: Spot): Catalogue {
  noteDuplicates(codes(file.rivets), "rivet", (i) => spot.at("rivets", i, "code"));
  for (const list of ["approaches", "prepGates", "notices"] as const) {
    const what = { approaches: "approach", prepGates: "prep gate", notices: "notice" }[list];
    noteDuplicates(ids(file[list]), what, (i) => spot.at(list, i, "id"));
  }
  noteDate(file.dated, spot.at("dated"));
  file.notices.forEach((notice, i) => {
    noteDate(notice.dated, spot.at("notices", i, "dated"));
  });
  const rivets = file.rivets.map((_, i) => readRivet(file, i, spot.at("rivets", i)));
  const approaches = file.approaches.map((_, i) => readApproach(file, i, spot.at("approaches", i)));
  return {
    rivets: new Map(rivets.map((rivet) => [rivet.code, rivet])),
    approaches: new Map(approaches.map((approach) => [approach.id, approach])),
    prepGates: new Map(file.prepGates.map((gate) => [gate.id, { id: gate.id, name: gate.name }])),
    notices: file.notices.map((notice) => ({ ...notice })),
  };
}

const ids = (list: readonly { id: string }[]): string[] => list.map((entry) => entry.id);
const codes = (list: readonly { code: string }[]): string[] => list.map((entry) => entry.code);

function noteDate(date: string, spot: Spot): void {
  const time = new Date(`${date}T00:00:00Z`);
  if (Number.isNaN(time.getTime()) || time.toISOString().slice(0, 10) !== date) {
    spot.add("DATE_WRONG", `${date} is not a day of the calendar.`, "Write the date as YYYY-MM-DD.");
  }
}

function readRivet(file: KitFile, i: number, spot: Spot): Rivet {
  const rivet = file.rivets[i] as KitFile["rivets"][number];
  const size = (value: number | string, kind: Parameters<typeof readSize>[1], ...keys: string[]): number =>
    readSize(value, kind, file.units, spot.at(...keys));
  const diameterMm = size(rivet.diameter, "rivetDiameter", "diameter");
  const headHeightMm = size(rivet.headHeight, "headHeight", "headHeight");
  const headDiameterMm =
    rivet.headDiameter === undefined ? null : size(rivet.headDiameter, "headDiameter", "headDiameter");
  const sunkHeightMm =
    rivet.sunkHeight === undefined ? null : size(rivet.sunkHeight, "sunkHeight", "sunkHeight");
  const hole = {
    minMm: size(rivet.hole.min, "hole", "hole", "min"),
    maxMm: size(rivet.hole.max, "hole", "hole", "max"),
  };
  const grip = rivet.grip && {
    minMm: size(rivet.grip.min, "leastGrip", "grip", "min"),
    maxMm: size(rivet.grip.max, "mostGrip", "grip", "max"),
  };
  if (hole.minMm > hole.maxMm) {
    spot
      .at("hole")
      .add("HOLE_LIMITS", "The smallest hole is larger than the largest.", "Swap min and max, or mend them.");
  }
  if (hole.maxMm < diameterMm) {
    spot
      .at("hole", "max")
      .add(
        "HOLE_LIMITS",
        `The rivet ${rivet.code} does not go into its largest hole.`,
        "Mend diameter or hole.",
      );
  }
  if (grip && grip.minMm > grip.maxMm) {
    spot
      .at("grip")
      .add("GRIP_LIMITS", "The least grip is larger than the greatest.", "Swap min and max, or mend them.");
  }
  if (headDiameterMm !== null && headDiameterMm <= diameterMm) {
    spot
      .at("headDiameter")
      .add("HEAD_TOO_SMALL", "The head is no wider than the rivet.", "Write the head's own diameter.");
  }
  if (rivet.head === "protruding" && headHeightMm === 0) {
    spot
      .at("headHeight")
      .add(
        "HEAD_HEIGHT",
        "A protruding head has a height.",
        'Write its greatest height, or the head "flush".',
      );
  }
  if (rivet.head === "flush" && headHeightMm > 0.3) {
    spot
      .at("headHeight")
      .add(
        "HEAD_HEIGHT",
        "A flush head does not stand out of the sheet.",
        'Write 0, or the head "protruding".',
      );
  }
  if (rivet.head === "protruding" && sunkHeightMm !== null) {
    spot
      .at("sunkHeight")
      .add(
        "HEAD_HEIGHT",
        "A protruding head does not lie in the sheet.",
        'Take it out, or write the head "flush".',
      );
  }
  return {
    code: rivet.code,
    name: rivet.name,
    kind: rivet.kind,
    head: rivet.head,
    diameterMm,
    headHeightMm,
    headDiameterMm,
    sunkHeightMm,
    hole,
    grip: grip ?? null,
    source: rivet.source,
  };
}

function readApproach(file: KitFile, i: number, spot: Spot): Approach {
  const approach = file.approaches[i] as KitFile["approaches"][number];
  const drill = approach.drill ?? [];
  if (drill.some(({ side }) => side !== drill[0]?.side)) {
    spot
      .at("drill")
      .add(
        "DRILL_SIDES",
        "A drill comes from one side, that of the rivet's head.",
        "Give all of the drill's rooms the side on which the head is.",
      );
  }
  return {
    id: approach.id,
    name: approach.name,
    kind: approach.kind,
    clearanceMm: readSize(approach.clearance ?? 0, "clearance", file.units, spot.at("clearance")),
    rooms: readRooms(approach.rooms, file, spot.at("rooms")),
    drill: readRooms(drill, file, spot.at("drill")),
  };
}

function readRooms(
  rooms: KitFile["approaches"][number]["rooms"],
  file: KitFile,
  spot: Spot,
): readonly Room[] {
  return rooms.map((room, i) => {
    const at = spot.at(i);
    return {
      side: room.side,
      what: room.what,
      radiusMm: readSize(room.radius, "roomRadius", file.units, at.at("radius")),
      fromMm: readSize(room.from ?? 0, "roomStart", file.units, at.at("from")),
      lengthMm: readSize(room.length, "roomLength", file.units, at.at("length")),
    };
  });
}
