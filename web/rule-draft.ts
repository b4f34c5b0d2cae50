import type { Family } from "../server/facts/types.js";

/** A rule as it is being written: any JSON object, half of it may be missing or wrong. */
export type Draft = Readonly<Record<string, unknown>>;
export type Path = readonly (string | number)[];

/** A shop rule of which nothing is written yet. */
export function blankRule(): Draft {
  return {
    id: "",
    title: "",
    family: "treatment",
    basis: { rank: "shop", document: "", place: "" },
    why: "",
    conditions: { all: [blankLeaf()] },
    event: blankEvent("treatment"),
    examples: [],
  };
}

/** A condition of which nothing is chosen yet. */
export function blankLeaf(): Draft {
  return { fact: "", operator: "equal", value: "" };
}

/** What a rule of a family claims, before anything is claimed. */
export function blankEvent(family: Family): Draft {
  const params: Readonly<Record<Family, Draft>> = {
    treatment: {},
    hold: { hold: "" },
    order: { strength: "must", before: "" },
    limit: { fact: "" },
    caution: { text: "", acts: [] },
  };
  return { type: family, params: params[family] };
}

/** What stands at a path; undefined where nothing does. */
export function partAt(draft: unknown, path: Path): unknown {
  let part = draft;
  for (const step of path) {
    if (typeof part !== "object" || part === null || !Object.hasOwn(part, step)) return undefined;
    part = (part as Record<string | number, unknown>)[step];
  }
  return part;
}

/** The same draft with another part there; undefined takes it out. What is missing on the way is made. */
export function withPart(draft: Draft, path: Path, part: unknown): Draft {
  return replaced(draft, path, part) as Draft;
}

function replaced(whole: unknown, [step, ...rest]: Path, part: unknown): unknown {
  if (step === undefined) return part;
  if (Array.isArray(whole)) {
    const at = Number(step);
    if (rest.length === 0 && part === undefined) return whole.filter((_, i) => i !== at);
    const members = [...whole];
    members[at] = replaced(whole[at], rest, part);
    return members;
  }
  const fields = isFields(whole) ? whole : {};
  if (rest.length === 0 && part === undefined) {
    return Object.fromEntries(Object.entries(fields).filter(([key]) => key !== String(step)));
  }
  const below = Object.hasOwn(fields, step) ? fields[step] : undefined;
  return { ...fields, [step]: replaced(below, rest, part) };
}

/** JSON pointer of a path. @source RFC 6901, section 3 */
export function pointerOf(path: Path): string {
  return path.map((step) => `/${String(step).replaceAll("~", "~0").replaceAll("/", "~1")}`).join("");
}

/** The path of a JSON pointer. */
export function pathOf(pointer: string): Path {
  return pointer
    .split("/")
    .slice(1)
    .map((step) => step.replaceAll("~1", "/").replaceAll("~0", "~"));
}

/** Whether nothing is written yet at a place. */
export function isBlank(draft: Draft, pointer: string): boolean {
  const part = partAt(draft, pathOf(pointer));
  if (Array.isArray(part)) return part.length === 0;
  if (isFields(part)) return Object.keys(part).length === 0;
  return part === undefined || part === "";
}

/** How the parts of a group are joined. */
export type Join = "all" | "any" | "not";

/** What a condition is; null for something that the form cannot show. */
export function kindOf(node: unknown): Join | "leaf" | null {
  if (!isFields(node)) return null;
  if (Array.isArray(node.all)) return "all";
  if (Array.isArray(node.any)) return "any";
  if (isFields(node.not)) return "not";
  return Object.hasOwn(node, "fact") ? "leaf" : null;
}

/** The same conditions joined otherwise; nothing in them is lost. */
export function joined(node: unknown, join: Join): Draft {
  const kind = kindOf(node);
  const inner = kind === "not" ? (node as Draft).not : node;
  const innerKind = kindOf(inner);
  const isList = innerKind === "all" || innerKind === "any";
  if (join === "not") {
    if (kind === "not") return node as Draft;
    const children = isList ? ((inner as Draft)[innerKind] as readonly unknown[]) : [inner];
    return { not: children.length === 1 ? children[0] : inner };
  }
  return { [join]: isList ? (inner as Draft)[innerKind] : [inner] };
}

/** A text as JSON: a rule, or the rules of a rule file; or what is wrong and where, lines and columns from 1. */
export type JsonRead =
  | { readonly rules: readonly Draft[] }
  | { readonly wrong: string; readonly line: number; readonly column: number };

export function readJson(text: string): JsonRead {
  let read: unknown;
  try {
    read = JSON.parse(text);
  } catch (error) {
    return { wrong: "This is not JSON.", ...placeIn(text, (error as Error).message) };
  }
  const rules = isFields(read) && Array.isArray(read.rules) ? read.rules : [read];
  if (rules.length > 0 && rules.every(isFields)) return { rules };
  return { wrong: "A rule is written between { and }.", line: 1, column: 1 };
}

/** Where the browser says that it stopped reading; else the end. */
function placeIn(text: string, message: string): { line: number; column: number } {
  const named = /line (\d+) column (\d+)/.exec(message);
  if (named) return { line: Number(named[1]), column: Number(named[2]) };
  const position = /position (\d+)/.exec(message)?.[1];
  const before = text.slice(0, position === undefined ? text.length : Number(position));
  return { line: before.split("\n").length, column: before.length - before.lastIndexOf("\n") };
}

export function writeJson(draft: Draft): string {
  return JSON.stringify(draft, null, 2);
}

/** An inch, by definition. @source ISO 31-1 (25.4 mm exactly) */
const MM_PER_INCH = 25.4;

/**
 * A number as it is typed: "3.2", "3,2", "1/8 in", ".125\"". A length without a unit is in mm.
 * @param unit  of the fact
 * @returns     null where it is no number, or where the unit is in doubt (a bare fraction of a length)
 */
export function readNumber(typed: string, unit: string | null): number | null {
  const found = /^\s*(-?)(?:(\d+)\s*\/\s*(\d+)|(\d*[.,]?\d+|\d+[.,]))\s*(mm|in|inch|inches|"|″)?\s*$/i.exec(
    typed,
  );
  if (!found) return null;
  const [, sign, above, below, plain, unitTyped] = found;
  const isInch = unitTyped !== undefined && unitTyped.toLowerCase() !== "mm";
  if (unitTyped !== undefined && unit !== "mm") return null;
  if (above !== undefined && unit === "mm" && unitTyped === undefined) return null;
  const value = plain !== undefined ? Number(plain.replace(",", ".")) : Number(above) / Number(below);
  if (!Number.isFinite(value)) return null;
  const inUnit = isInch ? Math.round(value * MM_PER_INCH * 1e6) / 1e6 : value;
  return sign === "-" ? -inUnit : inUnit;
}

/** An id for a rule from its title: "seal-over-rib-4". */
export function idFrom(title: string): string {
  return title
    .normalize("NFKD")
    .replace(/[\p{M}'’]/gu, "")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 60)
    .replace(/-+$/, "");
}

export function isFields(value: unknown): value is Draft {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

export function textOf(value: unknown): string {
  return typeof value === "string" ? value : typeof value === "number" ? String(value) : "";
}
