import { type Static, Type } from "typebox";

/** The shape of `rules/facts.json`, written once; published as `rules/schemas/facts.schema.json`. */
const strict = { additionalProperties: false } as const;
const NameSchema = Type.String({ pattern: "^[a-z][A-Za-z0-9]{0,39}$" });
const ValuesSchema = Type.Optional(Type.Array(Type.String({ minLength: 1, maxLength: 80 }), { minItems: 1 }));
const KitListSchema = Type.Optional(
  Type.Union([
    Type.Literal("parts"),
    Type.Literal("rows"),
    Type.Literal("families"),
    Type.Literal("kinds"),
    Type.Literal("materials"),
    Type.Literal("rivets"),
    Type.Literal("milestones"),
    Type.Literal("neighbours"),
  ]),
);

export const FactsFileSchema = Type.Object(
  {
    $schema: Type.Optional(Type.String()),
    format: Type.Literal("tailroom facts 1"),
    facts: Type.Array(
      Type.Object(
        {
          name: NameSchema,
          meaning: Type.String({ minLength: 1, maxLength: 300 }),
          type: Type.Union([
            Type.Literal("number"),
            Type.Literal("text"),
            Type.Literal("flag"),
            Type.Literal("list"),
          ]),
          unit: Type.Optional(Type.String({ minLength: 1, maxLength: 20 })),
          min: Type.Optional(Type.Number({ description: "least number that it can be" })),
          above: Type.Optional(Type.Number({ description: "number that it is always larger than" })),
          max: Type.Optional(Type.Number({ description: "largest number that it can be" })),
          from: Type.Union([
            Type.Literal("derived"),
            Type.Literal("kit"),
            Type.Literal("work"),
            Type.Literal("ruling"),
          ]),
          values: ValuesSchema,
          valuesFrom: KitListSchema,
        },
        strict,
      ),
      { minItems: 1 },
    ),
    attributes: Type.Array(
      Type.Object(
        {
          name: NameSchema,
          meaning: Type.String({ minLength: 1, maxLength: 300 }),
          family: Type.Union([Type.Literal("treatment"), Type.Literal("hold")]),
          type: Type.Union([Type.Literal("number"), Type.Literal("text"), Type.Literal("flag")]),
          unit: Type.Optional(Type.String({ minLength: 1, maxLength: 20 })),
          values: ValuesSchema,
          valuesFrom: KitListSchema,
          required: Type.Boolean(),
        },
        strict,
      ),
    ),
  },
  { ...strict, $id: "tailroom:facts", title: "Tailroom fact dictionary" },
);

export type FactsFile = Static<typeof FactsFileSchema>;
