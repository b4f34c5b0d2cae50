import type { ErrorObject } from "ajv/dist/2020.js";
import { Problem } from "../problem.js";
import { shapeChecker } from "../shape-checker.js";
import type { RequestPlace } from "./problems.js";
import { escaped } from "./strict-json.js";

/** What a schema is held against. */
export type RequestPart = "body" | "query" | "path" | "header";

/**
 * Nothing is turned into another type, nothing is dropped, no default is filled in: what was sent is what
 * is checked. `verbose` lets a message name the keys that would have been right.
 */
export const compile = shapeChecker({
  allErrors: true,
  coerceTypes: false,
  removeAdditional: false,
  useDefaults: false,
  discriminator: true,
  verbose: true,
  strict: true,
  strictRequired: false,
  allowUnionTypes: true,
});

/**
 * What a schema found, as one problem with the rest in `others`.
 * @param errors  at least one, as Ajv gives them
 */
export function invalid(errors: readonly ErrorObject[], part: RequestPart): Problem {
  const problems = errors
    // Follows from the errors inside it, or says only that something else already said is wrong.
    .filter(({ keyword }) => !["oneOf", "anyOf", "if"].includes(keyword) || errors.length === 1)
    .map((error) => problemOf(error, part));
  const [first, ...others] = problems.length > 0 ? problems : errors.map((error) => problemOf(error, part));
  if (!first) throw new TypeError("There was nothing wrong.");
  return new Problem(first.code, first.message, { where: first.where, fix: first.fix, others });
}

function problemOf(error: ErrorObject, part: RequestPart): Problem {
  const pointer = placeOf(error);
  const name = pointer.slice(1);
  const where: RequestPlace =
    part === "body"
      ? { pointer }
      : part === "query"
        ? { query: name }
        : part === "header"
          ? { header: name }
          : {};
  const thing =
    part === "body"
      ? pointer === ""
        ? "The body"
        : `"${name.split("/").at(-1)}"`
      : `The ${part} value "${name}"`;
  return new Problem("REQUEST_INVALID", `${thing} ${said(error)}.`, { where, fix: fixOf(error) });
}

/** Pointer to the thing itself: for a missing or unknown key, to that key. */
function placeOf({ instancePath, keyword, params }: ErrorObject): string {
  if (keyword === "required") return `${instancePath}/${escaped(String(params.missingProperty))}`;
  if (keyword === "additionalProperties")
    return `${instancePath}/${escaped(String(params.additionalProperty))}`;
  return instancePath;
}

function said({ keyword, params, message }: ErrorObject): string {
  switch (keyword) {
    case "required":
      return "is missing";
    case "additionalProperties":
      return "is not known here";
    case "type":
      return `must be ${aOrAn(String(params.type))}`;
    case "enum":
    case "const":
    case "discriminator":
      return "is not one of the allowed values";
    case "maxLength":
      return `is longer than ${params.limit} characters`;
    case "minLength":
      return "is empty";
    case "maxItems":
      return `has more than ${params.limit} entries`;
    case "minItems":
      return params.limit === 1 ? "has no entry" : `has fewer than ${params.limit} entries`;
    case "pattern":
      return "has characters or a form that do not fit";
    default:
      return message ?? "does not fit";
  }
}

function fixOf({ keyword, params, parentSchema }: ErrorObject): string {
  if (keyword === "additionalProperties") {
    const known = Object.keys((parentSchema?.properties as object | undefined) ?? {});
    return known.length > 0 ? `Use ${list(known)}.` : "Leave it out.";
  }
  if (keyword === "enum") return `Use ${list((params.allowedValues as unknown[]).map(String))}.`;
  if (keyword === "const") return `Use ${String(params.allowedValue)}.`;
  if (keyword === "pattern" && typeof parentSchema?.description === "string") {
    return `Use ${parentSchema.description}.`;
  }
  return "Compare it with /api/openapi.json.";
}

function aOrAn(type: string): string {
  if (type === "null") return "null";
  return /^[aeiou]/.test(type) ? `an ${type}` : `a ${type}`;
}

function list(words: readonly string[]): string {
  return words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} or ${words.at(-1)}`;
}
