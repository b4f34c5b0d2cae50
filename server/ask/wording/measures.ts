import type { AttributeEntry, FactEntry } from "../../facts/types.js";
import { drillOfSize } from "../../fastener/hole.js";
import type { FactValue } from "../../kit/types.js";
import { sayLength, type Units } from "../../kit/units.js";
import type { ClaimValue, LeafValue } from "../../ruling/types.js";
import { counted, listed } from "./grammar.js";
import type { Names } from "./names.js";
import { drillName } from "./sizes.js";

/** A length in the kit's own unit alone, for running text: `4.1 mm`, `1/8 in`. */
export function saySize(mm: number, units: Units): string {
  return sayLength(mm, units).replace(/ \(.*\)$/, "");
}

/** A hole's size, in an inch kit with its drill where it is one by number or letter: `0.1285 in (No. 30)`. */
export function sayHole(mm: number, units: Units): string {
  const size = saySize(mm, units);
  const name = units === "inch" ? drillOfSize(mm)?.name : undefined;
  return name && /^(#\d+|[A-Z])$/.test(name) ? `${size} (${drillName(name)})` : size;
}

/** `3.3 → 4.1 mm`: from one hole size to another, the unit once. */
export function sayGrowth(fromMm: number, toMm: number, units: Units): string {
  return `${withoutUnit(fromMm, units)} → ${sayHole(toMm, units)}`;
}

/** `0.5 to 1.5 mm`: the unit once. */
export function saySpan(leastMm: number, mostMm: number, units: Units): string {
  return `${withoutUnit(leastMm, units)} to ${saySize(mostMm, units)}`;
}

function withoutUnit(mm: number, units: Units): string {
  return saySize(mm, units).replace(units === "mm" ? " mm" : " in", "");
}

/** Short names of the facts that the dictionary explains at length. */
const FACT_LABELS: Readonly<Record<string, string>> = {
  part: "part",
  row: "row",
  rowId: "row",
  number: "number in its row",
  fromEnd: "number from the row's other end",
  rowLength: "number of holes in the row",
  kind: "sort of part",
  family: "family",
  member: "place in its family",
  through: "stack",
  headPart: "part on the head side",
  tailPart: "part on the tail side",
  headKind: "sort of part on the head side",
  layers: "number of layers",
  headMaterial: "material on the head side",
  headThicknessMm: "thickness on the head side",
  thinnestMm: "thinnest layer",
  thickestMm: "thickest layer",
  gripMm: "grip",
  rivetKind: "sort of rivet",
  drawnRivet: "rivet on the drawing",
  drawnHead: "head on the drawing",
  rivetMm: "rivet diameter on the drawing",
  punchedMm: "punched hole",
  neighbour: "surface near the head",
  gapMm: "gap",
  headroomMm: "headroom",
  worstHeadroomMm: "worst-case headroom",
  edgeMm: "edge distance",
  edgeRatio: "edge distance",
  pitchMm: "pitch",
  pitchRatio: "pitch",
  nearestMm: "distance to the nearest hole",
  nearestRatio: "distance to the nearest hole",
  overlap: "part lying over it",
  rowOverlap: "part lying over the row",
  holesFromOverlap: "distance from the overlap",
  zone: "zone",
  state: "state",
  milestonesReached: "list of milestones reached",
  head: "head",
  treatment: "treatment",
};

/** Facts that are a yes or a no, as clauses: when it is so, and when it isn't. */
const FLAG_CLAUSES: Readonly<Record<string, readonly [yes: string, no: string]>> = {
  clears: ["the head clears", "the head does not clear"],
  gripFits: ["the rivet's grip range holds the stack", "the stack is outside the rivet's grip range"],
  holeFits: ["the hole as punched fits the rivet", "the hole as punched does not fit the rivet"],
  edgeServes: ["the edge distance is enough", "the edge distance is too small"],
  pitchServes: ["the nearest hole is far enough away", "the nearest hole is too near"],
};

/** A yes or no as a clause, "the head does not clear"; null for a fact that has none. */
export function sayFlag(fact: string, value: boolean): string | null {
  return FLAG_CLAUSES[fact]?.[value ? 0 : 1] ?? null;
}

/** Facts of which more is better: what is compared with is "wanted". */
const WANTED: ReadonlySet<string> = new Set([
  "gapMm",
  "headroomMm",
  "worstHeadroomMm",
  "edgeMm",
  "edgeRatio",
  "pitchMm",
  "pitchRatio",
  "nearestMm",
  "nearestRatio",
]);

/** Facts that are said without an article. */
const BARE: ReadonlySet<string> = new Set([
  "gripMm",
  "headroomMm",
  "worstHeadroomMm",
  "edgeMm",
  "edgeRatio",
  "pitchMm",
  "pitchRatio",
]);

/** A fact with its article: "the gap", "headroom"; a yes or no as "whether the head clears". */
export function theFact(name: string): string {
  const flag = sayFlag(name, true);
  if (flag) return `whether ${flag}`;
  const label = factLabel(name);
  return BARE.has(name) ? label : `the ${label}`;
}

/** A fact's short name: "headroom"; for one that is not listed, its own name in words. */
export function factLabel(name: string): string {
  const plain = name.replace(/(Mm|Nm|Deg)$/, "").replace(/([a-z])([A-Z])/g, "$1 $2");
  return FACT_LABELS[name] ?? plain.toLowerCase();
}

export function isWanted(fact: string): boolean {
  return WANTED.has(fact);
}

/** Short names of what rules settle at a hole. */
const ATTRIBUTE_LABELS: Readonly<Record<string, string>> = {
  head: "head",
  treatment: "treatment",
  under: "layers under the head",
  finalDiameterMm: "final diameter",
  rivet: "rivet",
  hold: "hold",
};

export function attributeLabel(name: string): string {
  return ATTRIBUTE_LABELS[name] ?? factLabel(name);
}

type Entry = Pick<FactEntry | AttributeEntry, "name" | "unit" | "valuesFrom">;

/** A fact's or an attribute's value in words, by the dictionary's unit and the kit's names. */
export function sayValue(
  value: FactValue | LeafValue | ClaimValue,
  entry: Entry,
  names: Names,
  units: Units,
): string {
  if (Array.isArray(value)) {
    return listed((value as readonly (string | number)[]).map((one) => sayValue(one, entry, names, units)));
  }
  if (typeof value === "object") return theFact((value as { fact: string }).fact);
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value === "number") return sayNumber(value, entry, units);
  return sayText(String(value), entry, names);
}

function sayNumber(value: number, { name, unit }: Entry, units: Units): string {
  if (unit === "mm") return saySize(value, units);
  if (name === "holesFromOverlap") return counted(value, "hole");
  if (unit === null || unit === "count") return String(value);
  return `${Number(value.toFixed(2))} ${unit}`;
}

function sayText(value: string, { valuesFrom }: Entry, names: Names): string {
  if (value === "none") return value;
  switch (valuesFrom) {
    case "parts":
      return names.thePart(value);
    case "rows":
      return names.row(value);
    case "families":
      return names.family(value);
    case "milestones":
      return names.milestone(value);
    case "neighbours":
      return names.neighbour(value);
    default:
      return value;
  }
}
