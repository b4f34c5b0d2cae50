import { type Static, type TObject, type TProperties, Type } from "typebox";
import type { Mark } from "../kit/work.js";
import type { Problem } from "../problem.js";

/**
 * Shapes that several routes share, written once: what is checked, what is typed and what
 * /api/openapi.json says all come from here.
 */

/** An object with these keys and no others. */
export function exactly<T extends TProperties>(properties: T, description?: string): TObject<T> {
  return Type.Object(properties, { additionalProperties: false, ...(description && { description }) });
}

export const orNull = <T extends Type.TSchema>(schema: T) => Type.Union([schema, Type.Null()]);

/** Something wrong with what is being written; told in an answer, since half written is no error. */
export const ProblemLine = exactly({
  code: Type.String(),
  detail: Type.String(),
  pointer: Type.String(),
  fix: Type.String(),
});

export function problemLine({ code, message, where, fix }: Problem): Static<typeof ProblemLine> {
  return { code, detail: message, pointer: where.pointer ?? "", fix };
}

/** Ids are looked up, not parsed: whatever is not known is answered as unknown. */
export const Id = Type.String({ minLength: 1, maxLength: 100 });
export const Version = Type.Integer({ minimum: 0, description: "version of the shop book" });

export const AssemblyParams = exactly({ kit: Id, assembly: Id });
export type AssemblyParams = Static<typeof AssemblyParams>;

const HoleMark = exactly({
  kind: Type.Literal("hole"),
  hole: Id,
  state: Type.Enum(["unset", "pinned", "set"]),
});
const PrepMark = exactly({ kind: Type.Literal("prep"), part: Id, gate: Id, done: Type.Boolean() });
const MilestoneMark = exactly({ kind: Type.Literal("milestone"), milestone: Id, reached: Type.Boolean() });

export const MarkShape = Type.Unsafe<Mark>({
  type: "object",
  description: "one statement of work done or undone",
  required: ["kind"],
  discriminator: { propertyName: "kind" },
  oneOf: [HoleMark, PrepMark, MilestoneMark],
});

/** Printable text on one line. */
export function lineOf(maxLength: number, description: string) {
  return Type.String({ minLength: 1, maxLength, pattern: "^[^\\t\\n\\r]*\\S[^\\t\\n\\r]*$", description });
}

export const Slots = Type.Record(
  Type.String({ pattern: "^[a-z][A-Za-z]{0,39}$" }),
  Type.Union([
    Type.String({ maxLength: 200 }),
    Type.Array(Type.String({ maxLength: 200 }), { maxItems: 2000 }),
  ]),
  { additionalProperties: false, maxProperties: 20, description: "what the question names, by id" },
);

export const ReadingShape = exactly(
  { form: Id, slots: Slots, said: Type.Optional(Type.String({ maxLength: 2000 })) },
  "a reading: the form of question, what it names, and the same in plain words",
);
