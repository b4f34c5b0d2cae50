import type { Catalogue } from "./catalogue.js";
import type { Spot } from "./findings.js";
import { noteOutOfRow } from "./gaps.js";
import { lookUp, noteDuplicates, noteRepeats } from "./ids.js";
import type { FlatPart } from "./parts.js";
import { nearestDistances } from "./pitch.js";
import type { AssemblyFile, RowFile } from "./schema.js";
import { readSize, readVec } from "./sizes.js";
import { type Crossing, crossingsOf, type FlatStack, faultsOf, noteTilted, readStack } from "./stack.js";
import type { FactValue, Rivet, Vec } from "./types.js";
import { sayLength, type Units } from "./units.js";
import { distance, plus, times, unit } from "./vec.js";

/** A hole as its row draws it, before its neighbourhood is known. */
export interface DrawnHole {
  readonly id: string;
  readonly number: number;
  readonly at: Vec;
  readonly crossings: readonly (Crossing | null)[];
  readonly callout: Callout;
  readonly pitchMm: number | null;
}

/** A row with its holes expanded. */
export interface DrawnRow {
  readonly file: RowFile;
  readonly id: string;
  readonly normal: Vec;
  readonly holes: readonly DrawnHole[];
}

/** What the drawing calls for at a hole: by its row, or by an exception in the row. */
interface Callout {
  readonly stack: FlatStack;
  readonly punchedMm: number;
  readonly rivet: Rivet | undefined;
  readonly approaches: readonly string[];
  readonly given: Readonly<Record<string, FactValue>>;
  /** Where its stack is written. */
  readonly stackSpot: Spot;
}

interface Context {
  readonly units: Units;
  readonly catalogue: Catalogue;
  readonly parts: ReadonlyMap<string, FlatPart>;
}

/** Every row of an assembly with its holes, each checked against the layers it goes through. */
export function readRows(
  file: AssemblyFile,
  catalogue: Catalogue,
  parts: ReadonlyMap<string, FlatPart>,
  spot: Spot,
): readonly DrawnRow[] {
  noteDuplicates(file.rows.map(rowId), "row", (i) => spot.at("rows", i, "row"));
  const context: Context = { units: file.units, catalogue, parts };
  return file.rows.map((row, i) => readRow(row, context, spot.at("rows", i)));
}

function rowId(row: RowFile): string {
  return `${row.part}.${row.row}`;
}

function readRow(file: RowFile, context: Context, spot: Spot): DrawnRow {
  const id = rowId(file);
  lookUp(context.parts, "part", file.part, spot.at("part"));
  const normal = unit(file.normal);
  if (!normal) {
    spot
      .at("normal")
      .add(
        "DIRECTION_ZERO",
        "A normal is a direction; 0, 0, 0 (or next to it) points nowhere.",
        "Write a vector out of the head side.",
      );
  }
  const places = placesOf(file, context.units, spot.at("holes"));
  const callouts = readCallouts(file, places.length, context, spot);
  for (const callout of new Set(callouts)) {
    if (normal) noteTilted(callout.stack, normal, callout.stackSpot);
  }
  const pitches = nearestDistances(places);
  const holes = places.map((at, i): DrawnHole => {
    const callout = callouts[i] as Callout;
    return {
      id: `${id}.${i + 1}`,
      number: i + 1,
      at,
      callout,
      crossings: normal ? crossingsOf(callout.stack, at, normal) : [],
      pitchMm: pitches[i] ?? null,
    };
  });
  noteFaults(holes, context.units);
  return { file, id, normal: normal ?? [0, 0, 0], holes };
}

/** Places of a row's holes in their order, mm. */
function placesOf(file: RowFile, units: Units, spot: Spot): readonly Vec[] {
  if ("at" in file.holes) return file.holes.at.map((at) => readVec(at, units));
  const { count } = file.holes;
  const [from, to] = [readVec(file.holes.from, units), readVec(file.holes.to, units)];
  if (count === 1 && distance(from, to) > 0) {
    spot
      .at("count")
      .add(
        "ROW_ENDS",
        "A row of one hole begins and ends in one place.",
        "Make from and to the same, or mend the count.",
      );
  }
  return Array.from({ length: count }, (_, i) => {
    const share = count === 1 ? 0 : i / (count - 1);
    return plus(times(from, 1 - share), times(to, share));
  });
}

/** What is called for at each hole; the row's own unless an exception names the hole. */
function readCallouts(file: RowFile, count: number, context: Context, spot: Spot): readonly Callout[] {
  const own: Callout = {
    stack: readStack(file.stack, context.parts, spot.at("stack")),
    punchedMm: readSize(file.punched, "hole", context.units, spot.at("punched")),
    rivet: lookUp(context.catalogue.rivets, "rivet", file.rivet, spot.at("rivet")),
    approaches: file.approaches,
    given: file.given ?? {},
    stackSpot: spot.at("stack"),
  };
  noteApproaches(file.approaches, own.rivet, context, spot.at("approaches"));
  noteOwner(file.part, file.stack, context, spot.at("stack"));
  notePunched(own, context.units, spot.at("punched"));
  const callouts: Callout[] = Array.from({ length: count }, () => own);
  (file.except ?? []).forEach((exception, i) => {
    const at = spot.at("except", i);
    const callout: Callout = {
      stack: exception.stack ? readStack(exception.stack, context.parts, at.at("stack")) : own.stack,
      punchedMm:
        exception.punched === undefined
          ? own.punchedMm
          : readSize(exception.punched, "hole", context.units, at.at("punched")),
      rivet:
        exception.rivet === undefined
          ? own.rivet
          : lookUp(context.catalogue.rivets, "rivet", exception.rivet, at.at("rivet")),
      approaches: exception.approaches ?? own.approaches,
      given: { ...own.given, ...exception.given },
      stackSpot: exception.stack ? at.at("stack") : own.stackSpot,
    };
    if (exception.approaches) {
      noteApproaches(exception.approaches, callout.rivet, context, at.at("approaches"));
    } else if (exception.rivet !== undefined) {
      noteKinds(own.approaches, callout.rivet, context, at.at("rivet"));
    }
    if (exception.stack) noteOwner(file.part, exception.stack, context, at.at("stack"));
    if (exception.punched !== undefined) notePunched(callout, context.units, at.at("punched"));
    else if (exception.rivet !== undefined) notePunched(callout, context.units, at.at("rivet"));
    noteRepeats(exception.holes, "Hole", at.at("holes"));
    noteOutOfRow(exception.holes, count, rowId(file), at.at("holes"));
    exception.holes.forEach((number, j) => {
      if (number > count) return;
      if (callouts[number - 1] !== own && callouts[number - 1] !== callout) {
        at.at("holes", j).add(
          "EXCEPT_TWICE",
          `Hole ${number} is in an earlier exception of this row.`,
          "Put all that differs at a hole into one exception.",
        );
      }
      callouts[number - 1] = callout;
    });
  });
  return callouts;
}

/** A hole punched larger than its rivet takes could only be made worse. */
function notePunched({ punchedMm, rivet }: Callout, units: Units, spot: Spot): void {
  // Limits that contradict their own rivet are told where they stand.
  if (!rivet || rivet.hole.maxMm < rivet.diameterMm) return;
  if (!(punchedMm > rivet.hole.maxMm + 1e-6)) return;
  spot.add(
    "PUNCHED_TOO_LARGE",
    `The hole is punched ${sayLength(punchedMm, units)}, but ${rivet.code} takes at most ${sayLength(rivet.hole.maxMm, units)}.`,
    "Mend the size, or name the rivet that this hole takes.",
  );
}

function noteOwner(part: string, stack: RowFile["stack"], context: Context, spot: Spot): void {
  if (!context.parts.has(part) || stack.some((layer) => layer.part === part)) return;
  spot.add(
    "OWNER_NOT_IN_STACK",
    `The row belongs to part ${part}, but its holes do not go through that part.`,
    "Name the row after a part that it goes through, or add the layer.",
  );
}

function noteApproaches(
  approaches: readonly string[],
  rivet: Rivet | undefined,
  context: Context,
  spot: Spot,
): void {
  noteRepeats(approaches, "Approach", spot);
  approaches.forEach((approach, i) => {
    lookUp(context.catalogue.approaches, "approach", approach, spot.at(i));
  });
  noteKinds(approaches, rivet, context, spot);
}

/** A pulled rivet is not driven and a solid one not pulled: all approaches must be of the rivet's kind. */
function noteKinds(
  approaches: readonly string[],
  rivet: Rivet | undefined,
  context: Context,
  spot: Spot,
): void {
  for (const id of approaches) {
    const approach = context.catalogue.approaches.get(id);
    if (!rivet || !approach || approach.kind === rivet.kind) continue;
    spot.add(
      "KIND_MISMATCH",
      `Approach ${id} is for ${approach.kind} rivets, but rivet ${rivet.code} is ${rivet.kind}.`,
      `Name approaches for ${rivet.kind} rivets, or another rivet.`,
    );
  }
}

/** Notes each sort of fault once per layer of a stack, with the first hole and how many more there are. */
function noteFaults(holes: readonly DrawnHole[], units: Units): void {
  const groups = new Map<
    string,
    { spot: Spot; code: string; hole: string; what: string; fix: string; more: number }
  >();
  for (const { id, crossings, callout } of holes) {
    for (const fault of faultsOf(crossings, callout.punchedMm, units)) {
      const spot = callout.stackSpot.at(fault.layer);
      const key = `${fault.code} ${spot.pointer}`;
      const group = groups.get(key);
      if (group) group.more++;
      else groups.set(key, { ...fault, spot, hole: id, more: 0 });
    }
  }
  for (const { spot, code, hole, what, fix, more } of groups.values()) {
    const others = more === 0 ? "" : ` (and ${more} more ${more === 1 ? "hole" : "holes"} of the row)`;
    spot.add(code, `${hole}${others}: ${what}`, fix);
  }
}
