import { finder } from "../../kit/find.js";
import type { Row } from "../../kit/types.js";
import { lexicon } from "../lexicon.js";
import { inOrder } from "./counting.js";
import type { NameIndex, RowNames } from "./names.js";
import type { Pick, StepsPiece } from "./piece.js";
import { holesAt, type Where } from "./where.js";

/** What a question says about where, piece by piece, before it is looked up. */
export interface Spot {
  readonly parts: readonly string[] | null;
  readonly family: string | null;
  /** Several parts could be meant and the question does not say which. */
  readonly whichPart: readonly string[] | null;
  readonly sayings: readonly (readonly string[])[] | null;
  /** The words were followed by "row": they name no side of the assembly. */
  readonly asRow: boolean;
  readonly rows: readonly string[] | null;
  readonly holes: readonly string[] | null;
  readonly pick: Pick | null;
  readonly everything: boolean;
  /** Steps of the manual: each of them, or one of them. */
  readonly steps: StepsPiece | null;
  /** A name or number that does not exist. */
  readonly unknown: boolean;
}

/** A spot that says nothing yet. */
export const NOWHERE: Spot = {
  parts: null,
  family: null,
  whichPart: null,
  sayings: null,
  asRow: false,
  rows: null,
  holes: null,
  pick: null,
  everything: false,
  steps: null,
  unknown: false,
};

/** A spot looked up in the assembly. */
export type Place =
  | { readonly kind: "known"; readonly where: Where }
  /** It could be one of these; none when there are too many to say. */
  | {
      readonly kind: "open";
      readonly need: "row" | "part" | "step";
      readonly options: readonly Where[];
      readonly spot: Spot;
    }
  /** Only a side of the assembly: "on the underside". */
  | { readonly kind: "side"; readonly view: string; readonly spot: Spot }
  /** Not there; what the same words would name elsewhere. */
  | { readonly kind: "unknown"; readonly options: readonly Where[] };

/** Most options that an open place is asked back with. */
const MOST_OPTIONS = 8;

/** Where a spot is, when it names one place for certain; null otherwise. */
export function whereOfSpot(spot: Spot, names: NameIndex): Where | null {
  const place = placeOf(spot, names);
  return place.kind === "known" ? place.where : null;
}

/** Looks a spot up. Never picks one of several: what is not certain stays open. */
export function placeOf(spot: Spot, names: NameIndex): Place {
  if (spot.unknown) {
    if (spot.steps) return { kind: "unknown", options: stepOptions(spot.steps.steps) };
    const open = spot.whichPart ? openPart({ ...spot, unknown: false }, spot.whichPart, names) : null;
    return { kind: "unknown", options: open?.kind === "open" ? open.options : [] };
  }
  if (spot.steps) return inSteps(spot, spot.steps, names);
  if (spot.holes) return holesOf(spot, spot.holes);
  if (spot.rows) return spot.pick ? picked(spot, rowsById(spot.rows, names)) : known(rowsWhere(spot.rows));
  if (spot.whichPart) return openPart(spot, spot.whichPart, names);
  if (spot.family && !spot.sayings && !spot.pick) return known({ kind: "family", id: spot.family });
  const family = names.assembly.families.find(({ id }) => id === spot.family);
  const parts = spot.parts ?? family?.members ?? null;
  if (parts) return inParts(spot, parts, names);
  if (spot.sayings) return rowsAnywhere(spot, spot.sayings, names);
  if (spot.pick) return { kind: "open", need: "part", options: [], spot };
  return known({ kind: "all" });
}

/** A step, or what else is named as far as it lies in the step. */
function inSteps(spot: Spot, { steps, all, or }: StepsPiece, names: NameIndex): Place {
  const rest = { ...spot, steps: null };
  const [only] = steps;
  if (only !== undefined && steps.length === 1) {
    const step: Where = { kind: "step", id: only };
    if (or)
      return saysNothing(rest)
        ? { kind: "open", need: "step", options: [step], spot: { ...rest, pick: or } }
        : placeOf({ ...rest, pick: rest.pick ?? or }, names);
    return within(placeOf(rest, names), step, names);
  }
  if (!all) {
    const options = stepOptions(steps);
    return { kind: "open", need: "step", options, spot: rest };
  }
  const ids = new Set(steps.flatMap((id) => holesAt({ kind: "step", id }, names)));
  const holes = names.assembly.holes.map(({ id }) => id).filter((id) => ids.has(id));
  if (holes.length === 0) return { kind: "unknown", options: stepOptions(steps) };
  return within(placeOf(rest, names), { kind: "holes", ids: holes }, names);
}

function saysNothing({ parts, family, whichPart, sayings, rows, holes, pick }: Spot): boolean {
  return [parts, family, whichPart, sayings, rows, holes, pick].every((one) => one === null);
}

function stepOptions(steps: readonly string[]): readonly Where[] {
  return steps.map((id) => ({ kind: "step", id }));
}

/** A place as far as it lies in another one; not there at all is unknown. */
function within(place: Place, around: Where, names: NameIndex): Place {
  const cut = (where: Where): Where | null => {
    if (where.kind === "all") return around;
    const allowed = new Set(holesAt(around, names));
    const own = holesAt(where, names);
    const ids = own.filter((id) => allowed.has(id));
    if (ids.length === 0) return null;
    return ids.length === own.length ? where : { kind: "holes", ids };
  };
  switch (place.kind) {
    case "known": {
      const where = cut(place.where);
      return where ? known(where) : { kind: "unknown", options: [around] };
    }
    case "open":
      return { ...place, options: place.options.flatMap((where) => cut(where) ?? []) };
    case "side":
    case "unknown":
      return { kind: "unknown", options: [around] };
  }
}

function known(where: Where): Place {
  return { kind: "known", where };
}

function holesOf(spot: Spot, holes: readonly string[]): Place {
  if (spot.pick || spot.sayings || spot.parts) return { kind: "unknown", options: [] };
  const [only] = holes;
  return known(
    holes.length === 1 && only !== undefined ? { kind: "hole", id: only } : { kind: "holes", ids: holes },
  );
}

function rowsWhere(rows: readonly string[]): Where {
  const [only] = rows;
  return rows.length === 1 && only !== undefined ? { kind: "row", id: only } : { kind: "rows", ids: rows };
}

function rowsById(ids: readonly string[], names: NameIndex): readonly Row[] {
  return ids.map((id) => finder(names.assembly).row(id));
}

function openPart(spot: Spot, parts: readonly string[], names: NameIndex): Place {
  const options = parts.flatMap((part) => {
    const place = placeOf({ ...spot, whichPart: null, parts: [part] }, names);
    return place.kind === "known" ? [place.where] : [];
  });
  return { kind: "open", need: "part", options: options.slice(0, 2 * MOST_OPTIONS), spot };
}

function inParts(spot: Spot, parts: readonly string[], names: NameIndex): Place {
  const { sayings, pick } = spot;
  const [only] = parts;
  if (!sayings && !pick) {
    return known(
      parts.length === 1 && only !== undefined ? { kind: "part", id: only } : { kind: "parts", ids: parts },
    );
  }
  const found: Row[] = [];
  for (const part of parts) {
    const rows = rowsOfPart(part, names);
    if (!sayings) {
      const [row] = rows;
      if (rows.length === 1 && row) found.push(row.row);
      else return openRow(spot, parts, rows);
    }
    for (const saying of sayings ?? []) {
      const matching = matchingRows(rows, saying);
      const [row] = matching;
      if (matching.length === 0) return { kind: "unknown", options: [] };
      if (matching.length > 1 || !row) return openRow(spot, parts, matching);
      found.push(row.row);
    }
  }
  if (!pick) return known(rowsWhere(found.map(({ id }) => id)));
  return picked(spot, found);
}

function openRow(spot: Spot, parts: readonly string[], rows: readonly RowNames[]): Place {
  const options = parts.length > 1 ? [] : optionsAmong(rows.slice(0, MOST_OPTIONS), spot);
  if (parts.length === 1 && spot.pick && options.length === 0) return { kind: "unknown", options: [] };
  return { kind: "open", need: "row", options, spot };
}

/** Rows that a part owns; for a part without rows of its own, the rows through it. */
function rowsOfPart(part: string, names: NameIndex): readonly RowNames[] {
  const own = names.rows.filter(({ row }) => row.part === part);
  if (own.length > 0) return own;
  const through = new Set(
    finder(names.assembly)
      .holesThrough(part)
      .map(({ rowId }) => rowId),
  );
  return names.rows.filter(({ row }) => through.has(row.id));
}

/** Rows called exactly so; when there is none, rows whose name has all those words. */
function matchingRows(rows: readonly RowNames[], saying: readonly string[]): readonly RowNames[] {
  const asked = new Set(saying);
  const exact = rows.filter(({ sayings }) =>
    sayings.some((words) => words.size === asked.size && [...asked].every((word) => words.has(word))),
  );
  if (exact.length > 0) return exact;
  return rows.filter(({ words }) => [...asked].every((word) => words.has(word)));
}

function rowsAnywhere(spot: Spot, sayings: readonly (readonly string[])[], names: NameIndex): Place {
  const [saying = []] = sayings;
  const [word = ""] = saying;
  const matching = matchingRows(names.rows, saying);
  const [row] = matching;
  if (sayings.length === 1 && matching.length === 1 && row)
    return spot.pick ? picked(spot, [row.row]) : known({ kind: "row", id: row.row.id });
  if (sayings.length === 1 && saying.length === 1 && !spot.pick && !spot.asRow) {
    const view = names.assembly.views.find(
      ({ id }) => (lexicon().side(id.toLowerCase()) ?? id.toLowerCase()) === word,
    );
    if (view) return { kind: "side", view: view.id, spot };
  }
  return { kind: "open", need: "part", options: optionsAmong(matching, spot), spot };
}

/** Rows that could be meant, when they are few enough to offer. */
function optionsAmong(rows: readonly RowNames[], spot: Spot): readonly Where[] {
  if (rows.length > MOST_OPTIONS) return [];
  return rows.flatMap(({ row }): Where[] => {
    const place = spot.pick ? picked(spot, [row]) : known({ kind: "row", id: row.id });
    return place.kind === "known" ? [place.where] : [];
  });
}

/** The picked holes of each row; a number that a row does not have makes the place unknown. */
function picked(spot: Spot, rows: readonly Row[]): Place {
  const { pick } = spot;
  if (!pick) return known(rowsWhere(rows.map(({ id }) => id)));
  const ids: string[] = [];
  for (const row of rows) {
    const holes = pickFrom(row, pick);
    if (!holes) return { kind: "unknown", options: [] };
    ids.push(...holes);
  }
  const [only] = ids;
  if (only === undefined) return { kind: "unknown", options: [] };
  return known(ids.length === 1 ? { kind: "hole", id: only } : { kind: "holes", ids });
}

function pickFrom(row: Row, pick: Pick): readonly string[] | null {
  if (pick.kind === "but") {
    const left = pickFrom(row, pick.left);
    return left && row.holes.filter((hole) => !left.includes(hole));
  }
  const ordered = inOrder(row.holes, row.numbered, pick.from);
  if (!ordered) return null;
  if (pick.kind === "numbers") {
    const holes = pick.numbers.map((number) => ordered[number - 1]);
    const found = holes.filter((hole) => hole !== undefined);
    return found.length === holes.length ? row.holes.filter((hole) => found.includes(hole)) : null;
  }
  if (pick.count > ordered.length || pick.count < 1) return null;
  const some =
    pick.kind === "first" ? ordered.slice(0, pick.count) : ordered.slice(ordered.length - pick.count);
  return row.holes.filter((hole) => some.includes(hole));
}
