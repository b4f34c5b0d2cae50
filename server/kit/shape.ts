import type { ErrorObject } from "ajv/dist/2020.js";
import { type ShapeCheck, shapeChecker } from "../shape-checker.js";
import { escapeKey, type Spot } from "./findings.js";
import { type AssemblyFile, AssemblyFileSchema, type KitFile, KitFileSchema } from "./schema.js";

const checkOf = shapeChecker({ allErrors: true, strict: true, verbose: true });
const kitShape = checkOf<KitFile>(KitFileSchema);
const assemblyShape = checkOf<AssemblyFile>(AssemblyFileSchema);

/** Keys that reach into every object of the language instead of naming data. */
const FORBIDDEN_KEYS = new Set(["__proto__", "constructor", "prototype"]);

/** Far more than are ever shown; a file that is wrong throughout must not take long to say so. */
const LOOKED_AT = 1000;

/** The kit file if it has the right shape, else null with every deviation noted. */
export function kitFileOf(json: unknown, spot: Spot): KitFile | null {
  return checked(json, kitShape, spot);
}

/** The assembly file if it has the right shape, else null with every deviation noted. */
export function assemblyFileOf(json: unknown, spot: Spot): AssemblyFile | null {
  return checked(json, assemblyShape, spot);
}

function checked<T>(json: unknown, shape: ShapeCheck<T>, spot: Spot): T | null {
  const forbidden = forbiddenKeys(json);
  for (const pointer of forbidden) {
    spot
      .under(pointer)
      .add(
        "KEY_FORBIDDEN",
        "This key is not allowed anywhere: it has a meaning of its own in the language.",
        "Take the key out.",
      );
  }
  if (forbidden.length > 0) return null;
  if (shape(json)) return json;
  for (const error of worthTelling((shape.errors ?? []).slice(0, LOOKED_AT))) tell(error, spot);
  return null;
}

/** Pointers of forbidden keys, found without recursion so that depth does not matter. */
export function forbiddenKeys(json: unknown): string[] {
  const found: string[] = [];
  const open: { value: unknown; pointer: string }[] = [{ value: json, pointer: "" }];
  while (open.length > 0) {
    const here = open.pop();
    if (typeof here?.value !== "object" || here.value === null) continue;
    for (const [key, value] of Object.entries(here.value)) {
      const pointer = `${here.pointer}/${escapeKey(key)}`;
      if (FORBIDDEN_KEYS.has(key)) found.push(pointer);
      if (typeof value === "object" && value !== null) open.push({ value, pointer });
    }
  }
  return found;
}

/**
 * Of the errors under a choice ("one of these shapes"), those of the alternative that was most likely meant:
 * the one whose keys fit; when none stands out, the choice itself.
 */
export function worthTelling(errors: readonly ErrorObject[]): ErrorObject[] {
  const choices = errors
    .filter((error) => error.keyword === "anyOf")
    .sort((one, other) => other.instancePath.length - one.instancePath.length);
  let kept = [...errors];
  for (const choice of choices) {
    const within = kept.filter((error) => error !== choice && isUnder(error, choice));
    const alternatives = new Map<string, ErrorObject[]>();
    for (const error of within) {
      const branch = error.schemaPath.slice(choice.schemaPath.length + 1).split("/")[0] ?? "";
      alternatives.set(branch, [...(alternatives.get(branch) ?? []), error]);
    }
    const meant = [...alternatives.values()].filter((list) =>
      list.every((error) => error.instancePath !== choice.instancePath || error.keyword === "minLength"),
    );
    const tellWhole = meant.length !== 1;
    kept = kept.filter(
      (error) =>
        !isUnder(error, choice) || (error === choice ? tellWhole : meant[0]?.includes(error) && !tellWhole),
    );
  }
  return kept;
}

function isUnder(error: ErrorObject, choice: ErrorObject): boolean {
  return (
    startsWith(error.instancePath, choice.instancePath) && startsWith(error.schemaPath, choice.schemaPath)
  );
}

/** Whether a path leads through another: `/a/1/b` through `/a/1`, `/a/10` not. */
function startsWith(path: string, other: string): boolean {
  return path === other || path.startsWith(`${other}/`);
}

export function tell(error: ErrorObject, spot: Spot): void {
  const here = spot.under(error.instancePath);
  const { params } = error;
  if (error.keyword === "additionalProperties") {
    const key = String(params.additionalProperty);
    here
      .at(key)
      .add(
        "KEY_UNKNOWN",
        `"${key}" is not a key of this object.`,
        `Take it out, or use one of: ${keysOf(error)}.`,
      );
  } else if (error.keyword === "required") {
    const key = String(params.missingProperty);
    here.add(
      "KEY_MISSING",
      `"${key}" is missing.`,
      `Add "${key}": ${expected(schemaOf(error).properties?.[key])}.`,
    );
  } else if (error.instancePath === "/format") {
    here.add(
      "FORMAT_WRONG",
      `The format must be ${JSON.stringify(error.schema)}, not ${shown(error.data)}.`,
      "Write the format that this program reads, or use the program that reads this one.",
    );
  } else if (typeof error.data === "number" && !Number.isFinite(error.data)) {
    here.add("NUMBER_NOT_FINITE", "The number is too large to be one.", "Write a finite number.");
  } else {
    here.add(
      "VALUE_WRONG",
      `${shown(error.data)} is not ${expected(schemaOf(error))}.`,
      "Write what is expected.",
    );
  }
}

function keysOf(error: ErrorObject): string {
  const keys = Object.keys(schemaOf(error).properties ?? {});
  return keys.length > 0 ? keys.join(", ") : expected(schemaOf(error));
}

/** The parts of a JSON Schema that say what is expected. */
interface SchemaLike {
  readonly description?: string;
  readonly type?: string;
  readonly const?: unknown;
  readonly anyOf?: readonly SchemaLike[];
  readonly properties?: Readonly<Record<string, SchemaLike>>;
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly minimum?: number;
  readonly maximum?: number;
}

function schemaOf(error: ErrorObject): SchemaLike {
  return (error.parentSchema ?? {}) as SchemaLike;
}

/** What a schema wants, in words. */
function expected(schema: SchemaLike | undefined): string {
  if (!schema) return "a value";
  if (schema.const !== undefined) return JSON.stringify(schema.const);
  const range = [
    limits("at least", schema.minItems ?? schema.minimum),
    limits("at most", schema.maxItems ?? schema.maximum),
  ].filter(Boolean);
  const words =
    schema.description ?? (schema.anyOf ? schema.anyOf.map(expected).join(" or ") : plainType(schema));
  return range.length > 0 && schema.minItems !== schema.maxItems ? `${words} (${range.join(", ")})` : words;
}

function limits(word: string, limit: number | undefined): string {
  return limit === undefined ? "" : `${word} ${limit}`;
}

function plainType(schema: SchemaLike): string {
  if (schema.type === "string") {
    return schema.maxLength === undefined ? "text" : `text of 1 to ${schema.maxLength} characters`;
  }
  if (schema.type === "object") return `an object with ${Object.keys(schema.properties ?? {}).join(", ")}`;
  if (schema.type === "array") return "a list";
  if (schema.type === "integer") return "a whole number";
  return schema.type === "number"
    ? "a number"
    : schema.type === "boolean"
      ? "true or false"
      : (schema.type ?? "a value");
}

/** The value as it stood in the file, cut short. */
function shown(value: unknown): string {
  if (Array.isArray(value)) return value.length === 0 ? "an empty list" : `a list of ${value.length}`;
  if (typeof value === "object" && value !== null) return "an object";
  const text = JSON.stringify(value) ?? "nothing";
  return text.length > 60 ? `${text.slice(0, 57)}…` : text;
}
