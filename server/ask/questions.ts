import { Type } from "typebox";
import { gathering, Problem } from "../problem.js";
import { shapeChecker } from "../shape-checker.js";
import { parseJson, type SourceFile } from "../source.js";
import type { FormSpec } from "./form.js";
import { lexicon } from "./lexicon.js";
import { grammarOf } from "./reading/phrasing.js";

const strict = { additionalProperties: false } as const;
const Name = Type.String({ pattern: "^[a-z][A-Za-z0-9-]{0,39}$" });
const Text = Type.String({ minLength: 1, maxLength: 400 });

/** The shape of `kb/questions/FORM.json`. */
export const FormFileSchema = Type.Object(
  {
    $schema: Type.Optional(Type.String()),
    format: Type.Literal("tailroom question 1"),
    id: Name,
    purpose: Text,
    slots: Type.Array(
      Type.Object(
        {
          name: Name,
          type: Type.Union(
            [
              ..."part row hole holes family step neighbour side treatment head milestone".split(" "),
              ..."act attribute notice state gate flag sense topic".split(" "),
              ..."size drill percent rivet damage tool".split(" "),
            ].map((type) => Type.Literal(type)),
          ),
          required: Type.Optional(Type.Boolean()),
          ask: Text,
          toCome: Type.Optional(Type.Literal(true)),
          offer: Type.Optional(Type.Literal("not closed")),
          values: Type.Optional(Type.Array(Text, { minItems: 1 })),
        },
        strict,
      ),
    ),
    oneOf: Type.Optional(Type.Array(Type.Array(Name, { minItems: 1 }))),
    apart: Type.Optional(Type.Array(Type.Array(Name, { minItems: 2 }))),
    needs: Type.Optional(Type.Record(Type.String(), Type.Array(Name, { minItems: 1 }))),
    statement: Type.Optional(Type.Boolean()),
    asked: Type.Optional(Name),
    also: Type.Optional(Type.Array(Text)),
    bars: Type.Optional(Type.Array(Text)),
    tells: Type.Optional(
      Type.Array(Type.Union(["when", "which", "why", "how-many"].map((told) => Type.Literal(told)))),
    ),
    phrasings: Type.Array(Text, { minItems: 1 }),
    followUps: Type.Array(Name),
  },
  { ...strict, $id: "tailroom:question", title: "Tailroom question form" },
);

const validate = shapeChecker({ allErrors: true })<FormFile>(FormFileSchema);

/**
 * The question forms from their files, ready to be asked.
 * @throws FORM_MALFORMED, FORM_DUPLICATE, UNKNOWN_FORM (a follow-up that is no form), SLOT_UNKNOWN (a group names a
 *   slot that is not there), WORD_GROUP_UNKNOWN (a bar names one), PHRASING_MALFORMED; all of them at once, the first with the rest in `others`
 */
export function loadForms(files: readonly SourceFile[]): readonly FormSpec[] {
  const problems: Problem[] = [];
  const attempt = gathering(problems);
  const forms = files.map((file) => attempt(() => readForm(file))).filter((form) => form !== undefined);
  const ids = new Set(forms.map(({ id }) => id));
  for (const [at, { id, followUps }] of forms.entries()) {
    const where = { file: files[at]?.path, pointer: "/id" };
    if (forms.findIndex((form) => form.id === id) < at) {
      problems.push(
        new Problem("FORM_DUPLICATE", `There are two forms "${id}".`, {
          where,
          fix: "Give one of them another id.",
        }),
      );
    }
    for (const next of followUps.filter((next) => !ids.has(next))) {
      problems.push(
        new Problem("UNKNOWN_FORM", `Form ${id} is followed by "${next}", which is no form.`, {
          where: { ...where, pointer: "/followUps" },
          fix: `Use ${[...ids].join(", ")}.`,
        }),
      );
    }
  }
  for (const form of forms) attempt(() => grammarOf([form]));
  const [first, ...others] = problems;
  if (first) throw new Problem(first.code, first.message, { where: first.where, fix: first.fix, others });
  const ready = Object.freeze(forms);
  grammarOf(ready);
  return ready;
}

/** @throws FORM_MALFORMED, SLOT_UNKNOWN, WORD_GROUP_UNKNOWN */
function readForm(file: SourceFile): FormSpec {
  const json = parseJson(file);
  if (!validate(json)) {
    const [error] = validate.errors ?? [];
    throw new Problem(
      "FORM_MALFORMED",
      `The form cannot be read: ${error?.message ?? "its shape is wrong"}.`,
      {
        where: { file: file.path, pointer: error?.instancePath ?? "" },
        fix: "Compare it with another file of kb/questions.",
      },
    );
  }
  const {
    id,
    purpose,
    slots,
    oneOf = [],
    apart = [],
    needs = {},
    phrasings,
    also = [],
    bars = [],
    tells = [],
    statement = false,
    asked,
    followUps,
  } = json;
  const names = new Set(slots.map(({ name }) => name));
  const groups = { oneOf: oneOf.flat(), apart: apart.flat(), needs: Object.entries(needs).flat(2) };
  for (const [group, named] of Object.entries(groups)) {
    for (const name of named.filter((name) => !names.has(name))) {
      throw new Problem("SLOT_UNKNOWN", `Form ${id} groups slots, and "${name}" is none of its slots.`, {
        where: { file: file.path, pointer: `/${group}` },
        fix: `Use ${[...names].join(", ")}.`,
      });
    }
  }
  return Object.freeze({
    id,
    purpose,
    slots: slots.map(({ required = false, ...slot }) => ({ required, ...slot })),
    oneOf,
    apart,
    needs,
    phrasings,
    also,
    bars: bars.flatMap((bar, at) => sayingsOf(bar, { file: file.path, pointer: `/bars/${at}` })),
    tells,
    statement,
    ...(asked === undefined ? {} : { asked }),
    followUps,
  });
}

/** What a bar stands for: itself, or the words of a group of the lexicon, "{doubting}". @throws WORD_GROUP_UNKNOWN */
function sayingsOf(
  bar: string,
  where: { readonly file: string; readonly pointer: string },
): readonly string[] {
  const name = /^\{(.*)\}$/.exec(bar)?.[1];
  if (name === undefined) return [bar];
  const words = lexicon().group(name);
  if (words) return [...words];
  throw new Problem("WORD_GROUP_UNKNOWN", `There is no group of words "${name}".`, {
    where,
    fix: "Use a name from groups of kb/lexicon.json, or write the words.",
  });
}

interface FormFile extends Omit<FormSpec, "slots" | "oneOf"> {
  readonly slots: readonly (Omit<FormSpec["slots"][number], "required"> & { readonly required?: boolean })[];
  readonly oneOf?: FormSpec["oneOf"];
}
